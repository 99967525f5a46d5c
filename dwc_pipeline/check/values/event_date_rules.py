"""Are dates written so that every reader reads the same day, and can they be true?

Sources: Darwin Core list of terms 2026-05-26 (eventDate, eventTime and their examples); date tests of the draft
Biodiversity Data Quality standard (2026-06-03). Darwin Core recommends ISO 8601-1:2019; it does not command it.
"""

from __future__ import annotations

import re

from dwc_pipeline.check.part_block import TODAY
from dwc_pipeline.check.quality.iso_date import Precision, read_ends, read_iso
from dwc_pipeline.check.value_check import ValueCheck, on_each, on_values
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DCTERMS, DWC

EVENT_DATE, EVENT_TIME, IDENTIFIED = DWC + "eventDate", DWC + "eventTime", DWC + "dateIdentified"
#: terms of which Darwin Core says that they hold ISO 8601-1 dates
DATE_TERMS = (
    EVENT_DATE, IDENTIFIED, DWC + "georeferencedDate", DWC + "measurementDeterminedDate",
    DWC + "relationshipEstablishedDate", DCTERMS + "modified",
)  # fmt: skip
LIST_OF_TERMS = "Darwin Core list of terms 2026-05-26"
#: literal default of the earliest valid date in the draft data-quality tests
EARLIEST = "1582-11-15"
#: the shape of an ISO date, whatever its numbers
ISO_SHAPE = re.compile(
    r"\d{4}(-\d\d(-\d\d)?|-\d{3}|-?W\d\d(-?\d)?|\d{4})?(T\d\d(:?\d\d)*([.,]\d+)?(Z|[+-]\d\d(:?\d\d)?)?)?", re.ASCII
)
WEEK = re.compile(r"\d{4}-?W\d\d")
NOT_OF_AN_EVENT = re.compile(r"P\d|R\d*/|.*\.\.")
CLOCK = re.compile(r"([01]\d|2[0-3])(:?[0-5]\d(:?[0-5]\d([.,]\d+)?)?)?(Z|[+-]\d\d(:?\d\d)?)?", re.ASCII)


def _is_shaped(text: str) -> bool:
    """True if each end is shaped as an ISO date, the second end perhaps shortened."""
    first, slash, last = text.partition("/")
    return bool(ISO_SHAPE.fullmatch(first)) and (
        not slash or bool(ISO_SHAPE.fullmatch(last) or re.fullmatch(r"\d\d([-T:].*)?", last))
    )


def _ends_before_it_begins(text: str) -> bool:
    return "/" in text and read_ends(text) is not None and read_iso(text) is None


@on_each(
    Rule(
        id="date-is-not-iso",
        severity=Severity.WARNING,
        what="A date is not written in the form of ISO 8601-1.",
        why="Readers guess at it or drop it: 03/04 is March for one and April for the next.",
        remedy="Write 2025-06-14, 2025-06-14T07:10-05:00, or start/end for an interval; the words as written belong "
        "into verbatimEventDate.",
        source=f"{LIST_OF_TERMS}, comments of eventDate, dateIdentified, georeferencedDate, modified (recommended)",
    ),
    DATE_TERMS,
)
def form_check(text: str) -> str:
    """Every date has the form."""
    if read_iso(text) or _is_shaped(text):
        return ""
    if NOT_OF_AN_EVENT.match(text):
        return "is a duration, a repetition or an open interval, which is no date of an event"
    return "is not a date in the form of ISO 8601-1"


@on_each(
    Rule(
        id="event-date-not-on-the-calendar",
        severity=Severity.ERROR,
        what="A date has the form of ISO 8601-1, but there is no such day or time.",
        why="It was mistyped; every reader drops it or takes another day.",
        remedy="Look the day up on the data sheet.",
        source="draft Biodiversity Data Quality standard (2026-06-03), VALIDATION_EVENTDATE_STANDARD, "
        "official rows 434 and 436",
    ),
    DATE_TERMS,
)
def calendar_check(text: str) -> str:
    """Every date exists."""
    wrong = _is_shaped(text) and not read_iso(text) and not _ends_before_it_begins(text)
    return "is no day of the calendar, or no time of the day" if wrong else ""


@on_each(
    Rule(
        id="interval-ends-before-it-begins",
        severity=Severity.ERROR,
        what="The end of an interval lies before its start.",
        why="The night has a negative length, and its effort cannot be computed.",
        remedy="Exchange the two, or look for a wrong month or day.",
        source=f"{LIST_OF_TERMS}, eventDate (an interval runs from start to end)",
    ),
    DATE_TERMS,
)
def order_check(text: str) -> str:
    """Intervals run forward."""
    return "ends before it begins" if _ends_before_it_begins(text) else ""


@on_each(
    Rule(
        id="date-is-in-the-future",
        severity=Severity.ERROR,
        what="A date begins after the day of the check.",
        why="Nobody has seen that animal yet: the year or the month is wrong.",
        remedy="Correct the date.",
        source="draft Biodiversity Data Quality standard (2026-06-03), VALIDATION_EVENTDATE_INRANGE",
    ),
    DATE_TERMS,
    TODAY,
)
def future_check(text: str, today: str) -> str:
    """Dates are past. A day later is let pass: the world has two dates at once."""
    found = read_iso(text)
    return "is in the future" if found and (found.first.toordinal() - _ordinal(today)) > 1 else ""


def _ordinal(day: str) -> int:
    found = read_iso(day)
    return found.first.toordinal() if found else 0


@on_values(
    Rule(
        id="event-date-is-very-old",
        severity=Severity.WARNING,
        what=f"An event began before {EARLIEST}, when the present calendar was not yet in use.",
        why="It is nearly always a slip in the year, such as 0202 for 2020.",
        remedy="Correct the year, or put what is written into verbatimEventDate.",
        source="draft Biodiversity Data Quality standard (2026-06-03), default of bdqval:earliestValidDate",
    ),
    EVENT_DATE,
)
def old_check(text: str) -> str:
    """Events are not before the calendar."""
    found = read_iso(text)
    return f"is before {EARLIEST}" if found and found.first.isoformat() < EARLIEST else ""


@on_each(
    Rule(
        id="date-is-given-by-week",
        severity=Severity.NOTE,
        what="A date is written as a week of the year.",
        why="ISO 8601-1 knows it, no example of Darwin Core shows it, and many readers drop it.",
        remedy="Write the first and the last day: 2024-04-29/2024-05-05.",
        source=f"{LIST_OF_TERMS}, examples of eventDate; weeks: ISO 8601-1, from memory",
    ),
    DATE_TERMS,
)
def week_check(text: str) -> str:
    """Weeks are read, and told."""
    return "is a week; many readers drop it" if WEEK.match(text) and read_iso(text) else ""


@on_values(
    Rule(
        id="interval-tells-one-offset-only",
        severity=Severity.NOTE,
        what="An interval with times has the offset from UTC at one of its ends only.",
        why="A reader that does not carry the offset over gets a night that is hours too long or too short.",
        remedy="Write the offset at both ends.",
        source="common practice, no source; that the end takes over the start's: ISO 8601-1, from memory",
    ),
    EVENT_DATE,
)
def offset_check(text: str) -> str:
    """Both ends tell their offset, or none does."""
    start, slash, end = text.partition("/")
    ends = (read_ends(start), read_ends(end)) if slash else (None, None)
    if ends[0] is None or ends[1] is None or min(ends[0][0].precision, ends[1][0].precision) < Precision.TIME:
        return ""
    return "has an offset at one end only" if (ends[0][0].offset is None) != (ends[1][0].offset is None) else ""


@on_values(
    Rule(
        id="event-time-is-not-iso",
        severity=Severity.WARNING,
        what="A time of day is not written in the form of ISO 8601-1.",
        why="7:10 PM, 710 and 19h10 are read differently or not at all.",
        remedy="Write 19:10-05:00, or start/end for an interval.",
        source=f"{LIST_OF_TERMS}, comment of eventTime (recommended)",
    ),
    EVENT_TIME,
)
def time_check(text: str) -> str:
    """Times of day have the form."""
    ends = text.removeprefix("T").split("/")
    fits = len(ends) <= 2 and all(CLOCK.fullmatch(end.removeprefix("T")) for end in ends)
    return "" if fits else "is not a time of day in the form of ISO 8601-1"


@on_values(
    Rule(
        id="event-time-disagrees-with-event-date",
        severity=Severity.ERROR,
        what="eventTime gives another hour than eventDate.",
        why="Two clocks for one visit: the effort of a night depends on which a reader takes.",
        remedy="Correct the one that is wrong; eventTime only repeats what eventDate says.",
        source=f"{LIST_OF_TERMS}, definitions of eventDate and eventTime; that both say the same: common practice",
    ),
    EVENT_TIME,
    EVENT_DATE,
)
def two_clocks_check(time: str, date: str) -> str:
    """Times agree where both are to the minute and tell the same clock.

    Midnight is what databases write for a day without time; a time in UTC and one without offset are two clocks.
    """
    offsets = [
        set(re.findall(r"Z|(?<=\d)[+-]\d\d:?\d\d(?=/|$)", text.partition("T")[2])) for text in (date, f"T{time}")
    ]
    if re.search(r"T00:?00(?::?00(?:\.0+)?)?(?:Z|[+-]|/|$)", date) or (offsets[1] and offsets[0] != offsets[1]):
        return ""
    if "Z" in offsets[0] and not offsets[1]:
        return ""
    in_date = re.findall(r"T(\d\d):?(\d\d)", date)
    in_time = re.findall(r"(?:^|/)T?(\d\d):?(\d\d)", time)
    if not in_date or not in_time or len(in_date) != date.count("/") + 1 or len(in_time) > len(in_date):
        return ""
    same = in_time == in_date or (len(in_time) < len(in_date) and in_time[0] in in_date)
    return "" if same else f"is another time than in eventDate {date}"


@on_values(
    Rule(
        id="identified-before-the-event",
        severity=Severity.WARNING,
        what="An animal was identified before the event began.",
        why="One of the two dates is wrong.",
        remedy="Correct dateIdentified or eventDate.",
        source="common practice, no source",
    ),
    IDENTIFIED,
    EVENT_DATE,
)
def identified_check(identified: str, event: str) -> str:
    """Identification does not come before the event."""
    named, seen = read_iso(identified), read_iso(event)
    return f"is before the event ({event})" if named and seen and named.last < seen.first else ""


DATE_CHECKS: tuple[ValueCheck, ...] = (
    *form_check, *calendar_check, *order_check, *future_check, old_check, *week_check, offset_check, time_check,
    two_clocks_check, identified_check,
)  # fmt: skip
