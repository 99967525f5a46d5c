"""Drafts of sheets of every shape: grids, species columns, columns without names, hostile texts, lists, refusals."""

from __future__ import annotations

import csv
import datetime as dt
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dwc_pipeline.cli import main
from dwc_pipeline.draft.proposal import Confidence, Draft
from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.errors import OutputRefused, UnreadableFile
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import SurveyFile, read_survey_file

TODAY = dt.date(2026, 11, 25)
SITES = (
    "Array ID,Lat (WGS84),Lon (WGS84),Traps\n"
    "A1,36.7512,-99.6123,F1-F4\nA2,36.7412,-99.6223,F1-F4\nA3,36.74,-99.61,F1-F4\n"
)
CHECKLIST = (
    "scientificName,taxonRank,family,fieldCodes\n"
    "Aspidoscelis sexlineatus,species,Teiidae,ASSE\nHolbrookia maculata,species,Phrynosomatidae,HOMA\n"
    "Phrynosoma cornutum,species,Phrynosomatidae,PHCO\nThamnophis radix,species,Natricidae,THRA\n"
)
CAPTURES = (
    "Date,Time,Array,Trap,Species,Sex,SVL mm,Wt (g)\n"
    "5/14/2023,07:30,A1,F1,ASSE,M,71,8.2\n5/15/2023,07:45,A1,F2,HOMA,F,55,6.1\n5/16/2023,07:50,A2,F1,ASSE,F,40,3\n"
)


def drafted(folder: Path, **files: str) -> Draft:
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return draft_survey([folder], folder / "survey.toml", TODAY)


def document(draft: Draft) -> dict[str, object]:
    read = tomllib.loads(draft_toml(draft))
    SurveyFile(**read)
    return read


def runs(draft: Draft) -> int:
    write_draft(draft, replace_it=True)
    return len(prepare(read_survey_file(draft.path), TODAY).findings)


def test_a_grid_of_arrays_is_recognised_with_its_signs_asked(tmp_path):
    grid = (
        "Date,Time,A1,A2,A3,Notes\n5/14/2023,07:30,0,2 ASSE,X,\n5/15/2023,07:30,HOMA,0,-,rain\n"
        "5/16/2023,07:40,0,,ASSE; 2 HOMA,\n"
    )
    draft = drafted(tmp_path, sites=SITES, grid=grid, checklist=CHECKLIST)
    table = next(t for t in document(draft)["table"] if t["files"] == ["grid.csv"])
    assert (table["layout"], table["grid_columns"]) == ("grid", "place")
    assert '# dash = "blank"' in draft_toml(draft)
    assert runs(draft) > 0


def test_species_columns_are_recognised_by_the_checklist(tmp_path):
    days = "5/14/2023,A1,1,0,0,sunny\n5/15/2023,A1,0,0,2,rain\n5/16/2023,A2,0,3,0,fog\n"
    wide = f"Date,Site,ASSE,HOMA,PHCO,Weather\n{days}"
    draft = drafted(tmp_path, sites=SITES, wide=wide, checklist=CHECKLIST)
    table = next(t for t in document(draft)["table"] if t["files"] == ["wide.csv"])
    assert table["layout"] == "species columns"
    assert "ASSE" not in table["columns"]
    assert table["columns"]["Weather"] == "sky"  # placed, or it would be read as a species
    assert runs(draft) > 0


def test_columns_with_one_name_or_none_are_named_by_letter(tmp_path):
    text = "Date,Species,Notes,Notes,\n5/14/2023,ASSE,a,b,x\n5/15/2023,HOMA,c,d,y\n5/16/2023,PHCO,e,f,z\n"
    draft = drafted(tmp_path, captures=text)
    keys = {column.key for column in draft.columns}
    assert {"column C", "column D", "column E"} <= keys
    assert sum(column.field == "occurrenceRemarks" and column.is_placed for column in draft.columns) == 1
    assert runs(draft) > 0


def test_a_time_zone_comes_from_the_positions_or_is_asked_loudly(tmp_path):
    assert document(drafted(tmp_path, captures=CAPTURES))["survey"]["time_zone"] == "UTC"
    assert "NOT KNOWN" in draft_toml(drafted(tmp_path, captures=CAPTURES))
    pytest.importorskip("tzfpy", reason="the optional finder of time zones is not installed")
    assert document(drafted(tmp_path, sites=SITES, captures=CAPTURES))["survey"]["time_zone"] == "America/Chicago"


def test_dates_with_two_readings_leave_the_order_open(tmp_path):
    unclear = CAPTURES.replace("5/14", "5/4").replace("5/15", "5/5").replace("5/16", "5/6")
    text = draft_toml(drafted(tmp_path, captures=unclear))
    assert '# date_order = "month-first"' in text
    assert "Say whether dates are month-first or day-first" in text


def test_a_unit_that_no_header_names_is_asked_and_never_assumed(tmp_path):
    draft = drafted(tmp_path, captures=CAPTURES.replace("Wt (g)", "Wt").replace("SVL mm", "SVL"))
    assert all("units" not in table for table in document(draft)["table"])
    assert "g or oz or kg?" in draft_toml(draft)


def test_a_site_code_that_repeats_is_no_code_of_places(tmp_path):
    points = "plot,type,east,north,elev\n" + "".join(
        f"{n // 5},stake,{681200 + n},{3535287 + n},1321\n" for n in range(30)
    )
    draft = drafted(tmp_path, points=points)
    assert not next(column for column in draft.columns if column.header == "plot").is_placed


def test_yes_and_no_alone_never_place_a_column(tmp_path):
    rows = CAPTURES.splitlines()
    text = "\n".join(f"{row},{'Scale ok' if n == 0 else 'yes' if n % 2 else 'no'}" for n, row in enumerate(rows))
    column = next(c for c in drafted(tmp_path, captures=text + "\n").columns if c.header == "Scale ok")
    assert not column.is_placed


def test_the_weights_of_evidence_are_told_for_every_column(tmp_path):
    draft = drafted(tmp_path, captures=CAPTURES)
    assert all(column.reason for column in draft.columns)
    assert all(column.confidence is Confidence.CERTAIN for column in draft.columns)


def test_sheets_of_the_same_headers_in_several_files_become_one_table(tmp_path):
    draft = drafted(tmp_path, may=CAPTURES, june=CAPTURES.replace("5/", "6/"))
    assert [table["files"] for table in document(draft)["table"]] == [["june.csv", "may.csv"]]


def test_names_of_files_and_sheets_that_look_like_patterns_are_found_again(tmp_path):
    (tmp_path / "may [2]*.csv").write_text(CAPTURES, encoding="utf-8")
    draft = draft_survey([tmp_path / "may [2]*.csv"], tmp_path / "survey.toml", TODAY)
    assert runs(draft) > 0


def test_our_own_files_beside_the_sheets_are_passed_over(tmp_path):
    draft = drafted(
        tmp_path,
        captures=CAPTURES,
        answers="question,what,scope,answer,by,date,why\nq1,,,A1,KM,,seen\n",
        identifiers="kind,identifier,stem,features,retired\nevent,X-1,a,{},\n",
    )
    assert [table.files for table in draft.tables] == [("captures.csv",)]
    assert draft.not_placed == ()


def test_three_next_steps_are_named(tmp_path):
    assert len(drafted(tmp_path, captures=CAPTURES).questions) == 3


def test_an_existing_survey_file_is_not_replaced_unless_asked(tmp_path):
    draft = drafted(tmp_path, captures=CAPTURES)
    draft.path.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputRefused, match="--replace"):
        write_draft(draft)
    assert draft.path.read_text(encoding="utf-8") == "mine"
    write_draft(draft, replace_it=True)
    assert "[survey]" in draft.path.read_text(encoding="utf-8")


def test_files_without_a_table_stop_with_the_reason(tmp_path):
    (tmp_path / "note.csv").write_text("nothing here", encoding="utf-8")
    with pytest.raises(UnreadableFile, match="No table of records"):
        draft_survey([tmp_path], tmp_path / "survey.toml", TODAY)
    with pytest.raises(UnreadableFile, match="does not exist"):
        draft_survey([tmp_path / "gone.csv"], tmp_path / "survey.toml", TODAY)


def test_the_command_writes_the_file_and_tells_what_to_do_next(tmp_path):
    (tmp_path / "captures.csv").write_text(CAPTURES, encoding="utf-8")
    command = ["draft", str(tmp_path / "captures.csv"), "--to", str(tmp_path / "survey.toml")]
    first = CliRunner().invoke(main, command)
    assert first.exit_code == 0
    assert "8 columns: 8 placed" in first.output
    assert CliRunner().invoke(main, command).exit_code == 2
    again = CliRunner().invoke(main, [*command, "--replace", "--json"])
    assert '"columns_certain": 8' in again.output


CELLS = st.one_of(
    st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12),
    st.sampled_from(["5/14/2023", "07:30", "ASSE", "M", "71", "8.2 g", "-", "NA", "36.75", "A1", "none", "x"]),
)
HEADERS = st.one_of(
    st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12),
    st.sampled_from(
        ["Date", "Time", "Array", "Species", "Sex", "Wt", "Notes", "Lat", "Lon", "n", "Done", 'a "b" \\c']
    ),
)


@given(
    headers=st.lists(HEADERS, min_size=1, max_size=6),
    rows=st.lists(st.lists(CELLS, min_size=6, max_size=6), min_size=1, max_size=8),
)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_table_gives_a_valid_survey_file_or_a_reason(tmp_path, headers, rows):
    with (tmp_path / "any.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([headers, *(row[: len(headers)] for row in rows)])
    try:
        draft = draft_survey([tmp_path / "any.csv"], tmp_path / "survey.toml", TODAY)
    except UnreadableFile:
        return
    document(draft)
