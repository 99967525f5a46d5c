"""A strip of days for each array: what was known of it on every day of the season."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from dwc_pipeline.write.figures.scale import Tick

LEFT, RIGHT, WIDTH, ROW, BAR = 150.0, 12.0, 960.0, 26.0, 16.0
TOP = 26.0
#: State of a day: ANIMALS, EMPTY and UNKNOWN are days with a check, OPEN is a day without one.
ANIMALS, EMPTY, UNKNOWN, OPEN = "animals", "empty", "unknown", "open"


class Strip(NamedTuple):
    """One array: its name, the middle of its row, and one SVG path a state."""

    name: str
    y: float
    paths: list[tuple[str, str]]


class CalendarStrip(NamedTuple):
    """The geometry. [pixels] months: where each month begins."""

    width: float
    height: float
    left: float
    right: float
    bottom: float
    months: list[Tick]
    strips: list[Strip]


def calendar_strip(days: Mapping[str, Mapping[dt.date, str]]) -> CalendarStrip | None:
    """The strips of all arrays over the days from the first to the last; None without any day."""
    every = sorted({day for own in days.values() for day in own})
    if not every:
        return None
    first, last = every[0].replace(day=1), every[-1]
    per_day = (WIDTH - LEFT - RIGHT) / ((last - first).days + 1)
    strips = []
    for number, (name, own) in enumerate(days.items()):
        middle = TOP + ROW * (number + 0.5)
        paths = [
            (state, bars([day for day, told in sorted(own.items()) if told == state], state, first, per_day, middle))
            for state in (OPEN, EMPTY, ANIMALS, UNKNOWN)
        ]
        strips.append(Strip(name, middle, [(state, path) for state, path in paths if path]))
    months = month_ticks(first, last, per_day)
    return CalendarStrip(WIDTH, TOP + ROW * len(days) + 8, LEFT, WIDTH - RIGHT, TOP + ROW * len(days), months, strips)


def bars(days: Sequence[dt.date], state: str, first: dt.date, per_day: float, middle: float) -> str:
    """One SVG path of a bar a day; an open day without a check is a thin bar over its whole width."""
    tall = 4.0 if state == OPEN else BAR
    wide = per_day if state == OPEN else max(per_day - 1.2, 1.0)
    return "".join(
        f"M{LEFT + (day - first).days * per_day:.1f} {middle - tall / 2:.1f}h{wide:.1f}v{tall:g}h-{wide:.1f}z"
        for day in days
    )


def month_ticks(first: dt.date, last: dt.date, per_day: float) -> list[Tick]:
    """The first of each month; with many months only every third or twelfth is named."""
    starts, day = [], first
    while day <= last:
        starts.append(day)
        day = (day + dt.timedelta(days=32)).replace(day=1)
    every = 1 if len(starts) <= 12 else 3 if len(starts) <= 36 else 12
    return [Tick(round(LEFT + (day - first).days * per_day, 1), day.strftime("%Y-%m")) for day in starts[::every]]
