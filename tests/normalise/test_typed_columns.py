"""Whole columns as people type them, against what may be made of their cells: tables in typed_cells/.

The habits of a column are found in its own cells, as for a sheet, before each cell is judged.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import groupby

import pandas as pd
import pytest
from date_contexts import NEW_YEAR, SEASON
from test_typed_cells import ASKED, CELLS, DATES, POSITIONS, TABLES, TIMES, outcome_is_allowed

from dwc_pipeline.core.verdict import Verdict
from dwc_pipeline.normalise.date_habits import date_habits
from dwc_pipeline.normalise.event_date import judge_date
from dwc_pipeline.normalise.event_time import judge_time, time_habits
from dwc_pipeline.normalise.position_text import PositionCells, judge_positions

SEASONS = {**DATES, "NW": NEW_YEAR, "S04": replace(SEASON, date_system="1904")}


def judge_dates(context: str, typed: list[str]) -> list[Verdict]:
    """Verdicts on a column of dates."""
    habits = date_habits(typed, [""] * len(typed), SEASONS[context])
    return [judge_date(text, "", habits) for text in typed]


def judge_times(context: str, typed: list[str]) -> list[Verdict]:
    """Verdicts on a column of times."""
    habits = time_habits(typed, TIMES[context])
    return [judge_time(text, "", habits) for text in typed]


def judge_rows(context: str, typed: list[str]) -> list[Verdict]:
    """Verdicts on rows of position cells written as "lat=36.7512|lon=-99.6348"."""
    rows = []
    for text in typed:
        parts = (part.split("=", 1) for part in re.split(r"\| *(?=(?:c|lat|lon|e|n|z|d)=)", text))
        rows.append(PositionCells(**{CELLS[name]: cell for name, cell in parts}))
    return judge_positions(pd.DataFrame(rows, columns=list(PositionCells._fields)), POSITIONS[context])


JUDGES: Mapping[str, Callable[[str, list[str]], list[Verdict]]] = {
    "dates": judge_dates,
    "times": judge_times,
    "positions": judge_rows,
}


def judged(kind: str) -> list[tuple[str, str, list[str], Verdict]]:
    """Column, cell, what may be made of it and the verdict, column by column."""
    lines = (TABLES / f"{kind[:-1]}_columns.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("# ")))
    found = []
    for name, group in groupby(rows, key=lambda row: row["column"]):
        column = list(group)
        verdicts = JUDGES[kind](column[0]["context"], [row["typed"] for row in column])
        found += [
            (name, row["typed"], row["allowed"].split(" || "), verdict)
            for row, verdict in zip(column, verdicts, strict=True)
        ]
    return found


@pytest.mark.parametrize("kind", JUDGES)
def test_a_cell_of_a_typed_column_is_read_as_a_person_would_or_asked(kind: str) -> None:
    rows = judged(kind)
    wrong = [
        f"{name} {typed!r}: {verdict.status} {verdict.value!r}, allowed {allowed}"
        for name, typed, allowed, verdict in rows
        if verdict.status not in ASKED and not outcome_is_allowed(kind, verdict, allowed)
    ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("kind", JUDGES)
def test_of_the_cells_of_a_column_with_one_reading_two_in_a_hundred_at_most_are_asked(kind: str) -> None:
    readable = [row for row in judged(kind) if "?" not in row[2]]
    asked = [(name, typed) for name, typed, _, verdict in readable if verdict.status in ASKED]
    assert len(asked) <= len(readable) // 50, asked
