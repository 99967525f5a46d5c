"""Several rows of the site list for one place: what adds up, and what is told. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import LOG_TABLE, SITES_TABLE, prepared

from dwc_pipeline.assemble.trap_effort import TRAPS_UNKNOWN
from dwc_pipeline.pipeline import Season

HEADER = "Array,Kind,Lat,Lon,Traps,Acc,Habitat,Name,Pits,Elev\n"
MORE = '"Habitat" = "habitat", "Name" = "locality", "Pits" = "pitfall_traps", "Elev" = "elevation" }'
TABLE = SITES_TABLE.replace('Acc = "gps_accuracy" }', f'Acc = "gps_accuracy", {MORE}').replace(
    'gps_accuracy = "m" }', 'gps_accuracy = "m", elevation = "m" }'
)
LOG = (
    "Array,Trap,What,Date,Time,State,Open\n"
    "A1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,07:40,,\n"
    "A1,,checked and closed,2023-05-16,07:30,P2 flooded,\n"
)


def season(folder: Path, *rows: str) -> Season:
    sites = HEADER + "".join(f"A1,array,36.7512,-99.6348,{row}\n" for row in rows)
    return prepared(folder, {"sites.csv": sites, "log.csv": LOG}, TABLE + LOG_TABLE)


def nights(season: Season) -> list[float]:
    return list(season.records.tables["effort"].groupby("eventID")["trap_nights"].sum())


def told(season: Season) -> list[str]:
    return list(season.findings.loc[season.findings["rule"] == "place-listed-twice", "message"])


def test_one_row_a_trap_adds_up_to_the_traps_of_the_array(tmp_path: Path) -> None:
    made = season(tmp_path, "F1,4,prairie,,,", "F2,4,prairie,,,", "P1,4,,,,", "P2,4,prairie,,,", "F2,4,prairie,,,")
    assert nights(made) == [4.0, 3.5]
    assert told(made) == []
    assert not made.findings["rule"].isin([TRAPS_UNKNOWN.id, "trap-not-in-place-list"]).any()


def test_one_row_a_kind_of_trap_adds_up(tmp_path: Path) -> None:
    made = season(tmp_path, '"F1-F4",4,,,,', '"P1, P2",4,,,,')
    assert nights(made) == [6.0, 5.5]
    assert told(made) == []


def test_rows_that_repeat_each_other_stay_quiet(tmp_path: Path) -> None:
    row = '"F1-F4, P1-P2",4,Tallgrass prairie,North gate,,610'
    made = season(
        tmp_path, row, row.replace("Tallgrass", "tallgrass ").replace("610", "618"), '"F1,F2,F3,F4,P2,P1",4,,,,'
    )
    assert nights(made) == [6.0, 5.5]
    assert told(made) == []


@pytest.mark.parametrize(
    ("second", "words"),
    [
        ('"F1-F6, P1-P2",4,,,,', "traps F1, F2, F3, F4, F5, F6, P1, P2 here, F1, F2, F3, F4, P1, P2 in the row"),
        (",4,juniper wood,,,", "habitat 'juniper wood' here, 'prairie' in sites.csv row 2"),
        (",4,,South gate,,", "locality 'South gate' here, 'North gate' in sites.csv row 2"),
        (",4,,,3,", "pitfall traps '3' here, '2' in sites.csv row 2"),
        (",4,,,,710", "elevation 710 m here, 610 m in the row that is used"),
        ("1-4,4,,,,", "traps 1, 2, 3, 4 here"),
    ],
)
def test_rows_that_differ_are_told_and_the_first_is_used(tmp_path: Path, second: str, words: str) -> None:
    made = season(tmp_path, '"F1-F4, P1-P2",4,prairie,North gate,2,610', second)
    (message,) = told(made)
    assert message.startswith("A1: ")
    assert words in message
    assert nights(made) == [6.0, 5.5]
