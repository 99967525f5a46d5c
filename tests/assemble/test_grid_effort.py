"""A grid of days by traps beside a log of the array: closed cells take their traps out of the interval."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared

GRID = """
[[table]]
name = "grid"
holds = "trap_log"
files = ["grid.csv"]
layout = "grid"
grid_columns = "trap"
columns = { Date = "eventDate" }
constants = { place = "A1" }
habits = { dash = "closed", blank = "not checked", zero = "no animals" }
words = { action = { X = "closed" } }

[[table]]
name = "log"
holds = "trap_log"
files = ["log.csv"]
columns = { Array = "place", What = "action", Date = "eventDate", Time = "eventTime" }
"""
FILES = {
    "sites.csv": SITES,
    "grid.csv": 'Date,B1,F1,F2,P1\n2023-05-15,0,2 ASSE,-,0\n2023-05-16,0,0,X,"SPBO, GAOL x2"\n2023-05-17,0,0,0,0\n',
    "log.csv": "Array,What,Date,Time\nA1,opened,2023-05-14,18:30\nA1,checked,2023-05-15,07:40\n"
    "A1,checked,2023-05-16,07:25\nA1,checked and closed,2023-05-17,07:30\n",
}


def test_closed_cells_take_out_their_own_intervals_and_no_others(tmp_path: Path) -> None:
    tables = prepared(tmp_path, FILES, SITES_TABLE + GRID).records.tables
    nights = tables["effort"].groupby("eventID")["trap_nights"].sum()
    assert nights.tolist() == pytest.approx([11.0, 11.0, 12.0])
    assert tables["occurrence"]["individualCount"].tolist() == ["2", "1", "2"]


def test_two_lines_of_one_day_speak_of_their_own_visits(tmp_path: Path) -> None:
    """The box was closed from morning to evening only: 0 trap-nights of the day, and 11 of 12 traps in its hours."""
    grid = "Date,Time,B1,F1\n2023-05-15,07:40,0,0\n2023-05-15,17:40,X,0\n2023-05-16,07:40,0,0\n"
    log = "Array,What,Date,Time\nA1,opened,2023-05-14,18:40\nA1,closed,2023-05-16,07:40\n"
    tables = SITES_TABLE + GRID.replace('{ Date = "eventDate" }', '{ Date = "eventDate", Time = "eventTime" }')
    made = prepared(tmp_path, {"sites.csv": SITES, "grid.csv": grid, "log.csv": log}, tables).records.tables
    sums = made["effort"].groupby("eventID")[["trap_nights", "trap_hours"]].sum()
    assert sums["trap_nights"].tolist() == [12.0, 0.0, 12.0]
    assert sums["trap_hours"].tolist() == pytest.approx([12 * 13, 11 * 10, 12 * 14])


def test_a_trap_flooded_in_the_night_in_which_clocks_change_counts_its_own_hours(tmp_path: Path) -> None:
    """18:00 to 00:30 are 6.5 h before clocks go back at 02:00 of 5 November 2023 (IANA zone America/Chicago)."""
    rows = "Array,What,Date,Time,State\nA1,opened,2023-11-04,18:00,\n"
    rows += "A1,checked and closed,2023-11-05,07:00,P1 flooded 00:30\n"
    head = HEAD.replace("ends = 2023-09-30", "ends = 2023-11-30")
    log = LOG_TABLE.replace(', Trap = "trap"', "").replace(', Open = "traps_open"', "")
    made = prepared(tmp_path, {"sites.csv": SITES, "log.csv": rows}, SITES_TABLE + log, head)
    hours = made.records.tables["effort"].groupby("trap_type")["trap_hours"].sum()
    assert hours["pitfall trap"] == pytest.approx(2 * 14 + 6.5)
