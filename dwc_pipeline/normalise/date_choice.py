"""Decides between the readings of a date by the evidence, and names it; where evidence disagrees, it asks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from dwc_pipeline.core.rule import Rule
from dwc_pipeline.normalise.date_context import DAY_FIRST, MONTH_FIRST, DateContext
from dwc_pipeline.normalise.date_forms import LOST_ZERO
from dwc_pipeline.normalise.date_readings import Reading
from dwc_pipeline.normalise.date_rules import TWO_READINGS, WEEKDAY_DISAGREES, YEAR_UNKNOWN

_DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class Choice(NamedTuple):
    """The outcome.

    chosen: the one reading, or None. left: what remains open, best first. note: the evidence, or why it is open.
    """

    chosen: Reading | None
    left: tuple[str, ...]
    note: str
    rule: Rule = TWO_READINGS


def choose(readings: Sequence[Reading], weekdays: Sequence[int], context: DateContext) -> Choice:
    """The reading that the evidence settles. `readings` are days of the calendar, at least one."""
    pool, spare = _usual(readings, context)
    evidence: list[str] = []
    if weekdays:
        agreeing = [one for one in pool if _agrees(one, weekdays)]
        if not agreeing:
            return _weekday_disagrees(pool, weekdays)
        if len(agreeing) < len(pool):
            evidence.append(f"the weekday {_DAY_NAMES[weekdays[0]]} agrees with no other reading")
        # a weekday narrows, and the column's order must not contradict it
        by_weekday = agreeing
    else:
        by_weekday = pool
    filters = (
        (by_weekday, ""),
        (_by_order(pool, context), context.order_evidence or context.order),
        (_by_title(pool, context), f"year {context.year} from {context.year_evidence or 'the titles'}"),
        (_by_month(pool, context), f"month from {context.month_evidence or 'the header'}"),
        (_by_window(pool, context), _outside_note(pool, context)),
    )
    both = [one for one in pool if all(one in kept for kept, _ in filters)]
    evidence += [
        why for kept, why in filters[1:] if len(kept) < len(pool) and len(_values(kept)) < len(_values(pool))
    ]
    if not both:
        return Choice(None, _values(pool), "the evidence disagrees: " + "; ".join(evidence))
    values = _values(both)
    if len(values) > 1:
        return _open(both, context)
    if both[0].point.form == LOST_ZERO:
        return _open(pool, context)
    if both[0].order == "month-year" and (context.window is None or not is_inside(both[0], context)):
        return Choice(None, values, "it is no day of the calendar, unless it means a month and a year of two digits")
    if refused := _against_header(both[0], context) or _short_year_far_off(both[0], context):
        return Choice(None, values, refused)
    spare = [one for one in spare if not weekdays or _agrees(one, weekdays)]
    return _unless_rarer_fits(both[0], spare, evidence, context)


def _against_header(one: Reading, context: DateContext) -> str:
    """Why two bare numbers are not believed under a header of another month; "" if nothing is against them."""
    written = one.point.form == "two-numbers" and context.month is not None and not one.by_header
    if not written or one.first is None or one.first.month == context.month:
        return ""
    return f"it is a day of the month under {context.month_evidence or 'the header'} in no way of reading"


def _short_year_far_off(one: Reading, context: DateContext) -> str:
    """Why a year of two digits is not believed; "" for one in the life of the project, or a year from it."""
    if not one.is_short or one.first is None or context.window is None:
        return ""
    began = context.project_start or context.window.first
    first, last = min(began, context.window.first).year - 1, context.window.last.year + 1
    if first <= one.first.year <= last or (context.project_start is None and one.first.year < first):
        return ""
    return f"the two digits of the year would mean {one.first.year}, far from {context.window.name}"


def _usual(readings: Sequence[Reading], context: DateContext) -> tuple[list[Reading], list[Reading]]:
    """Readings of usual writings, and the rare ones kept in reserve."""
    readings = _by_system(readings, context)
    strong = [one for one in readings if not one.weak or (context.year_day_month and one.order == "year-day-month")]
    if context.short_form:
        days = [one for one in strong if one.order != "month-year"]
        strong = days or strong
    if context.dash_form and context.month is None:
        strong = [one for one in strong if one.point.month is not None] or strong
    pool = strong or list(readings)
    return pool, [one for one in readings if one not in pool]


def _by_system(readings: Sequence[Reading], context: DateContext) -> list[Reading]:
    """Day numbers only in the workbook's own count, where the workbook says which."""
    if not context.date_system:
        return list(readings)
    return [one for one in readings if one.system in ("", context.date_system)] or list(readings)


def _by_order(pool: list[Reading], context: DateContext) -> list[Reading]:
    if not context.order:
        return pool
    against = DAY_FIRST if context.order == MONTH_FIRST else MONTH_FIRST
    return [one for one in pool if one.order != against] or pool


def _by_title(pool: list[Reading], context: DateContext) -> list[Reading]:
    if not any(one.by_title for one in pool):
        return pool
    return [one for one in pool if one.by_title or (one.first is not None and one.first.year == context.year)]


def _by_month(pool: list[Reading], context: DateContext) -> list[Reading]:
    """Under a header that names the month, bare numbers are days of that month."""
    if context.month is None or not any(one.by_header for one in pool):
        return pool
    return [one for one in pool if one.by_header or (one.first is not None and one.first.month == context.month)]


def is_inside(reading: Reading, context: DateContext) -> bool:
    """True if the reading lies in the season, or nothing is known against it."""
    window = context.window
    if window is None:
        return True
    if reading.first is None or reading.last is None:
        # a day and month that fall into the season in some year would have got that year
        return reading.point.month is None or reading.point.day is None
    if reading.point.day is None:
        return window.touches(reading.first, reading.last)
    return window.holds(reading.first, reading.last)


def _by_window(pool: list[Reading], context: DateContext) -> list[Reading]:
    """Readings within the season, and any other so near to it that it cannot be ruled out."""
    if not any(is_inside(one, context) for one in pool):
        return pool
    return [one for one in pool if is_inside(one, context) or _is_near(one, context)]


def _is_near(reading: Reading, context: DateContext) -> bool:
    window = context.window
    if window is None or reading.first is None or reading.last is None or reading.point.day is None:
        return False
    return window.nearly_holds(reading.first, reading.last)


def _outside_note(pool: list[Reading], context: DateContext) -> str:
    outside = _values(one for one in pool if not (is_inside(one, context) or _is_near(one, context)))
    window = context.window
    return f"{', '.join(outside)} would lie outside {window.name}" if outside and window else ""


def _agrees(reading: Reading, weekdays: Sequence[int]) -> bool:
    if reading.first is None or reading.last is None or reading.point.day is None:
        return False
    ends = (reading.first.weekday(), reading.last.weekday())
    return weekdays[0] in ends if len(weekdays) == 1 else tuple(weekdays) in (ends, (ends[0],) * len(weekdays))


def _weekday_disagrees(pool: list[Reading], weekdays: Sequence[int]) -> Choice:
    """The dates as written, then the nearest dates that fall on the weekday."""
    wanted = _DAY_NAMES[weekdays[0]]
    days = [one.first for one in pool if one.first is not None and one.first == one.last]
    near = [day + dt.timedelta(days=(weekdays[0] - day.weekday() + 3) % 7 - 3) for day in days]
    told = ", ".join(f"{day.isoformat()} is a {_DAY_NAMES[day.weekday()]}" for day in dict.fromkeys(days))
    offered = tuple(dict.fromkeys((*_values(pool), *(day.isoformat() for day in near))))
    return Choice(None, offered, f"the cell says {wanted}" + (f", but {told}" if told else ""), WEEKDAY_DISAGREES)


def _values(readings: Iterable[Reading]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.value for one in readings))


def _open(both: list[Reading], context: DateContext) -> Choice:
    values = _values(both)
    if any(one.first is None for one in both):
        return Choice(
            None, values, f"it could stand for {' or '.join(values)}; nothing tells the part marked X", YEAR_UNKNOWN
        )
    undecided = f"; {context.order_evidence}" if not context.order and context.order_evidence else ""
    return Choice(None, values, f"it could be {' or '.join(values)}{undecided}")


def _unless_rarer_fits(one: Reading, spare: list[Reading], evidence: list[str], context: DateContext) -> Choice:
    """A usual reading outside the season gives way to a question if a rare one lies within."""
    note = "; ".join(filter(None, (one.from_context, *evidence)))
    if one.first is None:
        return Choice(None, (one.value,), "nothing tells the part marked X", YEAR_UNKNOWN)
    fitting = [other for other in spare if is_inside(other, context) and other.value != one.value]
    if fitting and not is_inside(one, context):
        return Choice(
            None, _values([*fitting, one]), f"it could be {one.value}, outside the season, or {fitting[0].value}"
        )
    return Choice(one, (), note)
