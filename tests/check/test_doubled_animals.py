"""Animals typed twice: under another running number, and by two people on a road. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import Season

HABIT = 'habits = { date_names = "morning" }\n'
NUMBERED = "row-typed-twice-under-another-number"
LIZARD = "{no},A1,2023-06-05,07:30,F1,SCCO,F,AD,{svl},{tail},{mass},{mark},{notes}\n"
USUAL = {"no": "5", "svl": "66", "tail": "80", "mass": "8.7", "mark": "", "notes": ""}
ROADS_TABLE = """
[[table]]
name = "roads"
holds = "capture"
files = ["km.csv", "rt.csv"]
datum = "WGS84"
columns = { Place = "place", Date = "eventDate", Time = "eventTime", Species = "verbatimIdentification", Sex = "sex", Lat = "verbatimLatitude", Lon = "verbatimLongitude", By = "recordedBy" }
constants = { eventType = "incidental" }
habits = { date_names = "morning" }
"""  # noqa: E501
SNAKE = "A1,2023-07-10,21:30,THRA,,36.7530,-99.6300,KM\n"


def told(season: Season, rule: str) -> list[int]:
    """Sheet rows of the findings of a rule."""
    return season.findings.loc[season.findings["rule"] == rule, "row"].tolist()


def captures(folder: Path, *rows: dict[str, str]) -> Season:
    text = "No,Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Notes\n"
    text += "".join(LIZARD.format(**{**USUAL, **row}) for row in rows)
    return prepared(folder, {"sites.csv": SITES, "captures.csv": text}, SITES_TABLE + CAPTURES_TABLE + HABIT)


def roads(folder: Path, km: str, rt: str) -> Season:
    header = "Place,Date,Time,Species,Sex,Lat,Lon,By\n"
    files = {"sites.csv": SITES, "km.csv": header + km, "rt.csv": header + rt}
    return prepared(folder, files, SITES_TABLE + ROADS_TABLE)


def test_a_row_copied_down_with_the_next_number_is_asked(tmp_path: Path) -> None:
    season = captures(tmp_path, {}, {"no": "6"}, {"no": "7", "mass": "8.8"})
    assert told(season, NUMBERED) == [3]
    assert not told(season, "row-typed-twice")


def test_a_row_that_repeats_its_number_too_is_told_once(tmp_path: Path) -> None:
    season = captures(tmp_path, {}, {})
    assert told(season, "row-typed-twice") == [3]
    assert not told(season, NUMBERED)


def test_unmarked_animals_without_measures_and_marked_ones_stay_quiet(tmp_path: Path) -> None:
    bare = {"svl": "", "tail": "", "mass": ""}
    season = captures(
        tmp_path, bare, {"no": "6", **bare}, {"no": "7", **bare, "mass": "3"}, {"no": "8", **bare, "mass": "3"},
        {"no": "9", "mark": "1-4"}, {"no": "10", "mark": "1-4"},
    )  # fmt: skip
    assert not told(season, NUMBERED)


@pytest.mark.parametrize(
    "other",
    [
        SNAKE,
        SNAKE.replace("THRA", "Plains Gartersnake").replace("KM", "RT"),  # other words for the species
        SNAKE.replace("36.7530", "36.75305"),  # a further digit of one spot
        SNAKE.replace("36.7530,-99.6300", ","),  # no position: the same place
    ],
)
def test_an_animal_of_one_minute_and_spot_on_two_sheets_is_asked(tmp_path: Path, other: str) -> None:
    season = roads(tmp_path, SNAKE, other)
    assert told(season, "animal-typed-twice") == [2]
    assert season.findings.query("rule == 'animal-typed-twice'")["severity"].tolist() == ["warning"]


@pytest.mark.parametrize(
    "other",
    [
        SNAKE.replace("21:30", "21:31"),
        SNAKE.replace("21:30", ""),
        SNAKE.replace("36.7530", "36.7560"),
        SNAKE.replace("THRA", "SCCO"),
        SNAKE.replace("2023-07-10", "2023-07-11"),
        SNAKE.replace(",THRA,,", ",THRA,F,"),
    ],
)
def test_animals_of_another_minute_spot_species_day_or_sex_are_two(tmp_path: Path, other: str) -> None:
    season = roads(tmp_path, SNAKE.replace(",THRA,,", ",THRA,M,"), other)
    assert not told(season, "animal-typed-twice")


def test_two_people_on_one_sheet_are_asked_and_one_person_is_not(tmp_path: Path) -> None:
    assert told(roads(tmp_path / "two", SNAKE + SNAKE.replace("KM", "RT"), ""), "animal-typed-twice") == [3]
    assert not told(roads(tmp_path / "one", SNAKE + SNAKE.replace("-99.6300", "-99.63001"), ""), "animal-typed-twice")
