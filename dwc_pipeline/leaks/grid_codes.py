"""Codes that name a place: military grid references, plus codes and geohashes, as latitude and longitude.

Source: grid references as in the position reader; Open Location Code specification 1.0; geohash alphabet and
bit order from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from dwc_pipeline.normalise.datum_shift import to_wgs84, utm_crs
from dwc_pipeline.normalise.grid_reference import GridReference, bands_with_square, cell_of, parse_grid_reference

PLUS_DIGITS = "23456789CFGHJMPQRVWX"
HASH_DIGITS = "0123456789bcdefghjkmnpqrstuvwxyz"
METRES_PER_DEGREE = 111_000.0
_REFERENCE = re.compile(
    r"(?<![A-Za-z0-9])(?:\d{1,2}[\s_/-]?[C-HJ-NP-Xc-hj-np-x][\s_/-]?)?[A-HJ-NP-Za-hj-np-z][A-HJ-NP-Va-hj-np-v][\s_/:-]*"
    r"(?:\d{2,5}[\s_/,-]+\d{2,5}|\d{4,10})(?![A-Za-z0-9])"
)
_PLUS = re.compile(
    rf"(?<![A-Za-z0-9])([{PLUS_DIGITS}]{{4}}|[{PLUS_DIGITS}]{{6}}|[{PLUS_DIGITS}]{{8}})\+([{PLUS_DIGITS}]{{0,7}})",
    re.I,
)
_SEPARATORS = re.compile(r"[_/:,-]+")
#: world geographic reference: quadrangles of 15 degrees, degrees, minutes; from memory, checked against a library
QUADRANGLE = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_WORLD = re.compile(
    r"(?<![A-Za-z0-9])([A-HJ-NP-Z][A-HJ-M][A-HJ-NP-Q]{2})(\d{4}|\d{6}|\d{8}|\d{10})(?![A-Za-z0-9])", re.I
)
#: locators of radio amateurs, from eight signs on; from memory
_LOCATOR = re.compile(r"(?<![A-Za-z0-9])([A-R]{2})(\d{2})([A-X]{2})(\d{2})([A-X]{2})?(?![A-Za-z0-9])", re.I)
_HASH = re.compile(rf"(?<![A-Za-z0-9])[{HASH_DIGITS}]{{6,12}}(?![A-Za-z0-9])", re.I)


class Coded(NamedTuple):
    """A position named by a code, and half the side of its cell in metres."""

    latitude: float
    longitude: float
    half_m: float
    form: str


def codes_in(text: str, near: Iterable[tuple[float, float]]) -> Iterator[Coded]:
    """All positions that codes in the text name. near: places that complete a shortened code."""
    places = list(near)
    for match in _REFERENCE.finditer(text):
        yield from _of_reference(match.group(), places)
    for match in _PLUS.finditer(text):
        yield from _of_plus(match[1].upper(), match[2].upper(), places)
    for match in _WORLD.finditer(text):
        yield of_world_reference(match[1].upper(), match[2])
    for match in _LOCATOR.finditer(text):
        yield of_locator(match.group().upper())
    for match in _HASH.finditer(text):
        word = match.group().lower()
        if any(sign.isdigit() for sign in word) and any(sign.isalpha() for sign in word):
            yield of_hash(word)


def _of_reference(text: str, places: list[tuple[float, float]]) -> Iterator[Coded]:
    reference = parse_grid_reference(_SEPARATORS.sub(" ", text))
    if reference is None or len(reference.easting) < 2:
        return
    zones = [reference.zone] if reference.zone else sorted({int((lon + 180) // 6) + 1 for _, lon in places})
    for zone in zones:
        own = reference._replace(zone=zone)
        bands = [reference.band] if reference.band else bands_with_square(own)
        for band in bands:
            yield from _of_cell(own._replace(band=band))


def _of_cell(reference: GridReference) -> Iterator[Coded]:
    try:
        cell = cell_of(reference)
    except ValueError:
        return
    east, north = cell.centre
    found = to_wgs84([east], [north], utm_crs("EPSG:4326", cell.zone, cell.hemisphere))
    yield Coded(float(found.latitude[0]), float(found.longitude[0]), cell.side_m / 2, "grid reference")


def _of_plus(before: str, after: str, places: list[tuple[float, float]]) -> Iterator[Coded]:
    starts = {""} if len(before) == 8 else {plus_code(*place)[: 8 - len(before)] for place in places}
    for start in starts:
        yield of_plus(start + before + after)


def of_plus(digits: str) -> Coded:
    """The centre of a full code's cell; digits without the plus sign.

    >>> one = of_plus("8FVC9G8F6W")
    >>> round(one.latitude, 3), round(one.longitude, 3)
    (47.366, 8.525)
    """
    latitude, longitude, side = -90.0, -180.0, 20.0
    for at in range(0, min(len(digits), 10) - 1, 2):
        latitude += PLUS_DIGITS.index(digits[at]) * side
        longitude += PLUS_DIGITS.index(digits[at + 1]) * side
        side /= 20
    side *= 20
    return Coded(latitude + side / 2, longitude + side / 2, side / 2 * METRES_PER_DEGREE, "plus code")


def plus_code(latitude: float, longitude: float) -> str:
    """The first eight digits of the code of a place.

    >>> plus_code(47.365590, 8.524997)
    '8FVC9G8F'
    """
    left, right, side, code = latitude + 90, longitude + 180, 20.0, ""
    for _ in range(4):
        up, along = min(int(left // side), 19), min(int(right // side), 19)
        code += PLUS_DIGITS[up] + PLUS_DIGITS[along]
        left, right, side = left - up * side, right - along * side, side / 20
    return code


def of_hash(word: str) -> Coded:
    """The centre of a geohash cell.

    >>> one = of_hash("u4pruy")
    >>> round(one.latitude, 2), round(one.longitude, 2)
    (57.65, 10.41)
    """
    bounds = [[-180.0, 180.0], [-90.0, 90.0]]
    turn = 0
    for sign in word:
        number = HASH_DIGITS.index(sign)
        for bit in range(4, -1, -1):
            low, high = bounds[turn]
            middle = (low + high) / 2
            bounds[turn] = [middle, high] if number >> bit & 1 else [low, middle]
            turn = 1 - turn
    half = max((bounds[1][1] - bounds[1][0]), (bounds[0][1] - bounds[0][0])) / 2
    return Coded(sum(bounds[1]) / 2, sum(bounds[0]) / 2, half * METRES_PER_DEGREE, "geohash")


def of_world_reference(letters: str, digits: str) -> Coded:
    """The centre of a world geographic reference.

    >>> one = of_world_reference("MKML", "5056")
    >>> round(one.latitude, 2), round(one.longitude, 2)
    (55.94, -3.16)
    """
    west, south, east, north = (QUADRANGLE.index(letter) for letter in letters)
    half = len(digits) // 2
    size = 10.0 ** (2 - half) / 60
    longitude = west * 15 - 180 + east + int(digits[:half]) * size
    latitude = south * 15 - 90 + north + int(digits[half:]) * size
    return Coded(latitude + size / 2, longitude + size / 2, size / 2 * METRES_PER_DEGREE, "world reference")


def of_locator(code: str) -> Coded:
    """The centre of a locator of at least eight signs.

    >>> one = of_locator("JN58TD25")
    >>> round(one.latitude, 3), round(one.longitude, 3)
    (48.148, 11.604)
    """
    longitude, latitude, width = -180.0, -90.0, 360.0
    for at in range(0, len(code), 2):
        first = "0" if code[at].isdigit() else "A"
        width /= (18, 10, 24, 10, 24)[at // 2]
        longitude += (ord(code[at]) - ord(first)) * width
        latitude += (ord(code[at + 1]) - ord(first)) * width / 2
    return Coded(latitude + width / 4, longitude + width / 2, width / 2 * METRES_PER_DEGREE, "locator")
