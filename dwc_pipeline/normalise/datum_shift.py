"""From any reference system to WGS 84 longitude and latitude, by operations that are named here.

The result never depends on what a machine happens to have: the network is off, operations that need a grid file
are used only if the survey names a folder of grids and the folder holds the file, and a ballpark operation (a
shift of zero that admits nothing) is never used. Which operation serves is decided point by point, so a point
gives the same answer alone and among a million.

Source: EPSG dataset as shipped with PROJ; NAD27 to WGS 84 (6), stated accuracy 7 m; NAD83 to WGS 84 (1), no
shift, stated accuracy 4 m.
"""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pyproj
import pyproj.network
from numpy.typing import ArrayLike, NDArray
from pyproj.crs.coordinate_operation import UTMConversion
from pyproj.exceptions import CRSError
from pyproj.transformer import TransformerGroup

from dwc_pipeline.core.rule import Rule, Severity, declare

WGS84 = "EPSG:4326"
#: which operation serves where several do, first whose area holds the point. The Gulf of Mexico has operations of
#: better stated accuracy whose area, taken as a box, reaches over land; they are for offshore work and not here.
_PINNED = {
    "EPSG:4267": tuple(f"NAD27 to WGS 84 ({number})" for number in (6, 5, 4, 7, 10, 11, 12, 14, 13, 3, 18, 2, 1)),
    "EPSG:4269": tuple(f"NAD83 to WGS 84 ({number})" for number in (1, 3, 2)),
}
#: metres of accuracy that a missing grid must promise before a person is told of it.
_WORTH_TELLING_M = 2.5

BETTER_GRID_MISSING = declare(
    Rule(
        id="better-datum-grid-missing",
        severity=Severity.NOTE,
        what="A more accurate datum operation exists for this place, but its grid file is not in the grids folder.",
        why="The point is right within the accuracy added to its uncertainty; the grid would narrow it by metres.",
        remedy="Nothing, if metres do not matter. Else put the grid file named in the message into a folder "
        "and name it in the survey file as the grids folder.",
        source="EPSG dataset, accuracy of coordinate operations",
    )
)


@dataclass(frozen=True)
class Shifted:
    """Points in WGS 84, one element a point; longitude and latitude are NaN where no operation serves.

    accuracy_m: stated accuracy of the operation, metres. operation: its name. missing_grid: file that would serve
    better, or "".
    """

    longitude: NDArray[np.float64]
    latitude: NDArray[np.float64]
    accuracy_m: NDArray[np.float64]
    operation: NDArray[np.object_]
    missing_grid: NDArray[np.object_]


@dataclass(frozen=True)
class _Operation:
    name: str
    accuracy_m: float
    area: tuple[float, float, float, float]
    transformer: Any


def to_wgs84(x: ArrayLike, y: ArrayLike, crs: str, grids_folder: str = "") -> Shifted:
    """WGS 84 positions of points in one reference system.

    x, y: easting and northing in the unit of the system, or longitude and latitude in degrees.
    crs: "EPSG:26914", or a geographic code with a zone for datums without codes of their own: "EPSG:4283 UTM 55S".
    grids_folder: folder of grid files that may be used, or "".
    Raises ValueError if PROJ does not know the system or the folder does not exist.
    """
    lon, lat = to_own_degrees(x, y, crs)
    geographic = geographic_code(crs)
    outside = ~(np.isfinite(lon) & np.isfinite(lat) & (np.abs(lon) <= 180) & (np.abs(lat) <= 90))
    lon[outside], lat[outside] = np.nan, np.nan
    out_lon, out_lat = np.full(lon.shape, np.nan), np.full(lat.shape, np.nan)
    accuracy = np.full(lon.shape, np.nan)
    operation, missing = np.full(lon.shape, "", dtype=object), np.full(lon.shape, "", dtype=object)
    if geographic == WGS84:
        accuracy[~outside], operation[~outside] = 0.0, "no datum operation"
        return Shifted(lon, lat, accuracy, operation, missing)
    served, unserved_grids = _operations(geographic, grids_folder)
    left = ~outside
    for candidate in served:
        here = left & _holds(candidate.area, lon, lat)
        if here.any():
            moved_lon, moved_lat = candidate.transformer.transform(lon[here], lat[here])
            # a grid may leave holes in the area of its operation; the next operation serves there
            here = np.flatnonzero(here)[np.isfinite(moved_lon) & np.isfinite(moved_lat)]
            out_lon[here], out_lat[here] = moved_lon[np.isfinite(moved_lon)], moved_lat[np.isfinite(moved_lat)]
            accuracy[here], operation[here] = candidate.accuracy_m, candidate.name
            left[here] = False
    for grid in unserved_grids:
        better = (missing == "") & _holds(grid.area, lon, lat) & (grid.accuracy_m + _WORTH_TELLING_M <= accuracy)
        missing[better] = grid.name
    return Shifted(out_lon, out_lat, accuracy, operation, missing)


def to_own_degrees(x: ArrayLike, y: ArrayLike, crs: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Longitude and latitude of the points in the datum of their own system: a conversion without any doubt."""
    first, second = np.atleast_1d(np.array(x, dtype=float)), np.atleast_1d(np.array(y, dtype=float))
    transformer = _to_base(crs)
    if transformer is None:
        return first, second
    lon, lat = transformer.transform(first, second)
    lost = ~(np.isfinite(lon) & np.isfinite(lat))
    return np.where(lost, np.nan, lon), np.where(lost, np.nan, lat)


def utm_crs(geographic: str, zone: int, hemisphere: str) -> str:
    """Code of a UTM zone on a datum: "EPSG:26914" where the dataset has one that we know, else a made-up name.

    >>> utm_crs("EPSG:4269", 14, "N"), utm_crs("EPSG:4283", 55, "S")
    ('EPSG:26914', 'EPSG:4283 UTM 55S')
    """
    if geographic == WGS84:
        return f"EPSG:{32600 if hemisphere == 'N' else 32700}"[:-2] + f"{zone:02d}"
    if geographic == "EPSG:4269" and hemisphere == "N" and zone <= 23:
        return f"EPSG:{26900 + zone}"
    if geographic == "EPSG:4267" and hemisphere == "N" and zone <= 22:
        return f"EPSG:{26700 + zone}"
    return f"{geographic} UTM {zone}{hemisphere}"


@lru_cache(maxsize=256)
def geographic_code(crs: str) -> str:
    """Code of the geographic system under a projected one; the same code for a geographic one."""
    if " UTM " in crs:
        return crs.split(" ", 1)[0]
    system = _system(crs)
    base = system if system.is_geographic else system.geodetic_crs
    authority = base.to_authority(min_confidence=70) if base is not None else None
    if authority is None:
        raise ValueError(f"{crs} has no geographic system that PROJ can name")
    return ":".join(authority)


@lru_cache(maxsize=256)
def is_known_system(code: str) -> bool:
    """True if PROJ knows the code and it is a geographic or a projected system."""
    try:
        system = _system(code)
        geographic_code(code)
    except ValueError:
        return False
    return bool(system.is_geographic or system.is_projected)


@lru_cache(maxsize=256)
def metres_per_unit(crs: str) -> float:
    """Length in metres of the unit of a projected system: 1, or the foot that the system is defined in."""
    return 1.0 if " UTM " in crs else float(_system(crs).axis_info[0].unit_conversion_factor)


@lru_cache(maxsize=256)
def utm_zone_of(crs: str) -> tuple[int, str] | None:
    """Zone number and hemisphere letter of a UTM system, else None."""
    zone = _system(crs).utm_zone
    return (int(zone[:-1]), zone[-1]) if zone else None


def is_projected(crs: str) -> bool:
    """True for an easting and northing system."""
    return " UTM " in crs or bool(_system(crs).is_projected)


def geodesic_distance(lon1: ArrayLike, lat1: ArrayLike, lon2: ArrayLike, lat2: ArrayLike) -> NDArray[np.float64]:
    """Metres between points along the WGS 84 ellipsoid; NaN where a number is missing or out of range."""
    ends = [np.array(one, dtype=float) for one in np.broadcast_arrays(lon1, lat1, lon2, lat2)]
    ends = [np.atleast_1d(one) for one in ends]
    good = (
        np.logical_and.reduce([np.isfinite(one) for one in ends]) & (np.abs(ends[1]) <= 90) & (np.abs(ends[3]) <= 90)
    )
    metres = np.full(ends[0].shape, np.nan)
    if good.any():
        metres[good] = _ellipsoid().inv(*(one[good] for one in ends))[2]
    return metres


@lru_cache(maxsize=1)
def _ellipsoid() -> Any:
    return pyproj.Geod(ellps="WGS84")


@lru_cache(maxsize=256)
def _system(code: str) -> Any:
    try:
        return pyproj.CRS.from_user_input(code)
    except CRSError as fault:
        raise ValueError(f"{code} is not a reference system that PROJ knows") from fault


@lru_cache(maxsize=256)
def _to_base(crs: str) -> Any:
    """Transformer from a projected system to degrees of its own datum; None for a geographic system."""
    if " UTM " in crs:
        geographic, _, zone = crs.split(" ")
        base = _system(geographic)
        system = pyproj.crs.ProjectedCRS(UTMConversion(zone[:-1], zone[-1]), geodetic_crs=base)
    else:
        system = _system(crs)
        if system.is_geographic:
            return None
        base = system.geodetic_crs
    return pyproj.Transformer.from_crs(system, base, always_xy=True, allow_ballpark=False)


def _holds(
    area: tuple[float, float, float, float], lon: NDArray[np.float64], lat: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Points inside an area of use, which may cross the antimeridian."""
    west, south, east, north = area
    across = (lon >= west) & (lon <= east) if west <= east else (lon >= west) | (lon <= east)
    return np.asarray(across & (lat >= south) & (lat <= north))


@lru_cache(maxsize=64)
def _operations(geographic: str, grids_folder: str) -> tuple[tuple[_Operation, ...], tuple[_Operation, ...]]:
    """Operations to WGS 84 in the order in which they serve, and the grids that are missing, best first."""
    pyproj.network.set_network_enabled(False)  # type: ignore[attr-defined]  # documented, not listed in __all__
    at_hand: set[str] = set()
    if grids_folder:
        if not Path(grids_folder).is_dir():
            raise ValueError(f"the grids folder {grids_folder!r} does not exist: correct it in the survey file")
        at_hand = {_grid_key(path.name) for path in Path(grids_folder).iterdir() if path.is_file()}
        if grids_folder not in pyproj.datadir.get_data_dir():
            pyproj.datadir.append_data_dir(grids_folder)
    with warnings.catch_warnings():
        # the warning about grids that are not there becomes a finding of ours
        warnings.simplefilter("ignore", UserWarning)
        group = TransformerGroup(geographic, WGS84, always_xy=True, allow_ballpark=False)
    served = [
        _Operation(_plain_name(one.description), one.accuracy, _area(one.area_of_use), one)
        for one in group.transformers
        if _grids(one.definition) <= at_hand
    ]
    missing = [
        _Operation(_names_of_missing(one.grids, at_hand), one.accuracy, _area(one.area_of_use), None)
        for one in group.unavailable_operations
        if one.grids and one.accuracy >= 0
    ]
    pinned = _PINNED.get(geographic)
    if pinned is not None:
        with_grid = [one for one in served if _grids(one.transformer.definition)]
        named = sorted((one for one in served if one.name in pinned), key=lambda one: pinned.index(one.name))
        served = sorted(with_grid, key=lambda one: (one.accuracy_m, one.name)) + named
    else:
        served = sorted((one for one in served if one.accuracy_m >= 0), key=lambda one: (one.accuracy_m, one.name))
    return tuple(served), tuple(sorted(missing, key=lambda one: (one.accuracy_m, one.name)))


def _plain_name(description: str) -> str:
    """The operation's name without the turning of axes that PROJ writes round it."""
    return " + ".join(part for part in description.split(" + ") if not part.startswith("axis order change"))


def _area(area_of_use: Any) -> tuple[float, float, float, float]:
    return area_of_use.bounds if area_of_use is not None else (-180.0, -90.0, 180.0, 90.0)


def _grids(definition: str) -> set[str]:
    """Names of the grid files that a PROJ pipeline reads."""
    return {
        _grid_key(name.strip("@"))
        for word in definition.split()
        if word.startswith(("grids=", "+grids="))
        for name in word.split("=", 1)[1].split(",")
    }


def _names_of_missing(grids: Any, at_hand: set[str]) -> str:
    """Names of those grid files of an operation that the folder does not hold."""
    return ", ".join(grid.short_name for grid in grids if _grid_key(grid.short_name) not in at_hand)


def _grid_key(name: str) -> str:
    """One key for the old and the new name of a grid file: conus and us_noaa_conus.tif are the same grid."""
    return re.sub(r"^[a-z]{2}_[a-z]+_", "", Path(name.lower()).stem)
