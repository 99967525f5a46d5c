"""One date or a stretch of dates in a cell: every way the plain text can be cut into a start and an end.

Nothing is chosen here. A part that one end leaves out ("12-13 May 2023", "5/12-13/23") is taken from the other.
Source: Darwin Core `eventDate` for start/end; the spoken forms are common practice, no source.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from dwc_pipeline.normalise.clock import CLOCK, read_clock
from dwc_pipeline.normalise.date_context import DAY_FIRST, MONTH_FIRST
from dwc_pipeline.normalise.date_forms import LOST_ZERO, Point, points
from dwc_pipeline.normalise.time_ranges import stretches

#: years that a record can have; older or later ones are slips of the pen (BDQ draft: earliestValidDate 1582-11-15)
YEARS = (1583, 2199)


#: form of the start of "3-5/14": a day, and then month and day
RARE_RANGE = "rare-range"
#: form of one date with a start and an end of the clock
TWO_CLOCKS = "date-and-two-times"


class Span(NamedTuple):
    """A start and, for a stretch of time, an end. weak: a rare writing, used only where the usual one fails."""

    start: Point
    end: Point | None = None
    weak: bool = False

    @property
    def form(self) -> str:
        """Name of the written form."""
        return self.start.form if self.end is None else "date-range"


#: offsets from UTC that clocks of the world keep: whole hours and the half and quarter hours in use (from memory)
_ZONE = (
    r"(?: ?(?P<zone>z|utc|gmt|[+-](?:0[0-9]|1[0-2]):?00|\+1[34]:?00"
    r"|-0[239]:?30|\+(?:0[3-69]|10):?30|\+(?:05|08|12):?45"
    r"|[+-](?:0[0-9]|1[0-2])))?"
)
_TAIL = re.compile(
    rf"(?P<date>.*?[0-9a-z.])(?P<separator>(?<=[0-9])t(?=[0-9])|,? ?@ ?|,? at |, ?| )(?P<clock>{CLOCK}){_ZONE}"
)
_TWO_CLOCKS = re.compile(
    rf"(?P<date>.*?[0-9a-z.])(?:(?<=[0-9])t(?=[0-9])|,? ?@ ?|,? at | from |, ?| )(?P<one>{CLOCK})"
    rf"(?: ?- ?| to )(?P<two>{CLOCK})"
)
_UNIFORM = re.compile(
    r"[0-9]{1,4}(?P<s>[-/._ ])(?:[0-9]{1,2}|[a-z]+)(?P=s)'?[0-9]{1,4}|[a-z]+\.?(?P<t>[-/ ])[0-9]{1,2}(?P=t)[0-9]{2,4}"
)
_SPOKEN = re.compile(r" (?:-|--|to|thru|through|until|till|til|into|au|al|bis) |--|->| ?\.\. ?")
_DAY_YEAR = re.compile(r"(?P<d>[0-9]{1,2})(?:st|nd|rd|th)?(?: ?[-/.,] ?| )(?P<y>'?[0-9]{2}|[0-9]{4})")
_NIGHT = re.compile(
    r"(?P<a>[0-9]{1,2})/(?P<b>[0-9]{1,2})(?P<s>[-.])(?P<m>[0-9]{1,2})(?:(?P=s)(?P<y>'?[0-9]{2}|[0-9]{4}))?"
)
_DECADE = re.compile(r"(?:the )?(?P<y>1[6-9]|20)(?P<d>[0-9])0'?s")
_WEEK = re.compile(r"(?P<y>[0-9]{4})-?w(?P<w>[0-9]{2})")
_SCHOOL_YEARS = re.compile(r"(?P<one>[0-9]{4})-(?P<two>[0-9]{2})")


@lru_cache(maxsize=65_536)
def spans(text: str) -> tuple[Span, ...]:
    """Every way to read the text as one date or as a stretch from a start to an end."""
    read = dict.fromkeys(Span(point, weak=point.weak) for point in points_and_clock(text))
    read.update(dict.fromkeys(_clock_ranges(text)))
    read.update(dict.fromkeys(_years(text)))
    read.update(dict.fromkeys(_nights(text)))
    if _SPOKEN.search(text) or not _UNIFORM.fullmatch(text):
        read.update(dict.fromkeys(_ranges(text)))
    return tuple(read)


def points_and_clock(text: str) -> Iterator[Point]:
    """Readings of a date with or without a time of day after it."""
    text = _BASIC.sub(
        lambda found: f"{found[1]}-{found[2]}-{found[3]}t{':'.join(filter(None, found.group(4, 5, 6)))}", text
    )
    text = _CLOCK_FIRST.sub(r"\g<date> \g<clock>", text, count=1)
    yield from points(text)
    for found in _tails(text):
        for point in points(found["date"].rstrip(",")):
            if point.day is None or point.clock or point.system or not _may_be_followed(point, found):
                continue
            bare = found["clock"].isdigit()
            like_a_year = bare and YEARS[0] <= int(found["clock"]) <= YEARS[1] and point.year is None
            for clock in read_clock(found["clock"]):
                zone = found["zone"] or ""
                weak = point.weak or like_a_year or (bare and len(found["clock"]) == 3)
                yield point._replace(clock=clock, zone=zone, weak=weak)


#: the basic form of ISO 8601, as loggers write it; and a time that stands before its date
_BASIC = re.compile(
    r"^((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})[t _]?([0-9]{2})([0-9]{2})([0-9]{2})?(?=(?:z|[+-][0-9:]+)?$)"
)
_CLOCK_FIRST = re.compile(
    r"^(?P<clock>(?:[0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?|0[0-9][0-5][0-9](?: ?h(?:rs?)?)?)(?: ?[ap]\.?m\.?)?),? "
    r"(?P<date>.*[0-9].*)$"
)


def _may_be_followed(point: Point, found: re.Match[str]) -> bool:
    """Bare digits are a time only where they cannot belong to the date; an offset needs an ISO date."""
    clock, zone = found["clock"], found["zone"] or ""
    if zone[:1] in ("+", "-") and point.form != "year-month-day":
        return False
    if not clock.isdigit():
        return True
    if found["separator"].startswith(","):
        return False
    return len(clock) == 4 and point.month is not None if point.year is None else not (zone and len(clock) == 3)


def _tails(text: str) -> Iterator[re.Match[str]]:
    found = _TAIL.fullmatch(text)
    if found:
        yield found


def _clock_ranges(text: str) -> Iterator[Span]:
    """ "5/14/2023 2200-0130": one date, two times; the end may lie on the next day."""
    found = _TWO_CLOCKS.fullmatch(text)
    if not found:
        return
    for point in points(found["date"].rstrip(",")):
        if point.day is None or point.clock or point.weak or point.year is None:
            continue
        for one, two in stretches(found["one"], found["two"]):
            yield Span(point._replace(clock=one, form=TWO_CLOCKS), point._replace(clock=two, form=TWO_CLOCKS))


def _nights(text: str) -> Iterator[Span]:
    """ "5/6-7" and "28/29-6-23": the night between two days, and its month; only who writes days first does so."""
    found = _NIGHT.fullmatch(text)
    if not found or int(found["b"]) != int(found["a"]) + 1:
        return
    digits = (found["y"] or "").lstrip("'")
    year = int(digits) if digits else None
    start, end = (
        Point(year, int(found["m"]), int(found[day]), len(digits) == 2, DAY_FIRST, form="night") for day in "ab"
    )
    yield Span(start, end)


def _years(text: str) -> Iterator[Span]:
    """Decades, and "2022-23" for two years."""
    found = _DECADE.fullmatch(text)
    if found:
        first = int(found["y"] + found["d"] + "0")
        yield Span(Point(first, 1, 1, form="decade"), Point(first + 9, 12, 31, form="decade"))
    found = _WEEK.fullmatch(text)
    if found and 1 <= int(found["w"]) <= 53:
        yield from _week(int(found["y"]), int(found["w"]))
    found = _SCHOOL_YEARS.fullmatch(text)
    if found and int(found["two"]) == (int(found["one"]) + 1) % 100:
        yield Span(Point(int(found["one"]), form="years"), Point(int(found["one"]) + 1, form="years"), weak=True)


def _week(year: int, week: int) -> Iterator[Span]:
    """Monday to Sunday of a week counted as in ISO 8601."""
    try:
        first, last = (dt.date.fromisocalendar(year, week, day) for day in (1, 7))
    except ValueError:
        return
    start, end = (Point(day.year, day.month, day.day, form="iso-week") for day in (first, last))
    yield Span(start, end)


_TWO_YEARS = re.compile(r"[0-9]{4} ?/ ?[0-9]{4}")
#: "28/29.06.2023" and "30.06./01.07.2023": dots within the dates, so the slash parts two of them
_DOTTED = re.compile(r"[0-9]{1,2}\.?(?:[0-9]{1,2}\.?)? ?[-/] ?[0-9]{1,2}\.[0-9]{1,2}\.(?:'?[0-9]{2}|[0-9]{4})?")
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}(?:-[0-9]{2}.*)?")


def _cuts(text: str) -> Iterator[tuple[str, str]]:
    """Places where the text can be cut into a start and an end."""
    for found in _SPOKEN.finditer(text):
        yield text[: found.start()], text[found.end() :]
    dashes = [place for place, sign in enumerate(text) if sign == "-"]
    slashes = [place for place, sign in enumerate(text) if sign == "/"]
    for place in {dashes[0], dashes[len(dashes) // 2]} if dashes else ():
        if len(dashes) == 1 or len(dashes) % 2 or text[:place].isdigit():
            yield text[:place].rstrip(), text[place + 1 :].lstrip()
    for place in {slashes[0], slashes[len(slashes) // 2]} if slashes else ():
        left, right = text[:place].rstrip(), text[place + 1 :].lstrip()
        if re.search(r"[a-z]", text) or _DOTTED.fullmatch(text) or _ISO.fullmatch(left) or _TWO_YEARS.fullmatch(text):
            yield left, right


def _ranges(text: str) -> Iterator[Span]:
    is_dotted = _DOTTED.fullmatch(text) is not None
    for left, right in _cuts(text):
        left = left.removesuffix(".") if is_dotted and left.count(".") > 1 else left
        starts = [point for point in points_and_clock(left) if not point.weak]
        ends = [point for point in points_and_clock(right) if not point.weak]
        if is_dotted and left.endswith("."):  # "3./4.6.2023": a dot after the day is written where days stand first
            ends = [point for point in ends if point.order != MONTH_FIRST]
        ends += _day_and_year(right)
        for start in starts:
            for end in ends:
                yield from _join(start, end, right)


def _day_and_year(text: str) -> list[Point]:
    """ "13, 2023" after "May 12 -"."""
    found = _DAY_YEAR.fullmatch(text)
    if not found:
        return []
    digits = found["y"].lstrip("'")
    return [Point(int(digits), None, int(found["d"]), len(digits) == 2, form="day-year")]


#: forms of months and years that belong together: "Apr-May 2023", "2022-2023"; "May-2023 12" is no such pair
_COARSE_PAIRS = {
    ("month", "month-year"),
    ("month", "month"),
    ("month-year", "month-year"),
    ("year-month", "year-month"),
    ("number-year", "number-year"),
    ("year", "year"),
}


def _join(start: Point, end: Point, right: str) -> Iterator[Span]:
    """The stretch from start to end if the two readings can belong together."""
    if start.fault or end.fault or start.system != end.system:
        return
    if (start.day is None) != (end.day is None) or bool(start.clock) != bool(end.clock):
        return
    if end.form == "day-year" and start.month is None:
        return
    orders = {start.order, end.order} - {""}
    if len(orders) > 1 or "month-year" in orders or LOST_ZERO in (start.form, end.form):
        return
    if start.day is not None and start.month is None and end.month is not None:
        if not right[:1].isdigit() or start.year is not None:
            return
        # "3-5/6/2023": a day-first column writes so, a month-first one proves nothing; "3-5/14" is hardly a range
        start = start._replace(month=end.month, form=RARE_RANGE if end.order == MONTH_FIRST else start.form)
        end = end._replace(order=MONTH_FIRST if end.order == MONTH_FIRST else "")
    if end.day is not None and end.month is None and start.month is not None:
        end = end._replace(month=start.month, order=start.order)
    if start.day is None and (start.form, end.form) not in _COARSE_PAIRS:
        return
    is_whole = start.month is not None and start.year is not None and end.year is not None
    first, last = _share_year(start, end)
    if first[:3] == last[:3] and not (is_whole or start.clock):
        return  # "1/6-1" is no range from a day to itself
    yield Span(first, last)


def _share_year(start: Point, end: Point) -> tuple[Point, Point]:
    """Give the year that one end has to the other; over new year the start is a year earlier."""
    backwards = bool(start.month and end.month and start.month > end.month)
    if start.year is None and end.year is not None:
        year = end.year - 1 if backwards else end.year
        start = start._replace(year=year % 100 if end.short_year else year, short_year=end.short_year)
    elif end.year is None and start.year is not None:
        year = start.year + 1 if backwards else start.year
        end = end._replace(year=year % 100 if start.short_year else year, short_year=start.short_year)
    return start, end


_LIST = re.compile(r" ?(?:&|;|\+|\||, and|\band\b|,) ?")


def several_dates(text: str) -> tuple[str, ...]:
    """The parts of a cell that holds more than one date, such as "5/14/2023 & 5/20/2023"; () if it does not."""
    for separator in (_LIST, re.compile(" or ")):
        parts = [part for part in separator.split(text) if part]
        if len(parts) > 1 and all(any(point.day for point in points_and_clock(part)) for part in parts):
            return tuple(parts)
    parts = text.split(" ")
    if len(parts) > 1 and all(any(point.day and point.month for point in points(part)) for part in parts):
        return tuple(parts)
    return ()
