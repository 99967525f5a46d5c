"""Where a point lies against a property, a county or a bounding area: inside, near the border, or outside.

Polygons come in as shapely geometry in longitude and latitude (EPSG:4326); distances are metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from dwc_pipeline.normalise.coordinate_uncertainty import metres_per_degree
from dwc_pipeline.normalise.datum_shift import geodesic_distance

#: metres; generalised state and county outlines are off by up to 1.5 km where two of them were compared, so a
#: point this close to one is near the border, never on the wrong side of it.
NEAR_BORDER_M = 2000.0
#: metres; how far from every other site of a survey a point still passes for one of its sites.


def distance_outside(boundary: Any, longitude: ArrayLike, latitude: ArrayLike) -> NDArray[np.float64]:
    """Metres from each point to the polygon; 0 inside it, NaN for a point without numbers."""
    lon, lat = np.atleast_1d(np.asarray(longitude, float)), np.atleast_1d(np.asarray(latitude, float))
    distance = np.full(lon.shape, np.nan)
    known = np.isfinite(lon) & np.isfinite(lat)
    if boundary is None or boundary.is_empty or not known.any():
        return distance
    shapely.prepare(boundary)
    inside = shapely.intersects_xy(boundary, lon, lat)
    distance[known & inside] = 0.0
    out = np.flatnonzero(known & ~inside)
    if len(out):
        distance[out] = _distance_to_nearest(boundary, lon[out], lat[out])
    return distance


def _distance_to_nearest(boundary: Any, lon: NDArray[np.float64], lat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Metres to the nearest point of the polygon, which is looked for on a map true to scale at its middle."""
    _, south, _, north = boundary.bounds
    along_meridian, along_parallel = metres_per_degree(np.clip((south + north) / 2, -80, 80))
    shrink = float(along_parallel / along_meridian)
    flat = shapely.transform(boundary, lambda xy: xy * [shrink, 1.0])
    shapely.prepare(flat)
    nearest = shapely.get_point(shapely.shortest_line(flat, shapely.points(lon * shrink, lat)), 0)
    return geodesic_distance(lon, lat, shapely.get_x(nearest) / shrink, shapely.get_y(nearest))


def place_against(
    boundary: Any, longitude: ArrayLike, latitude: ArrayLike, near_m: float = NEAR_BORDER_M
) -> NDArray[np.str_]:
    """'inside', 'near the border' (either side, within `near_m`), 'outside', or '' for each point."""
    lon, lat = np.atleast_1d(np.asarray(longitude, float)), np.atleast_1d(np.asarray(latitude, float))
    outside_m = distance_outside(boundary, lon, lat)
    place = np.where(np.isnan(outside_m), "", np.where(outside_m > near_m, "outside", "inside")).astype("<U16")
    close = np.flatnonzero(place == "inside")
    if len(close) and near_m > 0:
        to_edge = _distance_to_nearest(shapely.boundary(boundary), lon[close], lat[close])
        place[close[to_edge <= near_m]] = "near the border"
    return place


def smallest_circle(place: Any) -> tuple[float, float, float]:
    """Longitude, latitude and radius in metres of the smallest circle round a place.

    A centre that falls outside the place moves to the nearest point of it, and the radius then reaches the
    farthest point (Georeferencing Best Practices 3.3.2). A place of one point has radius 0.
    """
    if place is None or place.is_empty:
        raise ValueError("the place has no geometry: give at least one point")
    west, south, east, north = place.bounds
    along_meridian, along_parallel = (float(one) for one in metres_per_degree((south + north) / 2))
    origin = np.array([(west + east) / 2, (south + north) / 2])
    scale = np.array([along_parallel, along_meridian])
    flat = shapely.transform(place, lambda xy: (xy - origin) * scale)
    centre = shapely.centroid(shapely.minimum_bounding_circle(flat))
    if not shapely.intersects(flat, centre):
        centre = shapely.get_point(shapely.shortest_line(flat, centre), 0)
    corners = shapely.get_coordinates(flat)
    middle = np.array([shapely.get_x(centre), shapely.get_y(centre)])
    radius = float(np.hypot(*(corners - middle).T).max())
    lon, lat = middle / scale + origin
    return float(lon), float(lat), radius


@dataclass(frozen=True)
class Surroundings:
    """What is known of where the points of a survey may be.

    boundary: polygon in longitude and latitude, or None. slack_m: how far outside the polygon a point still passes.
    """

    boundary: Any = None
    slack_m: float = NEAR_BORDER_M

    @property
    def are_known(self) -> bool:
        """True if there is anything to hold a point against."""
        return self.boundary is not None

    @property
    def evidence(self) -> str:
        """What speaks for a point that lies here, in words."""
        return "inside the property"

    def distance(self, longitude: ArrayLike, latitude: ArrayLike) -> NDArray[np.float64]:
        """Metres from the polygon, 0 inside; NaN where nothing is known."""
        lon, lat = np.atleast_1d(np.asarray(longitude, float)), np.atleast_1d(np.asarray(latitude, float))
        if self.boundary is not None:
            return distance_outside(self.boundary, lon, lat)
        return np.full(lon.shape, np.nan)

    def accept(self, longitude: ArrayLike, latitude: ArrayLike) -> NDArray[np.bool_]:
        """True for each point that lies where the survey works."""
        return np.asarray(self.distance(longitude, latitude) <= self.slack_m)

    def zones(self) -> list[int]:
        """UTM zones that the surroundings touch, nearest to their middle first."""
        if self.boundary is None:
            return []
        west, _, east, _ = self.boundary.bounds
        first, last = (min(60, max(1, int((edge + 180) // 6) + 1)) for edge in (west, east))
        middle = ((west + east) / 2 + 180) / 6 + 0.5
        return sorted(range(first, last + 1), key=lambda zone: abs(zone - middle))
