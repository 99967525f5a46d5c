"""Dots with intervals: one rate a line, its exact limits as a bar."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from dwc_pipeline.write.figures.scale import Tick, axis_from_zero

LEFT, RIGHT, WIDTH, ROW = 230.0, 130.0, 960.0, 24.0
TOP = 34.0


class Rate(NamedTuple):
    """One line: its name, the estimate, its limits, and the words at its right."""

    name: str
    value: float
    lower: float
    upper: float
    told: str


class Mark(NamedTuple):
    """A drawn line: text, positions, and the words at its right."""

    name: str
    y: float
    dot: float
    left: float
    right: float
    told: str


class IntervalPlot(NamedTuple):
    """The geometry. [pixels]"""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    ticks: list[Tick]
    marks: list[Mark]


def interval_plot(rates: Sequence[Rate]) -> IntervalPlot | None:
    """Positions of the rates in the order given, on an axis from zero; None if there is none to draw."""
    if not rates:
        return None
    scale, ticks = axis_from_zero(max(rate.upper for rate in rates), LEFT, WIDTH - RIGHT, parts=6)
    marks = [
        Mark(
            rate.name,
            TOP + ROW * (number + 0.5),
            scale.at(rate.value),
            scale.at(rate.lower),
            scale.at(rate.upper),
            rate.told,
        )
        for number, rate in enumerate(rates)
    ]
    bottom = TOP + ROW * len(rates)
    return IntervalPlot(WIDTH, bottom + 12, LEFT, WIDTH - RIGHT, TOP, bottom, ticks, marks)
