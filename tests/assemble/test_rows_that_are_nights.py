"""Rows that are one night each, trap-nights as typed, and habits of days that are asked once a sheet.

The number of nights between two dates is that of the midnights between them (the convention named in the survey
file); the rest is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from small_survey import SITES, SITES_TABLE, prepared, write_answers

NIGHTS = """
[[table]]
name = "nights"
holds = "trap_log"
files = ["nights.csv"]
rows_are = "nights"
columns = { day = "day", month = "month", year = "year", plot = "place", n = "traps_open", TN = "trap_nights_typed" }
"""
ROWS = "day,month,year,plot,n,TN\n16,7,2023,1,49,49\n16,7,2023,2,47,45\n17,7,2023,1,0,0\n"


def effort(season: object) -> pd.DataFrame:
    return season.records.tables["effort"].set_index("eventID")  # type: ignore[attr-defined]


def rules(season: object) -> list[str]:
    return season.findings["rule"].tolist()  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("named", "dates"),
    [("evening", {"2023-07-16/2023-07-17", "2023-07-17/2023-07-18"}),
     ("morning", {"2023-07-15/2023-07-16", "2023-07-16/2023-07-17"})],
)  # fmt: skip
def test_a_row_is_one_night_and_the_habit_says_which(tmp_path: Path, named: str, dates: set[str]) -> None:
    season = prepared(tmp_path, {"nights.csv": ROWS}, NIGHTS + f'habits = {{ date_names = "{named}" }}\n')
    checks = season.records.tables["event"].query("eventType == 'trapCheck'")
    assert set(checks["eventDate"]) == dates
    assert sorted(effort(season)["trap_nights"]) == [0, 47, 49]
    assert "row-is-one-night" in set(season.records.changes["rule"])


def test_without_the_habit_no_night_is_counted_and_the_sheet_is_asked_once(tmp_path: Path) -> None:
    season = prepared(tmp_path, {"nights.csv": ROWS}, NIGHTS)
    assert effort(season)["trap_nights"].isna().all()
    asked = season.questions[season.questions["rule"] == "which-day-the-date-names"]
    assert len(asked) == 1
    write_answers(tmp_path, {asked["question"].iloc[0]: "evening"})
    again = prepared(tmp_path, {"nights.csv": ROWS}, NIGHTS)
    assert sorted(effort(again)["trap_nights"]) == [0, 47, 49]
    assert "which-day-the-date-names" not in rules(again)
    assert "answer-matches-nothing" not in rules(again)


def test_typed_trap_nights_are_recorded_as_typed_and_without_trap_hours(tmp_path: Path) -> None:
    table = NIGHTS + 'effort = "as typed"\nhabits = { date_names = "evening" }\n'
    season = prepared(tmp_path, {"nights.csv": ROWS}, table)
    lines = effort(season)
    assert sorted(lines["trap_nights"]) == [0, 45, 49]
    assert set(lines["convention"]) == {"as typed on the sheet"}
    assert lines["trap_hours"].isna().all()
    assert "trap-nights-typed-differ" not in rules(season)
    told = season.records.tables["humboldt"].set_index("eventID").loc[lines.index]
    assert set(told["samplingEffortUnit"]) == {"trapNights"}
    words = season.records.tables["event"].set_index("eventID").loc[lines.index, "samplingEffort"]
    assert words.str.contains("as typed on the sheet").all()


def test_typed_trap_nights_need_no_opening_and_a_blank_one_is_unknown(tmp_path: Path) -> None:
    table = NIGHTS.replace('rows_are = "nights"\n', "") + 'effort = "as typed"\nhabits = { date_names = "morning" }\n'
    rows = "day,month,year,plot,n,TN\n16,7,2023,1,,49\n17,7,2023,1,,\n"
    season = prepared(tmp_path, {"nights.csv": rows}, table)
    lines = effort(season)
    assert lines["trap_nights"].dropna().tolist() == [49]
    assert len(lines) == 2
    assert "typed-effort-is-blank" in rules(season)
    assert not {"check-of-a-closed-array", "number-of-traps-unknown"} & set(rules(season))


def test_typed_and_computed_effort_of_one_array_is_told(tmp_path: Path) -> None:
    log = "Array,What,Date\nA1,opened,2023-05-14\nA1,checked,2023-05-15\nA1,closed,2023-05-16\n"
    tables = (
        SITES_TABLE
        + NIGHTS
        + 'effort = "as typed"\nhabits = { date_names = "evening" }\n'
        + '[[table]]\nname = "log"\nholds = "trap_log"\nfiles = ["log.csv"]\n'
        + 'columns = { Array = "place", What = "action", Date = "eventDate" }\n'
        + 'habits = { date_names = "morning", closed_day = "after the morning check" }\n'
    )
    files = {"sites.csv": SITES, "log.csv": log, "nights.csv": ROWS.replace(",1,", ",A1,").replace(",2,", ",A1,")}
    assert "typed-and-computed-effort-together" in rules(prepared(tmp_path, files, tables))


LOG = """
[[table]]
name = "log"
holds = "trap_log"
files = ["log.csv"]
columns = { Array = "place", What = "action", Date = "eventDate" }
"""
CLOSED = "Array,What,Date\nA1,opened,2023-05-14\nA1,checked,2023-05-15\nA1,closed,2023-05-16\n"


def test_whether_a_closed_day_was_checked_is_asked_once_and_its_night_is_unknown_until_then(tmp_path: Path) -> None:
    files = {"sites.csv": SITES, "log.csv": CLOSED}
    table = SITES_TABLE + LOG + 'habits = { date_names = "morning"%s }\n'
    season = prepared(tmp_path, files, table % "")
    assert effort(season)["trap_nights"].isna().any()
    asked = season.questions[season.questions["rule"] == "was-a-closed-day-checked"]
    assert len(asked) == 1
    after = prepared(tmp_path, files, table % ', closed_day = "after the morning check"')
    whole = prepared(tmp_path, files, table % ', closed_day = "whole day"')
    assert (effort(after)["trap_nights"].sum(), effort(whole)["trap_nights"].sum()) == (24, 12)
    write_answers(tmp_path, {asked["question"].iloc[0]: "whole day"})
    answered = prepared(tmp_path, files, table % "")
    assert effort(answered)["trap_nights"].sum() == 12
    assert "answer-matches-nothing" not in rules(answered)


CAPTURES = (
    '[[table]]\nname = "c"\nholds = "capture"\nfiles = ["c.csv"]\nconstants = { eventType = "trapCheck" }\n'
    'columns = { Date = "eventDate", Array = "place", Species = "verbatimIdentification" }\n'
    'habits = { date_names = "morning" }\n'
)


@pytest.mark.parametrize("row", ["A1,checked,2023-05-16\n", ""])
def test_a_check_or_an_animal_of_that_day_settles_it(tmp_path: Path, row: str) -> None:
    files = {"sites.csv": SITES, "log.csv": CLOSED.replace("A1,closed", row + "A1,closed")}
    files["c.csv"] = "Date,Array,Species\n" + ("" if row else "2023-05-16,A1,SCCO\n")
    season = prepared(tmp_path, files, SITES_TABLE + LOG + 'habits = { date_names = "morning" }\n' + CAPTURES)
    assert "was-a-closed-day-checked" not in rules(season)
    assert effort(season)["trap_nights"].sum() == 24


INTERVALS = """
[[table]]
name = "open"
holds = "trap_log"
files = ["open.csv"]
columns = { Array = "place", From = "eventDate", To = "end_date" }
"""


def test_the_closing_date_of_an_interval_is_asked_once_and_its_nights_are_unknown_until_then(tmp_path: Path) -> None:
    rows = "Array,From,To\nA1,2023-05-05,2023-05-12\nA1,2023-06-05,2023-06-12\n"
    files, table = {"sites.csv": SITES, "open.csv": rows}, SITES_TABLE + INTERVALS
    habits = 'habits = { date_names = "morning"%s }\n'
    season = prepared(tmp_path, files, table + habits % "")
    assert effort(season)["trap_nights"].isna().all()
    asked = season.questions[season.questions["rule"] == "was-a-closed-day-checked"]
    assert len(asked) == 1
    for habit, nights in (("after the morning check", 7), ("whole day", 6)):
        said = prepared(tmp_path, files, table + habits % f', closed_day = "{habit}"')
        assert effort(said)["trap_nights"].sum() == 2 * 12 * nights
        write_answers(tmp_path, {asked["question"].iloc[0]: habit})
        assert effort(prepared(tmp_path, files, table + habits % ""))["trap_nights"].sum() == 2 * 12 * nights
        (tmp_path / "answers.csv").unlink()


@pytest.mark.parametrize("evidence", ["one night", "a check", "an empty check", "a time"])
def test_where_something_tells_of_the_closing_day_of_an_interval_nobody_is_asked(
    tmp_path: Path, evidence: str
) -> None:
    end = {"one night": "2023-05-06", "a time": "2023-05-07 08:00"}.get(evidence, "2023-05-07")
    files = {"sites.csv": SITES, "open.csv": f"Array,From,To\nA1,2023-05-05,{end}\n"}
    tables = SITES_TABLE + INTERVALS + 'habits = { date_names = "morning" }\n'
    if evidence == "a check":
        files["log.csv"] = "Array,What,Date\nA1,checked,2023-05-07\n"
        tables += LOG + 'habits = { date_names = "morning" }\n'
    if evidence == "an empty check":
        files["c.csv"] = "Date,Array,Species\n2023-05-07,A1,none\n"
        tables += CAPTURES
    season = prepared(tmp_path, files, tables)
    assert "was-a-closed-day-checked" not in rules(season)
    assert effort(season)["trap_nights"].sum() == (12 if evidence == "one night" else 24)


def test_an_array_that_stood_closed_on_a_later_day_was_open_up_to_the_day_before(tmp_path: Path) -> None:
    files = {"sites.csv": SITES, "log.csv": CLOSED.replace("2023-05-16", "2023-05-18")}
    table = SITES_TABLE + LOG + 'habits = { date_names = "morning", closed_day = "whole day" }\n'
    assert effort(prepared(tmp_path, files, table))["trap_nights"].sum() == 3 * 12


def test_a_check_in_a_table_of_days_settles_the_closing_of_another_log(tmp_path: Path) -> None:
    grid = (
        '[[table]]\nname = "grid"\nholds = "trap_log"\nfiles = ["grid.csv"]\n'
        'layout = "grid"\ngrid_columns = "place"\n'
        'columns = { Date = "eventDate" }\n'
        'habits = { zero = "no animals", blank = "not checked", date_names = "morning" }\n'
    )
    log = "Array,What,Date\nA1,opened,2023-05-14\nA1,closed,2023-05-16\n"
    files = {"sites.csv": SITES, "log.csv": log, "grid.csv": "Date,A1\n2023-05-15,0\n2023-05-16,0\n"}
    season = prepared(tmp_path, files, SITES_TABLE + LOG + 'habits = { date_names = "morning" }\n' + grid)
    assert "was-a-closed-day-checked" not in rules(season)
    assert effort(season)["trap_nights"].sum() == 24
