"""Turns written readings into days of the calendar, with years and months from the context where they are missing."""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from dwc_pipeline.normalise.date_context import SEASON_MARGIN, Anchors, DateContext
from dwc_pipeline.normalise.date_forms import Point
from dwc_pipeline.normalise.date_spans import YEARS, Span

_MONTH_NAMES = tuple(calendar.month_name)
#: a two-digit year this far from the season could as well be of another century
FAR_IN_YEARS = 25
#: a stretch whose year was inferred over new year is no longer than this
LONGEST_OVER_NEW_YEAR = dt.timedelta(days=62)


class Reading(NamedTuple):
    """One value that the cell can stand for.

    value: ISO 8601 text; "XX" stands for a part that nothing tells. first, last: days covered, None if a part
    is unknown. from_context: words naming where a missing year or month was taken from. fault: why it is
    no date; then value is "". by_title: the year came from a title. by_header: the month came from a header.
    is_short: the year was written with two digits.
    """

    value: str
    first: dt.date | None = None
    last: dt.date | None = None
    order: str = ""
    weak: bool = False
    form: str = ""
    from_context: str = ""
    by_title: bool = False
    fault: str = ""
    system: str = ""
    point: Point = Point()
    by_header: bool = False
    is_short: bool = False


def readings_of(span: Span, context: DateContext) -> tuple[Reading, ...]:
    """Every reading of one span, faulty ones included."""
    return _readings(span, context.anchors)


@lru_cache(maxsize=65_536)  # a column is gone through twice: for its habits, and cell by cell
def _readings(span: Span, known: Anchors) -> tuple[Reading, ...]:
    return tuple(
        _reading(span, start, end, why, by_title)._replace(
            by_header=start.month is not None and span.start.month is None and start.day is not None,
            is_short=span.start.short_year,
        )
        for start, end, why, by_title in _complete(span, known)
    )


def _complete(span: Span, known: Anchors) -> Iterator[tuple[Point, Point | None, str, bool]]:
    """The span with its missing or short year and missing month filled in."""
    why = ""
    start, end = span.start, span.end
    if start.day is not None and start.month is None and known.month is not None:
        start = start._replace(month=known.month)
        if end is not None and end.month is None:
            end = end._replace(month=known.month)
        why = f"month from {known.month_evidence or 'the rows above'}"
    for year, year_why, by_title in _years(start, end, known):
        shift = 0
        if end is not None:
            shift = _end_year(start, end, year) - year if year is not None else 0
        begun = start._replace(year=year, short_year=False)
        ending = (
            end._replace(year=None if year is None else year + shift, short_year=False) if end is not None else None
        )
        yield begun, ending, "; ".join(filter(None, (why, year_why))), by_title


def _end_year(start: Point, end: Point, year: int) -> int:
    """The year of the end once the year of the start is known."""
    if end.year is not None and not end.short_year:
        return end.year
    if end.year is not None:
        ahead = (end.year - year) % 100
        return year + (ahead if ahead < 50 else ahead - 100)
    return year + 1 if start.month and end.month and start.month > end.month else year


def _years(start: Point, end: Point | None, known: Anchors) -> Iterator[tuple[int | None, str, bool]]:
    """Years that the start can have, each with the words that name the evidence."""
    if start.year is not None and not start.short_year:
        yield start.year, "", False
    elif start.year is not None:
        yield from ((year, why, False) for year, why in _whole_years(start.year, known))
    else:
        yield from _missing_years(start, end, known)


def _whole_years(short: int, known: Anchors) -> Iterator[tuple[int, str]]:
    """A two-digit year: the one nearest to the season or the titles, never a fixed turning point."""
    candidates = [century + short for century in (1900, 2000)]
    anchors = _anchor_years(known)
    if not anchors:
        yield from ((year, "") for year in candidates)
        return
    distance = {
        year: min(abs(year - anchor) for anchor in anchors[0]) for year in (*candidates, 2100 + short, 1800 + short)
    }
    nearest = [year for year in distance if distance[year] == min(distance.values())]
    if distance[nearest[0]] > FAR_IN_YEARS:
        yield from ((year, "") for year in candidates)
    else:
        yield from ((year, f"year {short:02d} read as {year}, nearest to {anchors[1]}") for year in nearest)


def _anchor_years(known: Anchors) -> tuple[tuple[int, ...], str] | None:
    window = known.window
    if window is not None:
        return tuple(range(window.first.year, window.last.year + 1)), window.name
    if known.year is not None:
        return (known.year,), known.year_evidence or "the year given above"
    return None


def _missing_years(start: Point, end: Point | None, known: Anchors) -> Iterator[tuple[int | None, str, bool]]:
    """Years from the titles, and years in which the day lies within the season."""
    found = False
    wraps = end is not None and bool(start.month and end.month and start.month > end.month)
    if known.year is not None:
        found = True
        why = f"year from {known.year_evidence or 'the titles'}"
        yield known.year, why, True
        if wraps:
            yield known.year - 1, why, True
    window = known.window
    if window is not None and start.month and start.day is not None:
        for year in range((window.first - SEASON_MARGIN).year, (window.last + SEASON_MARGIN).year + 1):
            day = _day(year, start.month, start.day)
            if year != known.year and day is not None and window.nearly_holds(day, day):
                found = True
                yield year, f"year from {window.name}", False
    if not found:
        yield None, "", False


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def calendar_fault(point: Point) -> str:
    """Why the point is no date, in words; "" if it is one."""
    year, month, day = point.year, point.month, point.day
    if point.fault:
        return point.fault
    if year is not None and not YEARS[0] <= year <= YEARS[1]:
        return f"the year {year} cannot be meant"
    if month is not None and not 1 <= month <= 12:
        return f"there is no month {month}"
    if day is None:
        return ""
    if day == 0:
        return "there is no day 0"
    if day > 31:
        return f"no month has {day} days"
    if month is None:
        return ""
    length = 29 if month == 2 and (year is None or calendar.isleap(year)) else _LENGTHS[month - 1]
    if day <= length:
        return ""
    return f"{_MONTH_NAMES[month]}{f' {year}' if month == 2 and year else ''} has {length} days"


_LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def _reading(span: Span, start: Point, end: Point | None, why: str, by_title: bool) -> Reading:
    order = start.order or (end.order if end is not None else "")
    blank = Reading(
        "",
        order=order,
        weak=span.weak,
        form=span.form,
        from_context=why,
        by_title=by_title,
        system=start.system,
        point=start,
    )
    fault = calendar_fault(start) or (calendar_fault(end) if end is not None else "")
    if fault:
        return blank._replace(fault=fault)
    start, end = _after_midnight(start), _after_midnight(end) if end is not None else None
    first, last = _bounds(start), _bounds(end if end is not None else start)
    if end is None:
        return blank._replace(value=_iso(start), first=first and first[0], last=last and last[1])
    if first is None or last is None:
        return _unknown_stretch(blank, start, end)
    if start.clock and end.clock and start[:3] == end[:3] and end.clock < start.clock:
        moved = last[1] + dt.timedelta(days=1)
        end = end._replace(year=moved.year, month=moved.month, day=moved.day)
        last = (moved, moved)
        blank = blank._replace(
            from_context="; ".join(filter(None, (why, "the end is earlier than the start, so it is the next day")))
        )
    if first[0] > last[1] or (
        span.start.year is None and last[1] - first[0] > LONGEST_OVER_NEW_YEAR and start.year != end.year
    ):
        return blank._replace(fault="the range runs backwards", first=first[0], last=last[1])
    value = _iso(start) if start == end or _iso(start) == _iso(end) else f"{_iso(start)}/{_iso(end)}"
    return blank._replace(value=value, first=first[0], last=last[1])


def _after_midnight(point: Point) -> Point:
    """24:00 is 00:00 of the following day."""
    day = _day(point.year or 0, point.month or 0, point.day or 0)
    if point.clock != "24:00" or day is None:
        return point
    day += dt.timedelta(days=1)
    return point._replace(year=day.year, month=day.month, day=day.day, clock="00:00", form="end-of-the-day")


def _unknown_stretch(blank: Reading, start: Point, end: Point) -> Reading:
    """A stretch of days whose year, or whose month and year, nothing tells."""
    months = (start.month or 0, end.month or 0)
    if months[0] == months[1] and (start.day or 0) > (end.day or 0):
        return blank._replace(fault="the range runs backwards")
    return blank._replace(value=f"{_iso(start)}/{_iso(end)}")


def _bounds(point: Point) -> tuple[dt.date, dt.date] | None:
    """First and last day of a date of any precision; None if a part that counts is unknown."""
    if point.year is None or (point.day is not None and point.month is None):
        return None
    if point.month is None:
        return dt.date(point.year, 1, 1), dt.date(point.year, 12, 31)
    if point.day is None:
        return dt.date(point.year, point.month, 1), dt.date(
            point.year, point.month, calendar.monthrange(point.year, point.month)[1]
        )
    day = dt.date(point.year, point.month, point.day)
    return day, day


def _iso(point: Point) -> str:
    """ISO 8601 text; unknown year and month as X, as in the extended format of ISO 8601-2 (from memory)."""
    year = "XXXX" if point.year is None else f"{point.year:04d}"
    if point.day is None and point.month is None:
        return year
    month = "XX" if point.month is None else f"{point.month:02d}"
    if point.day is None:
        return f"{year}-{month}"
    return f"{year}-{month}-{point.day:02d}" + (f"T{point.clock}" if point.clock else "")
