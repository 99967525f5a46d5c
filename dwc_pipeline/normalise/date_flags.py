"""What to tell a person about a date that could be read: outside the season, in the future, doubtful."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise.date_context import DateContext, Window
from dwc_pipeline.normalise.date_forms import SYSTEM_SHIFT
from dwc_pipeline.normalise.date_rules import (
    AGAINST_TITLE,
    BEFORE_PROJECT,
    FOUR_YEARS_OFF,
    IN_THE_FUTURE,
    OUTSIDE_SEASON,
    SMALL_NUMBER,
)

#: days that the counts from 1900 and 1904 show for 0 to 31 and 0 to 1
SMALL_NUMBERS = (
    (dt.date(1899, 12, 30), dt.date(1900, 1, 31)),
    (dt.date(1904, 1, 1), dt.date(1904, 1, 2)),
)


def place_flags(
    first: dt.date, last: dt.date, is_coarse: bool, is_counted: bool, context: DateContext
) -> tuple[Flag, ...]:
    """At most one finding on where the date lies; the most telling one.

    first, last: days covered. is_coarse: month or year precision. is_counted: the file stored a day number.
    """
    window = context.window
    inside = window is None or (window.touches(first, last) if is_coarse else window.holds(first, last))
    shown = first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"
    offers = tuple(_offers(first, window)) if window is not None and first == last else ()
    if is_counted and not inside and window is not None and first == last:
        shifted = [day for day in (first + SYSTEM_SHIFT, first - SYSTEM_SHIFT) if window.holds(day, day)]
        if shifted:
            others = (shifted[0].isoformat(), *offers)
            note = f"{shown} lies outside {window.name}; counted from the other start it is {shifted[0].isoformat()}"
            return (Flag(FOUR_YEARS_OFF.id, note, tuple(dict.fromkeys(others))),)
    if not is_coarse and any(low <= first <= high for low, high in SMALL_NUMBERS):
        return (Flag(SMALL_NUMBER.id, f"{shown} is what a spreadsheet shows for a small number", offers),)
    if (first if is_coarse else last) > context.today:
        return (Flag(IN_THE_FUTURE.id, f"{shown} is later than {context.today.isoformat()}", offers),)
    if context.project_start is not None and last < context.project_start:
        note = f"{shown} is earlier than the start of the project, {context.project_start.isoformat()}"
        return (Flag(BEFORE_PROJECT.id, note, offers),)
    if not inside and window is not None:
        return (Flag(OUTSIDE_SEASON.id, f"{shown} lies outside {window.name}", offers),)
    return _against_title(first, last, shown, context)


def _against_title(first: dt.date, last: dt.date, shown: str, context: DateContext) -> tuple[Flag, ...]:
    """A date that fits the season is believed against the year of a title; a month header is always compared."""
    has_season = context.season_start is not None or context.season_end is not None
    if context.year is not None and not has_season and not first.year <= context.year <= last.year:
        offers = _replaced(first, year=context.year) if first == last else ()
        why = context.year_evidence or "the title"
        return (Flag(AGAINST_TITLE.id, f"{shown} is not in {context.year}, the year from {why}", offers),)
    if context.month is not None and (last - first).days < 28 and context.month not in (first.month, last.month):
        offers = _replaced(first, month=context.month) if first == last else ()
        why = context.month_evidence or "the header"
        return (Flag(AGAINST_TITLE.id, f"{shown} is not in month {context.month}, the month from {why}", offers),)
    return ()


def _replaced(day: dt.date, *, year: int = 0, month: int = 0) -> tuple[str, ...]:
    """The day with another year or month; nothing if that is no day of the calendar."""
    try:
        return (day.replace(year=year or day.year, month=month or day.month).isoformat(),)
    except ValueError:
        return ()


def _offers(day: dt.date, window: Window) -> Iterator[str]:
    """Days within the season that differ only in the year, or in the order of day and month."""
    tried = [(year, day.month, day.day) for year in range(window.first.year, window.last.year + 1)]
    tried.append((day.year, day.day, day.month))
    for year, month, number in tried:
        try:
            other = dt.date(year, month, number)
        except ValueError:
            continue
        if other != day and window.holds(other, other):
            yield other.isoformat()
