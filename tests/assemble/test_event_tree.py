"""The tree of events: a whole contains its parts in time (Humboldt Extension, hierarchical events 3.2.1)."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

LOG = (
    "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\nA1,,checked and closed,2023-05-15,07:40,,\n"
)
HEADER = "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"


@pytest.mark.parametrize(
    ("date", "parent", "told"),
    [
        pytest.param("2023-05-20", "PT-2023", "", id="in the season"),
        pytest.param("2022-05-15", "PT", "date-outside-season", id="in the project"),
        pytest.param("2019-05-15", "", "date-before-project", id="before the project"),
    ],
)
def test_an_event_hangs_under_nothing_that_does_not_contain_it(
    tmp_path: Path, date: str, parent: str, told: str
) -> None:
    captures = f"{HEADER}A1,{date},,F3,ASSE,M,ad,71,148,9.1,,,,,1\n"
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": captures}
    season = prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)
    event = season.records.tables["event"].set_index("eventID")
    (animal,) = season.records.tables["occurrence"]["eventID"]
    assert event.loc[animal, "parentEventID"] == parent
    rules = set(season.findings["rule"])
    assert {told} - {""} == {rule for rule in rules if rule in ("date-outside-season", "date-before-project")}
