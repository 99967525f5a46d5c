"""Trap-nights in three readings, trap-hours, and traps that could not catch."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.effort.trap_nights import (
    corrected_catch_per_100,
    half_interval_trap_nights,
    hours_open,
    midnights_crossed,
    night_share,
)

CHICAGO = "America/Chicago"
SITE = (36.7512, -99.6348)

# Worked intervals of the trade: start, end, midnights, hours, night share.
INTERVALS = [
    ("2023-05-14 18:30", "2023-05-15 07:40", 1, 13.1667, 1.0000),
    ("2023-05-15 07:40", "2023-05-15 17:50", 0, 10.1667, 0.0000),
    ("2023-05-15 17:50", "2023-05-16 07:25", 1, 13.5833, 1.0000),
    ("2023-05-14 18:30", "2023-05-16 07:25", 2, 36.9167, 2.0000),
    ("2023-05-14 23:00", "2023-05-15 07:40", 1, 8.6667, 0.7599),
    ("2023-05-14 18:30", "2023-05-15 02:00", 1, 7.5000, 0.5433),
    ("2023-05-14 18:30", "2023-05-14 22:00", 0, 3.5000, 0.1391),
    ("2023-05-16 07:25", "2023-05-18 07:30", 2, 48.0833, 2.0000),
    ("2023-05-31 19:00", "2023-06-01 07:00", 1, 12.0000, 1.0000),
    ("2023-11-04 18:00", "2023-11-05 07:00", 1, 14.0000, 0.9924),
    ("2023-03-11 18:00", "2023-03-12 07:00", 1, 12.0000, 0.9263),
]

instants = st.datetimes(datetime(2020, 1, 1), datetime(2026, 1, 1), timezones=st.just(UTC))
lengths = st.timedeltas(timedelta(0), timedelta(days=9))


def local(text: str, zone: str = CHICAGO) -> pd.DatetimeIndex:
    return pd.DatetimeIndex([text]).tz_localize(zone)


@pytest.mark.parametrize(("start", "end", "midnights", "hours", "share"), INTERVALS)
def test_the_worked_intervals_come_out_in_every_reading(start, end, midnights, hours, share):
    assert midnights_crossed(local(start), local(end), CHICAGO) == midnights
    assert hours_open(local(start), local(end)) == pytest.approx(hours, abs=1e-4)
    assert night_share(local(start), local(end), *SITE, CHICAGO) == pytest.approx(share, abs=0.002)


def test_many_intervals_at_once_give_the_same_as_one_by_one():
    starts = pd.Series(pd.to_datetime([row[0] for row in INTERVALS])).dt.tz_localize(CHICAGO)
    ends = pd.Series(pd.to_datetime([row[1] for row in INTERVALS])).dt.tz_localize(CHICAGO)
    assert list(midnights_crossed(starts, ends, CHICAGO)) == [row[2] for row in INTERVALS]
    assert night_share(starts, ends, *SITE, CHICAGO) == pytest.approx([row[4] for row in INTERVALS], abs=0.002)


def test_a_midnight_at_the_start_is_not_crossed_and_one_at_the_end_is():
    midnight, noon = "2023-05-15 00:00", "2023-05-15 12:00"
    assert midnights_crossed(local(midnight), local(noon), CHICAGO) == 0
    assert midnights_crossed(local("2023-05-14 12:00"), local(midnight), CHICAGO) == 1


def test_the_zone_decides_which_midnights_count():
    start = np.array(["2023-05-15T04:00"], dtype="datetime64[us]")
    end = np.array(["2023-05-15T05:30"], dtype="datetime64[us]")
    assert midnights_crossed(start, end, CHICAGO) == 1  # 23:00 to 00:30 there
    assert midnights_crossed(start, end, "America/Denver") == 0  # 22:00 to 23:30 there


def test_an_unknown_or_backward_interval_has_missing_effort():
    start = pd.DatetimeIndex(["2023-05-15 07:00", None, "2023-05-15 07:00"], tz=CHICAGO)
    end = pd.DatetimeIndex(["2023-05-14 07:00", "2023-05-14 07:00", None], tz=CHICAGO)
    for effort in (
        midnights_crossed(start, end, CHICAGO),
        hours_open(start, end),
        night_share(start, end, *SITE, CHICAGO),
    ):
        assert np.isnan(effort).all()


def test_no_interval_at_all_gives_an_empty_answer():
    none = pd.DatetimeIndex([], tz="UTC")
    assert night_share(none, none, *SITE, CHICAGO).shape == (0,)
    assert midnights_crossed(none, none, CHICAGO).shape == (0,)


def test_times_without_a_zone_are_refused():
    with pytest.raises(ValueError, match="zone"):
        hours_open(pd.Series(pd.to_datetime(["2023-05-14"])), pd.Series(pd.to_datetime(["2023-05-15"])))


def test_where_the_sun_does_not_set_the_share_is_missing():
    assert np.isnan(
        night_share(
            local("2023-06-20 18:00", "Europe/Oslo"),
            local("2023-06-21 08:00", "Europe/Oslo"),
            69.6,
            18.9,
            "Europe/Oslo",
        )
    ).all()


def test_a_sunset_after_midnight_belongs_to_a_short_night():
    zone = "America/Anchorage"  # Fairbanks: the sun sets about 00:45 and rises about 03:00 in June
    share = night_share(local("2023-06-20 12:00", zone), local("2023-06-21 12:00", zone), 64.84, -147.72, zone)
    assert share == pytest.approx(1.0)


@given(start=instants, first=lengths, second=lengths)
@settings(max_examples=60, deadline=None)
def test_hours_midnights_and_night_share_add_up_over_a_split_at_any_time(start, first, second):
    a, b, c = [start], [start + first], [start + first + second]
    assert hours_open(a, b) + hours_open(b, c) == pytest.approx(hours_open(a, c), abs=1e-9)
    assert midnights_crossed(a, b, CHICAGO) + midnights_crossed(b, c, CHICAGO) == midnights_crossed(a, c, CHICAGO)
    parts = night_share(a, b, *SITE, CHICAGO) + night_share(b, c, *SITE, CHICAGO)
    assert parts == pytest.approx(night_share(a, c, *SITE, CHICAGO), abs=1e-9)


@given(start=instants, length=lengths)
@settings(max_examples=60, deadline=None)
def test_midnights_differ_from_elapsed_days_by_less_than_one_and_a_clock_change(start, length):
    a, b = [start], [start + length]
    assert abs(midnights_crossed(a, b, CHICAGO) - hours_open(a, b) / 24) < 1 + 1 / 24 + 1e-9
    assert 0 <= night_share(a, b, *SITE, CHICAGO)[0] <= midnights_crossed(a, b, CHICAGO)[0] + 1


def test_a_trap_found_out_of_order_counts_half_the_interval():
    assert half_interval_trap_nights(1, 10, 1) == 9.5
    assert half_interval_trap_nights(13 + 35 / 60, 10, 1) == pytest.approx(129.0417, abs=1e-4)
    assert list(half_interval_trap_nights([1, 0, 2], 12, [0, 3, 12])) == [12, 0, 12]


def test_more_traps_out_of_order_than_set_is_impossible():
    assert np.isnan(half_interval_trap_nights(1, 2, 3))
    assert np.isnan(corrected_catch_per_100(1, 1, 1, 2, 3))


@pytest.mark.parametrize(
    ("captures", "intervals", "nights", "traps", "sprung", "expected"),
    [(23, 10, 1, 48, 61, 5.116796), (5, 4, 1, 12, 3, 10.752688), (7, 4, 2, 12, 3, 7.526882), (0, 4, 1, 12, 3, 0)],
)
def test_the_sprung_trap_correction_gives_the_worked_rates(captures, intervals, nights, traps, sprung, expected):
    assert corrected_catch_per_100(captures, intervals, nights, traps, sprung) == pytest.approx(expected, abs=1e-6)


def test_no_effort_gives_no_corrected_rate():
    assert np.isnan(corrected_catch_per_100(2, 0, 1, 12, 0))


def test_a_session_is_the_sum_of_its_intervals():
    """One array, 12 traps: a funnel closed throughout, the box closed at 22:00, a pit flooded at the last check."""
    starts = pd.DatetimeIndex(["2023-05-14 18:30", "2023-05-15 07:40", "2023-05-15 17:50"]).tz_localize(CHICAGO)
    ends = pd.DatetimeIndex(["2023-05-15 07:40", "2023-05-15 17:50", "2023-05-16 07:25"]).tz_localize(CHICAGO)
    nights, hours = midnights_crossed(starts, ends, CHICAGO), hours_open(starts, ends)
    box = hours_open(local("2023-05-14 18:30"), local("2023-05-14 22:00"))
    flooded = np.array([0, 0, 1])
    trap_nights = half_interval_trap_nights(nights, 10, flooded)
    trap_hours = half_interval_trap_nights(hours, 10, flooded) + np.array([box[0], 0, 0])
    assert list(trap_nights) == [10, 0, 9.5]
    assert trap_hours == pytest.approx([135.1667, 101.6667, 129.0417], abs=1e-4)
    assert trap_nights.sum() == 19.5
    assert trap_hours.sum() == pytest.approx(365.875)
