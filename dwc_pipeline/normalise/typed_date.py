"""A cell in which the spreadsheet itself stores a date: one reading, unless the format hides part of it.

Source: handbook conventions of the trade; common practice, no source.
"""

from __future__ import annotations

import datetime as dt
import re

from dwc_pipeline.core.verdict import Flag, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_flags import place_flags
from dwc_pipeline.normalise.date_forms import Point
from dwc_pipeline.normalise.date_rules import CANNOT_BE_READ, MIDNIGHT, TWO_READINGS, TYPED_SWAPPED, YEAR_HIDDEN
from dwc_pipeline.normalise.date_spans import points_and_clock
from dwc_pipeline.normalise.date_text import plain

_STORED = re.compile(
    r"(?P<date>[0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ](?P<clock>[0-9]{2}:[0-9]{2}(?::[0-9]{2})?)(?:\.[0-9]+)?)?"
)
#: a typed date up to here is a small number that was formatted as a date: the counts begin in 1900 and 1904
_SMALL_NUMBERS = (dt.date(1900, 12, 31), (dt.date(1904, 1, 1), dt.date(1904, 12, 31)))


def judge_typed(verbatim: str, stored: str, context: DateContext) -> Verdict:
    """The reading of a typed cell. stored: ISO 8601 text of what the file holds."""
    found = _STORED.fullmatch(stored)
    if not found:
        return unreadable(CANNOT_BE_READ.id, f"the cell holds {stored}, a time of day, but no date")
    day = dt.date.fromisoformat(found["date"])
    clock = (found["clock"] or "").removesuffix(":00") if len(found["clock"] or "") == 8 else found["clock"] or ""
    if day <= _SMALL_NUMBERS[0] or _SMALL_NUMBERS[1][0] <= day <= _SMALL_NUMBERS[1][1]:
        return unreadable(
            CANNOT_BE_READ.id, f"a small number shown as the date {day.isoformat()}", (day.isoformat(),)
        )
    shown = _shown(plain(verbatim))
    agreeing = [point for point in shown if _agrees(point, day)]
    if shown and not agreeing:
        return ambiguous(
            TWO_READINGS.id, f"the cell shows {verbatim!r} but stores {day.isoformat()}", (day.isoformat(),)
        )
    if agreeing and all(point.year is None for point in agreeing):
        hidden = _hidden_year(day, shown, context)
        if hidden is not None:
            return hidden
    if agreeing and all(point.day is None for point in agreeing):
        return _coarse(verbatim, day, agreeing, context)
    return _swapped(day, context) or _whole(verbatim, day, clock, context)


def _shown(text: str) -> tuple[Point, ...]:
    """What the cell shows, read as a date with any time after it; the usual writings only."""
    return tuple(point for point in points_and_clock(text) if not (point.weak or point.system or point.fault))


def _agrees(point: Point, day: dt.date) -> bool:
    year = point.year is None or (day.year % 100 if point.short_year else day.year) == point.year
    return year and point.month in (None, day.month) and point.day in (None, day.day)


def _whole(verbatim: str, day: dt.date, clock: str, context: DateContext, note: str = "") -> Verdict:
    flags = place_flags(day, day, False, True, context)
    if clock == "00:00":
        if ":" in verbatim:
            flags += (Flag(MIDNIGHT.id, "00:00 is read as no time given"),)
        clock = ""
    value = day.isoformat() + (f"T{clock}" if clock else "")
    return kept_or_changed(verbatim, value, "typed-date", note or f"the file stores {value}", flags=flags)


def _coarse(verbatim: str, day: dt.date, agreeing: list[Point], context: DateContext) -> Verdict:
    """Month and year are shown: the first of the month behind them is the spreadsheet's own addition."""
    month_shown = any(point.month for point in agreeing)
    if day.day != 1 or (not month_shown and day.month != 1):
        return _swapped(day, context) or _whole(verbatim, day, "", context)
    last = dt.date(day.year + day.month // 12, day.month % 12 + 1, 1) - dt.timedelta(days=1)
    value = f"{day.year:04d}-{day.month:02d}" if month_shown else f"{day.year:04d}"
    if not month_shown:
        last = dt.date(day.year, 12, 31)
    note = f"the file stores {day.isoformat()}, but the cell shows no day"
    flags = place_flags(day, last, True, True, context)
    return kept_or_changed(verbatim, value, "typed-month", note, flags=flags)


def _hidden_year(day: dt.date, shown: tuple[Point, ...], context: DateContext) -> Verdict | None:
    """A question unless the stored year fits the season or the titles; None where it fits."""
    window = context.window
    is_season = context.season_start is not None or context.season_end is not None
    one_year = window is not None and (is_season or window.first.year == window.last.year)
    if window is not None and one_year and window.holds(day, day):
        return None
    if context.year == day.year and not is_season:
        return None
    years = list(range(window.first.year, window.last.year + 1)) if window is not None else []
    others = [other for year in (context.year, *years) if year is not None and (other := _in_year(day, year))]
    fitting = [one for one in others if one != day and (window is None or window.holds(one, one))]
    offered = tuple(dict.fromkeys(one.isoformat() for one in (*fitting, day)))
    pair = _as_days_of_month(day, context)
    note = f"the cell shows no year; the file stores {day.isoformat()}, the year in which it was typed"
    return ambiguous(YEAR_HIDDEN.id, note, (*pair, *offered) if not fitting else (*offered, *pair))


def _as_days_of_month(day: dt.date, context: DateContext) -> tuple[str, ...]:
    """ "12-13" under a month header, which a spreadsheet turned into 13 December."""
    if context.month is None or context.year is None or day.day <= day.month:
        return ()
    try:
        ends = [dt.date(context.year, context.month, number).isoformat() for number in (day.month, day.day)]
    except ValueError:
        return ()
    return ("/".join(ends),)


def _in_year(day: dt.date, year: int) -> dt.date | None:
    try:
        return day.replace(year=year)
    except ValueError:
        return None


def _swapped(day: dt.date, context: DateContext) -> Verdict | None:
    """A question if the spreadsheet may have taken the day for the month; None otherwise."""
    if not context.typed_suspect or day.day > 12 or day.day == day.month:
        return None
    other = dt.date(day.year, day.day, day.month)
    window = context.window
    if window is not None and window.holds(day, day) and not window.holds(other, other):
        return None
    note = f"the file stores {day.isoformat()}, but {context.typed_suspect}"
    return ambiguous(TYPED_SWAPPED.id, note, (other.isoformat(), day.isoformat()))
