"""Histories of marked animals, odd and sensible, in one small season: what is found at which cell, and what is not.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pandas as pd
import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES_TABLE, prepared

from dwc_pipeline.check.season_rule import SEASON_RULES

SITES = (
    'Array,Kind,Lat,Lon,Traps,Acc\nA1,array,36.7512,-99.6348,"F1-F8, P1-P3",4\nA2,array,36.9512,-99.6348,"F1-F8",4\n'
)
HEADER = "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Second,Status,Fate,Condition,Notes,N,No"
COLUMNS = HEADER.split(",")
TABLE = CAPTURES_TABLE.replace(
    'No = "recordNumber"',
    'No = "recordNumber", Fate = "fate", Condition = "reproductiveCondition", Second = "second_mark"',
)
LIZARD = {"Species": "Sceloporus consobrinus", "Sex": "F", "SVL": "60", "Tail": "80", "Age": "ad"}
SNAKE = {"Species": "Thamnophis radix", "Sex": "F", "SVL": "500", "Tail": "130", "Age": "ad"}
NEW, AGAIN = {"Date": "2023-06-02", "Status": "new"}, {"Date": "2023-06-13", "Status": "recap"}
THIRD = {"Date": "2023-06-23", "Status": "recap"}
TAG = "98514100040000"

Capture = Mapping[str, str]


def with_marks(first: str, second: str = "") -> Capture:
    return {**SNAKE, "Mark": first, "Second": second}


#: Each animal or pair of animals with its captures, and what must be found: rule, capture (from 0), column.
HISTORIES: dict[str, tuple[list[Capture], set[tuple[str, int, str]]]] = {
    "a tag says one animal, a clip another": (
        [
            {**with_marks(TAG + "1", "L3 R12"), **NEW},
            {**with_marks(TAG + "2", "L4 R12"), **NEW, "Trap": "F2"},
            {**with_marks(TAG + "1", "L4 R12"), **AGAIN},
        ],
        {("marks-of-two-animals", 2, "Second")},
    ),
    "a new tag for a lost one": (
        [{**with_marks(TAG + "5", "L7 R12"), **NEW}, {**with_marks(TAG + "6", "L7 R12"), **AGAIN}],
        {("marks-of-two-animals", 1, "Second")},
    ),
    "the clip alone is read, in the column of tags, then both the other way round": (
        [
            {**with_marks(TAG + "3", "L5 R12"), **NEW},
            {**with_marks("L5 R12"), **AGAIN},
            {**with_marks("L5 R12", TAG + "3"), **THIRD},
        ],
        set(),
    ),
    "two marks in one cell, then each alone": (
        [
            {**with_marks(TAG + "4 / L6 R12"), **NEW},
            {**with_marks(TAG + "4"), **AGAIN},
            {**with_marks("L6 R12"), **THIRD},
        ],
        set(),
    ),
    "one clip on two species": (
        [{**LIZARD, "Mark": "LF1-RF4", **NEW}, {**SNAKE, "Species": "Spea bombifrons", "Tail": "", "SVL": "44",
          "Mass": "11", "Mark": "LF1-RF4", **NEW}],
        set(),
    ),
    "clips written in another order": (
        [{**LIZARD, "Mark": "RF2 LF1", **NEW}, {**LIZARD, "Mark": "LF1-RF2", **AGAIN}],
        set(),
    ),
    "one tag on two species, as a second mark and in one cell with a clip": (
        [
            {**with_marks("L8 R12", TAG + "F"), **NEW},
            {**LIZARD, "Mark": "LF1-RF5 / " + TAG + "F", **NEW, "Trap": "F2"},
            {**LIZARD, "Species": "Aspidoscelis sexlineatus", "Mark": TAG + "F", **AGAIN},
        ],
        {("mark-on-two-species", 1, "Mark"), ("mark-on-two-species", 2, "Mark")},
    ),
    "one tag on two species": (
        [{**with_marks(TAG + "7"), **NEW}, {**LIZARD, "Mark": TAG + "7", **AGAIN}],
        {("mark-on-two-species", 1, "Mark")},
    ),
    "a mark given out again after a death is one fault": (
        [
            {**LIZARD, "Mark": "LF1-RF3", "Fate": "died in trap", "Notes": "ants", **NEW},
            {**LIZARD, "Mark": "LF1-RF3", **AGAIN, "Status": "new", "SVL": "52", "Mass": "4.6", "Sex": "M"},
            {**LIZARD, "Mark": "LF1-RF3", **THIRD, "SVL": "52", "Mass": "4.7", "Sex": "M"},
        ],
        {("capture-after-death", 1, "Fate")},
    ),
    "the middle of three sexes is odd": (
        [{**LIZARD, "Mark": "LF2-RF1", **one} for one in (NEW, {**AGAIN, "Sex": "M"}, THIRD)],
        {("sex-changed", 1, "Sex")},
    ),
    "the middle of three lengths is too short": (
        [{**SNAKE, "Mark": TAG + "8", **one} for one in (NEW, {**AGAIN, "SVL": "400", "Mass": ""}, THIRD)],
        {("svl-shrank", 1, "SVL")},
    ),
    "the middle of three lengths is too long": (
        [{**SNAKE, "Mark": TAG + "9", **one} for one in (NEW, {**AGAIN, "SVL": "600", "Mass": ""}, THIRD)],
        {("svl-grew-too-fast", 1, "SVL")},
    ),
    "lengths differ by measuring": (
        [{**SNAKE, "Mark": TAG + "A", **one} for one in (NEW, {**AGAIN, "SVL": "500.5"}, {**THIRD, "SVL": "499.6"})],
        set(),
    ),
    "a female lays her eggs two captures after she was gravid": (
        [
            {**LIZARD, "Mark": "LF2-RF4", "Condition": "gravid", "Mass": "13.0", **NEW},
            {**LIZARD, "Mark": "LF2-RF4", "Mass": "13.1", "Condition": "gravid", **AGAIN},
            {**LIZARD, "Mark": "LF2-RF4", "Mass": "6.3", **THIRD},
        ],
        set(),
    ),
    "no clutch takes nine tenths of a female": (
        [
            {**LIZARD, "Mark": "LF3-RF4", "Condition": "gravid", "Mass": "9.10", **NEW},
            {**LIZARD, "Mark": "LF3-RF4", "Condition": "gravid", "Mass": "0.91", **AGAIN},
        ],
        {("mass-changed-by-half", 1, "Mass")},
    ),
    "a young snake grows fast": (
        [
            {**SNAKE, "Mark": TAG + "B", "SVL": "160", "Tail": "42", "Mass": "2.1", "Age": "neonate", **NEW},
            {**SNAKE, "Mark": TAG + "B", "SVL": "168", "Tail": "44", "Mass": "3.0", "Age": "juv", **AGAIN},
        ],
        set(),
    ),
    "captured twice on one day, released between": (
        [
            {**LIZARD, "Mark": "LF2-RF2", **NEW},
            {**LIZARD, "Mark": "LF2-RF2", **NEW, "Time": "18:30", "Status": "recap"},
        ],
        set(),
    ),
    "one mark twice within a check": (
        [
            {**LIZARD, "Mark": "LF2-RF5", **NEW},
            {**LIZARD, "Mark": "LF2-RF5", **NEW, "Time": "07:20", "Status": "recap", "Trap": "F2"},
        ],
        {("mark-twice-at-one-check", 1, "Mark")},
    ),
    "a known mark is written as new": (
        [{**LIZARD, "Mark": "LF3-RF2", **NEW}, {**LIZARD, "Mark": "LF3-RF2", **AGAIN, "Status": "new"}],
        {("known-mark-without-the-flag", 1, "Status")},
    ),
    "22 km in a night": (
        [{**LIZARD, "Mark": "LF3-RF3", **NEW}, {**LIZARD, "Mark": "LF3-RF3", "Date": "2023-06-03", "Array": "A2",
          "Status": "recap"}],
        {("two-arrays-too-fast", 1, "Array")},
    ),
}  # fmt: skip


def line(number: int, capture: Capture) -> str:
    mass = f"{7 + number / 100:.2f}" if capture["SVL"] == LIZARD["SVL"] else f"{70 + number / 10:.1f}"
    row = {
        "Array": "A1",
        "Time": "07:00",
        "Trap": "F1",
        "N": "1",
        "Fate": "released",
        "Mass": mass,
        "No": str(number),
    }
    row |= capture
    return ",".join(row.get(column, "") for column in COLUMNS)


def log() -> str:
    days = [f"{day:%Y-%m-%d}" for day in pd.date_range("2023-06-02", "2023-08-30")]
    lines = ["Array,Trap,What,Date,Time,State,Open"]
    for array in ("A1", "A2"):
        lines += [f"{array},,opened,2023-06-01,17:00,,12", *(f"{array},,checked,{day},07:00,,12" for day in days)]
        lines.append(f"{array},,checked and closed,2023-08-31,07:00,,12")
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def findings(tmp_path_factory: pytest.TempPathFactory) -> pd.DataFrame:
    captures = [capture for history, _ in HISTORIES.values() for capture in history]
    rows = "\n".join([HEADER, *(line(number, one) for number, one in enumerate(captures, start=1))]) + "\n"
    folder: Path = tmp_path_factory.mktemp("histories")
    files = {"sites.csv": SITES, "log.csv": log(), "captures.csv": rows}
    season = prepared(folder, files, SITES_TABLE + LOG_TABLE + TABLE)
    found = season.records.located(season.records.findings)
    return found[found["rule"].isin(list(SEASON_RULES)) & (found["file"] == "captures.csv")]


def first_row(name: str) -> int:
    """Sheet row of the first capture of a history."""
    before = list(HISTORIES)[: list(HISTORIES).index(name)]
    return 2 + sum(len(HISTORIES[one][0]) for one in before)


@pytest.mark.parametrize("name", HISTORIES)
def test_the_history_has_its_findings_and_no_others(findings: pd.DataFrame, name: str) -> None:
    history, expected = HISTORIES[name]
    start = first_row(name)
    own = findings[findings["row"].between(start, start + len(history) - 1)]
    told = {
        (rule, row - start, COLUMNS[ord(column) - ord("A")])
        for rule, row, column in own[["rule", "row", "column"]].itertuples(index=False)
    }
    assert told == expected


def test_each_finding_names_another_capture_of_its_history(findings: pd.DataFrame) -> None:
    for name, (history, expected) in HISTORIES.items():
        start = first_row(name)
        own = findings[findings["row"].between(start, start + len(history) - 1)]
        if expected:
            assert own["message"].str.contains(r"captures\.csv, row \d+").all(), name
