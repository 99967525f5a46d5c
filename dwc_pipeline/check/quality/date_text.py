"""Dates written in words and figures, read for an amendment: one reading or none.

Read: ISO 8601 with other marks (2021/10/28, 2021_10_28), year-day-month where the month can only be the last part,
day, month and year in figures where only one order is possible, months by name (several languages) or Roman numeral,
ranges of days within a month, and decades. Two-digit years and figures that fit two orders are not read.

>>> readings("Friday 29th Oct. 2021"), readings("xi.1996"), readings("1980s")
(('2021-10-29',), ('1996-11',), ('1980-01-01/1989-12-31',))
>>> readings("03/04/2020")
('2020-03-04', '2020-04-03')
"""

from __future__ import annotations

import calendar
import re
from functools import cache

from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.iso_date import read_iso
from dwc_pipeline.check.quality.registry import read_facts

ROMAN = {
    numeral: number
    for number, numeral in enumerate(
        ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii"), start=1
    )
}
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
YEAR = r"(?P<year>[12]\d{3})"
#: "2023-05-04 10:00": a blank where ISO 8601-1 writes T; nothing else could be meant
BLANK_BEFORE_TIME = re.compile(r"(?<=\d{4}-\d\d-\d\d) (?=\d\d:\d\d)", re.ASCII)
FIGURES = re.compile(r"\d+", re.ASCII)
#: Four figures alone are a year only from here on; "0377" may be anything (official row 689).
EARLIEST_BARE_YEAR = "1582"
YEAR_FIRST = re.compile(rf"{YEAR}\s*[-/._ ]\s*(?P<a>\d{{1,2}})\s*[-/._ ]\s*(?P<b>\d{{1,2}})", re.ASCII)
YEAR_LAST = re.compile(rf"(?P<a>\d{{1,2}})\s*[-/._ ]\s*(?P<b>\d{{1,2}})\s*[-/._ ]\s*{YEAR}", re.ASCII)
YEAR_MONTH = re.compile(
    rf"{YEAR}\s*[/._]\s*(?P<month>\d{{1,2}})|(?P<first>\d{{1,2}})\s*[-/._]\s*(?P<last>[12]\d{{3}})", re.ASCII
)
AFTER_DAY = re.compile(r"(?<=\d{4}-\d\d-\d\d)[T ]\d\d.*$", re.ASCII)
FULL_DATE = re.compile(r"(?P<year>\d{4})-(?P<month>\d{2})-(?P<day>\d{2})", re.ASCII)
DECADE = re.compile(r"(?P<decade>[12]\d{2}0)'?s", re.ASCII)
ORDINAL = re.compile(r"(?<=\d)(?:st|nd|rd|th)\b", re.IGNORECASE)
WEEKDAY = re.compile(r"\b(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\b\.?,?\s*", re.IGNORECASE)
BETWEEN_DATES = re.compile(r"\s+(?:-|–|to|through|until)\s+", re.IGNORECASE)
DAYS = r"(?P<day>\d{1,2})(?:\s*(?:-|–|to)\s*(?P<until>\d{1,2}))?"
MONTH_NAME = r"(?P<month>[^\W\d_]+)\.?"
WORDED = (
    re.compile(rf"{DAYS}[\s.,/_-]*(?:(?:de|of)\s+)?{MONTH_NAME}[\s.,/_-]*(?:de\s+)?{YEAR}"),
    re.compile(rf"{MONTH_NAME}[\s.-]*{DAYS}[\s,-]+{YEAR}"),
    re.compile(rf"{YEAR}[\s.,/_-]*{MONTH_NAME}[\s.,/_-]*{DAYS}"),
    re.compile(rf"{MONTH_NAME}[\s.,/_-]*{YEAR}"),
    re.compile(rf"{YEAR}[\s.,/_-]*{MONTH_NAME}"),
)


def readings(text: str) -> tuple[str, ...]:
    """The ISO 8601 dates that the text could stand for; exactly one is a reading."""
    clean = BLANK_BEFORE_TIME.sub("T", trimmed(text))
    if read_iso(clean) and not (FIGURES.fullmatch(clean) and clean < EARLIEST_BARE_YEAR):
        return (clean,)
    weekdays = {found.group()[:3].casefold() for found in WEEKDAY.finditer(clean)}
    clean = ORDINAL.sub("", WEEKDAY.sub("", clean)).strip()
    if decade := DECADE.fullmatch(clean):
        first = int(decade["decade"])
        return (f"{first:04}-01-01/{first + 9:04}-12-31",)
    found = _from_figures(clean) or _from_words(clean) or _from_two_dates(clean)
    return tuple(sorted({text for text in found if _is_date_on(text, weekdays)}))


def _is_date_on(text: str, weekdays: set[str]) -> bool:
    """True for a date of the calendar that does not contradict the day of the week written beside it."""
    date = read_iso(text)
    if date is None:
        return False
    return not (weekdays and date.is_within_day) or weekdays == {WEEKDAYS[date.first.weekday()]}


def month_of(word: str) -> int | None:
    """The month that a name, abbreviation or Roman numeral stands for, or None."""
    name = word.casefold().rstrip(".")
    return _months().get(name) or ROMAN.get(name)


@cache
def _months() -> dict[str, int]:
    return {row["name"]: int(row["month"]) for row in read_facts("months")}


def _from_figures(text: str) -> list[str]:
    if found := YEAR_FIRST.fullmatch(text):
        # Year first is written year-month-day; the other order is read only where this one is no date.
        usual, other = _date(found["year"], found["a"], found["b"]), _date(found["year"], found["b"], found["a"])
        return [usual] if read_iso(usual) else [other]
    if found := YEAR_LAST.fullmatch(text):
        return [_date(found["year"], found["a"], found["b"]), _date(found["year"], found["b"], found["a"])]
    if found := YEAR_MONTH.fullmatch(text):
        return [f"{found['year'] or found['last']}-{int(found['month'] or found['first']):02}"]
    return []


def _from_words(text: str) -> list[str]:
    for pattern in WORDED:
        found = pattern.fullmatch(text)
        month = month_of(found["month"]) if found else None
        if not found or month is None:
            continue
        parts = found.groupdict()
        if not parts.get("day"):
            return [f"{parts['year']}-{month:02}"]
        first = _date(parts["year"], str(month), parts["day"])
        if not parts.get("until"):
            return [first]
        last = _date(parts["year"], str(month), parts["until"])
        return [f"{first}/{last}"] if first < last else []
    return []


def no_such_day(text: str) -> str:
    """Why a date is no day of the calendar, such as "February 2023 has 28 days"; "" where that is not the reason.

    >>> no_such_day("29 Feb 2023"), no_such_day("2023-02-29T10:00"), no_such_day("31/04/2023")
    ('February 2023 has 28 days', 'February 2023 has 28 days', 'April has 30 days')
    """
    clean = ORDINAL.sub("", WEEKDAY.sub("", AFTER_DAY.sub("", trimmed(text)))).strip()
    year_first = YEAR_FIRST.fullmatch(clean)
    found = [_date(*year_first.group("year", "a", "b"))] if year_first else _from_figures(clean) or _from_words(clean)
    if any(map(read_iso, found)):
        return ""
    # Of the two orders of day and month, the one whose month there is tells the reason.
    reasons = [reason for date in found if (reason := _too_many_days(date))]
    return reasons[0] if len(reasons) == 1 else ""


def _too_many_days(date: str) -> str:
    parts = FULL_DATE.fullmatch(date)
    if parts is None or not 1 <= int(parts["month"]) <= 12:
        return ""
    year, month = int(parts["year"]), int(parts["month"])
    length = calendar.monthrange(year, month)[1]
    if not length < int(parts["day"]) <= 31:
        return ""
    return f"{calendar.month_name[month]}{f' {year}' if month == 2 else ''} has {length} days"


def _from_two_dates(text: str) -> list[str]:
    parts = BETWEEN_DATES.split(text)
    ends = [readings(part) for part in parts] if len(parts) == 2 else []
    if any(len(end) != 1 or "/" in end[0] for end in ends):
        return []
    return ["/".join(end[0] for end in ends)] if ends else []


def _date(year: str, month: str, day: str) -> str:
    return f"{year}-{int(month):02}-{int(day):02}"
