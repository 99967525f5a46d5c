"""A grid of days by traps beside a log of the array: closed cells take their traps out of the interval."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import SITES, SITES_TABLE, prepared

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
