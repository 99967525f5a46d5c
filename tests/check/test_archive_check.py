"""A whole archive from the file to the report: verdicts, answers of the data-quality tests, the command."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pandas as pd
import pytest
from archive_in_memory import TODAY
from click.testing import CliRunner

from dwc_pipeline.archive_check import check_archive_file
from dwc_pipeline.archive_summary import report_as_data, report_lines
from dwc_pipeline.check.archive_report import DISCLOSURE_RULES, EFFORT_RULES, FORM_RULES, Answer, ArchiveReport
from dwc_pipeline.check.quality.registry import quality_tests
from dwc_pipeline.check.quality.run import COUNTS, quality_response
from dwc_pipeline.check.quality_tally import (
    RESPONSE_COLUMNS,
    asks_only_for_emptiness,
    by_dimension,
    dimensions,
    is_about_events,
)
from dwc_pipeline.cli import main
from dwc_pipeline.core.rule import RULES
from dwc_pipeline.errors import OutputRefused

PUPS = Path(__file__).resolve().parents[3] / "shared" / "realdata" / "03-pup-count-archive" / "archive"
DWC, ECO = "http://rs.tdwg.org/dwc/terms/", "http://rs.tdwg.org/eco/terms/"
EVENT = "eventID,parentEventID,eventDate,decimalLatitude,decimalLongitude,geodeticDatum,coordinateUncertaintyInMeters"
FILES = {
    "event.txt": f"{EVENT},locationID,dataGeneralizations\n"
    "s,,2025-05-01/2025-05-31,36.76412,-99.63349,EPSG:4326,20000,,\n"
    "v1,s,2025-05-06,36.76412,-99.63349,EPSG:4326,30,A,\n"
    "v2,s,2025-05-07,36.8,-99.6,EPSG:4326,9000,B,rounded to 0.1 degree\n",
    "occurrence.txt": "eventID,occurrenceID,basisOfRecord,occurrenceStatus,scientificName,individualCount,sex\n"
    "v1,o1,HumanObservation,present,Sceloporus consobrinus,1,Male\n"
    "v1,o2,HumanObservation,present,Spea bombifrons,2,M\n"
    "v2,o3,HumanObservation,present,Spea bombifrons,1,\n",
    "humboldt.txt": "eventID,samplingEffortValue,samplingEffortUnit,samplingEffortProtocol,targetTaxonomicScope,"
    "isTaxonomicScopeFullyReported\nv1,120,trapHours,elapsed hours,Anura | Squamata,true\n"
    "v2,100,trapHours,elapsed hours,Anura | Squamata,true\n",
    "eml.xml": '<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="a" system="b"><dataset>'
    "<title>T</title><creator><organizationName>O</organizationName></creator>"
    "<contact><organizationName>O</organizationName></contact></dataset></eml:eml>",
}


def metafile() -> str:
    parts = []
    for tag, row_type, file, base in (
        ("core", DWC + "Event", "event.txt", DWC),
        ("extension", DWC + "Occurrence", "occurrence.txt", DWC),
        ("extension", ECO + "Event", "humboldt.txt", ECO),
    ):
        names = FILES[file].splitlines()[0].split(",")
        fields = "".join(
            f'<field index="{number}" term="{DWC if name == "eventID" else base}{name}"/>'
            for number, name in enumerate(names)
        )
        link = "id" if tag == "core" else "coreid"
        parts.append(
            f'<{tag} rowType="{row_type}" ignoreHeaderLines="1"><files><location>{file}</location></files>'
            f'<{link} index="0"/>{fields}</{tag}>'
        )
    return f'<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">{"".join(parts)}</archive>'


def written(folder: Path, *changes: tuple[str, str, str]) -> Path:
    """The archive in a folder, some of its texts changed: (file, old, new)."""
    files = FILES | {"meta.xml": metafile()}
    for file, old, new in changes:
        assert old in files[file]
        files[file] = files[file].replace(old, new)
    for name, content in files.items():
        (folder / name).write_text(content, encoding="utf-8", newline="\n")
    return folder


def report_of(folder: Path, *changes: tuple[str, str, str]) -> ArchiveReport:
    return check_archive_file(written(folder, *changes), TODAY)


def answers(report: ArchiveReport) -> list[Answer]:
    return [use.answer for use in report.uses]


def test_a_sound_archive_can_be_archived_trusted_and_gives_nothing_away(tmp_path: Path) -> None:
    report = report_of(tmp_path)
    assert report.findings.empty, report.findings["message"].to_string()
    assert answers(report) == [Answer.YES, Answer.YES, Answer.NO]
    assert [(part.file, part.rows) for part in report.parts] == [
        ("event.txt", 3),
        ("occurrence.txt", 3),
        ("humboldt.txt", 2),
    ]


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("occurrence.txt", "v2,o3", "v9,o3"), [Answer.NO, Answer.NO, Answer.NO]),
        (("occurrence.txt", "Spea bombifrons,1", "Spea bombifrons,few"), [Answer.IN_PART, Answer.YES, Answer.NO]),
        (("event.txt", "2025-05-07", "2025-06-07"), [Answer.IN_PART, Answer.NO, Answer.NO]),
        (("humboldt.txt", "v2,100,trapHours", "v2,,"), [Answer.YES, Answer.IN_PART, Answer.NO]),
        (("event.txt", "36.8,-99.6,EPSG:4326,9000", "36.80123,-99.60123,EPSG:4326,90"),
         [Answer.IN_PART, Answer.YES, Answer.YES]),
        (("event.txt", "rounded to 0.1 degree", ""), [Answer.YES, Answer.YES, Answer.NOTHING]),
    ],
)  # fmt: skip
def test_each_verdict_follows_its_faults(
    tmp_path: Path, change: tuple[str, str, str], expected: list[Answer]
) -> None:
    assert answers(report_of(tmp_path, change)) == expected


def test_an_event_at_the_same_place_that_is_precise_is_told(tmp_path: Path) -> None:
    report = report_of(tmp_path, ("event.txt", "9000,B", "9000,A"))
    assert report.findings["rule"].tolist() == ["withheld-place-is-precise-in-another-event"]
    assert report.findings["row"].tolist() == [3]
    assert answers(report)[2] is Answer.YES


def test_an_occurrence_that_withholds_is_judged_with_its_event(tmp_path: Path) -> None:
    changes = [
        ("occurrence.txt", "individualCount,sex", "individualCount,informationWithheld"),
        ("occurrence.txt", "1,Male", "1,exact location withheld"),
        ("occurrence.txt", "2,M", "2,"),
        ("meta.xml", "dwc/terms/sex", "dwc/terms/informationWithheld"),
    ]
    report = report_of(tmp_path, *changes)
    assert report.findings["rule"].tolist() == ["place-is-withheld-and-precise"]
    assert report.findings[["sheet", "row"]].to_numpy().tolist() == [["occurrence.txt", 2]]


def test_every_test_of_the_draft_is_answered_on_the_rows_that_it_speaks_of(tmp_path: Path) -> None:
    folder = written(tmp_path)
    report = check_archive_file(folder, TODAY, tmp_path / "answers.csv")
    assert set(report.quality["test"]) == set(dimensions())
    rows = report.quality.groupby("test")["rows"].sum()
    for test, count in rows.items():
        assert count == (6 if test in COUNTS else 3), test
    with (tmp_path / "answers.csv").open(encoding="utf-8", newline="") as lines:
        single = list(csv.DictReader(lines))
    assert tuple(single[0]) == RESPONSE_COLUMNS
    assert len(single) == rows.sum()
    assert all(one["status"] and one["comment"] for one in single)
    sexes = {one["id"]: one["result"] for one in single if one["test"] == "VALIDATION_SEX_STANDARD"}
    assert sexes == {"o1": "COMPLIANT", "o2": "NOT_COMPLIANT", "o3": ""}


def test_tests_that_ask_only_for_emptiness_give_all_values_one_answer() -> None:
    """Their distinct values are not looked at one by one, so this must hold."""
    chosen = [test for test in quality_tests().values() if asks_only_for_emptiness(test)]
    assert len(chosen) > 30
    for test in chosen:
        for filled in range(1 << min(len(test.terms), 4)):
            records = [
                {term: value if filled >> number & 1 else "" for number, term in enumerate(test.terms[:4])}
                for value in ("x", "51.2", "Spea bombifrons Cope, 1863")
            ]
            assert len({quality_response(test.label, record, today=TODAY) for record in records}) == 1, test.label


def test_places_and_dates_are_asked_of_events_and_names_of_animals() -> None:
    assert is_about_events("VALIDATION_EVENTDATE_STANDARD")
    assert is_about_events("VALIDATION_COORDINATES_NOTZERO")
    assert not is_about_events("VALIDATION_SCIENTIFICNAME_NOTEMPTY")


def test_the_counts_by_dimension_add_up_to_all_answers_of_validations(tmp_path: Path) -> None:
    quality = report_of(tmp_path).quality
    told = by_dimension(quality)
    asked = told[["compliant", "not_compliant", "not_run"]].to_numpy().sum()
    assert asked == quality.loc[quality["type"] == "Validation", "rows"].sum()


def test_the_report_tells_rows_verdicts_findings_and_never_claims_compliance(tmp_path: Path) -> None:
    lines = report_lines(report_of(tmp_path, ("event.txt", "2025-05-07", "2025-06-07")))
    text = "\n".join(lines)
    assert "event.txt: 3 rows of Event" in text
    assert "Can its effort be trusted? No: 2 of 2 events without children have an effort" in text
    assert "  error: line 4: '2025-06-07' reaches out of its parent" in text
    assert "not ratified" in text
    assert "complies" not in text
    assert "conforms" not in text


def test_the_json_holds_the_same_and_can_be_read_back(tmp_path: Path) -> None:
    report = report_of(tmp_path, ("event.txt", "2025-05-07", "2025-06-07"))
    told = json.loads(json.dumps(report_as_data(report)))
    assert [use["answer"] for use in told["uses"]] == ["in part", "no", "no"]
    (finding,) = (one for one in told["findings"] if one["severity"] == "error")
    assert (finding["file"], finding["line"], finding["field"]) == ("event.txt", 4, "eventDate")
    assert len(told["quality"]) == len(report.quality)


def test_the_command_gives_one_for_errors_and_two_for_what_it_cannot_read(tmp_path: Path) -> None:
    run = CliRunner().invoke
    assert run(main, ["check", str(written(tmp_path))]).exit_code == 0
    faulty = written(tmp_path, ("event.txt", "2025-05-07", "2025-06-07"))
    told = run(main, ["check", str(faulty), "--responses", str(tmp_path / "answers.csv")])
    assert told.exit_code == 1
    assert len(pd.read_csv(tmp_path / "answers.csv")) > 300
    assert run(main, ["check", str(tmp_path / "nothing.zip")]).exit_code == 2
    assert run(main, ["check", str(faulty), "--responses", str(tmp_path / "no" / "a.csv")]).exit_code == 2


def test_a_file_for_answers_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="cannot be written"):
        check_archive_file(written(tmp_path), TODAY, tmp_path / "no" / "answers.csv")


def test_verdicts_name_rules_that_exist() -> None:
    assert set(RULES) >= EFFORT_RULES | FORM_RULES | DISCLOSURE_RULES


@pytest.mark.skipif(not PUPS.is_dir(), reason="the published count archive is not at hand")
def test_a_published_archive_without_metafile_and_effort_is_described() -> None:
    """60 events and 60 occurrences; three places, one of them to whole degrees with a radius of 275 km (CC0)."""
    report = check_archive_file(PUPS, TODAY)
    assert [part.rows for part in report.parts] == [60, 60]
    assert [use.answer for use in report.uses] == [Answer.NO, Answer.NOTHING, Answer.NOTHING]
    told = report.findings.groupby("rule").size()
    assert set(told.index) == {
        "archive-has-no-metafile", "archive-text-is-not-in-the-declared-encoding", "place-looks-generalised",
    }  # fmt: skip
    (coarse,) = report.findings.loc[report.findings["rule"] == "place-looks-generalised", "message"]
    assert "(6 rows)" in coarse


def test_a_parent_that_is_precise_gives_its_generalised_child_away(tmp_path: Path) -> None:
    report = report_of(tmp_path, ("event.txt", "EPSG:4326,20000,", "EPSG:4326,30,"))
    found = report.findings[report.findings["rule"] == "withheld-place-is-precise-in-another-event"]
    assert found["row"].tolist() == [2]
    assert "36.76412" not in json.dumps(report_as_data(report))
