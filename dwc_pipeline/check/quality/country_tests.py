"""Tests of dwc:countryCode, alone and against the coordinates."""

from __future__ import annotations

from dwc_pipeline.check.quality.country_outlines import (
    ZONE_M,
    ZONE_REACH_M,
    coasts_within,
    code_at,
    countries,
    half_side,
    metres_between,
    metres_outside,
)
from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.location_validations import LATITUDE, LONGITUDE
from dwc_pipeline.check.quality.not_empty_tests import HIGH_SEAS_CODE
from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import (
    Response,
    amended,
    compliant,
    external,
    filled_in,
    internal,
    not_amended,
    not_compliant,
    not_issue,
    potential_issue,
    verdict,
)

CODE = "dwc:countryCode"
UNKNOWN_CODE = "ZZ"
#: Tolerance of the outlines where a point is to be brought into its country. [m]
COAST_TOLERANCE_M = 3000.0
#: What the coordinates may have suffered -> signs of latitude and longitude, and whether they changed places.
SLIPS = {
    "latitude sign reversed": (-1, 1, False),
    "longitude sign reversed": (1, -1, False),
    "both signs reversed": (-1, -1, False),
    "transposed": (1, 1, True),
    "transposed, latitude sign reversed": (-1, 1, True),
    "transposed, longitude sign reversed": (1, -1, True),
    "transposed, both signs reversed": (-1, -1, True),
}


@implements("VALIDATION_COUNTRYCODE_STANDARD")
def validation_countrycode_standard(record: Record) -> Response:
    """Is it a two-letter code of ISO 3166-1, or XZ or ZZ?"""
    if record.is_empty(CODE):
        return internal(f"{CODE} is empty")
    return verdict(record.text(CODE) in countries(), f"{CODE} is an ISO 3166-1 code", f"{CODE} is no ISO 3166-1 code")


@implements("AMENDMENT_COUNTRYCODE_STANDARDIZED")
def amendment_countrycode_standardized(record: Record) -> Response:
    """Propose the two-letter code of a three-letter code, a code in small letters, or an ISO short name."""
    if record.is_empty(CODE):
        return internal(f"{CODE} is empty")
    value = record.text(CODE)
    if value in countries():
        return not_amended(f"{CODE} is an ISO 3166-1 code already")
    word = trimmed(value).casefold()
    meant = {
        country.alpha_2
        for country in countries().values()
        if country.alpha_2 != UNKNOWN_CODE
        and word in (country.alpha_2.casefold(), country.alpha_3.casefold(), country.name.casefold())
    }
    if len(meant) != 1:
        return not_amended(f"{CODE} names no single country")
    (code,) = meant
    return amended({CODE: code}, f"{CODE} is read as {code}")


def _point(record: Record) -> tuple[float, float] | None:
    latitude, longitude = as_number(record.text(LATITUDE)), as_number(record.text(LONGITUDE))
    if latitude is None or longitude is None or abs(latitude) > 90 or abs(longitude) > 180:
        return None
    return latitude, longitude


@implements("VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT")
def validation_coordinatescountrycode_consistent(record: Record) -> Response:
    """Does the point lie in the country, its exclusive economic zone, or the buffer around them?"""
    point, code = _point(record), record.text(CODE)
    if point is None or code not in countries() or code == UNKNOWN_CODE:
        return internal(f"{CODE}, {LATITUDE} or {LONGITUDE} is empty or not valid")
    buffer = float(record.parameter("bdqval:spatialBufferInMeters"))
    if code == HIGH_SEAS_CODE:
        return _on_the_high_seas(point)
    if metres_outside(code, *point, within=buffer) <= buffer:
        return compliant(f"the point lies in {code} or within {buffer:g} m of it")
    at = code_at(*point)
    if countries()[code].outline is None or at == "":
        return external(f"the outlines at hand do not tell {code} here")
    if at:
        return not_compliant(f"the point lies in {at}, not in {code}")
    waters = _waters(point, buffer)
    if waters == code:
        return compliant(f"the point lies at sea where only {code} is near enough to have a zone")
    if waters is None and code in coasts_within(*point, ZONE_REACH_M + buffer):
        return external(f"whether the point lies in the waters of {code} needs the zones, which are not at hand")
    return not_compliant(f"the point lies at sea, out of reach of any zone of {code}")


def _waters(point: tuple[float, float], buffer: float = 0.0) -> str | None:
    """Whose zone a point at sea lies in: a code, XZ for none, None if that needs the zones themselves."""
    near = coasts_within(*point, ZONE_REACH_M + buffer)
    if not near:
        return HIGH_SEAS_CODE
    ((code, distance), *others) = near.items()
    return code if code and not others and distance <= ZONE_M else None


def _on_the_high_seas(point: tuple[float, float]) -> Response:
    if code_at(*point) is not None:
        return not_compliant("the point lies on land")
    if not coasts_within(*point, ZONE_REACH_M):
        return compliant("the point lies at sea, out of reach of any zone")
    if coasts_within(*point, ZONE_M):
        return not_compliant("the point lies within 200 nautical miles of a coast")
    return external("whether the point lies in a zone needs the zones, which are not at hand")


@implements("AMENDMENT_COUNTRYCODE_FROM_COORDINATES")
def amendment_countrycode_from_coordinates(record: Record) -> Response:
    """Propose the code of the country that holds the point, or XZ on the high seas."""
    if record.empty_among(LATITUDE, LONGITUDE) or not record.is_empty(CODE):
        return internal(f"{LATITUDE} or {LONGITUDE} is empty, or {CODE} is not")
    point = _point(record)
    if point is None:
        return not_amended(f"{LATITUDE} or {LONGITUDE} is not a number in range")
    at = code_at(*point)
    if at:
        return filled_in({CODE: at}, f"the point lies in {at}")
    if at == "":
        return not_amended("the point lies on land without a single code")
    waters = _waters(point)
    if waters == HIGH_SEAS_CODE:
        return filled_in({CODE: HIGH_SEAS_CODE}, "the point lies at sea, out of reach of any zone")
    if waters:
        return filled_in({CODE: waters}, f"the point lies at sea where only {waters} is near enough to have a zone")
    return external("the point lies at sea, where the zones are needed, which are not at hand")


@implements("AMENDMENT_COORDINATES_TRANSPOSED")
def amendment_coordinates_transposed(record: Record) -> Response:
    """Propose the one exchange of signs or places that brings the point into the country of the code."""
    if record.empty_among(LATITUDE, LONGITUDE, CODE):
        return internal(f"{LATITUDE}, {LONGITUDE} or {CODE} is empty")
    latitude, longitude = as_number(record.text(LATITUDE)), as_number(record.text(LONGITUDE))
    code = record.text(CODE)
    if latitude is None or longitude is None or code not in countries() or countries()[code].outline is None:
        return not_amended(f"{LATITUDE}, {LONGITUDE} or {CODE} cannot be read")
    if _is_in(code, latitude, longitude):
        return not_amended(f"the point lies in {code} already")
    fitting: dict[tuple[str, str], str] = {}
    for slip, (latitude_sign, longitude_sign, swap) in SLIPS.items():
        signed = latitude_sign * latitude, longitude_sign * longitude
        if _is_in(code, *(signed[::-1] if swap else signed)):
            texts = _signed(record.text(LATITUDE), latitude_sign), _signed(record.text(LONGITUDE), longitude_sign)
            fitting.setdefault((texts[1], texts[0]) if swap else texts, slip)
    if len(fitting) != 1:
        return not_amended(f"no single exchange of signs or places brings the point into {code}")
    ((texts, slip),) = fitting.items()
    qualifier = "TRANSPOSED" if slip.startswith("transposed") else "SIGN_REVERSED"
    return amended(dict(zip((LATITUDE, LONGITUDE), texts, strict=True)), f"{slip}, to lie in {code}", qualifier)


def _is_in(code: str, latitude: float, longitude: float) -> bool:
    if abs(latitude) > 90 or abs(longitude) > 180:
        return False
    return metres_outside(code, latitude, longitude, within=COAST_TOLERANCE_M) <= COAST_TOLERANCE_M


def _signed(text: str, sign: int) -> str:
    if sign > 0:
        return text
    return text[1:] if text.startswith("-") else f"-{text.removeprefix('+')}"


@implements("ISSUE_COORDINATES_CENTEROFCOUNTRY")
def issue_coordinates_centerofcountry(record: Record) -> Response:
    """May the point be no more than the middle of its country?

    Centres: the coordinates that the World Factbook gives for the country, and the middle of its outline.
    """
    if record.empty_among(CODE, LATITUDE, LONGITUDE):
        return internal(f"{CODE}, {LATITUDE} or {LONGITUDE} is empty")
    point, code = _point(record), record.text(CODE)
    if point is None or code not in countries():
        return not_issue(f"{CODE}, {LATITUDE} or {LONGITUDE} cannot be read, so no centre can be meant")
    buffer = float(record.parameter("bdqval:spatialBufferInMeters"))
    if not any(metres_between(*point, centre) <= buffer for centre in countries()[code].centres):
        return not_issue(f"the point is not within {buffer:g} m of a centre of {code}")
    uncertainty = as_number(record.text("dwc:coordinateUncertaintyInMeters"))
    if uncertainty is not None and uncertainty >= half_side(code):
        return not_issue("the point is a centre of the country, and its uncertainty covers the country")
    return potential_issue(f"the point is within {buffer:g} m of a centre of {code}: it may have been generalised")
