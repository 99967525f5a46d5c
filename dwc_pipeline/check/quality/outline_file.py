"""The file of country outlines, decoded: Natural Earth 1:10m, public domain, as TopoJSON."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from dwc_pipeline.check.quality.registry import read_facts
from dwc_pipeline.terms.schema import schemas_folder


@dataclass(frozen=True)
class LandPart:
    """One piece of land. code: ISO 3166-1, "" if it has none of its own. lines: numbers of its border lines."""

    code: str
    polygon: Any
    lines: tuple[int, ...]


@cache
def land_parts() -> tuple[LandPart, ...]:
    """Every piece of land of the file, longitude and latitude."""
    topology, lines = _topology()
    codes = {row["numeric"]: row["alpha_2"] for row in read_facts("countries") if row["numeric"]}
    parts = []
    for shape in topology["objects"]["countries"]["geometries"]:
        numeric = shape.get("id", "")
        rings_of_parts = [shape["arcs"]] if shape["type"] == "Polygon" else shape.get("arcs", [])
        for rings in rings_of_parts:
            polygon = _polygon(rings, lines)
            if polygon is not None:
                code = _own_code(numeric, polygon) or codes.get(numeric, "")
                parts.append(LandPart(code, polygon, tuple(_numbers(rings))))
    return tuple(parts)


def line_points() -> list[NDArray[np.float64]]:
    """Points of each border line, longitude and latitude. A line of one piece of land only is a coast."""
    return _topology()[1]


def _own_code(numeric: str, polygon: Any) -> str:
    middle = polygon.centroid
    for drawn_as, code, (west, south, east, north) in _boxes():
        if drawn_as == numeric and west <= middle.x <= east and south <= middle.y <= north:
            return code
    return ""


@cache
def _boxes() -> tuple[tuple[str, str, tuple[float, ...]], ...]:
    return tuple(
        (row["drawn_as"], row["code"], tuple(float(row[side]) for side in ("west", "south", "east", "north")))
        for row in read_facts("outline_parts")
    )


@cache
def _topology() -> tuple[dict[str, Any], list[NDArray[np.float64]]]:
    """The file, and its lines as longitude and latitude; they are stored as whole steps from point to point."""
    with gzip.open(schemas_folder() / "quality" / "country_outlines_10m.json.gz", "rt", encoding="utf-8") as text:
        topology: dict[str, Any] = json.load(text)
    scale, origin = np.array(topology["transform"]["scale"]), np.array(topology["transform"]["translate"])
    return topology, [np.cumsum(np.array(line), axis=0) * scale + origin for line in topology["arcs"]]


def _polygon(rings: Sequence[Sequence[int]], lines: Sequence[NDArray[np.float64]]) -> Any:
    """A polygon from its rings, made valid and cut at 180 degrees; None if it is too small to be one."""
    points = [_ring(ring, lines) for ring in rings]
    shell, holes = points[0], [ring for ring in points[1:] if len(ring) >= 4]
    if len(shell) < 4:
        return None
    polygon = shapely.Polygon(shell, holes)
    if not polygon.is_valid:
        whole = shapely.get_parts(shapely.make_valid(polygon, method="structure", keep_collapsed=False))
        polygon = shapely.multipolygons([part for part in whole if part.geom_type == "Polygon"])
    return None if polygon.is_empty else _cut_at_date_line(polygon)


def _cut_at_date_line(polygon: Any) -> Any:
    """What runs past 180 degrees east or west, brought back to the other side."""
    west, _, east, _ = polygon.bounds
    if west >= -180 and east <= 180:
        return polygon
    pieces = []
    for turn in (-360.0, 0.0, 360.0):
        piece = shapely.clip_by_rect(polygon, turn - 180, -90, turn + 180, 90)
        pieces.append(shapely.transform(piece, lambda points, turn=turn: points - [turn, 0.0]))
    return shapely.union_all(pieces)


def _ring(ring: Sequence[int], lines: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
    """A ring from its lines; a negative number is a line walked backwards.

    Longitudes run on past 180 degrees, so that no side of the ring crosses the whole map.
    """
    pieces = [lines[number] if number >= 0 else lines[~number][::-1] for number in ring]
    points = np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])
    points[:, 0] = np.unwrap(points[:, 0], period=360)
    turn = points[-1, 0] - points[0, 0]
    if abs(turn) < 180:
        return points
    # The ring goes once around a pole: close it over the pole.
    pole = 90.0 if points[:, 1].mean() > 0 else -90.0
    return np.vstack([points, [points[-1, 0], pole], [points[0, 0], pole], points[0]])


def _numbers(rings: Sequence[Sequence[int]]) -> Iterator[int]:
    for ring in rings:
        for number in ring:
            yield number if number >= 0 else ~number
