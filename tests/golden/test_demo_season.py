"""The demo season end to end: every planted fault met as listed, every row accounted for, a valid archive.

`planted_faults.csv` in demo_input/ says what was planted, `planted_faults_met.csv` here how the run must show it:
rule = a finding of that rule on the fault's row, or at `shown_at` (cell, or file|sheet|cell) where the contradiction
stands elsewhere; after = what the cell was read as; outcome = what became of the row.
"""

from __future__ import annotations

import csv
import io
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest
from lxml import etree
from small_survey import TODAY

from dwc_pipeline.pipeline import Season, findings_of, run_survey
from dwc_pipeline.summary import summary_of
from dwc_pipeline.terms.schema import frictionless_schema

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_input"
STANDARDS = ROOT.parent / "shared" / "standards"
TABLES = ("event", "occurrence", "measurement", "humboldt", "place", "effort")


def copy_of_demo(folder: Path) -> Path:
    """The demo without what an earlier run left there."""
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out", "identifiers.csv", "__pycache__"))
    return folder / "survey.toml"


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> tuple[Season, Path]:
    return run_survey(copy_of_demo(tmp_path_factory.mktemp("demo") / "demo_input"), None, TODAY)


@pytest.fixture(scope="module")
def out(run: tuple[Season, Path]) -> Path:
    return run[1]


def table(path: Path) -> pd.DataFrame:
    return pd.read_csv(path, dtype=str, keep_default_na=False)


def rows_of(cell: str) -> set[str]:
    """Row numbers of a cell or range such as A31:A34; of "wpt 3" the fourth line (the header is line 1)."""
    waypoint = re.fullmatch(r"wpt (\d+)", cell)
    if waypoint:
        return {str(int(waypoint[1]) + 1)}
    numbers = [int(number) for number in re.findall(r"\d+", cell)]
    return {str(row) for row in range(numbers[0], numbers[-1] + 1)}


def lines_of(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


def planted() -> Iterator[dict[str, str]]:
    met = {row["id"]: row for row in lines_of(Path(__file__).parent / "planted_faults_met.csv")}
    for fault in lines_of(DEMO / "planted_faults.csv"):
        yield {**fault, **met[fault["id"]]}


@pytest.mark.parametrize("fault", list(planted()), ids=lambda fault: f"{fault['id']}-{fault['kind']}")
def test_every_planted_fault_is_met_as_listed(out: Path, fault: dict[str, str]) -> None:
    def here(name: str, place: str) -> pd.DataFrame:
        *sheet, cell = place.split("|")
        file, tab = sheet or (fault["file"], fault["sheet"])
        frame = table(out / f"{name}.csv")
        return frame[(frame["file"] == file) & (frame["sheet"] == tab) & frame["row"].isin(rows_of(cell))]

    for rule in fault["rule"].split():
        assert rule in set(here("findings", fault["shown_at"] or fault["cell"])["rule"])
    if fault["after"]:
        assert fault["after"] in set(here("changes", fault["cell"])["after"])
    if fault["outcome"]:
        assert set(here("rows", fault["cell"])["outcome"]) == {fault["outcome"]}


def test_there_are_enough_faults_of_enough_kinds() -> None:
    faults = list(planted())
    assert len(faults) >= 40
    assert len({fault["kind"] for fault in faults}) >= 25


def test_the_demo_has_errors_and_every_row_is_accounted_for(run: tuple[Season, Path]) -> None:
    season, out = run
    assert season.has_errors
    accounts = season.accounts
    parts = ["placed in a table", "used for effort, places or headers", "set aside"]
    assert (accounts[parts].sum(axis=1) == accounts["read"]).all()
    assert len(table(out / "rows.csv")) == accounts["read"].sum()


def test_trap_nights_and_trap_hours_are_those_truly_worked(out: Path) -> None:
    """expected_effort.csv is written by the demo's own script from what it made up, before any fault was planted."""
    effort, event = table(out / "tables" / "effort.csv"), table(out / "tables" / "event.csv").set_index("eventID")
    checks = effort[effort["eventID"].map(event["eventType"]) == "trapCheck"]
    parent = checks["eventID"].map(event["parentEventID"])
    numbers = checks[["trap_nights", "trap_hours"]].replace("", None).astype(float)
    sums = numbers.groupby(parent).agg(lambda part: part.sum(skipna=False))
    opened = event["eventDate"].str.slice(0, 16)
    by_session = {(event["locationID"][one].removeprefix("KDR-"), opened[one]): sums.loc[one] for one in sums.index}
    judged = 0
    for line in lines_of(DEMO / "expected_effort.csv"):
        if line["note"]:
            continue  # a planted fault keeps this session's effort from being known from the log
        found = by_session[(line["array"], line["opened"])]
        assert found["trap_nights"] == pytest.approx(float(line["trap_nights"])), line
        assert found["trap_hours"] == pytest.approx(float(line["trap_hours"]), abs=0.01), line
        judged += 1
    assert judged >= 30


def archive_of(out: Path) -> Path:
    (path,) = (out / "archive").iterdir()
    return path


def test_the_archive_validates_against_the_official_schemas(out: Path) -> None:
    """Darwin Core text guide schema (tdwg_dwc_text.xsd) and EML 2.2.0."""
    if not STANDARDS.is_dir():
        pytest.skip("the published schemas are not beside the repository")
    parser = etree.XMLParser(no_network=True)
    with zipfile.ZipFile(archive_of(out)) as archive:
        for name, xsd in (("meta.xml", "dwc/tdwg_dwc_text.xsd"), ("eml.xml", "eml/eml-2.2.0/eml.xsd")):
            schema = etree.XMLSchema(etree.parse(str(STANDARDS / xsd), parser))
            schema.assertValid(etree.fromstring(archive.read(name)))


def test_the_archive_breaks_none_of_the_rules_that_the_schemas_miss(out: Path) -> None:
    found = findings_of(archive_of(out), TODAY)
    assert found[found["severity"] == "error"].empty, found[["rule", "message"]].to_string()


def test_a_reader_that_knows_only_the_metafile_finds_the_tables(out: Path) -> None:
    """Standard library and lxml alone, following meta.xml."""
    with zipfile.ZipFile(archive_of(out)) as archive:
        meta = etree.fromstring(archive.read("meta.xml"))
        for part in meta:
            name = part.findtext("{*}files/{*}location")
            rows = list(csv.reader(io.StringIO(archive.read(name).decode(part.get("encoding")), newline="")))
            terms = {
                int(field.get("index")): field.get("term").rsplit("/", 1)[-1] for field in part.findall("{*}field")
            }
            written = table(out / "tables" / f"{Path(name).stem}.csv")
            body = rows[int(part.get("ignoreHeaderLines")) :]
            assert len(body) == len(written)
            for index, term in terms.items():
                if term in written:
                    assert [row[index] for row in body] == written[term].tolist(), term


def test_no_empty_check_comes_out_as_a_detection(out: Path) -> None:
    event, occurrence = table(out / "tables" / "event.csv"), table(out / "tables" / "occurrence.csv")
    rows = table(out / "rows.csv")
    said_empty = rows["reason"].str.contains("an empty check")
    assert said_empty.any()
    assert len(occurrence) == (rows["table"].eq("capture") & rows["outcome"].eq("placed in a table")).sum()
    assert len(set(event.loc[event["eventType"] == "trapCheck", "eventID"]) - set(occurrence["eventID"])) > 100
    assert set(occurrence["individualCount"]) & {"0"} == set()


@pytest.mark.parametrize("name", TABLES)
def test_the_written_tables_keep_their_schema(out: Path, name: str) -> None:
    from frictionless import Resource

    path = out / "tables" / f"{name}.csv"
    schema = frictionless_schema(name, list(table(path).columns))
    report = Resource(path=path.name, basepath=str(path.parent), schema=schema).validate()
    assert report.valid, report.flatten(["rowNumber", "fieldName", "message"])[:5]


def test_every_change_can_be_undone_from_the_list(run: tuple[Season, Path]) -> None:
    """Putting `before` back over the standard value gives what was typed, cell by cell."""
    season, out = run
    changes = table(out / "changes.csv")
    cells = changes[(changes["column"] != "") & (changes["field"] == changes["term"]) & (changes["before"] != "")]
    raw = {(one.file, one.sheet): one for one in season.records.raw.values()}
    stands: dict[tuple[str, str, str, str], str] = {}
    for line in cells.itertuples():
        cell = (line.file, line.sheet, line.row, line.column)
        sheet, row = raw[cell[:2]].text, int(line.row)
        if cell not in stands and row in sheet.index and line.column in sheet.columns:
            stands[cell] = sheet.at[row, line.column]
        if cell in stands:
            assert line.before == stands[cell] or stands[cell] in line.before, line
            stands[cell] = line.after
    assert len(stands) > 3000


def test_two_runs_on_different_machines_give_the_same_bytes(out: Path, tmp_path: Path) -> None:
    survey = copy_of_demo(tmp_path / "demo_input")
    code = (
        "import datetime as dt; from pathlib import Path; from dwc_pipeline.pipeline import run_survey; "
        f"run_survey(Path({str(survey)!r}), None, dt.date(2026, 11, 25))"
    )
    surroundings = {**os.environ, "TZ": "Asia/Kolkata", "LC_ALL": "C", "PYTHONHASHSEED": "7", "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code], check=True, env=surroundings, cwd=tmp_path)
    ours = {path.relative_to(out): path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    other = tmp_path / "demo_input" / "out"
    theirs = {path.relative_to(other): path.read_bytes() for path in sorted(other.rglob("*")) if path.is_file()}
    assert ours.keys() == theirs.keys()
    assert [str(name) for name in ours if ours[name] != theirs[name]] == []


def test_a_second_run_changes_nothing(run: tuple[Season, Path]) -> None:
    """The register gives every event and animal the identifier it had."""
    season, out = run
    before = {path.relative_to(out): path.read_bytes() for path in out.rglob("*.csv")}
    run_survey(season.survey.path, None, TODAY)
    assert {path.relative_to(out): path.read_bytes() for path in out.rglob("*.csv")} == before


def test_the_effort_told_on_the_terminal_is_that_of_the_tables(run: tuple[Season, Path]) -> None:
    told = summary_of(run[0])
    table = run[0].records.tables["effort_by_check"]
    season = table[table["level"] == "season"].iloc[0]
    assert told["trap_nights"] == float(season["trap_nights"])
    assert told["trap_checks_of_unknown_effort"] == int(season["checks_of_unknown_effort"])
