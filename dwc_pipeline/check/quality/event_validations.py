"""Validations and the measure of dwc:eventDate, its parts, and dwc:dateIdentified."""

from __future__ import annotations

import re
from calendar import isleap
from collections.abc import Callable

from dwc_pipeline.check.quality.date_text import no_such_day
from dwc_pipeline.check.quality.iso_date import IsoDate, Precision, read_iso
from dwc_pipeline.check.quality.reading import as_integer
from dwc_pipeline.check.quality.record import Record, list_terms
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import Response, compliant, internal, measured, not_compliant, verdict

THIRTY_DAYS, THIRTY_ONE_DAYS = frozenset({4, 6, 9, 11}), frozenset({1, 3, 5, 7, 8, 10, 12})
ISO_YEAR = re.compile(r"[0-9]{4}")
EVENT_PARTS = ("dwc:year", "dwc:month", "dwc:day", "dwc:startDayOfYear", "dwc:endDayOfYear")


def _is_iso_date(term: str) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        if record.is_empty(term):
            return internal(f"{term} is empty")
        if read_iso(record.text(term)) is not None:
            return compliant(f"{term} is a date of ISO 8601-1")
        reason = no_such_day(record.text(term))
        why = f"is no day of the calendar: {reason}" if reason else "is not a date of ISO 8601-1"
        return not_compliant(f"{term} {why}")

    return answer


implements("VALIDATION_EVENTDATE_STANDARD")(_is_iso_date("dwc:eventDate"))
implements("VALIDATION_DATEIDENTIFIED_STANDARD")(_is_iso_date("dwc:dateIdentified"))


@implements("VALIDATION_EVENTDATE_INRANGE")
def validation_eventdate_inrange(record: Record) -> Response:
    """Does the whole of the event lie between the earliest and the latest valid date?"""
    event = read_iso(record.text("dwc:eventDate"))
    if event is None:
        return internal("dwc:eventDate is empty or not a date of ISO 8601-1")
    earliest, latest = _limit(record, "bdqval:earliestValidDate"), _limit(record, "bdqval:latestValidDate")
    return verdict(
        earliest.first <= event.first and event.last <= latest.last,
        "dwc:eventDate lies within the valid range",
        f"dwc:eventDate is not wholly between {earliest.first} and {latest.last}",
    )


@implements("VALIDATION_DATEIDENTIFIED_INRANGE")
def validation_dateidentified_inrange(record: Record) -> Response:
    """Was the identification made within the valid range and not before the event?"""
    identified = read_iso(record.text("dwc:dateIdentified"))
    if identified is None:
        return internal("dwc:dateIdentified is empty or not a date of ISO 8601-1")
    with_event = record.parameter("bdqval:includeEventDate") == "true" and not record.is_empty("dwc:eventDate")
    event = read_iso(record.text("dwc:eventDate")) if with_event else None
    if with_event and event is None:
        return internal("dwc:eventDate is not a date of ISO 8601-1")
    earliest, latest = _limit(record, "bdqval:earliestValidDate"), _limit(record, "bdqval:latestValidDate")
    if not (earliest.first <= identified.first <= latest.last):
        return not_compliant(f"dwc:dateIdentified is not between {earliest.first} and {latest.last}")
    if event is not None and identified.last < event.first:
        return not_compliant("dwc:dateIdentified is before dwc:eventDate")
    return compliant("dwc:dateIdentified lies within the valid range and not before the event")


@implements("VALIDATION_YEAR_INRANGE")
def validation_year_inrange(record: Record) -> Response:
    """Is the year between the earliest and the latest valid year?"""
    year = as_integer(record.text("dwc:year"))
    if year is None:
        return internal("dwc:year is empty or not a whole number")
    earliest = _limit(record, "bdqval:earliestValidDate").first.year
    latest = _limit(record, "bdqval:latestValidDate").last.year
    return verdict(
        earliest <= year <= latest, "dwc:year is in range", f"dwc:year is not between {earliest} and {latest}"
    )


@implements("VALIDATION_MONTH_STANDARD")
def validation_month_standard(record: Record) -> Response:
    """Is the month a whole number from 1 to 12?"""
    return _whole_number_between(record, "dwc:month", 12)


@implements("VALIDATION_DAY_STANDARD")
def validation_day_standard(record: Record) -> Response:
    """Is the day a whole number from 1 to 31?"""
    return _whole_number_between(record, "dwc:day", 31)


def _whole_number_between(record: Record, term: str, last: int) -> Response:
    if record.is_empty(term):
        return internal(f"{term} is empty")
    number = as_integer(record.text(term))
    return verdict(
        number is not None and 1 <= number <= last,
        f"{term} is between 1 and {last}",
        f"{term} is not a whole number between 1 and {last}",
    )


@implements("VALIDATION_DAY_INRANGE")
def validation_day_inrange(record: Record) -> Response:
    """Does the month of that year have such a day?"""
    day, month = as_integer(record.text("dwc:day")), as_integer(record.text("dwc:month"))
    year_text = record.text("dwc:year")
    if day is None:
        return internal("dwc:day is empty or not a whole number")
    month_known = month is not None and 1 <= month <= 12
    if 29 <= day <= 31 and not month_known:
        return internal("dwc:day is past 28 and dwc:month does not say which month")
    if day == 29 and month == 2 and not ISO_YEAR.fullmatch(year_text):
        return internal("29 February needs dwc:year")
    exists = (
        1 <= day <= 28
        or (day in (29, 30) and month in THIRTY_DAYS)
        or (29 <= day <= 31 and month in THIRTY_ONE_DAYS)
        or (day == 29 and month == 2 and isleap(int(year_text)))
    )
    return verdict(exists, "dwc:day is a day of the month", "dwc:day is not a day of the month")


def _day_of_year(term: str, side: str) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        if record.is_empty(term):
            return internal(f"{term} is empty")
        number = as_integer(record.text(term))
        if number == 366:
            event = read_iso(record.text("dwc:eventDate"))
            if event is None:
                return internal(f"{term} is 366 and dwc:eventDate does not say of which year")
            year = (event.first if side == "start" else event.last).year
            return verdict(isleap(year), f"{year} has 366 days", f"{year} has no day 366")
        return verdict(
            number is not None and 1 <= number <= 365,
            f"{term} is between 1 and 365",
            f"{term} is not a whole number between 1 and 366",
        )

    return answer


implements("VALIDATION_STARTDAYOFYEAR_INRANGE")(_day_of_year("dwc:startDayOfYear", "start"))
implements("VALIDATION_ENDDAYOFYEAR_INRANGE")(_day_of_year("dwc:endDayOfYear", "end"))


@implements("VALIDATION_EVENT_CONSISTENT")
def validation_event_consistent(record: Record) -> Response:
    """Do year, month, day and days of the year say what dwc:eventDate says, and is it fine enough for them?"""
    given = record.filled_among(*EVENT_PARTS)
    if record.is_empty("dwc:eventDate") or not given:
        return internal("dwc:eventDate, or all of year, month, day and days of the year, are empty")
    event = read_iso(record.text("dwc:eventDate"))
    if event is None:
        return not_compliant("dwc:eventDate is not a date of ISO 8601-1")
    expected = event_parts(event)
    wrong = tuple(part for part in given if as_integer(record.text(part)) != expected.get(part))
    if wrong:
        return not_compliant(f"{list_terms(wrong)} and dwc:eventDate do not agree")
    return compliant("dwc:eventDate and its parts agree")


def event_parts(event: IsoDate) -> dict[str, int]:
    """The parts that a date has: those as coarse as its precision, and constant over it.

    Source: VALIDATION_EVENT_CONSISTENT and AMENDMENT_EVENT_FROM_EVENTDATE.
    """
    parts = {}
    if event.is_within_year:
        parts["dwc:year"] = event.first.year
    if event.precision >= Precision.MONTH and event.is_within_month:
        parts["dwc:month"] = event.first.month
    if event.precision >= Precision.DAY:
        if event.is_within_day:
            parts["dwc:day"] = event.first.day
        parts["dwc:startDayOfYear"] = event.first.timetuple().tm_yday
        parts["dwc:endDayOfYear"] = event.last.timetuple().tm_yday
    return parts


@implements("MEASURE_EVENTDATE_DURATIONINSECONDS")
def measure_eventdate_durationinseconds(record: Record) -> Response:
    """How long the event can have lasted. [s], days of 86,400 s"""
    event = read_iso(record.text("dwc:eventDate"))
    if event is None:
        return internal("dwc:eventDate is empty or not a date of ISO 8601-1")
    return measured(event.seconds, "seconds from the start of dwc:eventDate to its end")


def _limit(record: Record, parameter: str) -> IsoDate:
    limit = read_iso(record.parameter(parameter))
    if limit is None:
        raise ValueError(f"{parameter}={record.parameter(parameter)!r} is not a date; write it as 2026-11-25")
    return limit
