"""One run or search typed on several rows of its sheet: effort counts once, or is asked.

Person-hours are people times hours, and a rate counts each of them once: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import Season

SEARCH = """
[[table]]
name = "searches"
holds = "search"
files = ["search.csv"]
columns = { Site = "place", No = "run", Date = "eventDate", Start = "start_time", End = "end_time", N = "observer_count", By = "recordedBy", Boards = "covers_turned", Temp = "air_temperature", Notes = "eventRemarks" }
units = { air_temperature = "°C" }
"""  # noqa: E501
ROAD = """
[[table]]
name = "roads"
holds = "road_run"
files = ["road.csv"]
columns = { Road = "place", Date = "eventDate", Start = "start_time", End = "end_time", Km = "distance", N = "observer_count" }
units = { distance = "km" }
"""  # noqa: E501
HEADER = "Site,No,Date,Start,End,N,By,Boards,Temp,Notes\n"
PEOPLE = '\n[[people]]\nname = "Ada Example"\ninitials = ["AE"]\n[[people]]\nname = "Bo Sample"\ninitials = ["BS"]\n'
AT_NINE = "A1,,2023-05-15,09:00,"


def searched(folder: Path, *rows: str) -> Season:
    files = {"sites.csv": SITES, "search.csv": HEADER + "".join(f"{AT_NINE}{row}\n" for row in rows)}
    return prepared(folder, files, PEOPLE + SITES_TABLE + SEARCH)


def person_hours(season: Season) -> list[float]:
    return list(season.records.tables["effort"]["person_hours"])


def messages(season: Season) -> list[str]:
    return list(season.findings.loc[season.findings["rule"] == "run-typed-on-several-rows", "message"])


def test_a_search_with_one_row_a_board_is_one_event_with_its_effort_once(tmp_path: Path) -> None:
    made = searched(tmp_path, "09:40,2,AE,,,", "09:40,2,AE,,,toad", "09:40,2,AE,,21,2 eggs", "09:40,2,AE,,,")
    assert person_hours(made) == pytest.approx([2 * 40 / 60])
    assert messages(made) == []
    tables, links = made.records.tables, made.records.links["event"]
    (event,) = tables["event"][tables["event"]["eventType"] == "coverSearch"].to_dict("records")
    assert event["eventRemarks"] == "toad; 2 eggs"
    assert sorted(links.loc[links["id"] == event["eventID"], "tidy_row"]) == [0, 1, 2, 3]
    assert tables["effort"]["source_cells"].item().count("search.csv row") == 4
    weather = tables["measurement"].set_index("measurementType")["measurementValue"]
    assert weather.to_dict() == {"air temperature": "21"}
    rows = made.records.rows
    assert (rows.loc[rows["table"] == "search", "outcome"] == "used for effort, places or headers").sum() == 4


def test_animals_of_rows_that_are_one_search_hang_on_it(tmp_path: Path) -> None:
    captures = "Array,Date,Time,Species\nA1,2023-05-15,,GAOL\nA1,2023-05-15,09:00,ASSE\n"
    table = CAPTURES_TABLE.replace("trapCheck", "coverSearch")
    files = {"sites.csv": SITES, "search.csv": HEADER + 2 * f"{AT_NINE}09:40,1,AE,,,\n", "captures.csv": captures}
    made = prepared(tmp_path, files, PEOPLE + SITES_TABLE + SEARCH + table)
    assert made.records.tables["occurrence"]["eventID"].tolist() == ["PT-2023-A1-f20230515-1"] * 2
    assert "find-without-a-run" not in set(made.findings["rule"])


@pytest.mark.parametrize(
    ("first", "second", "what"),
    [
        ("09:40,1,AE,,,", "09:50,1,AE,,,", "they differ in end"),
        ("09:40,1,AE,,,", "09:40,2,AE,,,", "they differ in number of people"),
        ("09:40,1,AE,3,,", "09:40,1,AE,4,,", "they differ in cover objects"),
        ("09:40,1,,,,", "09:50,2,,,,", "they differ in end, number of people"),
        ("09:40,,AE,,,", "09:40,,AE & BS,,,", "they differ in people"),
    ],
)
def test_rows_with_one_start_that_differ_are_asked_and_both_named(
    tmp_path: Path, first: str, second: str, what: str
) -> None:
    made = searched(tmp_path, first, second)
    (message,) = messages(made)
    assert "search.csv row 2" in message
    assert what in message
    (found,) = made.findings[made.findings["rule"] == "run-typed-on-several-rows"].to_dict("records")
    assert found["row"] == 3
    assert "run-typed-on-several-rows" in set(made.questions["rule"])
    assert len(person_hours(made)) == 2


def test_two_people_who_search_apart_at_one_time_are_two_searches(tmp_path: Path) -> None:
    made = searched(tmp_path, "09:40,,AE,,,", "09:40,,BS,,,")
    assert messages(made) == []
    assert person_hours(made) == pytest.approx([40 / 60, 40 / 60])


def test_a_number_of_its_own_makes_a_run_unless_one_person_were_on_both(tmp_path: Path) -> None:
    rows = "A1,s1,2023-05-15,09:00,09:40,1,{0},,,\nA1,s2,2023-05-15,09:00,09:40,1,{0},,,\n"
    for name, count in (("", 0), ("AE", 1)):
        files = {"sites.csv": SITES, "search.csv": HEADER + rows.format(name)}
        made = prepared(tmp_path / f"x{name}", files, PEOPLE + SITES_TABLE + SEARCH)
        assert len(person_hours(made)) == 2
        assert len(messages(made)) == count


@pytest.mark.parametrize(
    ("row", "covers", "what"),
    [
        ("09:40,1,AE,1,,", "", "how many were turned is left open"),
        ("09:40,1,AE,12,,", "12 cover objects", "12 cover objects, taken once"),
        ("09:40,1,,,,", "", "nobody is named"),
    ],
)
def test_what_is_not_sure_of_rows_taken_as_one_is_asked(tmp_path: Path, row: str, covers: str, what: str) -> None:
    made = searched(tmp_path, row, row)
    (message,) = messages(made)
    assert what in message
    event = made.records.tables["event"].set_index("eventType").loc["coverSearch"]
    assert (covers or "cover objects") in event["samplingEffort"] or not covers
    assert ("cover objects" in event["samplingEffort"]) == bool(covers)
    assert person_hours(made) == pytest.approx([40 / 60])


def test_weather_that_differs_is_told_and_the_first_is_kept(tmp_path: Path) -> None:
    made = searched(tmp_path, "09:40,1,AE,,20,", "09:40,1,AE,,23,")
    assert "air temperature differs (20 is taken)" in messages(made)[0]
    assert made.records.tables["measurement"]["measurementValue"].tolist() == ["20"]


def test_a_road_run_counts_its_kilometres_once_and_searches_at_other_times_stay_apart(tmp_path: Path) -> None:
    rows = ["19:00,20:00,18.5,2", "19:00,20:00,18.5,2", "21:00,22:00,18.5,2", "21:00,22:00,17.5,2"]
    text = "Road,Date,Start,End,Km,N\n" + "".join(f"A1,2023-05-15,{row}\n" for row in rows)
    made = prepared(tmp_path, {"sites.csv": SITES, "road.csv": text}, SITES_TABLE + ROAD)
    assert made.records.tables["effort"]["distance_km"].tolist() == [18.5, 18.5, 17.5]
    assert ["nobody is named" in text for text in messages(made)] == [True, False]
    assert "they differ in distance" in messages(made)[1]
