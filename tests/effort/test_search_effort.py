"""Road distance, person-hours, covers: the worked cases of the trade."""

import numpy as np
import pandas as pd
import pytest

from dwc_pipeline.effort.road_distance import distance_surveyed, kilometres_from_miles
from dwc_pipeline.effort.search_hours import cover_turns, net_hours, person_hours


def times(*texts: str) -> pd.DatetimeIndex:
    return pd.DatetimeIndex(texts).tz_localize("America/Chicago")


def test_a_night_on_the_road():
    assert kilometres_from_miles(31.2) == pytest.approx(50.2115, abs=1e-4)
    hours = net_hours(times("2023-05-14 21:40"), times("2023-05-14 23:55"))
    assert hours == pytest.approx(2.25)
    assert person_hours(2, hours) == pytest.approx(4.5)
    assert 6 / hours == pytest.approx(2.6667, abs=1e-4)


def test_a_cover_search_with_time_out_for_handling():
    start, end = times("2023-05-14 09:10"), times("2023-05-14 10:40")
    assert person_hours(3, net_hours(start, end, 12)) == pytest.approx(3.9)
    assert person_hours(3, net_hours(start, end)) == pytest.approx(4.5)


def test_out_and_back_counts_twice():
    assert list(distance_surveyed([10, 10, 10], [1, 2, np.nan])[:2]) == [10, 20]
    assert np.isnan(distance_surveyed(10, np.nan))


def test_more_time_out_than_passed_is_impossible():
    assert np.isnan(net_hours(times("2023-05-14 09:10"), times("2023-05-14 09:20"), 12)).all()


def test_nobody_searching_is_no_effort_that_can_be_used():
    assert np.isnan(person_hours([0, np.nan], 2)).all()


def test_a_second_turn_of_the_same_cover_in_a_season_is_a_repeat():
    assert cover_turns(["C1", "C2", "C1", "C1"], [2023, 2023, 2023, 2024]) == (4, 3, 1)
