"""Decimal coordinates from verbatim ones: degrees, with or without minutes and seconds."""

from __future__ import annotations

import re
from decimal import Decimal

from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.geodetic_datum import DATUM, epsg_code
from dwc_pipeline.check.quality.location_validations import LATITUDE, LONGITUDE
from dwc_pipeline.check.quality.reading import plain
from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import Response, filled_in, internal, not_amended

#: Decimals kept of a computed coordinate, about a centimetre.
DECIMALS = Decimal("0.0000001")
#: Coordinates of one place, written twice, may differ by rounding. [degrees]
SAME_PLACE = Decimal("0.0001")
FIGURE = r"\d{1,3}(?:\.\d+)?"
ANGLE = re.compile(
    rf"(?P<before>[NSEW])?\s*(?P<sign>[-+−])?\s*(?P<degrees>{FIGURE})\s*(?P<mark>°|º|degrees?|deg\.?|d\b)?"
    rf"(?:\s*(?P<minutes>\d{{1,2}}(?:\.\d+)?)\s*(?:'|′|’|minutes?|min\.?|m\b)"
    rf"(?:\s*(?P<seconds>\d{{1,2}}(?:\.\d+)?)\s*(?:\"|″|”|''|seconds?|sec\.?|s\b))?)?"
    rf"\s*(?P<after>north|south|east|west|[NSEW])?(?![a-z])",
    re.IGNORECASE,
)
BETWEEN = re.compile(r"\s*[,;/]?\s*")
OTHER_SYSTEMS = re.compile(r"utm|mgrs|grid|trs|township", re.IGNORECASE)
Angle = tuple[Decimal, str]  # value, and "lat", "lon" or "" for the axis that its letter or size tells


def read_angles(text: str) -> list[Angle] | None:
    """All coordinates in the text, in order; None if anything is left over or out of range.

    >>> read_angles("23 degrees 42.72 minutes south 140 degrees 30 minutes east")
    [(Decimal('-23.7120000'), 'lat'), (Decimal('140.5000000'), 'lon')]
    """
    rest, angles = trimmed(text), []
    while rest:
        found = ANGLE.match(rest)
        angle = _angle(found) if found else None
        if found is None or angle is None:
            return None
        angles.append(angle)
        rest = rest[found.end() :]
        rest = rest[BETWEEN.match(rest).end() :]  # type: ignore[union-attr]  # matches the empty text too
    return angles


def _angle(found: re.Match[str]) -> Angle | None:
    letters = [letter[0].upper() for letter in (found["before"], found["after"]) if letter]
    parts = [Decimal(found[part] or 0) for part in ("degrees", "minutes", "seconds")]
    negative = found["sign"] in ("-", "−")
    whole = "." not in found["degrees"] or not found["minutes"]
    if len(letters) > 1 or max(parts[1:]) >= 60 or not whole or (letters and negative):
        return None
    value = parts[0] + parts[1] / 60 + parts[2] / 3600
    value = parts[0] if not (parts[1] or parts[2]) else value.quantize(DECIMALS)
    axis = "lat" if letters and letters[0] in "NS" else "lon" if letters or value > 90 else ""
    if value > (90 if axis == "lat" else 180):
        return None
    return -value if negative or (letters and letters[0] in "SW") else value, axis


def _pair(text: str) -> tuple[Decimal, Decimal] | None:
    """Latitude and longitude of a text with both, where the axes can be told apart."""
    angles = read_angles(text)
    if angles is None or len(angles) != 2:
        return None
    (first, first_axis), (second, second_axis) = angles
    if (first_axis, second_axis) in (("lat", "lon"), ("", "lon"), ("lat", "")):
        return first, second
    if (first_axis, second_axis) in (("lon", "lat"), ("lon", ""), ("", "lat")):
        return second, first
    return None


def _single(text: str, axis: str) -> Decimal | None:
    angles = read_angles(text)
    if angles is None or len(angles) != 1 or angles[0][1] not in ("", axis):
        return None
    return angles[0][0]


@implements("AMENDMENT_COORDINATES_FROM_VERBATIM")
def amendment_coordinates_from_verbatim(record: Record) -> Response:
    """Propose decimal coordinates from the verbatim ones, in the system of dwc:verbatimSRS, untransformed."""
    both = record.text("dwc:verbatimCoordinates")
    missing = record.empty_among("dwc:verbatimLatitude", "dwc:verbatimLongitude")
    if record.filled_among(LATITUDE, LONGITUDE) or (record.is_empty("dwc:verbatimCoordinates") and missing):
        return internal(f"{LATITUDE} or {LONGITUDE} is not empty, or there are no verbatim coordinates")
    if OTHER_SYSTEMS.search(record.text("dwc:verbatimCoordinateSystem")):
        return not_amended("the verbatim coordinates are not geographic")
    place = _place(record, both)
    if place is None:
        return not_amended("the verbatim coordinates have no single reading, or do not agree with each other")
    proposed = {LATITUDE: plain(place[0]), LONGITUDE: plain(place[1])}
    if not record.is_empty("dwc:verbatimSRS"):
        code = epsg_code(record.text("dwc:verbatimSRS"))
        if code is None:
            return not_amended("dwc:verbatimSRS is no geographic system that can be told")
        proposed[DATUM] = code
    return filled_in(proposed, "the verbatim coordinates in decimal degrees")


def _place(record: Record, both: str) -> tuple[Decimal, Decimal] | None:
    """The one place that all filled verbatim terms agree on."""
    places: list[tuple[Decimal | None, Decimal | None]] = []
    if not record.is_empty("dwc:verbatimCoordinates"):
        pair = _pair(both)
        if pair is None:
            return None
        places.append(pair)
    latitude_text, longitude_text = record.text("dwc:verbatimLatitude"), record.text("dwc:verbatimLongitude")
    latitude, longitude = _single(latitude_text, "lat"), _single(longitude_text, "lon")
    if (latitude is None and not record.is_empty("dwc:verbatimLatitude")) or (
        longitude is None and not record.is_empty("dwc:verbatimLongitude")
    ):
        return None
    if (latitude is not None and abs(latitude) > 90) or (longitude is not None and abs(longitude) > 180):
        return None
    places.append((latitude, longitude))
    return _agreed(places)


def _agreed(places: list[tuple[Decimal | None, Decimal | None]]) -> tuple[Decimal, Decimal] | None:
    chosen = []
    for values in zip(*places, strict=True):
        told = [value for value in values if value is not None]
        if not told or max(told) - min(told) > SAME_PLACE:
            return None
        chosen.append(told[-1])
    return chosen[0], chosen[1]
