"""Proposals for dwc:eventDate, its parts, and dwc:dateIdentified."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from dwc_pipeline.check.quality.date_text import month_of, no_such_day, readings
from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.event_validations import EVENT_PARTS, ISO_YEAR, event_parts
from dwc_pipeline.check.quality.iso_date import read_iso
from dwc_pipeline.check.quality.reading import as_integer
from dwc_pipeline.check.quality.record import Record, list_terms
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import Response, amended, filled_in, internal, not_amended

#: Before this day some countries did not use the Gregorian calendar; a proposal says what was assumed.
GREGORIAN_EVERYWHERE = date(1918, 2, 14)
DAY_WORDS = re.compile(r"(?P<day>0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?\.?", re.IGNORECASE | re.ASCII)


def _standardized(term: str) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        if record.is_empty(term):
            return internal(f"{term} is empty")
        value = record.text(term)
        if read_iso(value):
            return not_amended(f"{term} is a date of ISO 8601-1 already")
        found = readings(value)
        if len(found) != 1:
            return not_amended(no_reading(term, value, found))
        return amended({term: found[0]}, f"{term} is read as {found[0]}")

    return answer


implements("AMENDMENT_EVENTDATE_STANDARDIZED")(_standardized("dwc:eventDate"))
implements("AMENDMENT_DATEIDENTIFIED_STANDARDIZED")(_standardized("dwc:dateIdentified"))


@implements("AMENDMENT_EVENTDATE_FROM_VERBATIM")
def amendment_eventdate_from_verbatim(record: Record) -> Response:
    """Propose the date that dwc:verbatimEventDate stands for, as precise as it is there.

    A text without any figure cannot hold a date; official row 682 ("X") calls that a prerequisite, which is followed.
    """
    if not record.is_empty("dwc:eventDate"):
        return internal("dwc:eventDate is not empty")
    verbatim = record.text("dwc:verbatimEventDate")
    if record.is_empty("dwc:verbatimEventDate") or not any(character.isdigit() for character in verbatim):
        return internal("dwc:verbatimEventDate is empty or holds no date")
    found = readings(verbatim)
    if len(found) != 1:
        return not_amended(no_reading("dwc:verbatimEventDate", verbatim, found))
    event = read_iso(found[0])
    early = event is not None and event.first < GREGORIAN_EVERYWHERE
    note = "; the verbatim date was assumed to be in the Gregorian calendar" if early else ""
    return filled_in({"dwc:eventDate": found[0]}, f"dwc:verbatimEventDate is read as {found[0]}{note}")


@implements("AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY")
def amendment_eventdate_from_yearmonthday(record: Record) -> Response:
    """Propose the date made of year, month and day, no finer than the parts that can be read."""
    year = record.text("dwc:year")
    if not record.is_empty("dwc:eventDate") or as_integer(year) is None:
        return internal("dwc:eventDate is not empty, or dwc:year is empty or not a whole number")
    if not ISO_YEAR.fullmatch(year):
        return not_amended("dwc:year is not a year of ISO 8601-1")
    month, day = as_integer(record.text("dwc:month")), as_integer(record.text("dwc:day"))
    proposed = year
    if month is not None:
        proposed += f"-{month:02}" if day is None else f"-{month:02}-{day:02}"
    if read_iso(proposed) is None:
        return not_amended("dwc:year, dwc:month and dwc:day make no day of the calendar")
    return filled_in(
        {"dwc:eventDate": proposed}, "made of dwc:year, dwc:month and dwc:day as far as they can be read"
    )


@implements("AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR")
def amendment_eventdate_from_days_of_year(record: Record) -> Response:
    """Propose the interval from the first to the last day of the year.

    The text wants NOT_AMENDED where a part cannot be read; official row 1052 calls that a prerequisite, which is
    followed.
    """
    year = record.text("dwc:year")
    start, end = as_integer(record.text("dwc:startDayOfYear")), as_integer(record.text("dwc:endDayOfYear"))
    if not record.is_empty("dwc:eventDate"):
        return internal("dwc:eventDate is not empty")
    if not ISO_YEAR.fullmatch(year) or start is None or end is None:
        return internal("dwc:year, dwc:startDayOfYear or dwc:endDayOfYear is empty or cannot be read")
    ends = [read_iso(f"{year}-{number:03}") if number > 0 else None for number in (start, end)]
    if ends[0] is None or ends[1] is None or start >= end:
        return not_amended("the days of the year make no interval within the year")
    interval = f"{ends[0].first}/{ends[1].first}"
    return filled_in({"dwc:eventDate": interval}, "made of dwc:year, dwc:startDayOfYear and dwc:endDayOfYear")


@implements("AMENDMENT_EVENT_FROM_EVENTDATE")
def amendment_event_from_eventdate(record: Record) -> Response:
    """Propose the empty ones of year, month, day and days of the year from dwc:eventDate."""
    event = read_iso(record.text("dwc:eventDate"))
    if event is None:
        return internal("dwc:eventDate is empty or not a date of ISO 8601-1")
    known = event_parts(event)
    proposed = {part: str(known[part]) for part in record.empty_among(*EVENT_PARTS) if part in known}
    if not proposed:
        return not_amended("no empty part follows from dwc:eventDate")
    return filled_in(proposed, f"{list_terms(tuple(proposed))} from dwc:eventDate")


@implements("AMENDMENT_MONTH_STANDARDIZED")
def amendment_month_standardized(record: Record) -> Response:
    """Propose the number of the month from its name, abbreviation or Roman numeral."""
    if record.is_empty("dwc:month"):
        return internal("dwc:month is empty")
    value, text = record.text("dwc:month"), trimmed(record.text("dwc:month"))
    number = as_integer(text)
    month = number if number is not None and 1 <= number <= 12 else month_of(text)
    if as_integer(value) is not None or month is None:
        return not_amended("dwc:month is a number already, or has no single reading")
    return amended({"dwc:month": str(month)}, f"dwc:month is read as month {month}")


@implements("AMENDMENT_DAY_STANDARDIZED")
def amendment_day_standardized(record: Record) -> Response:
    """Propose the number of the day from a form such as 23rd; Roman numerals are not read."""
    if record.is_empty("dwc:day"):
        return internal("dwc:day is empty")
    value = record.text("dwc:day")
    found = DAY_WORDS.fullmatch(trimmed(value))
    if as_integer(value) is not None or not found:
        return not_amended("dwc:day is a number already, or has no single reading")
    return amended({"dwc:day": str(int(found["day"]))}, f"dwc:day is read as {int(found['day'])}")


def no_reading(term: str, value: str, found: tuple[str, ...]) -> str:
    """Why a text is not read as one date."""
    reason = "" if found else no_such_day(value)
    return (
        f"{term} is no day of the calendar: {reason}" if reason else f"{term} has no single reading{_listed(found)}"
    )


def _listed(found: tuple[str, ...]) -> str:
    return f": {' or '.join(found)}" if found else ""
