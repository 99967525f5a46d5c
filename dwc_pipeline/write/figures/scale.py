"""Axes: round ticks, and from a value to a position."""

from __future__ import annotations

import math
from typing import NamedTuple

STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


class Tick(NamedTuple):
    """Where a tick stands, and what is written at it."""

    at: float
    label: str


class Scale(NamedTuple):
    """A straight axis from `low` at position `start` to `high` at position `end`. [pixels]"""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """The position of a value, to a tenth of a pixel."""
        span = self.high - self.low or 1.0
        return round(self.start + (value - self.low) / span * (self.end - self.start), 1)


def round_step(span: float, parts: int) -> float:
    """A step of 1, 2, 2.5 or 5 times a power of ten that cuts the span into about `parts`.

    >>> round_step(9.3, 5), round_step(230, 4)
    (2.0, 100.0)
    """
    raw = span / parts
    power = 10.0 ** math.floor(math.log10(raw))
    return next(step * power for step in STEPS if step * power >= raw * 0.999)


def axis_from_zero(highest: float, start: float, end: float, parts: int = 5) -> tuple[Scale, list[Tick]]:
    """A scale from 0 to a round value at or above `highest`, and its ticks."""
    top = highest if highest > 0 else 1.0
    step = round_step(top, parts)
    count = math.ceil(top / step - 1e-9)
    scale = Scale(0.0, count * step, start, end)
    return scale, [Tick(scale.at(number * step), f"{number * step:g}") for number in range(count + 1)]
