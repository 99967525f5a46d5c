"""Does the place of one event lie within the place of another?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
import shapely
from numpy.typing import NDArray

from dwc_pipeline.check.quality.geodetic_datum import epsg_code
from dwc_pipeline.check.quality.reading import as_number

Metres = NDArray[np.float64]
Flags = NDArray[np.bool_]
#: mean radius of the earth; the sphere is good to 0.6 % of a distance. [m]
EARTH_RADIUS_M = 6_371_008.8
SPHERE_ERROR = 0.006
#: how far apart the same numbers can lie in two datums: the largest value of the draft data-quality standard
#: (AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT). [m]
FARTHEST_DATUMS_M = 5359.0
#: half the length of a degree of latitude's last decimal that is usual; rounding is no reaching out. [m]
ROUNDING_M = 1.0
#: footprints are in longitude and latitude of one of these, or say nothing
WGS84 = ("", "EPSG:4326")
DEGREE_M = 111_195.0


@dataclass(frozen=True)
class Places:
    """Where events are: a point with its radius, or an outline. NaN and None where it is not told.

    longitude, latitude: degrees. radius: metres. datum: as text. outline: polygons in longitude and latitude.
    """

    longitude: NDArray[np.float64]
    latitude: NDArray[np.float64]
    radius: Metres
    datum: NDArray[np.object_]
    outline: NDArray[np.object_]


def read_places(columns: dict[str, NDArray[np.object_]]) -> Places:
    """The places of texts: decimalLatitude, decimalLongitude, coordinateUncertaintyInMeters, geodeticDatum,
    footprintWKT, footprintSRS."""
    latitude, longitude = _numbers(columns["decimalLatitude"]), _numbers(columns["decimalLongitude"])
    radius = _numbers(columns["coordinateUncertaintyInMeters"])
    wrong = ~((np.abs(latitude) <= 90) & (np.abs(longitude) <= 180))
    latitude, longitude = np.where(wrong, np.nan, latitude), np.where(wrong, np.nan, longitude)
    codes, distinct = pd.factorize(columns["geodeticDatum"])
    datum = np.array([epsg_code(text) or text for text in distinct] or [""], dtype=object)[codes]
    return Places(longitude, latitude, np.where(radius > 0, radius, np.nan), datum, _outlines(columns))


def _numbers(texts: NDArray[np.object_]) -> NDArray[np.float64]:
    codes, distinct = pd.factorize(texts)
    numbers = [as_number(text.strip()) for text in distinct]
    return np.array([np.nan if one is None else one for one in numbers] or [np.nan], dtype=np.float64)[codes]


def _outlines(columns: dict[str, NDArray[np.object_]]) -> NDArray[np.object_]:
    known = {text: _outline(text) for text in set(columns["footprintWKT"]) if text}
    in_degrees = {text: text in WGS84 or epsg_code(text) == "EPSG:4326" for text in set(columns["footprintSRS"])}
    pairs = zip(columns["footprintWKT"], columns["footprintSRS"], strict=True)
    found = np.full(len(columns["footprintWKT"]), None, dtype=object)
    for position, (text, system) in enumerate(pairs) if known else ():
        found[position] = known.get(text) if in_degrees[system] else None
    return found


def _outline(text: str) -> Any:
    try:
        shape = shapely.from_wkt(text)
    except shapely.errors.GEOSException:
        return None
    usable = shape is not None and shape.is_valid and not shape.is_empty and shape.area > 0
    return shape if usable else None


def reaching_out(
    inner: Places, outer: Places, inside: NDArray[np.intp], around: NDArray[np.intp]
) -> tuple[Flags, Flags]:
    """Which of the pairs (inside, around) certainly have the inner place outside the outer one, and which may.

    inside, around: positions in the two sets of places. Two circles lie apart for certain if they do not touch; a
    circle that touches the other and is not within it may reach out. Without a radius nothing is certain.
    """
    distance = great_circle(
        inner.longitude[inside], inner.latitude[inside], outer.longitude[around], outer.latitude[around]
    )
    slack = np.where(inner.datum[inside] == outer.datum[around], 0.0, FARTHEST_DATUMS_M) + ROUNDING_M
    slack = slack + distance * SPHERE_ERROR
    small, large = inner.radius[inside], outer.radius[around]
    certain = distance > small + large + slack
    perhaps = (distance + np.nan_to_num(small) > large + slack) & ~certain
    for pair in np.flatnonzero([one is not None for one in outer.outline[around]]):
        certain[pair], perhaps[pair] = _out_of_outline(inner, inside[pair], outer.outline[around[pair]])
    return certain, perhaps


def _out_of_outline(inner: Places, position: np.intp, outline: Any) -> tuple[bool, bool]:
    shape = inner.outline[position]
    if shape is not None:
        if outline.buffer(ROUNDING_M / DEGREE_M).covers(shape):
            return False, False
        apart = not outline.intersects(shape)
        return apart, not apart
    longitude, latitude = inner.longitude[position], inner.latitude[position]
    if np.isnan(longitude) or np.isnan(latitude):
        return False, False
    shrink = max(np.cos(np.radians(latitude)), 0.01)
    flat = shapely.transform(outline, lambda xy: xy * [shrink, 1.0])
    distance = flat.distance(shapely.Point(longitude * shrink, latitude)) * DEGREE_M
    radius = inner.radius[position]
    slack = (ROUNDING_M if inner.datum[position] == "EPSG:4326" else FARTHEST_DATUMS_M) + distance * SPHERE_ERROR
    certain = bool(distance > slack + (0.0 if np.isnan(radius) else radius)) and not np.isnan(radius)
    return certain, bool(distance > slack) and not certain


def great_circle(
    longitude: NDArray[np.float64],
    latitude: NDArray[np.float64],
    other_longitude: NDArray[np.float64],
    other_latitude: NDArray[np.float64],
) -> Metres:
    """Distances of points in degrees on the mean sphere. [m]"""
    one, two = np.radians(latitude), np.radians(other_latitude)
    apart = np.radians(other_longitude - longitude)
    haversine = np.sin((two - one) / 2) ** 2 + np.cos(one) * np.cos(two) * np.sin(apart / 2) ** 2
    return np.asarray(2 * EARTH_RADIUS_M * np.arcsin(np.sqrt(np.clip(haversine, 0, 1))))
