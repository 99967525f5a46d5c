"""The check of an evening: what is missing of the day, what contradicts, what to ask."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared, write_survey

from dwc_pipeline import cli
from dwc_pipeline.check.day import DayReport, day_report

PLACES = SITES + 'A2,array,36.7612,-99.6348,"B1, F1-F8, P1-P3",4\nA3,array,36.7712,-99.6348,"B1, F1-F8, P1-P3",4\n'
LOG = """Array,Trap,What,Date,Time,State,Open
A1,,opened,2023-06-01,17:00,,
A2,,opened,2023-06-01,17:20,,
A3,,opened,2023-06-01,17:40,,
A1,,checked,2023-06-02,07:00,,
A2,,checked,2023-06-02,07:20,,
A3,,checked and closed,2023-06-02,07:40,,
A1,,checked,2023-06-03,07:00,,
"""
HEADER = "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
CAPTURES = HEADER + (
    "A1,2023-06-02,07:00,F1,Spea bombifrons,,ad,44,,11.0,,,,1,1\n"
    "A1,2023-06-03,07:00,F1,Aspidoscelis sexlineatus,M,ad,71,148,,,,,1,2\n"
    "A1,2023-06-03,07:00,F2,Aspidoscelis sexlineatus,M,ad,,,9.1,,,,1,3\n"
    "A1,2023-06-03,07:00,F2,Cryptotis parvus,,,,,,,,,1,4\n"
    "A1,2023-06-03,07:00,F12,Spea bombifrons,,ad,46,,12.0,,,,1,5\n"
    "A1,2023-06-03,07:00,P1,Thamnophis radix,F,ad,500,510,60,,,,1,6\n"
)
TABLES = SITES_TABLE + LOG_TABLE + CAPTURES_TABLE
FILES = {"sites.csv": PLACES, "log.csv": LOG, "captures.csv": CAPTURES}


def report_of(folder: Path, day: dt.date | None = None, head: str = HEAD, log: str = LOG) -> DayReport:
    season = prepared(folder, {**FILES, "log.csv": log}, TABLES, head)
    return day_report(season.records, season.findings, season.survey, day)


@pytest.fixture(scope="module")
def latest(tmp_path_factory: pytest.TempPathFactory) -> DayReport:
    return report_of(tmp_path_factory.mktemp("day"))


def lines(report: DayReport, part: str) -> list[tuple[str, str, int, str]]:
    own = report.lines[report.lines["part"] == part]
    return list(own[["what", "file", "row", "column"]].itertuples(index=False, name=None))


def test_the_latest_day_of_the_sheets_is_looked_at(latest: DayReport) -> None:
    assert (latest.day, latest.is_latest) == ("2023-06-03", True)
    assert latest.typed == {"trap_log": 1, "capture": 5, "road_run": 0, "search": 0}


def test_an_array_that_stood_open_and_was_not_checked_is_missing(latest: DayReport) -> None:
    told = [what for what, *_ in lines(latest, "missing")]
    assert any("A2 stood open on 2023-06-03" in what for what in told)
    assert not any("A1 stood open" in what or "A3 stood open" in what for what in told)


def test_arrays_that_nobody_closed_are_named_with_their_opening(latest: DayReport) -> None:
    told = [(what[:2], file, row) for what, file, row, _ in lines(latest, "missing") if "is not closed" in what]
    assert told == [("A1", "log.csv", 2), ("A2", "log.csv", 3)]


def test_animals_in_hand_without_mass_or_length_are_named_by_their_cells(latest: DayReport) -> None:
    told = {(file, row, column) for what, file, row, column in lines(latest, "missing") if what.startswith("no ")}
    assert told == {("captures.csv", 3, "J"), ("captures.csv", 4, "H")}


def test_what_contradicts_is_told_apart_from_what_is_asked(latest: DayReport) -> None:
    assert ("captures.csv", 7) in {(file, row) for _, file, row, _ in lines(latest, "contradicts")}
    assert ("captures.csv", 6) in {(file, row) for _, file, row, _ in lines(latest, "ask")}


def test_findings_of_other_days_are_left_out(latest: DayReport) -> None:
    assert 2 not in set(latest.lines.loc[latest.lines["file"] == "captures.csv", "row"])


def test_a_day_can_be_asked_for(tmp_path: Path) -> None:
    report = report_of(tmp_path, dt.date(2023, 6, 2))
    assert (report.day, report.is_latest, report.typed["capture"]) == ("2023-06-02", False, 1)
    assert not [what for what, *_ in lines(report, "missing") if "stood open" in what]


def test_a_row_without_a_readable_date_belongs_to_the_day_above_it(tmp_path: Path) -> None:
    season = prepared(
        tmp_path,
        {**FILES, "captures.csv": CAPTURES.replace("A1,2023-06-03,07:00,P1", "A1,2023-06-33,07:00,P1")},
        TABLES,
    )
    report = day_report(season.records, season.findings, season.survey, None)
    assert any("06-33" in what for part in ("contradicts", "ask") for what, *_ in lines(report, part))


def test_a_protocol_without_daily_checks_misses_no_check(tmp_path: Path) -> None:
    report = report_of(tmp_path, head=HEAD + "checked_daily = false\n")
    assert not [what for what, *_ in lines(report, "missing") if "stood open" in what]


def test_sheets_without_dates_have_no_day(tmp_path: Path) -> None:
    season = prepared(tmp_path, {"sites.csv": PLACES}, SITES_TABLE)
    report = day_report(season.records, season.findings, season.survey, None)
    assert (report.day, len(report.lines)) == ("", 0)


def test_the_command_tells_the_day_first_and_as_json(tmp_path: Path) -> None:
    path = write_survey(tmp_path, FILES, TABLES)
    runner = CliRunner()
    told = runner.invoke(cli.main, ["check", str(path)])
    assert told.output.startswith("The day 2023-06-03 (the latest day in the sheets")
    as_json = json.loads(runner.invoke(cli.main, ["check", str(path), "--day", "2023-06-02", "--json"]).output)
    assert as_json["day"]["day"] == "2023-06-02"
    assert as_json["findings"]
