"""Tests of dwc:geodeticDatum against the EPSG registry in the PROJ database."""

from __future__ import annotations

import re
from functools import cache
from math import asin, ceil, cos, radians, sin, sqrt

from pyproj import CRS, Transformer
from pyproj.crs import Datum, Ellipsoid  # type: ignore[attr-defined]  # public, but not in __all__
from pyproj.database import query_crs_info
from pyproj.enums import PJType
from pyproj.exceptions import CRSError

from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.location_validations import LARGEST_UNCERTAINTY, LATITUDE, LONGITUDE
from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.registry import implements, read_facts
from dwc_pipeline.check.quality.response import Response, amended, filled_in, internal, not_amended, verdict

DATUM, UNCERTAINTY = "dwc:geodeticDatum", "dwc:coordinateUncertaintyInMeters"
NOT_RECORDED = "not recorded"
CODE = re.compile(r"EPSG:(?P<code>[0-9]{4,5})")
LOOSE_CODE = re.compile(r"epsg\s*:?:?\s*(?P<code>[0-9]{4,5})", re.IGNORECASE)
#: Equatorial radius of WGS84, as the distances of the official row are measured on a sphere of it. [m]
RADIUS = 6_378_137.0
GEODETIC_DATUMS = frozenset({"Geodetic Reference Frame", "Dynamic Geodetic Reference Frame", "Datum Ensemble"})


@implements("VALIDATION_GEODETICDATUM_STANDARD")
def validation_geodeticdatum_standard(record: Record) -> Response:
    """Is it an EPSG code of a datum, an ellipsoid or a two-dimensional system in degrees, or "not recorded"?"""
    if record.is_empty(DATUM):
        return internal(f"{DATUM} is empty")
    value = record.text(DATUM)
    if value == NOT_RECORDED:
        return verdict(True, f"{DATUM} says not recorded", "")
    found = CODE.fullmatch(value)
    return verdict(
        found is not None and is_geographic_code(found["code"]),
        f"{DATUM} is a code of the EPSG registry",
        f"{DATUM} is no EPSG code of a datum, an ellipsoid or a geographic system in degrees",
    )


@implements("AMENDMENT_GEODETICDATUM_STANDARDIZED")
def amendment_geodeticdatum_standardized(record: Record) -> Response:
    """Propose the EPSG code of the system, datum or ellipsoid that is named."""
    if record.is_empty(DATUM):
        return internal(f"{DATUM} is empty")
    value = record.text(DATUM)
    code = epsg_code(value)
    if code is None or code == value:
        return not_amended(f"{DATUM} is a code already, or names no single system, datum or ellipsoid")
    return amended({DATUM: code}, f"{DATUM} is read as {code}")


@implements("AMENDMENT_GEODETICDATUM_ASSUMEDDEFAULT")
def amendment_geodeticdatum_assumeddefault(record: Record) -> Response:
    """Propose the default datum where none is given, and add to the uncertainty what it can be wrong by."""
    if not record.is_empty(DATUM):
        return not_amended(f"{DATUM} is not empty")
    default = record.parameter("bdqval:defaultGeodeticDatum")
    if default != "EPSG:4326":
        raise ValueError(f"bdqval:defaultGeodeticDatum={default!r}: only EPSG:4326 can be assumed")
    latitude, longitude, uncertainty = (as_number(record.text(term)) for term in (LATITUDE, LONGITUDE, UNCERTAINTY))
    if (
        latitude is None
        or longitude is None
        or uncertainty is None
        or not _is_usable(latitude, longitude, uncertainty)
    ):
        return filled_in({DATUM: default}, f"{DATUM} is empty; {default} is assumed")
    # Rounded up: an uncertainty must not come out too small.
    enlarged = ceil(round(uncertainty + largest_datum_shift(latitude, longitude), 6))
    return amended(
        {UNCERTAINTY: str(enlarged), DATUM: default},
        f"{default} is assumed; {UNCERTAINTY} includes the largest shift of any other datum at this point",
    )


def _is_usable(latitude: float, longitude: float, uncertainty: float) -> bool:
    return abs(latitude) <= 90 and abs(longitude) <= 180 and 1 <= uncertainty <= LARGEST_UNCERTAINTY


def largest_datum_shift(latitude: float, longitude: float) -> float:
    """How far the point moves at most if its coordinates belong to another datum than WGS84. [m]

    Over the Helmert operations of EPSG, on a sphere; 2786 m at 30 S 130 E (official row 831), 5359 m anywhere.
    """
    moved = (shift.transform(longitude, latitude) for shift in _shifts())
    return max(_great_circle(latitude, longitude, y, x) for x, y in moved)


@cache
def _shifts() -> tuple[Transformer, ...]:
    return tuple(Transformer.from_pipeline(row["pipeline"]) for row in read_facts("datum_shifts"))


def _great_circle(latitude: float, longitude: float, other_latitude: float, other_longitude: float) -> float:
    one, two, apart = radians(latitude), radians(other_latitude), radians(other_longitude - longitude)
    haversine = sin((two - one) / 2) ** 2 + cos(one) * cos(two) * sin(apart / 2) ** 2
    return 2 * RADIUS * asin(sqrt(haversine))


@cache
def is_geographic_code(code: str) -> bool:
    """True if the EPSG code is a geodetic datum, an ellipsoid, or a two-dimensional geographic system in degrees."""
    try:
        system = CRS.from_authority("EPSG", code)
        return system.type_name == "Geographic 2D CRS" and all(
            axis.unit_name == "degree" for axis in system.axis_info
        )
    except CRSError:
        return _is_datum(code) or _is_ellipsoid(code)


def _is_datum(code: str) -> bool:
    try:
        return Datum.from_authority("EPSG", code).type_name in GEODETIC_DATUMS
    except CRSError:
        return False


def _is_ellipsoid(code: str) -> bool:
    try:
        Ellipsoid.from_authority("EPSG", code)
    except CRSError:
        return False
    return True


@cache
def epsg_code(text: str) -> str | None:
    """The EPSG code that a text names ("WGS 84": EPSG:4326), or None; a system before a datum or ellipsoid."""
    if found := LOOSE_CODE.fullmatch(trimmed(text)):
        return f"EPSG:{found['code']}" if is_geographic_code(found["code"]) else None
    codes = _names().get(_fold(text), frozenset())
    if len(codes) == 1:
        return next(iter(codes))
    return None if codes else _datum_or_ellipsoid(trimmed(text))


def _datum_or_ellipsoid(name: str) -> str | None:
    for read in (Datum.from_name, Ellipsoid.from_name):
        try:
            named = read(name, "EPSG")
        except CRSError:
            continue
        code = (named.to_json_dict().get("id") or {}).get("code")
        if code and _fold(named.name) == _fold(name) and is_geographic_code(str(code)):
            return f"EPSG:{code}"
    return None


@cache
def _names() -> dict[str, frozenset[str]]:
    """Folded names of the two-dimensional geographic systems of EPSG in degrees -> codes."""
    names: dict[str, set[str]] = {}
    for info in query_crs_info("EPSG", [PJType.GEOGRAPHIC_2D_CRS]):
        names.setdefault(_fold(info.name), set()).add(f"EPSG:{info.code}")
    for row in read_facts("geodetic_datum"):
        names[_fold(row["verbatim"])] = {row["value"]}
    return {name: frozenset(codes) for name, codes in names.items()}


def _fold(text: str) -> str:
    return re.sub(r"[\W_]+", "", text.casefold())
