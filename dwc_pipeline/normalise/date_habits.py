"""What the dates of one column, and the titles around it, tell about reading its unclear ones.

The order of evidence is: an impossible reading elsewhere in the column, the order of the rows, the survey file.
Where two kinds of evidence disagree, no order is decided and the unclear dates are asked.
Source: common practice, no source.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from dwc_pipeline.normalise.date_choice import is_inside
from dwc_pipeline.normalise.date_context import DAY_FIRST, MONTH_FIRST, DateContext, Window
from dwc_pipeline.normalise.date_forms import MONTHS
from dwc_pipeline.normalise.date_phrases import take_apart
from dwc_pipeline.normalise.date_readings import Reading, readings_of
from dwc_pipeline.normalise.date_spans import RARE_RANGE, spans
from dwc_pipeline.normalise.date_text import is_blank, plain

__all__ = ["DateContext", "Window", "date_habits"]

_SPOKEN = {MONTH_FIRST: "month first", DAY_FIRST: "day first"}
#: rows in date order decide only with this many unclear dates, and this many steps back under the other order
FEWEST_ORDERED_DATES = 5
FEWEST_STEPS_BACK = 2
#: a single cell of year, day, month among more than ten of year, month, day is a slip of its own. [share]; our choice
SHARE_OF_YEAR_DAY_MONTH = 0.1
YEAR_FIRST = re.compile(r"\s*\d{4}\b")


class _Read(NamedTuple):
    text: str
    possible: tuple[Reading, ...]
    rare: tuple[Reading, ...]


def date_habits(
    distinct_texts: Sequence[str], stored: Sequence[str], base: DateContext, titles: Sequence[str] = ()
) -> DateContext:
    """The context of a column: `base`, with what its own cells and the titles add.

    distinct_texts, stored: the column's distinct cells as shown and as stored by the file ("" for plain text),
    same length, in the order of their first row. base: season, survey file, workbook; its `order` is what the
    survey file declares. titles: sheet name, cells above the table, file name.
    """
    context = _with_titles(base, titles)
    plain_cells = [
        text for text, typed in zip(distinct_texts, stored, strict=True) if not typed and not is_blank(text)
    ]
    read = [_read(text, context) for text in plain_cells]
    context = replace(
        context,
        short_form=_short_form(read, context),
        dash_form=_dash_form(read, context),
        year_day_month=_year_day_month(read),
    )
    proofs = {order: _proof(read, order, context) for order in (MONTH_FIRST, DAY_FIRST)}
    context = _with_order(context, proofs, read)
    return replace(context, typed_suspect=_typed_suspect([typed for typed in stored if typed], proofs))


def _read(text: str, context: DateContext) -> _Read:
    phrase = take_apart(plain(text))
    found = [one for span in spans(phrase.core) for one in readings_of(span, context) if not one.fault]
    return _Read(text, tuple(one for one in found if not one.weak), tuple(one for one in found if one.weak))


def _proof(read: Iterable[_Read], order: str, context: DateContext) -> str:
    """A cell that can only be read in this order; "" if there is none."""
    for one in read:
        tags = {reading.order for reading in one.possible if reading.point.form != RARE_RANGE}
        others = [r for r in one.possible if r.order not in (MONTH_FIRST, DAY_FIRST) and is_inside(r, context)]
        if tags & {MONTH_FIRST, DAY_FIRST} == {order} and not others:
            return one.text
    return ""


def _with_order(context: DateContext, proofs: dict[str, str], read: Sequence[_Read]) -> DateContext:
    found = [order for order, text in proofs.items() if text]
    if len(found) == 2:
        texts = " and ".join(f"{proofs[order]!r}, which can only be {_SPOKEN[order]}" for order in found)
        return replace(context, order="", order_evidence=f"the column has both {texts}")
    if found:
        order, why = found[0], f"the column also has {proofs[found[0]]!r}, which can only be {_SPOKEN[found[0]]}"
    else:
        order, why = _row_order(read)
    declared = context.order
    if not order:
        spoken = f"the survey file says {_SPOKEN[declared]}" if declared else ""
        return replace(context, order_evidence=context.order_evidence or spoken)
    if declared and declared != order:
        against = f"{why}, but {context.order_evidence or f'the survey file says {_SPOKEN[declared]}'}"
        return replace(context, order="", order_evidence=against)
    return replace(context, order=order, order_evidence=why)


def _row_order(read: Sequence[_Read]) -> tuple[str, str]:
    """The order under which the unclear dates run forward, if they clearly do not under the other.

    Cells sorted as text prove nothing: sorting puts the first number in order, whatever it is.
    """
    days: dict[str, list[dt.date]] = {MONTH_FIRST: [], DAY_FIRST: []}
    texts = []
    for one in read:
        both = [[r.first for r in one.possible if r.order == order and r.first is not None] for order in days]
        if all(len(set(found)) == 1 for found in both):
            texts.append(one.text)
            for order, found in zip(days, both, strict=True):
                days[order].append(found[0])
    back = {order: sum(later < earlier for earlier, later in pairwise(run)) for order, run in days.items()}
    if len(texts) < FEWEST_ORDERED_DATES or texts == sorted(texts):
        return "", ""
    for order, other in ((MONTH_FIRST, DAY_FIRST), (DAY_FIRST, MONTH_FIRST)):
        if back[order] == 0 and back[other] >= FEWEST_STEPS_BACK:
            return order, f"the rows run forward in time only if dates are {_SPOKEN[order]}"
    return "", ""


def _short_form(read: Iterable[_Read], context: DateContext) -> str:
    """A cell that shows that two numbers, or a month and a number, are a day here and not a month of a year."""
    for one in read:
        days = [r for r in one.possible if r.point.day is not None and r.form in ("two-numbers", "month-day")]
        months = [r for r in one.possible if r.order == "month-year"]
        if days and not any(is_inside(r, context) for r in months):
            return f"the column also has {one.text!r}, which is a day"
    return ""


_DASHED = re.compile(r" *[0-9]{1,2} ?- ?[0-9]{1,2} *")


def _dash_form(read: Iterable[_Read], context: DateContext) -> str:
    """A cell such as "6-2" that is no stretch of days, so that "5-14" is none either; "" if days alone also occur."""
    told = ""
    for one in read:
        if not _DASHED.fullmatch(one.text):
            continue
        dates = [r for r in one.possible if r.point.month is not None and r.point.day is not None]
        days = [r for r in one.possible if r.point.month is None]
        if days and not dates:
            return ""
        if dates and not days and any(r.first is not None and is_inside(r, context) for r in dates):
            told = told or f"the column also has {one.text!r}, which is no stretch of days"
    return told


def _year_day_month(read: Sequence[_Read]) -> str:
    """A cell that can only be year, day, month; "" where one such cell stands against many that cannot be."""
    told = [one for one in read if not one.possible and _is_year_day_month(one)]
    against = [one for one in read if one.possible and YEAR_FIRST.match(one.text) and not _is_year_day_month(one)]
    if not told or len(told) < SHARE_OF_YEAR_DAY_MONTH * len(against):
        return ""
    return f"the column also has {told[0].text!r}, where the day stands before the month"


def _is_year_day_month(one: _Read) -> bool:
    return any(reading.order == "year-day-month" for reading in one.rare)


def _typed_suspect(typed: Sequence[str], proofs: dict[str, str]) -> str:
    """Evidence that a spreadsheet of another country took days for months, and left the impossible ones as text."""
    left_as_text = [text for text in proofs.values() if text]
    days = [int(text[8:10]) for text in typed if re.match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text)]
    if len(left_as_text) != 1 or not days or max(days) > 12:
        return ""
    return f"{left_as_text[0]!r} stayed text and no date of the column has a day after the 12th"


_YEAR = re.compile(r"(?<![0-9])(?:19|20)[0-9]{2}(?![0-9])")
_NAMES = "|".join(sorted((name for name in MONTHS if name.isascii()), key=len, reverse=True))
_MONTH = re.compile(
    rf"(?<![a-z])(?P<m>{_NAMES})(?![a-z])\.?[ ,_.-]*(?:'?[0-9]{{2}}|[0-9]{{4}})?(?![a-z0-9])", re.IGNORECASE
)
_ALONE = re.compile(rf"[ _.-]*(?P<m>{_NAMES})[ _.-]*", re.IGNORECASE)


def _with_titles(base: DateContext, titles: Sequence[str]) -> DateContext:
    """Year and month from the titles; neither where the titles name several."""
    years: dict[int, str] = {}
    months: dict[int, str] = {}
    for title in titles:
        for found in _YEAR.finditer(title):
            if int(found[0]) <= base.today.year + 1:
                years.setdefault(int(found[0]), title)
        named = _ALONE.fullmatch(title) or next((m for m in _MONTH.finditer(title) if _YEAR.search(m[0])), None)
        if named:
            months.setdefault(MONTHS[named["m"].lower()], title)
    context = base
    if base.year is None and len(years) == 1:
        year, title = next(iter(years.items()))
        context = replace(context, year=year, year_evidence=f'the title "{title}"')
    if base.month is None and len(months) == 1:
        month, title = next(iter(months.items()))
        context = replace(context, month=month, month_evidence=f'the title "{title}"')
    return context
