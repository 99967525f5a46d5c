"""A curve with a band: expected species against checks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from dwc_pipeline.write.figures.scale import Tick, axis_from_zero

WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 960.0, 330.0, 60.0, 24.0, 16.0, 284.0


class Curve(NamedTuple):
    """The geometry: `line` and `band` are the point lists of SVG shapes. [pixels]"""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    x_ticks: list[Tick]
    y_ticks: list[Tick]
    line: str
    band: str
    end_x: float
    end_y: float


def curve(x: Sequence[float], y: Sequence[float], spread: Sequence[float]) -> Curve | None:
    """The line through (x, y) with a band of y ± spread, axes from zero; None with fewer than two points."""
    if len(x) < 2:
        return None
    across, x_ticks = axis_from_zero(max(x), LEFT, WIDTH - RIGHT, parts=8)
    highest = max(value + around for value, around in zip(y, spread, strict=True))
    up, y_ticks = axis_from_zero(highest, BOTTOM, TOP, parts=5)
    line = [(across.at(one), up.at(value)) for one, value in zip(x, y, strict=True)]
    over = [(across.at(a), up.at(b + c)) for a, b, c in zip(x, y, spread, strict=True)]
    under = [(across.at(a), up.at(max(b - c, 0.0))) for a, b, c in zip(x, y, spread, strict=True)]
    return Curve(
        WIDTH, HEIGHT, LEFT, WIDTH - RIGHT, TOP, BOTTOM, x_ticks, y_ticks,
        points(line), points([*over, *reversed(under)]), *line[-1],
    )  # fmt: skip


def points(pairs: Sequence[tuple[float, float]]) -> str:
    """The point list of an SVG shape."""
    return " ".join(f"{x:g},{y:g}" for x, y in pairs)
