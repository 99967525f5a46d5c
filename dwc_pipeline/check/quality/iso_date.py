"""Dates and intervals of ISO 8601-1:2019 as the date tests read them.

Read: year, month, day, ordinal day, week, each with or without time of day and zone, and intervals of two of them,
the end of which may be shortened. Not read, though ISO knows them: centuries, durations, recurring intervals,
years before 1 or past 9999. An offset without colon beside extended time is taken as valid, as the official rows do.
The end of an interval is included, as in the rows: 2021-01-15/2021-02-02 ends with 2 February.

>>> read_iso("2007-03").last
datetime.date(2007, 3, 31)
>>> read_iso("1963-03-08T14:67") is None
True
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import IntEnum
from functools import lru_cache

DATE = re.compile(
    r"(?P<year>\d{4})(?:"
    r"-(?P<month>\d\d)(?:-(?P<day>\d\d))?"
    r"|(?P<bmonth>\d\d)(?P<bday>\d\d)"
    r"|-?(?P<ordinal>\d{3})"
    r"|-?W(?P<week>\d\d)(?:-?(?P<weekday>[1-7]))?"
    r")?",
    re.ASCII,
)
TIME = re.compile(
    r"(?P<hour>\d\d)(?::?(?P<minute>\d\d)(?::?(?P<second>\d\d)(?:[.,](?P<fraction>\d+))?)?)?"
    r"(?P<zone>Z|[+-]\d\d(?::?\d\d)?)?",
    re.ASCII,
)
LATEST_OFFSET_MINUTES = 24 * 60
#: dates that are kept, a block of a large archive and more: some fifteen tests and rules read each of them
MOST_REMEMBERED = 65_536


class Precision(IntEnum):
    """How fine a date is."""

    YEAR = 1
    MONTH = 2
    WEEK = 3
    DAY = 4
    TIME = 5


@dataclass(frozen=True)
class IsoDate:
    """A date or an interval: its first and last day, how long it lasts, and how fine it is (the coarser end).

    seconds: days of 86,400 s, leap days counted, leap seconds not. [s]
    """

    first: date
    last: date
    seconds: int
    precision: Precision

    @property
    def is_within_year(self) -> bool:
        return self.first.year == self.last.year

    @property
    def is_within_month(self) -> bool:
        return self.is_within_year and self.first.month == self.last.month

    @property
    def is_within_day(self) -> bool:
        return self.first == self.last


@dataclass(frozen=True)
class _Point:
    """One end: local start and end (excluded), offset from UTC in minutes if told, precision."""

    start: datetime
    span: timedelta
    offset: int | None
    precision: Precision

    def last_moment(self) -> datetime:
        return self.start + (self.span - timedelta(microseconds=1))


@dataclass(frozen=True)
class IsoEnd:
    """One end of an interval: it lies at or after `earliest` and before `latest`, both local times.

    offset: from UTC. [minutes]; None if the text does not say.
    """

    earliest: datetime
    latest: datetime
    offset: int | None
    precision: Precision


def read_ends(text: str) -> tuple[IsoEnd, IsoEnd] | None:
    """Start and end of a date or interval as written, the same end twice for a single date; None if unreadable.

    An interval that ends before it begins is given as it is. An end without zone takes that of the start (ISO 8601-1,
    from memory).
    """
    try:
        texts = _complete_ends(text)
        points = [_read_point(one) for one in texts]
    except (ValueError, OverflowError):
        return None
    if not points or points[0] is None or points[-1] is None:
        return None
    start, end = points[0], points[-1]
    zone = start.offset if end.offset is None else end.offset
    return _as_end(start, start.offset), _as_end(end, zone)


def _as_end(point: _Point, offset: int | None) -> IsoEnd:
    return IsoEnd(point.start, point.start + point.span, offset, point.precision)


@lru_cache(maxsize=MOST_REMEMBERED)
def read_iso(text: str) -> IsoDate | None:
    """The date or interval that the text is in ISO 8601-1, or None."""
    try:
        ends = _complete_ends(text)
        start, end = (_read_point(ends[0]), _read_point(ends[-1])) if ends else (None, None)
        return _between(start, end) if start and end else None
    except (ValueError, OverflowError):  # no such day of the calendar
        return None


def _complete_ends(text: str) -> list[str]:
    """The one or two ends; a shortened second end gets the leading parts of the first."""
    start, slash, end = text.partition("/")
    if not slash:
        return [start]
    if "/" in end:
        return []
    if _read_point_or_none(end) is None or len(end.partition("T")[0]) < len("0000"):
        end = _lengthen(start, end)
    return [start, end]


def _lengthen(start: str, end: str) -> str:
    day, _, _ = start.partition("T")
    end_day, at, end_time = end.partition("T")
    if re.fullmatch(r"\d\d(:\d\d)?(:\d\d)?(Z|[+-]\d\d:?\d\d)?", end) and "T" in start and ":" in end:
        return f"{day}T{end}"
    if re.fullmatch(r"\d\d(-\d\d)?", end_day) and len(end_day) < len(day) and "-" in day:
        return day[: len(day) - len(end_day)] + end_day + at + end_time
    return end


def _read_point_or_none(text: str) -> _Point | None:
    try:
        return _read_point(text)
    except (ValueError, OverflowError):
        return None


def _read_point(text: str) -> _Point | None:
    day_text, at, time_text = text.partition("T")
    found = DATE.fullmatch(day_text)
    if not found:
        return None
    start, span, precision = _day(found)
    if not at:
        return _Point(start, span, None, precision)
    time = TIME.fullmatch(time_text)
    if not time or precision is not Precision.DAY:
        return None
    clock, length = _time(time)
    return _Point(start + clock, length, _offset(time["zone"]), Precision.TIME)


def _day(found: re.Match[str]) -> tuple[datetime, timedelta, Precision]:
    year = int(found["year"])
    month, day = found["month"] or found["bmonth"], found["day"] or found["bday"]
    one_day = timedelta(days=1)
    if found["ordinal"]:
        start = datetime(year, 1, 1) + timedelta(days=int(found["ordinal"]) - 1)  # noqa: DTZ001  # local, zone apart
        if int(found["ordinal"]) < 1 or start.year != year:
            raise ValueError("no such day of the year")
        return start, one_day, Precision.DAY
    if found["week"]:
        first = date.fromisocalendar(year, int(found["week"]), int(found["weekday"] or 1))
        start = datetime(first.year, first.month, first.day)  # noqa: DTZ001  # local, zone apart
        return (start, one_day, Precision.DAY) if found["weekday"] else (start, 7 * one_day, Precision.WEEK)
    start = datetime(year, int(month or 1), int(day or 1))  # noqa: DTZ001  # local, zone apart
    if day:
        return start, one_day, Precision.DAY
    last_month = start.month if month else 12
    last = date(year, last_month, monthrange(year, last_month)[1])
    return start, last - start.date() + one_day, Precision.MONTH if month else Precision.YEAR


def _time(found: re.Match[str]) -> tuple[timedelta, timedelta]:
    hour, minute, second = (int(found[part] or 0) for part in ("hour", "minute", "second"))
    if hour > 23 or minute > 59 or second > 59:
        raise ValueError("no such time of day")
    fraction = float(f"0.{found['fraction']}") if found["fraction"] else 0.0
    length = (
        timedelta(seconds=1) if found["second"] else timedelta(minutes=1) if found["minute"] else timedelta(hours=1)
    )
    return timedelta(hours=hour, minutes=minute, seconds=second + fraction), length


def _offset(zone: str | None) -> int | None:
    if not zone:
        return None
    if zone == "Z":
        return 0
    digits = zone[1:].replace(":", "").ljust(4, "0")
    minutes = int(digits[:2]) * 60 + int(digits[2:])
    if minutes >= LATEST_OFFSET_MINUTES or int(digits[2:]) > 59:
        raise ValueError("no such offset")
    return -minutes if zone[0] == "-" else minutes


def _between(start: _Point, end: _Point) -> IsoDate | None:
    # An end without zone takes that of the start (ISO 8601-1, from memory).
    start_offset = start.offset or 0
    end_offset = start_offset if end.offset is None else end.offset
    lasting = end.start - start.start + end.span - timedelta(minutes=end_offset - start_offset)
    if lasting <= timedelta(0):
        return None
    return IsoDate(
        start.start.date(),
        end.last_moment().date(),
        round(lasting.total_seconds()),
        min(start.precision, end.precision),
    )
