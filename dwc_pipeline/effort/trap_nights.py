"""Trap-nights and trap-hours of intervals between two visits.

A trap-night has three computable readings: local midnights crossed, hours / 24, and the share of each night
between sunset and sunrise that the trap was open. The survey file names one; the trap-hour needs no convention.

An interval with a missing end, or that ends before it starts, has a missing effort (nan), never zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import TypeAlias
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from astral import Observer
from astral.sun import sunrise, sunset
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
#: Instants with a time zone, or numpy datetime64, which is UTC.
Instants: TypeAlias = pd.Series | pd.DatetimeIndex | NDArray[np.datetime64] | Sequence[datetime]

MICROSECONDS_PER_HOUR = 3.6e9
ONE_DAY = timedelta(days=1)
#: Offset of ordinal day numbers: date(1970, 1, 1).toordinal().
EPOCH_ORDINAL = 719_163


def midnights_crossed(start_utc: Instants, end_utc: Instants, zone: str) -> Floats:
    """Local midnights m with start < m <= end of each interval. [trap-nights]

    start_utc, end_utc: instants of equal length, with a time zone (any) or as numpy datetime64, which is UTC.
    zone: name of the local time zone, such as "America/Chicago".
    Source: common practice, the usual count by hand. 14 May 18:30 to 15 May 07:40 is 1 trap-night.
    """
    start, end = _instants(start_utc), _instants(end_utc)
    crossed = _local_days(end, zone) - _local_days(start, zone)
    return np.where(_is_interval(start, end), crossed, np.nan)


def hours_open(start_utc: Instants, end_utc: Instants) -> Floats:
    """Elapsed hours of each interval; exact over a change of the clock, and additive. [hours]

    start_utc, end_utc: as in `midnights_crossed`. Divided by 24 this is the reading `hours/24` of trap-nights.
    """
    start, end = _instants(start_utc), _instants(end_utc)
    return np.where(_is_interval(start, end), _microseconds_between(start, end) / MICROSECONDS_PER_HOUR, np.nan)


def night_share(start_utc: Instants, end_utc: Instants, latitude: float, longitude: float, zone: str) -> Floats:
    """Sum over nights of (time open between sunset and sunrise) / (length of that night). [trap-nights]

    start_utc, end_utc: as in `midnights_crossed`. latitude, longitude: of the array. [degrees north, degrees east]
    Missing where the sun does not set and rise on a day of the interval (high latitudes).
    Sun times by the astral library; within 2 minutes of the tables of the US Naval Observatory.
    """
    start, end = _instants(start_utc), _instants(end_utc)
    share = np.where(_is_interval(start, end), 0.0, np.nan)
    rows = np.flatnonzero(_is_interval(start, end))
    first = _local_days(start[rows], zone) - 1  # the night that began on the evening before
    count = (_local_days(end[rows], zone) - first + 1).astype(np.intp)
    row = np.repeat(rows, count)
    step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    days, place = np.unique(np.repeat(first, count) + step, return_inverse=True)
    nights = [night_bounds(latitude, longitude, zone, date.fromordinal(int(day) + EPOCH_ORDINAL)) for day in days]
    dusk, dawn = np.array(nights, dtype=np.float64).reshape(-1, 2)[place].T
    opened = np.maximum(dusk, _epoch_microseconds(start)[row])
    closed = np.minimum(dawn, _epoch_microseconds(end)[row])
    np.add.at(share, row, np.maximum(closed - opened, 0.0) / (dawn - dusk))
    return share


def half_interval_trap_nights(interval_nights: ArrayLike, traps: ArrayLike, sprung: ArrayLike) -> Floats:
    """Trap-nights of intervals in which some traps were found out of order at an unknown time. [trap-nights]

    interval_nights: length of each interval by the reading in use; with hours the result is trap-hours. [nights]
    traps: traps set through the interval, those found out of order included. sprung: traps found out of order;
    each counts half the interval. More sprung than set is impossible and gives a missing value.
    Source: Nelson & Clark 1973, J. Mammal. 54:295. 1 night, 10 traps, 1 flooded: 9.5 trap-nights.
    """
    nights, traps_set, out = (np.asarray(given, dtype=np.float64) for given in (interval_nights, traps, sprung))
    possible = (nights >= 0) & (out >= 0) & (out <= traps_set)
    return np.where(possible, nights * (traps_set - out / 2), np.nan)


def corrected_catch_per_100(
    captures: ArrayLike, intervals: ArrayLike, interval_nights: ArrayLike, traps: ArrayLike, sprung: ArrayLike
) -> Floats:
    """Captures per 100 trap-nights, corrected for sprung traps: 100 A / (P I N - I S / 2).

    captures A; intervals P, all of length interval_nights I [nights]; traps N; sprung S, the traps sprung by any
    cause over all intervals. In single-catch traps a capture springs the trap and is counted in S; pitfalls, funnels
    and boxes go on catching, there S counts only the traps found out of order. No effort gives a missing rate.
    Source: Nelson & Clark 1973, J. Mammal. 54:295, equation 2. A 23, P 10, I 1, N 48, S 61: 5.116796.
    """
    trap_intervals = np.asarray(intervals, dtype=np.float64) * np.asarray(traps, dtype=np.float64)
    effort = half_interval_trap_nights(interval_nights, trap_intervals, sprung)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = 100 * np.asarray(captures, dtype=np.float64) / effort
    return np.where(effort > 0, rate, np.nan)


def _instants(given: Instants) -> pd.DatetimeIndex:
    """The instants in UTC, to the microsecond; local times without a zone are refused."""
    moments = pd.DatetimeIndex(given if isinstance(given, pd.Series | pd.DatetimeIndex | np.ndarray) else list(given))
    if moments.tz is None:
        if not isinstance(given, np.ndarray):
            raise ValueError("times without a time zone: say the zone first, or give numpy datetime64 in UTC")
        moments = moments.tz_localize("UTC")
    return moments.tz_convert("UTC").as_unit("us")


def _is_interval(start: pd.DatetimeIndex, end: pd.DatetimeIndex) -> NDArray[np.bool_]:
    return np.asarray(end >= start)


def _epoch_microseconds(moments: pd.DatetimeIndex) -> Floats:
    return np.where(moments.isna(), np.nan, moments.asi8.astype(np.float64))


def _microseconds_between(start: pd.DatetimeIndex, end: pd.DatetimeIndex) -> Floats:
    return _epoch_microseconds(end) - _epoch_microseconds(start)


def _local_days(moments: pd.DatetimeIndex, zone: str) -> Floats:
    """Number of the local calendar day, 1970-01-01 being 0; nan where missing."""
    local = moments.tz_convert(ZoneInfo(zone)).tz_localize(None)
    return np.floor(_epoch_microseconds(local) / (24 * MICROSECONDS_PER_HOUR))


@lru_cache(maxsize=50_000)
def night_bounds(latitude: float, longitude: float, zone: str, evening: date) -> tuple[float, float]:
    """Sunset on a local day and the sunrise after it. [microseconds since 1970 in UTC]; nan without one."""
    observer, local = Observer(latitude, longitude, 0.0), ZoneInfo(zone)
    try:
        dusk = sunset(observer, evening, tzinfo=local)
        # At high latitudes the sun may set after midnight and rise on that same day.
        dawns = (sunrise(observer, day, tzinfo=local) for day in (evening, evening + ONE_DAY))
        dawn = next((rise for rise in dawns if rise > dusk), None)
    except ValueError:
        return np.nan, np.nan
    if dawn is None:
        return np.nan, np.nan
    return dusk.timestamp() * 1e6, dawn.timestamp() * 1e6
