"""A date of which day, month and year were typed apart, "day 14, month May, year 2023" -> a date in one text.

Source: common practice, no source.

>>> date_of_parts("day 14, month 5, year 2023"), date_of_parts("day 3, month May, year 23")
('2023-05-14', '3 May 23')
>>> date_of_parts("day 31, month 2"), date_of_parts("14 May 2023") is None
('31 February', True)
"""

from __future__ import annotations

import calendar
import re

PARTS = re.compile(r"(?:day (?P<day>[^,]+))?(?:, )?(?:month (?P<month>[^,]+))?(?:, )?(?:year (?P<year>[^,]+))?")
WHOLE = re.compile(r"(\d+)(?:\.0+)?")


def date_of_parts(verbatim: str) -> str | None:
    """The parts as one date that has a single order; None for a text of any other form.

    Parts that are no number of a calendar stay as typed, so that the reader of dates can say what is wrong.
    """
    found = PARTS.fullmatch(verbatim)
    if not verbatim or not found:
        return None
    day, month, year = (_whole(part or "") for part in found.group("day", "month", "year"))
    if not day and not month:
        return year
    number = int(month) if month.isdigit() else 0
    if len(year) == 4 and year.isdigit() and 1 <= number <= 12 and (not day or day.isdigit()):
        return f"{year}-{number:02d}" + (f"-{int(day):02d}" if day else "")
    spoken = calendar.month_name[number] if 1 <= number <= 12 else f"month {month}" if number else month
    return " ".join(part for part in (day, spoken, year) if part)


def _whole(part: str) -> str:
    """A number of a spreadsheet without its empty decimals."""
    number = WHOLE.fullmatch(part.strip())
    return number[1] if number else part.strip()
