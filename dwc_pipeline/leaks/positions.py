"""Positions near a withheld place, in any notation: degrees, planar coordinates, grid references, codes.

Every number is compared with what the withheld places are in each notation, so that nothing depends on the words
and marks around it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from dwc_pipeline.leaks.grid_codes import codes_in
from dwc_pipeline.leaks.numbers import PACKED, Angle, Number, angles_in, numbers_in, spellings
from dwc_pipeline.normalise.datum_shift import geodesic_distance
from dwc_pipeline.protect.withheld import Withheld

#: datums of planar coordinates that a note may be written in: WGS 84 (NAD83 is within 2 m of it) and NAD27
NAD27 = "EPSG:4267"
#: [characters] between the halves of a position in a text whose lines need not belong together
FAR_IN_A_WHOLE = 150
#: decimals from which half a position is enough to be known again, and how near it must be [degrees]
TELLING_DECIMALS, SAME_DEGREES = 3, 0.00006
#: steps of degrees with minutes up to which half a position is telling: one second, or two decimals of a minute
TELLING_STEP = 1 / 3600
#: northings within this are known again alone [m]
SAME_METRES = 6.0
METRES_PER_DEGREE = 110_500.0
#: the number of a reference system is no coordinate
_SYSTEM_CODE = re.compile(r"EPSG:+\d{4,5}(?!\d)", re.IGNORECASE)
_PLANAR_NUMBER = re.compile(r"\d{5}|\d{3}\.\d")


class Planar(NamedTuple):
    """The withheld places in one reference system: easting and northing, in its unit; radius in the unit."""

    name: str
    easting: NDArray[np.float64]
    northing: NDArray[np.float64]
    radius: NDArray[np.float64]


class PositionSearch:
    """Looks for positions near withheld places; made once for a package."""

    def __init__(self, withheld: Withheld, state_plane: str = "") -> None:
        self.withheld = withheld
        self.latitude, self.longitude = np.abs(withheld.latitude), np.abs(withheld.longitude)
        self.reach = float(withheld.radius.max(initial=0.0)) / METRES_PER_DEGREE
        self.shown_lat = {round(abs(one), 7) for one, _ in withheld.shown}
        self.shown_lon = {round(abs(one), 7) for _, one in withheld.shown}
        self.shown = self.shown_lat | self.shown_lon
        self.planar = list(_planar(withheld, state_plane)) if len(self.latitude) else []
        self.starts = _starts((*self.latitude, *self.longitude), 4 * self.reach)
        self.around = list(zip(withheld.latitude.tolist(), withheld.longitude.tolist(), strict=True))

    def forms_found(self, text: str, whole: bool) -> set[str]:
        """The notations in which the text gives a withheld place away; empty if it does not.

        whole: a document, in which only numbers near each other belong together.
        """
        if not len(self.latitude):
            return set()
        found: set[str] = set()
        for spelling in spellings(_SYSTEM_CODE.sub(" ", text)):
            degrees, planar = bool(self.starts.search(spelling)), bool(_PLANAR_NUMBER.search(spelling))
            numbers = numbers_in(spelling) if degrees or planar else []
            if degrees:
                angles = self._told(angles_in(spelling, numbers), numbers)
                found |= self._halves(numbers) | self._minutes_alone(angles) | self._degrees(angles, whole)
            if planar:
                found |= self._planar(numbers, whole)
            if not whole:
                found |= self._codes(spelling)
        return found

    def _near(self, latitude: float, longitude: float, more_m: float = 0.0) -> bool:
        """True if the point is near a withheld place; signs do not count, since a note may leave them out."""
        if round(latitude, 7) in self.shown_lat and round(longitude, 7) in self.shown_lon:
            return False
        close = np.abs(self.latitude - latitude) <= self.reach + more_m / METRES_PER_DEGREE
        if not close.any():
            return False
        count = int(close.sum())
        away = geodesic_distance(
            self.longitude[close], self.latitude[close], np.full(count, longitude), np.full(count, latitude)
        )
        return bool((away <= self.withheld.radius[close] + more_m).any())

    def _told(self, angles: list[Angle], numbers: list[Number]) -> list[Angle]:
        """The angles without packed readings of numbers that the copy shows as decimal degrees."""
        shown = {one.start for one in numbers if round(one.value, 7) in self.shown}
        return [one for one in angles if one.form != PACKED or one.start not in shown]

    def _degrees(self, angles: list[Angle], whole: bool) -> set[str]:
        values = np.array([one.degrees for one in angles])
        lat = [angles[at] for at in _near_any(values, self.latitude, self.reach)]
        lon = [angles[at] for at in _near_any(values, self.longitude, 4 * self.reach)] if lat else []
        new_lon = [one for one in lon if round(one.degrees, 7) not in self.shown_lon]
        found = set()
        for one in lat:
            # Cells of the copy fill its own rows: two numbers that it shows anyway are no secret.
            for other in new_lon if round(one.degrees, 7) in self.shown_lat else lon:
                if _is_pair(one, other, whole) and self._near(one.degrees, other.degrees):
                    found.add(one.form)
        return found

    def _halves(self, numbers: list[Number]) -> set[str]:
        telling = [one for one in numbers if one.decimals >= TELLING_DECIMALS]
        values = np.array([one.value for one in telling])
        for known, shown in ((self.latitude, self.shown_lat), (self.longitude, self.shown_lon)):
            for at in _near_any(values, known, 10.0**-TELLING_DECIMALS):
                step = max(SAME_DEGREES, 0.6 * 10.0 ** -telling[at].decimals)
                if np.abs(known - values[at]).min() <= step and round(float(values[at]), 7) not in shown:
                    return {"half of a position in decimal degrees"}
        return set()

    def _minutes_alone(self, angles: list[Angle]) -> set[str]:
        """Half a position in degrees with minutes, written finely enough to be known again."""
        telling = [one for one in angles if 0 < one.step <= TELLING_STEP]
        values = np.array([one.degrees for one in telling])
        for known in (self.latitude, self.longitude):
            for at in _near_any(values, known, TELLING_STEP):
                if np.abs(known - values[at]).min() <= max(0.6 * telling[at].step, SAME_DEGREES):
                    return {f"half of a position in {telling[at].form}"}
        return set()

    def _planar(self, numbers: list[Number], whole: bool) -> set[str]:
        big = [(one, size) for one in numbers for size in _metres(one)]
        if not big:
            return set()
        found = set()
        for system in self.planar:
            for one, east in big:
                fits = np.abs(system.easting - east) <= system.radius
                if not fits.any():
                    continue
                for other, north in big:
                    if _is_pair(one, other, whole) and _same_unit(one, east, other, north):
                        near = np.abs(system.northing[fits] - north) <= system.radius[fits]
                        if near.any():
                            found.add(system.name)
            for one, north in big:
                alone = not one.decimals and 7 <= len(one.text) <= 8
                if alone and (np.abs(system.northing - north) <= SAME_METRES).any():
                    found.add(f"northing, {system.name}")
        return found

    def _codes(self, text: str) -> set[str]:
        found = set()
        for one in codes_in(text, self.around):
            coarse = one.half_m > float(self.withheld.radius.max())
            if not coarse and self._near(abs(one.latitude), abs(one.longitude), one.half_m):
                found.add(one.form)
        return found


def _starts(degrees: Iterable[float], reach: float) -> re.Pattern[str]:
    """What a number must begin with to be one of the angles: most texts have none, and need no closer look."""
    whole = {number for one in degrees for number in range(math.floor(one - reach), math.floor(one + reach) + 1)}
    either = "|".join(str(number) for number in sorted(whole) if number >= 0)
    return re.compile(rf"(?<![\d.])0*(?:{either})" if either else r"(?!)")


def _near_any(numbers: NDArray[np.float64], values: NDArray[np.float64], reach: float) -> NDArray[np.intp]:
    """Positions of the numbers that are within reach of one of the values."""
    if not len(numbers):
        return np.zeros(0, dtype=np.intp)
    ordered = np.sort(values)
    at = np.searchsorted(ordered, numbers)
    below = np.abs(ordered[np.clip(at - 1, 0, None)] - numbers)
    above = np.abs(ordered[np.clip(at, None, len(ordered) - 1)] - numbers)
    return np.flatnonzero(np.minimum(below, above) <= reach)


def _is_pair(one: Angle | Number, other: Angle | Number, whole: bool) -> bool:
    """True if two numbers stand apart, and near enough to belong together."""
    apart = max(other.start - one.end, one.start - other.end)
    return apart >= 0 and (not whole or apart <= FAR_IN_A_WHOLE)


def _same_unit(one: Number, east: float, other: Number, north: float) -> bool:
    return (one.value == east) == (other.value == north)


def _metres(number: Number) -> Iterator[float]:
    """What a number can be as an easting or northing: metres or feet as typed, or kilometres."""
    whole = len(number.text.partition(".")[0].lstrip("0"))
    if 5 <= whole <= 8:
        yield number.value
    if 3 <= whole <= 5 and 1 <= number.decimals <= 3:
        yield number.value * 1000


def _planar(withheld: Withheld, state_plane: str) -> Iterator[Planar]:
    """The withheld places in the UTM zones around them, and in State Plane coordinates if the survey uses them."""
    from pyproj import CRS, Transformer

    zones = {int((longitude + 180) // 6) + 1 for longitude in withheld.longitude}
    north = withheld.latitude.mean() >= 0
    systems = [
        (f"UTM {datum_name}", f"+proj=utm +zone={zone} {'' if north else '+south'} {datum} +units=m +no_defs")
        for zone in sorted({near for zone in zones for near in (zone - 1, zone, zone + 1) if 1 <= near <= 60})
        for datum_name, datum in (("WGS 84", "+datum=WGS84"), ("NAD27", "+datum=NAD27"))
    ]
    systems += [("web map metres", "EPSG:3857"), ("Albers metres", "EPSG:5070")]
    if state_plane:
        systems.append(("State Plane", state_plane))
    for name, definition in systems:
        system = CRS(definition)
        east, up = Transformer.from_crs("EPSG:4326", system, always_xy=True).transform(
            withheld.longitude, withheld.latitude
        )
        unit = system.axis_info[0].unit_conversion_factor if system.axis_info else 1.0
        # Signs do not count, since a note may leave them out.
        stretch = 1 / np.cos(np.radians(withheld.latitude)) if name.startswith("web map") else 1.0
        known = np.isfinite(east) & np.isfinite(up)
        yield Planar(name, np.abs(east)[known], np.abs(up)[known], (withheld.radius / unit * stretch)[known])
