"""The worked session of the handbook of the trade, section 1.6: events, effort and animals of one array.

Numbers as printed there (computed by hand and by script for the handbook; the half interval of a trap found out of
order is Nelson & Clark 1973).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared
from worked_page import LOG

from dwc_pipeline.pipeline import Season

CAPTURES = """Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No
A1,2023-05-15,07:40,F3,Aspidoscelis sexlineatus,M,ad,71,148,9.1,LF2-RH4,new,,,1
A1,2023-05-15,07:40,P1,Gastrophryne olivacea,,ad,31,,2.2,,,,,2
A1,2023-05-16,07:25,F5,Thamnophis radix,F,ad,512,143,96-17.5,985141000123456,recap,,,3
A1,2023-05-16,07:25,F1,Sceloporus consobrinus,,juv,41,22,,,,,,4
A1,2023-05-16,07:25,P3,Spea bombifrons,,ad,,,,,,drowned,,5
"""


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    folder: Path = tmp_path_factory.mktemp("worked")
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    return prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)


def checks(season: Season) -> list[str]:
    event = season.records.tables["event"]
    return list(event.loc[event["eventType"] == "trapCheck", "eventID"])


@pytest.mark.parametrize(
    ("number", "trap_nights", "uncorrected", "trap_hours"),
    [(0, 10.0, 10.0, 135.1667), (1, 0.0, 0.0, 101.6667), (2, 9.5, 10.0, 129.0417)],
)
def test_each_interval_has_the_effort_printed(
    season: Season, number: int, trap_nights: float, uncorrected: float, trap_hours: float
) -> None:
    effort = season.records.tables["effort"]
    own = effort[effort["eventID"] == checks(season)[number]]
    assert own["trap_nights"].sum() == pytest.approx(trap_nights)
    assert own["trap_nights_uncorrected"].sum() == pytest.approx(uncorrected)
    assert own["trap_hours"].sum() == pytest.approx(trap_hours, abs=1e-4)


def test_the_session_has_two_array_nights(season: Season) -> None:
    assert season.records.tables["effort"]["array_nights"].sum() == 2


def test_the_afternoon_check_is_an_event_with_effort_and_without_animals(season: Season) -> None:
    afternoon = checks(season)[1]
    assert afternoon not in set(season.records.tables["occurrence"]["eventID"])
    humboldt = season.records.tables["humboldt"].set_index("eventID").loc[afternoon]
    assert humboldt["samplingEffortValue"] == "101.6667"
    assert humboldt["samplingEffortUnit"] == "trapHours"
    assert humboldt["isTaxonomicScopeFullyReported"] == "true"
    assert humboldt["hasNonTargetTaxa"] == "false"


def test_events_carry_intervals_with_their_offset(season: Season) -> None:
    event = season.records.tables["event"].set_index("eventID")
    first, session = event.loc[checks(season)[0]], event[event["eventType"] == "trapSession"].iloc[0]
    assert first["eventDate"] == "2023-05-14T18:30-05:00/2023-05-15T07:40-05:00"
    assert first["eventTime"] == "18:30-05:00/07:40-05:00"
    assert (first["year"], first["month"], first["day"]) == ("2023", "5", "")
    assert (first["startDayOfYear"], first["endDayOfYear"]) == ("134", "135")
    assert session["eventDate"] == "2023-05-14T18:30-05:00/2023-05-16T07:25-05:00"


def test_the_tree_hangs_together(season: Season) -> None:
    event = season.records.tables["event"]
    parents = event.set_index("eventID")["parentEventID"]
    assert parents["PT"] == ""
    assert parents["PT-2023"] == "PT"
    assert set(parents[checks(season)]) == {"PT-2023-A1-s20230514-1"}


def test_animals_stand_on_the_check_that_found_them(season: Season) -> None:
    occurrence = season.records.tables["occurrence"]
    count = occurrence.groupby("eventID").size().reindex(checks(season), fill_value=0)
    assert count.tolist() == [2, 0, 3]


def test_the_bag_is_taken_off_and_the_tag_is_read(season: Season) -> None:
    measurement = season.records.tables["measurement"]
    snake = season.records.tables["occurrence"].set_index("scientificName").loc["Thamnophis radix", "occurrenceID"]
    rows = measurement[measurement["occurrenceID"] == snake].set_index("measurementType")["measurementValue"]
    assert rows["body mass"] == "78.5"
    assert rows["mark code"] == "985141000123456"
    assert rows["capture status"] == "recapture"
