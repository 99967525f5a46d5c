"""Do year, month, day and days of the year say what eventDate says, and can they be true on their own?

Sources: Darwin Core list of terms 2026-05-26; draft Biodiversity Data Quality standard (2026-06-03),
VALIDATION_EVENT_CONSISTENT, VALIDATION_DAY_INRANGE, VALIDATION_MONTH_STANDARD and the tests of the days of the year.
"""

from __future__ import annotations

import re
from calendar import isleap, monthrange

from dwc_pipeline.check.quality.iso_date import IsoDate, Precision, read_iso
from dwc_pipeline.check.value_check import ValueCheck, on_values
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC

EVENT_DATE = DWC + "eventDate"
YEAR, MONTH, DAY = DWC + "year", DWC + "month", DWC + "day"
START, END = DWC + "startDayOfYear", DWC + "endDayOfYear"
DRAFT_TESTS = "draft Biodiversity Data Quality standard (2026-06-03)"
WHOLE = re.compile(r"\d{1,4}", re.ASCII)


def _number(text: str) -> int | None:
    return int(text) if WHOLE.fullmatch(text) else None


@on_values(
    Rule(
        id="month-is-none",
        severity=Severity.ERROR,
        what="month is not a whole number from 1 to 12.",
        why="A name or a season is dropped by readers, and 13 is a day.",
        remedy="Write the number of the month, or leave it empty.",
        source=f"{DRAFT_TESTS}, VALIDATION_MONTH_STANDARD",
    ),
    MONTH,
)
def month_check(month: str) -> str:
    """Months are 1 to 12."""
    number = _number(month)
    return "" if number is not None and 1 <= number <= 12 else "is no month from 1 to 12"


@on_values(
    Rule(
        id="day-is-not-in-the-month",
        severity=Severity.ERROR,
        what="day is not a day of its month.",
        why="It was mistyped, or day and month were exchanged.",
        remedy="Look the day up on the data sheet.",
        source=f"{DRAFT_TESTS}, VALIDATION_DAY_INRANGE",
    ),
    DAY,
    MONTH,
    YEAR,
)
def day_check(day: str, month: str, year: str) -> str:
    """Days are in their month; 29 February needs the year."""
    number, in_month, in_year = _number(day), _number(month), _number(year)
    if number is None or not 1 <= number <= 31:
        return "is no day from 1 to 31"
    if number <= 28 or in_month is None or not 1 <= in_month <= 12:
        return ""
    longest = monthrange(in_year if in_year and in_year > 0 else 2024, in_month)[1]
    return "" if number <= longest else f"is no day of month {month}{f' of {year}' if in_year else ''}"


@on_values(
    Rule(
        id="year-is-none",
        severity=Severity.ERROR,
        what="year is not four digits.",
        why="A year of two digits has two readings, and a range belongs into eventDate.",
        remedy="Write all four digits.",
        source=f"Darwin Core list of terms 2026-05-26, year (four digits); {DRAFT_TESTS}, VALIDATION_YEAR_INRANGE",
    ),
    YEAR,
)
def year_check(year: str) -> str:
    """Years have four digits."""
    return "" if re.fullmatch(r"\d{4}", year, re.ASCII) else "is no year of four digits"


@on_values(
    Rule(
        id="start-day-of-year-is-none",
        severity=Severity.ERROR,
        what="startDayOfYear is not a day of the year: 1 to 365, and 366 only in a leap year.",
        why="Readers that sort by the day of the year put the event into another season.",
        remedy="Compute it again from eventDate.",
        source="Darwin Core list of terms 2026-05-26, comment of startDayOfYear; "
        f"{DRAFT_TESTS}, VALIDATION_STARTDAYOFYEAR_INRANGE",
    ),
    START,
    YEAR,
    EVENT_DATE,
)
def start_day_check(day: str, year: str, date: str) -> str:
    """First days are days of the year."""
    return _day_of_year(day, year, date)


@on_values(
    Rule(
        id="end-day-of-year-is-none",
        severity=Severity.ERROR,
        what="endDayOfYear is not a day of the year: 1 to 365, and 366 only in a leap year.",
        why="Readers that sort by the day of the year put the event into another season.",
        remedy="Compute it again from eventDate.",
        source="Darwin Core list of terms 2026-05-26, comment of endDayOfYear; "
        f"{DRAFT_TESTS}, VALIDATION_ENDDAYOFYEAR_INRANGE",
    ),
    END,
    YEAR,
    EVENT_DATE,
)
def end_day_check(day: str, year: str, date: str) -> str:
    """Last days are days of the year."""
    return _day_of_year(day, year, date, last=True)


def _day_of_year(day: str, year: str, date: str, last: bool = False) -> str:
    number, read = _number(day), read_iso(date)
    in_year = (read.last.year if last else read.first.year) if read else _number(year)
    if number is None or not 1 <= number <= 366:
        return "is no day of the year from 1 to 366"
    return (
        f"is no day of {in_year}, which is no leap year" if number == 366 and in_year and not isleap(in_year) else ""
    )


@on_values(
    Rule(
        id="date-part-disagrees-with-event-date",
        severity=Severity.ERROR,
        what="year, month, day or a day of the year says something else than eventDate.",
        why="Readers use one or the other: the record has two dates.",
        remedy="Compute the parts again from eventDate; a part that spans more than one stays empty, such as the day "
        "of a night that runs over midnight.",
        source=f"{DRAFT_TESTS}, VALIDATION_EVENT_CONSISTENT",
    ),
    EVENT_DATE,
    YEAR,
    MONTH,
    DAY,
    START,
    END,
)
def agreement_check(date: str, year: str, month: str, day: str, start: str, end: str) -> str:
    """Every filled part agrees."""
    read = read_iso(date)
    if read is None:
        return ""
    given = {"year": year, "month": month, "day": day, "startDayOfYear": start, "endDayOfYear": end}
    expected = expected_parts(read)
    # What is no number at all is told by the rule of its own term.
    wrong = [
        f"{name} {text} (should be {expected[name] or 'empty'})"
        for name, text in given.items()
        if text and (number := _number(text)) is not None and str(number) != expected[name]
    ]
    return f"stands beside {', '.join(wrong)}" if wrong else ""


def expected_parts(date: IsoDate) -> dict[str, str]:
    """What the parts say of a date: "" where it is coarser than the part, or spans more than one.

    >>> list(expected_parts(read_iso("2023-04-30/2023-05-01")).values())
    ['2023', '', '', '120', '121']
    """
    to_the_day, to_the_month = date.precision >= Precision.DAY, date.precision >= Precision.MONTH
    return {
        "year": str(date.first.year) if date.is_within_year else "",
        "month": str(date.first.month) if to_the_month and date.is_within_month else "",
        "day": str(date.first.day) if to_the_day and date.is_within_day else "",
        "startDayOfYear": str(date.first.timetuple().tm_yday) if to_the_day else "",
        "endDayOfYear": str(date.last.timetuple().tm_yday) if to_the_day else "",
    }


DATE_PART_CHECKS: tuple[ValueCheck, ...] = (
    month_check, day_check, year_check, start_day_check, end_day_check, agreement_check,
)  # fmt: skip
