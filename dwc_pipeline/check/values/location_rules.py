"""Coordinates, their datum and uncertainty, countries, heights and depths.

Source: Darwin Core list of terms 2026-05-26 (definitions are normative, comments are not); where a rule is a test of
the draft Biodiversity Data Quality standard (2026-06-03), its label stands with it.
"""

from __future__ import annotations

from functools import cache

from dwc_pipeline.check.quality.geodetic_datum import NOT_RECORDED, epsg_code
from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.quality.registry import read_facts
from dwc_pipeline.check.value_check import ValueCheck, on_each, on_values
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC

TERMS = "Darwin Core list of terms 2026-05-26"
DRAFT_TESTS = "draft Biodiversity Data Quality standard (2026-06-03)"
LATITUDE, LONGITUDE = DWC + "decimalLatitude", DWC + "decimalLongitude"
DATUM, UNCERTAINTY, PRECISION = (
    DWC + "geodeticDatum",
    DWC + "coordinateUncertaintyInMeters",
    DWC + "coordinatePrecision",
)
COUNTRY_CODE = DWC + "countryCode"


@on_values(
    Rule(
        id="latitude-is-out-of-range",
        severity=Severity.ERROR,
        what="decimalLatitude is not a number from -90 to 90.",
        why="The record cannot be put on a map; degrees and minutes or metres stand in the wrong term.",
        remedy="Write decimal degrees; what was written belongs into verbatimLatitude.",
        source=f"{TERMS}, decimalLatitude (legal values lie between -90 and 90, inclusive)",
    ),
    LATITUDE,
)
def latitude_check(text: str) -> str:
    """Latitudes are -90 to 90."""
    return _beyond(text, 90)


@on_values(
    Rule(
        id="longitude-is-out-of-range",
        severity=Severity.ERROR,
        what="decimalLongitude is not a number from -180 to 180.",
        why="The record cannot be put on a map; degrees and minutes or metres stand in the wrong term.",
        remedy="Write decimal degrees; what was written belongs into verbatimLongitude.",
        source=f"{TERMS}, decimalLongitude (legal values lie between -180 and 180, inclusive)",
    ),
    LONGITUDE,
)
def longitude_check(text: str) -> str:
    """Longitudes are -180 to 180."""
    return _beyond(text, 180)


def _beyond(text: str, limit: float) -> str:
    number = as_number(text.strip())
    if number is None:
        return "is not a number of decimal degrees"
    return "" if abs(number) <= limit else f"lies beyond {limit:g} degrees"


@on_values(
    Rule(
        id="coordinate-stands-alone",
        severity=Severity.ERROR,
        what="One of decimalLatitude and decimalLongitude is empty.",
        why="Half a point is no point.",
        remedy="Fill both, or neither.",
        source=f"{DRAFT_TESTS}, VALIDATION_DECIMALLATITUDE_NOTEMPTY and VALIDATION_DECIMALLONGITUDE_NOTEMPTY",
    ),
    LATITUDE,
    LONGITUDE,
    only_filled=False,
)
def half_point_check(latitude: str, longitude: str) -> str:
    """Points are whole."""
    if bool(latitude) == bool(longitude):
        return ""
    return "has no decimalLongitude" if latitude else f"is empty beside the longitude {longitude}"


@on_values(
    Rule(
        id="coordinates-are-zero",
        severity=Severity.WARNING,
        what="Latitude and longitude are both zero.",
        why="That point is in the Gulf of Guinea; it nearly always stands for a place that was not known.",
        remedy="Empty both.",
        source=f"{DRAFT_TESTS}, VALIDATION_COORDINATES_NOTZERO",
    ),
    LATITUDE,
    LONGITUDE,
)
def zero_check(latitude: str, longitude: str) -> str:
    """Points are not zero."""
    return "and longitude are both zero" if as_number(latitude) == 0 and as_number(longitude) == 0 else ""


@on_values(
    Rule(
        id="coordinates-have-no-datum",
        severity=Severity.WARNING,
        what="Coordinates are given without geodeticDatum.",
        why="The same numbers mean places up to some kilometres apart, so the point is less certain than it looks.",
        remedy="Give the datum of the receiver or map, such as EPSG:4326, or write: not recorded.",
        source=f"{TERMS}, decimalLatitude (using the system given in geodeticDatum) and comment of geodeticDatum",
    ),
    LATITUDE,
    DATUM,
)
def no_datum_check(latitude: str, datum: str) -> str:
    """Points have a datum."""
    return "" if datum else "has no geodeticDatum beside it"


@on_values(
    Rule(
        id="datum-is-not-recognised",
        severity=Severity.WARNING,
        what="geodeticDatum is no EPSG code of a geographic system, and no name of a datum or ellipsoid.",
        why="Readers assume a datum of their own.",
        remedy="Write the EPSG code, such as EPSG:4326 or EPSG:4269; else the name of the datum; else: not recorded.",
        source=f"{TERMS}, comment of geodeticDatum (recommended)",
    ),
    DATUM,
)
def datum_check(text: str) -> str:
    """The datum is known."""
    return "" if text == NOT_RECORDED or epsg_code(text) else "is no datum that is known here"


@on_values(
    Rule(
        id="uncertainty-is-not-positive",
        severity=Severity.ERROR,
        what="coordinateUncertaintyInMeters is zero, negative or not a number.",
        why="No point is certain to nothing; a zero makes an old grid square look like a surveyed peg.",
        remedy="Give the radius in metres, or leave it empty if it is not known.",
        source=f"{TERMS}, definition of coordinateUncertaintyInMeters (zero is not a valid value)",
    ),
    UNCERTAINTY,
)
def uncertainty_check(text: str) -> str:
    """Uncertainties are above zero."""
    number = as_number(text.strip())
    return "" if number is not None and number > 0 else "is no number of metres above zero"


@on_values(
    Rule(
        id="uncertainty-without-coordinates",
        severity=Severity.WARNING,
        what="coordinateUncertaintyInMeters stands without coordinates.",
        why="A radius without a centre says nothing.",
        remedy="Give the coordinates, or empty the uncertainty.",
        source=f"{TERMS}, comment of coordinateUncertaintyInMeters (leave it empty if there are no coordinates)",
    ),
    UNCERTAINTY,
    LATITUDE,
    LONGITUDE,
)
def centre_check(_: str, latitude: str, longitude: str) -> str:
    """Radii have a centre."""
    return "" if latitude or longitude else "has no coordinates beside it"


@on_values(
    Rule(
        id="precision-is-no-fraction-of-a-degree",
        severity=Severity.WARNING,
        what="coordinatePrecision is not a number above 0 and up to 1.",
        why="It is given in degrees; metres belong into coordinateUncertaintyInMeters.",
        remedy="Write 0.00001 for five decimals, 0.000278 for whole seconds, 0.01667 for whole minutes.",
        source=f"{TERMS}, definition and examples of coordinatePrecision; upper end of 1: largest example",
    ),
    PRECISION,
)
def precision_check(text: str) -> str:
    """Precisions are fractions of a degree."""
    number = as_number(text.strip())
    return "" if number is not None and 0 < number <= 1 else "is no fraction of a degree"


@cache
def _country_codes() -> frozenset[str]:
    return frozenset(row["alpha_2"] for row in read_facts("countries"))


@on_values(
    Rule(
        id="country-code-is-not-iso",
        severity=Severity.WARNING,
        what="countryCode is no code of two letters of ISO 3166-1.",
        why="Readers look records up by it; USA and U.S. are not found.",
        remedy="Write the two capital letters, such as US; ZZ for several or unknown, XZ for the high seas.",
        source=f"{TERMS}, comment of countryCode (recommended)",
    ),
    COUNTRY_CODE,
)
def country_check(text: str) -> str:
    """Country codes are codes."""
    return "" if text in _country_codes() else "is no country code of ISO 3166-1"


@on_each(
    Rule(
        id="height-or-depth-is-no-number",
        severity=Severity.WARNING,
        what="A height or depth in metres is not a number.",
        why="Units or words in the cell make readers drop it.",
        remedy="Write the number of metres; what was written belongs into verbatimElevation or verbatimDepth.",
        source=f"{TERMS}, definitions of the terms (in meters)",
    ),
    [f"{DWC}{end}{what}InMeters" for what in ("Elevation", "Depth") for end in ("minimum", "maximum")],
)
def height_check(text: str) -> str:
    """Heights are numbers."""
    return "" if as_number(text.strip()) is not None else "is no number of metres"


def _swapped(lower: str, upper: str) -> str:
    low, high = as_number(lower), as_number(upper)
    return f"is larger than the maximum, {upper}" if low is not None and high is not None and low > high else ""


@on_values(
    Rule(
        id="elevation-ends-are-exchanged",
        severity=Severity.ERROR,
        what="minimumElevationInMeters is larger than maximumElevationInMeters.",
        why="One of the two is wrong, or feet and metres were mixed.",
        remedy="Exchange or correct them.",
        source=f"{DRAFT_TESTS}, VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION",
    ),
    DWC + "minimumElevationInMeters",
    DWC + "maximumElevationInMeters",
)
def elevation_check(lower: str, upper: str) -> str:
    """Lowest is not above highest."""
    return _swapped(lower, upper)


@on_values(
    Rule(
        id="depth-ends-are-exchanged",
        severity=Severity.ERROR,
        what="minimumDepthInMeters is larger than maximumDepthInMeters.",
        why="One of the two is wrong, or feet and metres were mixed.",
        remedy="Exchange or correct them.",
        source=f"{DRAFT_TESTS}, VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH",
    ),
    DWC + "minimumDepthInMeters",
    DWC + "maximumDepthInMeters",
)
def depth_check(lower: str, upper: str) -> str:
    """Shallowest is not below deepest."""
    return _swapped(lower, upper)


LOCATION_CHECKS: tuple[ValueCheck, ...] = (
    latitude_check, longitude_check, half_point_check, zero_check, no_datum_check, datum_check, uncertainty_check,
    centre_check, precision_check, country_check, *height_check, elevation_check, depth_check,
)  # fmt: skip
