"""The map of the sites as a chart in the workbook: degrees on both axes in true proportion, north up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from dwc_pipeline.write.figures.place_map import Pin, PlaceMap
from dwc_pipeline.write.figures.scale import STEPS

#: the plot in the picture: its left and upper edge and its size, as parts of the whole
LEFT, TOP, WIDE, HIGH = 0.09, 0.03, 0.88, 0.83
#: [pixels]
PICTURE_WIDTH, HIGHEST_PLOT, LOWEST_PLOT = 920.0, 520.0, 220.0
STEPS_ON_AN_AXIS = 5
#: first of the columns that hold the numbers behind the map
NUMBERS_FROM = 26
#: kind of place -> colour, sign and name in the legend
SIGNS = {"array": ("#20603A", "diamond", "array"), "other": ("#9A5B00", "circle", "other place")}


class Axis(NamedTuple):
    """An axis of round degrees: first and last degree, and the step between lines."""

    low: float
    high: float
    step: float

    @property
    def digits(self) -> int:
        """Decimals of a number on the axis."""
        return next(digits for digits in range(9) if math.isclose(round(self.step, digits), self.step) or digits == 8)


def round_axis(values: Sequence[float], step: float = 0.0) -> Axis:
    """An axis round the values with a margin; the step is chosen where it is 0."""
    span = max(max(values) - min(values), 0.002)
    low, high = min(values) - 0.06 * span, max(values) + 0.06 * span
    if not step:
        raw = (high - low) / STEPS_ON_AN_AXIS
        power = 10.0 ** math.floor(math.log10(raw))
        step = next(one * power for one in STEPS if one * power >= raw - 1e-12)
    return Axis(math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step, step)


def axes(longitudes: Sequence[float], latitudes: Sequence[float]) -> tuple[Axis, Axis, float, float]:
    """Both axes with one step, and width and height of the plot that show a metre equally long on both. [pixels]"""
    across, up = round_axis(longitudes), round_axis(latitudes)
    step = max(across.step, up.step)
    across, up = round_axis(longitudes, step), round_axis(latitudes, step)
    shrink = math.cos(math.radians((up.low + up.high) / 2))
    wide, tall = (across.high - across.low) * shrink, up.high - up.low
    while tall / wide * PICTURE_WIDTH * WIDE < LOWEST_PLOT:
        up = Axis(up.low - step, up.high + step, step)
        tall = up.high - up.low
    width = min(PICTURE_WIDTH * WIDE, HIGHEST_PLOT * wide / tall)
    return across, up, width, width * tall / wide


def draw_map(book: Any, page: Any, tab: str, drawn: PlaceMap, row: int) -> None:
    """Draw the map from `row` on; the numbers behind it stand far to the right, outside the printed part."""
    chart = book.add_chart({"type": "scatter"})
    named = set()
    for column, ring in zip(itertools.count(NUMBERS_FROM, 2), drawn.rings, strict=False):
        _numbers(page, column, "outline: longitude", [x for x, _ in ring])
        _numbers(page, column + 1, "latitude", [y for _, y in ring])
        chart.add_series(
            {
                "name": "outline of the property",
                "categories": [tab, 1, column, len(ring), column],
                "values": [tab, 1, column + 1, len(ring), column + 1],
                "marker": {"type": "none"},
                "line": {"color": "#777777", "width": 1.25},
            }
        )
    repeated = list(range(1, len(drawn.rings)))
    column = NUMBERS_FROM + 2 * len(drawn.rings)
    pins = sorted(drawn.pins, key=lambda pin: (kind_of(pin), side_of(pin)))
    for (kind, side), group in itertools.groupby(pins, key=lambda pin: (kind_of(pin), side_of(pin))):
        own = list(group)
        _numbers(page, column, f"{SIGNS[kind][2]}: longitude", [pin.site.longitude for pin in own])
        _numbers(page, column + 1, "latitude", [pin.site.latitude for pin in own])
        if kind in named:
            repeated.append(len(chart.series))
        named.add(kind)
        chart.add_series(_points(tab, column, own, kind, side))
        column += 2
    _dress(chart, drawn, repeated)
    page.insert_chart(row, 0, chart, {"object_position": 2, "description": "Map of the sites, north up."})


def kind_of(pin: Pin) -> str:
    """Which sign a place has."""
    return "array" if pin.site.kind == "array" else "other"


def side_of(pin: Pin) -> str:
    """Where the name stands beside the point."""
    if pin.anchor == "middle":
        return "above" if pin.label_y < pin.y else "below"
    return "right" if pin.anchor == "start" else "left"


def as_label(name: str) -> str:
    """The name as a label that is never a formula."""
    return f" {name}" if name.startswith("=") else name


def _numbers(page: Any, column: int, header: str, values: Sequence[float]) -> None:
    page.write_string(0, column, header)
    page.write_column(1, column, values)


def _points(tab: str, column: int, pins: list[Pin], kind: str, side: str) -> dict[str, Any]:
    colour, sign, name = SIGNS[kind]
    return {
        "name": name,
        "categories": [tab, 1, column, len(pins), column],
        "values": [tab, 1, column + 1, len(pins), column + 1],
        "line": {"none": True},
        "marker": {"type": sign, "size": 8, "fill": {"color": colour}, "border": {"color": colour}},
        "data_labels": {
            "value": True,
            "position": side,
            "font": {"size": 9},
            "custom": [{"value": as_label(pin.site.name)} for pin in pins],
        },
    }


def _dress(chart: Any, drawn: PlaceMap, repeated: list[int]) -> None:
    places = [(pin.site.longitude, pin.site.latitude) for pin in drawn.pins] + [
        one for ring in drawn.rings for one in ring
    ]
    across, up, width, height = axes([x for x, _ in places], [y for _, y in places])
    for axis, scale, name in ((chart.set_x_axis, across, "Longitude"), (chart.set_y_axis, up, "Latitude")):
        axis(
            {
                "name": f"{name} [degrees]",
                "min": scale.low,
                "max": scale.high,
                "major_unit": scale.step,
                "crossing": "min",
                "num_format": "0" + ("." + "0" * scale.digits if scale.digits else ""),
                "major_gridlines": {"visible": True, "line": {"color": "#DDDDDD"}},
                "num_font": {"size": 9},
                "label_position": "low",
            }
        )
    chart.set_plotarea({"layout": {"x": LEFT, "y": TOP, "width": WIDE, "height": HIGH}})
    chart.set_size({"width": round(width / WIDE), "height": round(height / HIGH)})
    chart.set_legend({"position": "bottom", "delete_series": repeated})
