"""MGRS and USNG grid references: the square cell they name, as UTM easting and northing.

A reference names a cell: its south-west corner is the number that is printed, its centre is the georeference, and
half the diagonal is the least doubt. Digits of a reference are cut, not rounded.

Source: FGDC-STD-011-2001, United States National Grid, and the lettering of the Military Grid Reference System
for the WGS 84 ellipsoid.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

#: latitude bands of eight degrees from 80 S; the last one, X, has twelve.
BANDS = "CDEFGHJKLMNPQRSTUVWX"
_COLUMN_LETTERS = {1: "ABCDEFGH", 2: "JKLMNPQR", 0: "STUVWXYZ"}
_ROW_LETTERS = "ABCDEFGHJKLMNPQRSTUV"
_ROW_CYCLE_M = 2_000_000.0
_SQUARE_M = 100_000.0
#: degrees; how far the middle of a cell may lie beyond its band because the cell itself reaches over the edge.
_BAND_SLACK = 0.06

_REFERENCE = re.compile(
    r"(?:(?P<zone>\d{1,2})\s*(?P<band>[C-HJ-NP-X])?\s*)?(?P<square>[A-HJ-NP-Z][A-HJ-NP-V])\s*"
    r"(?P<digits>\d{0,10}|\d{1,5}\s+\d{1,5})",
    re.IGNORECASE,
)


class GridReference(NamedTuple):
    """The parts of a reference as written. zone 0 and band "" where they are not written.

    easting, northing: digits inside the 100 km square, equally many (none to five).
    """

    zone: int
    band: str
    square: str
    easting: str
    northing: str

    @property
    def cell_m(self) -> float:
        """Side of the cell in metres."""
        return float(_SQUARE_M / 10 ** len(self.easting))


class Cell(NamedTuple):
    """A square of a UTM zone: south-west corner and side in metres, hemisphere N or S."""

    zone: int
    hemisphere: str
    easting: float
    northing: float
    side_m: float

    @property
    def centre(self) -> tuple[float, float]:
        """Easting and northing of the middle of the cell."""
        return self.easting + self.side_m / 2, self.northing + self.side_m / 2

    @property
    def radius_m(self) -> float:
        """Metres from the centre to a corner."""
        return self.side_m / math.sqrt(2)


def parse_grid_reference(text: str) -> GridReference | None:
    """The parts of a reference; None if the text is not written like one.

    >>> parse_grid_reference("14S MF 4333 6746")
    GridReference(zone=14, band='S', square='MF', easting='4333', northing='6746')
    """
    found = _REFERENCE.fullmatch(text.strip())
    if found is None:
        return None
    groups = found["digits"].split()
    if len(groups) == 2:
        east, north = groups
    else:
        run = groups[0] if groups else ""
        east, north = run[: len(run) // 2], run[len(run) // 2 :]
    if len(east) != len(north):
        return None
    return GridReference(int(found["zone"] or 0), (found["band"] or "").upper(), found["square"].upper(), east, north)


def cell_of(reference: GridReference) -> Cell:
    """The cell that a reference with zone and band names.

    Raises ValueError if there is no such square in the zone or the band.

    >>> cell_of(parse_grid_reference("18SUJ2348306479"))
    Cell(zone=18, hemisphere='N', easting=323483.0, northing=4306479.0, side_m=1.0)
    """
    zone, band = reference.zone, reference.band
    if not 1 <= zone <= 60:
        raise ValueError(f"there is no zone {zone}: zones run from 1 to 60")
    columns = _COLUMN_LETTERS[zone % 3]
    column, row = reference.square[0], reference.square[1]
    if column not in columns:
        raise ValueError(f"zone {zone} has no squares in column {column}, only in {columns[0]} to {columns[-1]}")
    side = reference.cell_m
    easting = (columns.index(column) + 1) * _SQUARE_M + int(reference.easting or 0) * side
    row_offset = 0 if zone % 2 else 5
    within_cycle = (_ROW_LETTERS.index(row) - row_offset) % 20 * _SQUARE_M + int(reference.northing or 0) * side
    low, high = band_limits(band)
    false_northing = 10_000_000.0 if low < 0 else 0.0
    for cycle in range(5):
        northing = within_cycle + cycle * _ROW_CYCLE_M
        middle = approximate_latitude(easting + side / 2, northing + side / 2 - false_northing)
        reach = side / 2 / 111_000 + _BAND_SLACK
        if low - reach <= middle <= high + reach:
            return Cell(zone, "S" if low < 0 else "N", easting, northing, side)
    raise ValueError(f"band {band} of zone {zone} has no square {reference.square}")


def bands_with_square(reference: GridReference) -> list[str]:
    """The bands in which the reference would name a cell, if none is written; south to north."""
    bands = []
    for band in BANDS:
        try:
            cell_of(reference._replace(band=band))
        except ValueError:
            continue
        bands.append(band)
    return bands


def band_limits(band: str) -> tuple[float, float]:
    """Southern and northern latitude of a band.

    >>> band_limits("S"), band_limits("X")
    ((32.0, 40.0), (72.0, 84.0))
    """
    south = -80.0 + 8 * BANDS.index(band)
    return south, 84.0 if band == "X" else south + 8


def approximate_latitude(easting: float, northing: float) -> float:
    """Latitude of a UTM point to about 0.001 degree, enough to tell bands apart.

    northing: metres from the equator, negative south of it. Footpoint latitude by its series to the third
    order, then the curve of the parallel. Source: transverse Mercator, EPSG Guidance Note 7-2.
    """
    axis, flat_squared, scale = 6378137.0, 0.0066943799901413165, 0.9996
    turn = (1 - math.sqrt(1 - flat_squared)) / (1 + math.sqrt(1 - flat_squared))
    mu = northing / scale / (axis * (1 - flat_squared / 4 - 3 * flat_squared**2 / 64))
    foot = mu + 1.5 * turn * math.sin(2 * mu) + 21 / 16 * turn**2 * math.sin(4 * mu)
    if abs(foot) >= math.pi / 2:
        return math.copysign(90.0, foot)
    radius = axis / math.sqrt(1 - flat_squared * math.sin(foot) ** 2)
    across = (easting - 500_000.0) / scale / radius
    return math.degrees(foot - math.tan(foot) * across**2 / 2)
