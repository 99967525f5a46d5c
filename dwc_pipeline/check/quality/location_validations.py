"""Validations of coordinates, elevation and depth as numbers."""

from __future__ import annotations

from collections.abc import Callable

from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import Response, internal, verdict

LATITUDE, LONGITUDE = "dwc:decimalLatitude", "dwc:decimalLongitude"
#: Half the circumference of the earth at the equator. [m]
LARGEST_UNCERTAINTY = 20_037_509


def _within(term: str, lowest: float, highest: float) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        return _in_range(record, term, lowest, highest, float("-inf"))

    return answer


def _within_parameters(term: str, kind: str, least: float) -> Callable[[Record], Response]:
    """least: values below it are no values at all (a depth is never negative)."""

    def answer(record: Record) -> Response:
        lowest = float(record.parameter(f"bdqval:minimumValid{kind}InMeters"))
        highest = float(record.parameter(f"bdqval:maximumValid{kind}InMeters"))
        return _in_range(record, term, lowest, highest, least)

    return answer


def _in_range(record: Record, term: str, lowest: float, highest: float, least: float) -> Response:
    number = as_number(record.text(term))
    if number is None or number < least:
        return internal(f"{term} is empty or not such a number")
    return verdict(
        lowest <= number <= highest, f"{term} is in range", f"{term} is not between {lowest:g} and {highest:g}"
    )


implements("VALIDATION_DECIMALLATITUDE_INRANGE")(_within(LATITUDE, -90, 90))
implements("VALIDATION_DECIMALLONGITUDE_INRANGE")(_within(LONGITUDE, -180, 180))
for _end, _short in (("minimum", "MIN"), ("maximum", "MAX")):
    implements(f"VALIDATION_{_short}DEPTH_INRANGE")(_within_parameters(f"dwc:{_end}DepthInMeters", "Depth", 0.0))
    implements(f"VALIDATION_{_short}ELEVATION_INRANGE")(
        _within_parameters(f"dwc:{_end}ElevationInMeters", "Elevation", float("-inf"))
    )


def _in_order(low_term: str, high_term: str, least: float) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        low, high = as_number(record.text(low_term)), as_number(record.text(high_term))
        if low is None or high is None or min(low, high) < least:
            return internal(f"{low_term} or {high_term} is empty or not such a number")
        return verdict(low <= high, "the minimum is not above the maximum", f"{low_term} is above {high_term}")

    return answer


implements("VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH")(
    _in_order("dwc:minimumDepthInMeters", "dwc:maximumDepthInMeters", 0.0)
)
implements("VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION")(
    _in_order("dwc:minimumElevationInMeters", "dwc:maximumElevationInMeters", float("-inf"))
)


@implements("VALIDATION_COORDINATEUNCERTAINTY_INRANGE")
def validation_coordinateuncertainty_inrange(record: Record) -> Response:
    """Is the uncertainty between one metre and half the circumference of the earth?"""
    term = "dwc:coordinateUncertaintyInMeters"
    if record.is_empty(term):
        return internal(f"{term} is empty")
    number = as_number(record.text(term))
    return verdict(
        number is not None and 1 <= number <= LARGEST_UNCERTAINTY,
        f"{term} is in range",
        f"{term} is not a number between 1 and {LARGEST_UNCERTAINTY}",
    )


@implements("VALIDATION_COORDINATES_NOTZERO")
def validation_coordinates_notzero(record: Record) -> Response:
    """Is the point another than zero latitude, zero longitude?"""
    latitude, longitude = as_number(record.text(LATITUDE)), as_number(record.text(LONGITUDE))
    if latitude is None or longitude is None:
        return internal(f"{LATITUDE} or {LONGITUDE} is empty or not a number")
    return verdict(
        latitude != 0 or longitude != 0, "latitude and longitude are not both zero", "latitude and longitude are zero"
    )
