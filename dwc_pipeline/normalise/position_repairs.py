"""Which usual slips would explain a position that lies where the survey does not work. Proposals, never applied.

A slip that is told by where it leads (a sign, a swap, a zone, a digit lost) makes a question of the position;
one wrong or turned digit is only mentioned, because some digit can bring almost any number near.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import NamedTuple

from dwc_pipeline.normalise.boundary import Surroundings
from dwc_pipeline.normalise.datum_shift import geographic_code, utm_crs, utm_zone_of
from dwc_pipeline.normalise.planar_text import UTM_EASTINGS
from dwc_pipeline.normalise.position_context import ParsedPosition, ParsedText


class Repair(NamedTuple):
    """A position with one slip put right. is_digit: one digit wrong or turned. is_loss: a digit was lost."""

    position: ParsedPosition
    is_digit: bool = False
    is_loss: bool = False


def repairs_of(parsed: ParsedText, surroundings: Surroundings) -> Iterator[Repair]:
    """Every usual slip put right, one at a time, likeliest first."""
    for alternative in parsed.alternatives:
        yield Repair(alternative)
    if not parsed.readings:
        return
    position = parsed.readings[0]
    if position.kind == "degrees":
        yield from _degree_slips(position)
    elif position.kind == "utm":
        yield from _utm_slips(position, surroundings)
    if surroundings.boundary is not None and position.kind != "grid reference":
        yield from _digit_slips(position)


def _degree_slips(position: ParsedPosition) -> Iterator[Repair]:
    """Signs, letters, order and the place of the decimal point."""
    lon, lat = position.x, position.y
    sign = "minus sign missing" if lon > 0 else "minus sign or W where there should be none"
    letter = "N for S" if lat < 0 else "S for N"
    yield Repair(position._replace(x=-lon, label=sign))
    yield Repair(position._replace(y=-lat, label=letter))
    yield Repair(position._replace(x=-lon, y=-lat, label="both signs turned"))
    if abs(lon) <= 90:
        for east, north, label in (
            (lat, lon, "latitude and longitude swapped"),
            (-abs(lat), abs(lon), "latitude and longitude swapped and minus sign missing"),
        ):
            yield Repair(position._replace(x=east, y=north, label=label))
    for factor in (10.0, 0.1, 100.0, 0.01):
        if abs(lon * factor) <= 180:
            yield Repair(position._replace(x=lon * factor, label="decimal point of the longitude misplaced"))
        if abs(lat * factor) <= 90:
            yield Repair(position._replace(y=lat * factor, label="decimal point of the latitude misplaced"))


def _utm_slips(position: ParsedPosition, surroundings: Surroundings) -> Iterator[Repair]:
    """Another zone, the other hemisphere, the two numbers swapped, or a northing with a digit lost."""
    zone, hemisphere = _zone_of(position)
    if not zone:
        return
    geographic = geographic_code(position.crs)
    for other in surroundings.zones():
        if other != zone:
            label = f"zone {other} instead of {zone}"
            yield Repair(position._replace(crs=utm_crs(geographic, other, hemisphere), label=label))
    turned = "S" if hemisphere == "N" else "N"
    label = "southern hemisphere" if turned == "S" else "northern hemisphere"
    yield Repair(position._replace(crs=utm_crs(geographic, zone, turned), label=label))
    if UTM_EASTINGS[0] <= position.y <= UTM_EASTINGS[1]:
        yield Repair(position._replace(x=position.y, y=position.x, label="easting and northing swapped"))
    whole = f"{position.y:.0f}"
    if len(whole) == 6:
        for at in range(7):
            for digit in "0123456789":
                full = float(whole[:at] + digit + whole[at:])
                if 1_000_000 <= full < 10_000_000:
                    label = f"northing {full:.0f}, a digit put back"
                    yield Repair(position._replace(y=full, label=label), is_loss=True)


def _zone_of(position: ParsedPosition) -> tuple[int, str]:
    """Zone and hemisphere of a UTM position."""
    made_up = re.search(r" UTM (\d+)([NS])$", position.crs)
    if made_up:
        return int(made_up[1]), made_up[2]
    return utm_zone_of(position.crs) or (0, "")


def _digit_slips(position: ParsedPosition) -> Iterator[Repair]:
    """One digit wrong or two neighbours turned, in either number; its last digits are left alone."""
    for axis, size in (("x", position.x), ("y", position.y)):
        text = f"{abs(size):.4f}" if position.kind == "degrees" else f"{abs(size):.0f}"
        name = _axis_name(position, axis)
        for changed, what in _changed_digits(text, position.kind):
            number = float(changed) if size >= 0 else -float(changed)
            if position.kind != "degrees" or abs(number) <= (180 if axis == "x" else 90):
                label = f"{what} in the {name}"
                moved = (
                    position._replace(x=number, label=label)
                    if axis == "x"
                    else position._replace(y=number, label=label)
                )
                yield Repair(moved, is_digit=True)


def _axis_name(position: ParsedPosition, axis: str) -> str:
    if position.kind == "degrees":
        return "longitude" if axis == "x" else "latitude"
    return "easting" if axis == "x" else "northing"


def _changed_digits(text: str, kind: str) -> Iterator[tuple[str, str]]:
    """Spellings with two neighbouring digits turned, then with one digit changed; the last places are left alone."""
    point = text.find(".")
    last = (point + 3) if kind == "degrees" else max(len(text) - 3, 0)
    places = [at for at in range(min(last, len(text))) if text[at].isdigit()]
    for left, right in itertools.pairwise(places):
        if text[left] != text[right]:
            turned = list(text)
            turned[left], turned[right] = turned[right], turned[left]
            yield "".join(turned), "two digits turned"
    for at in places:
        for digit in "0123456789":
            if digit != text[at]:
                yield text[:at] + digit + text[at + 1 :], "one digit different"
