"""Outlines of countries, and how a point lies to them.

The outlines end at the coast. Exclusive economic zones are not at hand: a point at sea is told only where one
country alone is near enough for a zone, or none is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import cos, radians, sqrt
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from numpy.typing import NDArray
from pyproj import Geod

from dwc_pipeline.check.quality.outline_file import land_parts, line_points
from dwc_pipeline.check.quality.registry import read_facts

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

#: Breadth of an exclusive economic zone, 200 nautical miles (UN Convention on the Law of the Sea, article 57). [m]
ZONE_M = 200 * 1852.0
#: With what straight baselines and coarse coasts may add to it. [m]; the addition is ours
ZONE_REACH_M = ZONE_M + 50_000.0
#: Antarctica, where no zone is recognised.
NO_ZONE = "AQ"
METRES_PER_DEGREE = 111_195.0
EARTH_RADIUS_M = 6_371_008.8
GEOD = Geod(ellps="WGS84")


@dataclass(frozen=True)
class Country:
    """alpha_2: ISO 3166-1 code. outline: land, longitude and latitude; None if too small for the outlines.

    centres: latitude and longitude of the points that stand for the country in gazetteers and of its middle.
    """

    alpha_2: str
    alpha_3: str
    name: str
    outline: Any
    centres: tuple[tuple[float, float], ...]


@cache
def countries() -> dict[str, Country]:
    """Countries by two-letter code, and the two codes without a land: XZ (high seas), ZZ (unknown)."""
    outlines = _outlines()
    listed = {}
    for row in read_facts("countries"):
        outline = outlines.get(row["alpha_2"])
        told = [(float(row["centre_latitude"]), float(row["centre_longitude"]))] if row["centre_latitude"] else []
        listed[row["alpha_2"]] = Country(
            row["alpha_2"], row["alpha_3"], row["name"], outline, tuple(told + _middle(outline))
        )
    return listed


def _middle(outline: Any) -> list[tuple[float, float]]:
    """Latitude and longitude of the middle, on the plane of degrees; none across 180 degrees, where that fails."""
    if outline is None or outline.bounds[0] <= -180 or outline.bounds[2] >= 180:
        return []
    return [(outline.centroid.y, outline.centroid.x)]


def code_at(latitude: float, longitude: float) -> str | None:
    """Code of the country whose land holds the point; "" on land without a code of its own; None at sea."""
    tree, codes = _land()
    hits = tree.query(shapely.Point(longitude, latitude), predicate="intersects")
    found = {codes[hit] for hit in hits}
    return None if not found else next(iter(found)) if len(found) == 1 else ""


def metres_outside(code: str, latitude: float, longitude: float, within: float) -> float:
    """Distance of a point to the land of a country, 0 on it; infinite if more than `within`. [m]"""
    outline = countries()[code].outline
    if outline is None:
        return float("inf")
    if shapely.intersects_xy(outline, longitude, latitude):
        return 0.0
    narrowing = max(cos(radians(latitude)), 0.01)
    high, wide = 1.1 * within / METRES_PER_DEGREE, 1.1 * within / METRES_PER_DEGREE / narrowing
    near = shapely.clip_by_rect(outline, longitude - wide, latitude - high, longitude + wide, latitude + high)
    if near.is_empty:
        return float("inf")
    scale = np.array([METRES_PER_DEGREE * narrowing, METRES_PER_DEGREE])
    flat = shapely.transform(near, lambda points: (points - [longitude, latitude]) * scale)
    distance = float(shapely.distance(flat, shapely.Point(0, 0)))
    return distance if distance <= within else float("inf")


def coasts_within(latitude: float, longitude: float, metres: float) -> dict[str, float]:
    """Codes of the countries whose coast is that near, with the distance to its nearest corner. [m]

    Antarctica has no zone and is left out; land without a code of its own is "".
    """
    tree, owners, codes = _coasts()
    here = _on_sphere(np.array([[longitude, latitude]]))[0]
    near = np.asarray(tree.query_ball_point(here, 2 * np.sin(metres / EARTH_RADIUS_M / 2)), dtype=np.intp)
    distance = 2 * EARTH_RADIUS_M * np.arcsin(np.linalg.norm(tree.data[near] - here, axis=1) / 2)
    found: dict[str, float] = {}
    for owner in np.unique(owners[near]):
        found[codes[owner]] = float(distance[owners[near] == owner].min())
    return found


def half_side(code: str) -> float:
    """Half the square root of a country's area. [m]; 0 if it has no outline."""
    outline = countries()[code].outline
    return 0.0 if outline is None else sqrt(abs(GEOD.geometry_area_perimeter(outline)[0])) / 2


def metres_between(latitude: float, longitude: float, other: tuple[float, float]) -> float:
    """Distance on the WGS84 ellipsoid. [m]"""
    return float(GEOD.inv(longitude, latitude, other[1], other[0])[2])


@cache
def _coasts() -> tuple[cKDTree, NDArray[np.intp], list[str]]:
    """Corners of the coasts, the country of each corner, and the codes."""
    from scipy.spatial import cKDTree  # slow to load, and only points at sea need it

    owners: dict[int, list[str]] = {}
    for part in land_parts():
        for line in part.lines:
            owners.setdefault(line, []).append(part.code)
    coasts = {line: codes[0] for line, codes in owners.items() if len(codes) == 1 and codes[0] != NO_ZONE}
    names, points = sorted(set(coasts.values())), line_points()
    owner = np.repeat([names.index(code) for code in coasts.values()], [len(points[line]) for line in coasts])
    return cKDTree(_on_sphere(np.concatenate([points[line] for line in coasts]))), owner.astype(np.intp), names


def _on_sphere(points: NDArray[np.float64]) -> NDArray[np.float64]:
    longitude, latitude = np.radians(points).T
    return np.column_stack(
        (np.cos(latitude) * np.cos(longitude), np.cos(latitude) * np.sin(longitude), np.sin(latitude))
    )


@cache
def _land() -> tuple[shapely.STRtree, list[str]]:
    parts = land_parts()
    return shapely.STRtree([part.polygon for part in parts]), [part.code for part in parts]


@cache
def _outlines() -> dict[str, Any]:
    """Land by ISO 3166-1 code."""
    pieces: dict[str, list[Any]] = {}
    for part in land_parts():
        pieces.setdefault(part.code, []).extend(shapely.get_parts(part.polygon))
    outlines = {code: shapely.multipolygons(parts) for code, parts in pieces.items() if code}
    shapely.prepare(list(outlines.values()))
    return outlines
