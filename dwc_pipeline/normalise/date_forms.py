"""The written forms of one date: which year, month and day each form could stand for.

Every form is an anchored pattern with a builder. A builder returns all readings that the writing allows,
possible or not on the calendar; nothing is chosen here. Texts come plain and in lower case (date_text).
Source: Darwin Core `eventDate` and ISO 8601-1 for the year-first forms; the rest is common practice, no source.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from dwc_pipeline.normalise.date_context import DAY_FIRST, MONTH_FIRST

YEAR_FIRST = "year-first"
#: form of a reading that makes a date doubtful but is never believed alone
LOST_ZERO = "lost-zero"

_ENGLISH = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
#: further spellings. English abbreviations, then full names in languages met on labels and old sheets
#: (Spanish, French, German, Danish, Norwegian, Swedish, Dutch, Portuguese, Italian): from memory.
_FURTHER = {
    1: "jan ene enero janv janvier januar januari janeiro gennaio",
    2: "feb febr fév févr febuary feburary febrero fevrier février februar februari fevereiro febbraio",
    3: "mar mzo marzo mars märz maerz marts maart março marco",
    4: "apr abr abril avr avril aprile",
    5: "mayo mai maj mei maio maggio",
    6: "jun junio juin juni junho giugno",
    7: "jul julio juil juillet juli julho luglio",
    8: "aug agust augst ago agosto août aout augustus augusti",
    9: "sep sept setp septmber septiembre setiembre septembre setembro settembre",
    10: "oct octubre octobre oktober okt outubro ottobre",
    11: "nov noviembre novembre novembro",
    12: "dec dic déc diciembre décembre decembre dezember dezembro desember dicembre",
}
MONTHS = {name: number for number, name in enumerate(_ENGLISH, 1)}
MONTHS.update({word: number for number, words in _FURTHER.items() for word in words.split()})
_ROMAN = {
    word: n for n, word in enumerate(["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii"], 1)
}

_M = "(?P<m>" + "|".join(sorted(MONTHS, key=len, reverse=True)) + r")\.?"
_R = "(?P<m>" + "|".join(sorted(_ROMAN, key=len, reverse=True)) + ")"
_D = r"(?P<d>[0-9]{1,2})(?:st|nd|rd|th|er|ro|º|°)?\.?"
_Y = r"(?P<y>'?[0-9]{2}|[0-9]{4})"
_Y4 = r"(?P<y>[0-9]{4})"
_S = r"(?: ?[-/._,] ?| of | del? | )"  # a separator
_O = r"(?: ?[-/._, ] ?| of | del? )?"  # an optional one


class Point(NamedTuple):
    """One reading of a written date; parts that are not written are None.

    short_year: only two digits of the year were written, `year` holds those. order: how numbers were taken.
    weak: a rare writing, considered only where the usual one fails. clock: HH:MM where the form holds one.
    fault: why the writing cannot be a date, where the builder knows. form: name of the pattern. system: day count
    of a spreadsheet ("1900", "1904"). zone: "z" or an offset as written after the time.
    """

    year: int | None = None
    month: int | None = None
    day: int | None = None
    short_year: bool = False
    order: str = ""
    weak: bool = False
    clock: str = ""
    fault: str = ""
    form: str = ""
    system: str = ""
    zone: str = ""


class Form(NamedTuple):
    """A pattern and what it can stand for; the name is quoted in the change."""

    name: str
    pattern: re.Pattern[str]
    build: Callable[[re.Match[str]], Iterable[Point]]


def _year(text: str) -> tuple[int, bool]:
    digits = text.lstrip("'")
    return int(digits), len(digits) == 2


def _named(found: re.Match[str]) -> Iterator[Point]:
    """Day, named month, year: "14-May-23" is rarely also 2014, 23 May."""
    year, short = _year(found["y"])
    month, day = MONTHS.get(found["m"]) or _ROMAN[found["m"]], int(found["d"])
    yield Point(year, month, day, short)
    if found["m"] == "x" and day <= 12 and re.search("[-/]x[-/]", found[0]):  # 5/x/23: October, or a day not known
        yield Point(year, day, None, short)
    if short and len(found["d"]) == 2 and "'" not in found["y"]:
        yield Point(day, month, year, True, weak=True)


def _month_day_year(found: re.Match[str]) -> Iterator[Point]:
    year, short = _year(found["y"])
    yield Point(year, MONTHS[found["m"]], int(found["d"]), short)


def _roman_first(found: re.Match[str]) -> Iterator[Point]:
    """ "V-14-2023": the month before the day. One sign alone may be a letter, so the day must be over 12."""
    year, short = _year(found["y"])
    if int(found["d"]) > 12 and found["m"] != "x":
        yield Point(year, _ROMAN[found["m"]], int(found["d"]), short)


def _year_and_month(found: re.Match[str]) -> Iterator[Point]:
    yield Point(int(found["y"]), int(found["m"]))


def _month_year(found: re.Match[str]) -> Iterator[Point]:
    year, short = _year(found["y"])
    yield Point(year, MONTHS.get(found["m"]) or _ROMAN[found["m"]], None, short)


def _month_number(found: re.Match[str]) -> Iterator[Point]:
    """ "May 14" is a day, and perhaps a year of two digits."""
    month = MONTHS[found["m"]]
    yield Point(None, month, int(found["d"]))
    if len(found["d"]) == 2:
        yield Point(int(found["d"]), month, None, True, order="month-year")


def _only_month(found: re.Match[str]) -> Iterator[Point]:
    yield Point(None, MONTHS[found["m"]])


def _day_month(found: re.Match[str]) -> Iterator[Point]:
    yield Point(None, MONTHS.get(found["m"]) or _ROMAN[found["m"]], int(found["d"]))


def _numbers(found: re.Match[str]) -> Iterator[Point]:
    """Three numbers, the year last; two digits each may also be year, month, day."""
    year, short = _year(found["y"])
    first, second = int(found["a"]), int(found["b"])
    yield Point(year, first, second, short, MONTH_FIRST)
    yield Point(year, second, first, short, DAY_FIRST)
    if short and len(found["a"]) == 2 and "'" not in found["y"]:
        yield Point(first, second, year, True, YEAR_FIRST, weak=len(found["b"]) == 1)


def _year_first(found: re.Match[str]) -> Iterator[Point]:
    year, first, second = int(found["y"]), int(found["a"]), int(found["b"])
    yield Point(year, first, second)
    yield Point(year, second, first, order="year-day-month", weak=True)


def _two_numbers(found: re.Match[str]) -> Iterator[Point]:
    """Two numbers without a year: month and day in either order, or month and a year of two digits."""
    first, second = int(found["a"]), int(found["b"])
    yield Point(None, first, second, order=MONTH_FIRST)
    yield Point(None, second, first, order=DAY_FIRST)
    if len(found["b"]) == 2:
        yield Point(second, first, None, True, order="month-year")
    if found["s"] == "." and found["b"] in "123":  # a spreadsheet shows 5.10 as 5.1
        yield Point(None, first, second * 10, order=MONTH_FIRST, form=LOST_ZERO)
        yield Point(None, second * 10, first, order=DAY_FIRST, form=LOST_ZERO)


def _year_month(found: re.Match[str]) -> Iterator[Point]:
    yield Point(int(found["y"]), int(found["m"]))
    if found["s"] == "." and found["m"] == "1":  # a spreadsheet shows 2023.10 as 2023.1
        yield Point(int(found["y"]), 10, form=LOST_ZERO)


def _number_year(found: re.Match[str]) -> Iterator[Point]:
    """ "5/2023" is a month; "134/2023" the day of the year."""
    year, number = int(found["y"]), int(found["n"])
    if len(found["n"]) < 3:
        yield Point(year, number)
    else:
        yield _day_of_year(year, number)


def _day_of_year(year: int, number: int) -> Point:
    length = 366 if _is_leap(year) else 365
    if not 1 <= number <= length:
        return Point(year, fault=f"the year {year} has {length} days, so there is no day {number}")
    date = dt.date(year, 1, 1) + dt.timedelta(days=number - 1)
    return Point(date.year, date.month, date.day)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _ordinal(found: re.Match[str]) -> Iterator[Point]:
    year = int(found["y"])
    if year:
        yield _day_of_year(year, int(found["n"]))


def _week(found: re.Match[str]) -> Iterator[Point]:
    try:
        date = dt.date.fromisocalendar(int(found["y"]), int(found["w"]), int(found["d"]))
    except ValueError:
        yield Point(fault=f"there is no day {found['d']} of week {found['w']} in {found['y']}")
        return
    yield Point(date.year, date.month, date.day)


def _only_year(found: re.Match[str]) -> Iterator[Point]:
    yield Point(int(found["y"]))


def _six_digits(found: re.Match[str]) -> Iterator[Point]:
    text = found[0]
    a, b, c = int(text[:2]), int(text[2:4]), int(text[4:])
    yield Point(a, b, c, True, YEAR_FIRST)
    yield Point(c, a, b, True, MONTH_FIRST)
    yield Point(c, b, a, True, DAY_FIRST)
    if text[:2] in ("18", "19", "20") and 1 <= c <= 12:
        yield Point(int(text[:4]), c, order=YEAR_FIRST)


def _seven_digits(found: re.Match[str]) -> Iterator[Point]:
    """A lost leading zero, or year and day of the year."""
    text = found[0]
    year = int(text[3:])
    for first, second in ((text[:1], text[1:3]), (text[:2], text[2:3])):
        yield Point(year, int(first), int(second), False, MONTH_FIRST)
        yield Point(year, int(second), int(first), False, DAY_FIRST)
    if 1 <= int(text[4:]) <= 366 and int(text[:4]):
        yield _day_of_year(int(text[:4]), int(text[4:]))


def _eight_digits(found: re.Match[str]) -> Iterator[Point]:
    text = found[0]
    yield Point(int(text[:4]), int(text[4:6]), int(text[6:]))
    yield Point(int(text[4:]), int(text[:2]), int(text[2:4]), False, MONTH_FIRST)
    yield Point(int(text[4:]), int(text[2:4]), int(text[:2]), False, DAY_FIRST)


def _five_digits(found: re.Match[str]) -> Iterator[Point]:
    """A spreadsheet's day number; or month, day and year whose leading zero was lost."""
    text = found[0]
    yield from serials(text)
    year = int(text[3:])
    yield Point(year, int(text[0]), int(text[1:3]), True, MONTH_FIRST, weak=True)
    yield Point(year, int(text[1:3]), int(text[0]), True, DAY_FIRST, weak=True)


def _serial(found: re.Match[str]) -> Iterator[Point]:
    yield from serials(found[0])


def _bare_day(found: re.Match[str]) -> Iterator[Point]:
    """A day of the month; a larger number is too small for a day count, and 60 there is a day that never was."""
    day = int(found["d"])
    count = "; in a spreadsheet's count from 1900 it is 1900-02-29, which does not exist" if found[0] == "60" else ""
    yield Point(None, None, day, fault=f"no month has {day} days{count}" if day > 31 else "")


#: first days of the two day counts of spreadsheets. From 61 on, the 1900 count is off by its 29 February 1900.
_EPOCHS = {"1900": dt.datetime(1899, 12, 30, tzinfo=dt.UTC), "1904": dt.datetime(1904, 1, 1, tzinfo=dt.UTC)}
#: smallest and largest day numbers taken for dates: both fall in the years 1909 to 2199
_SERIALS = (3653.0, 109_574.0)
SYSTEM_SHIFT = dt.timedelta(days=1462)


def serials(text: str) -> Iterator[Point]:
    """The dates of a day number in both counts; the fraction is the time of day, to the second."""
    whole, _, part = text.partition(".")
    number = float(text)
    if not _SERIALS[0] <= number < _SERIALS[1]:
        return
    seconds = seconds_of_day(part)
    clock = (
        ""
        if not seconds
        else f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}".removesuffix(":00")
    )
    form = "coarse-day-number" if seconds is None else ""
    for system, epoch in _EPOCHS.items():
        day = epoch + dt.timedelta(days=int(whole))
        yield Point(day.year, day.month, day.day, clock=clock, system=system, form=form)


def seconds_of_day(part: str) -> int | None:
    """Seconds since midnight from the decimals of a day number; None if they are too few to tell the minute.

    >>> seconds_of_day("3020833333"), seconds_of_day("5"), seconds_of_day("99"), seconds_of_day("9999")
    (26100, 43200, None, None)
    """
    exact = float(f"0.{part or 0}") * 86400
    if len(part) < 4 and exact % 900:
        return None
    last_digit = 86400 / 10 ** len(part)
    minute = round(exact / 60) * 60
    if abs(exact - minute) < 1.01 * last_digit:
        return minute if minute < 86400 else None
    return int(exact + 0.5)


_TABLE: tuple[tuple[str, str, Callable[[re.Match[str]], Iterable[Point]]], ...] = (
    ("year-month-day", rf"{_Y4}(?: ?[-/._ ] ?)(?P<a>[0-9]{{1,2}})(?: ?[-/._ ] ?)(?P<b>[0-9]{{1,2}})", _year_first),
    ("three-numbers", rf"(?P<a>[0-9]{{1,2}})\.?{_S}(?P<b>[0-9]{{1,2}})\.?{_S}{_Y}", _numbers),
    ("day-month-year", rf"{_D}{_O}(?:the )?{_M}{_O}{_Y}", _named),
    ("month-day-year", rf"{_M}{_O}(?P<d>[0-9]{{1,2}})(?:st|nd|rd|th|{_S}|(?=[0-9]{{4}}$)){_O}{_Y}", _month_day_year),
    ("year-month-day", rf"{_Y4}{_O}{_M}{_O}{_D}", _named),
    ("day-roman-month-year", rf"{_D}{_S}?{_R}\.?{_S}?{_Y}", _named),
    ("roman-month-day-year", rf"{_R}[-/. ]{_D}{_S}{_Y}", _roman_first),
    ("unknown-day", rf"(?:xx?|\?\?|--|__)[-/. ]{_M}[-/., ]+{_Y}", _month_year),
    ("unknown-day", rf"{_Y4}-(?P<m>[0-9]{{2}})-(?:xx|\?\?|--|__)", _year_and_month),
    ("year-roman-month-day", rf"{_Y4}{_S}{_R}{_S}{_D}", _named),
    ("month-year", rf"{_M}(?:{_O}{_Y4})", _month_year),
    ("month-year", rf"{_M}{_O}(?P<y>'[0-9]{{2}})", _month_year),
    ("month-year", rf"{_R}[-./ ]{_Y4}", _month_year),
    ("year-month", rf"{_Y4}{_O}{_M}", _month_year),
    ("month-day", rf"(?:{_M}{_O}(?P<d>[0-9]{{1,2}})\.?)", _month_number),
    ("month-day", rf"(?:{_M}{_O}(?P<d>[0-9]{{1,2}})(?:st|nd|rd|th))", _day_month),
    ("day-month", rf"{_D}{_O}(?:the )?{_M}", _day_month),
    ("day-roman-month", rf"{_D}[-./ ]{_R}\.?", _day_month),
    ("year-month", r"(?P<y>[0-9]{4})(?P<s>[-/._ ])(?P<m>[0-9]{1,2})", _year_month),
    ("number-year", rf"(?P<n>[0-9]{{1,3}}) ?[-/._ ] ?{_Y4}", _number_year),
    ("year-day-of-year", rf"{_Y4}-(?P<n>[0-9]{{3}})", _ordinal),
    ("iso-week", rf"{_Y4}-?w(?P<w>[0-9]{{2}})-?(?P<d>[0-9])", _week),
    ("two-numbers", r"(?P<a>[0-9]{1,2}) ?(?P<s>[-/._]) ?(?P<b>[0-9]{1,2})", _two_numbers),
    ("month", _M, _only_month),
    ("year", rf"{_Y4}", _only_year),
    ("day-of-the-month", _D, _bare_day),
    ("spreadsheet-day-number", r"[0-9]{4,6}\.[0-9]+", _serial),
    ("five-digits", r"[1-9][0-9]{4}", _five_digits),
    ("six-digits", r"[0-9]{6}", _six_digits),
    ("seven-digits", r"[0-9]{7}", _seven_digits),
    ("eight-digits", r"[0-9]{8}", _eight_digits),
)  # fmt: skip
FORMS = tuple(Form(name, re.compile(pattern), build) for name, pattern, build in _TABLE)


def points(text: str) -> tuple[Point, ...]:
    """Every reading of the text as one date, in the order of the table of forms; () if no form fits."""
    read: dict[Point, None] = {}
    for form in FORMS:
        found = form.pattern.fullmatch(text)
        if found:
            read.update(dict.fromkeys(point._replace(form=point.form or form.name) for point in form.build(found)))
    return tuple(read)
