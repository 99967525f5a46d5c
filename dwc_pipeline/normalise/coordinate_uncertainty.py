"""How far a point may be from where it is written, in metres: formulas on arrays, nothing else.

Lengths are metres and angles degrees unless a name says otherwise. A part that is not known is NaN, and a sum
with an unknown part is unknown: an uncertainty is left empty rather than made up, and it is never 0.

Sources: Chapman & Wieczorek 2020, Georeferencing Best Practices v1.1.1 (sections 3.3 and 3.4); Zermoglio et al.
2020, Georeferencing Quick Reference Guide v1.0; Wieczorek, Guo & Hijmans 2004 for the offset formulas.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike, NDArray

Metres = NDArray[np.float64]

#: metres; WGS 84 semi-major axis and first eccentricity squared, EPSG ellipsoid 7030.
SEMI_MAJOR_AXIS = 6378137.0
ECCENTRICITY_SQUARED = 0.0066943799901413165
#: metres; the worst case on earth of a coordinate whose datum nobody wrote. Georeferencing Best Practices 3.4.4.
DATUM_UNKNOWN_M = 5359.0
#: metres; covers NAD27, NAD83 and WGS84 taken for one another in the southern Great Plains: the largest shift of
#: eight points by the official 1990 grid, rounded up. Not published as such: use it only where the survey says so.
DATUM_UNKNOWN_REGIONAL_M = 51.0
#: metres; receiver accuracy when none was recorded. Georeferencing Quick Reference Guide, table of uncertainties.
GPS_DEFAULT_M = 30.0
GPS_DEFAULT_BEFORE_MAY_2000_M = 100.0
#: the day on which the deliberate degrading of the satellites' signal was ended.
GPS_UNDEGRADED_SINCE = np.datetime64("2000-05-01")
#: metres; half the side's diagonal or the usual radius of a kind of place. Quick Reference Guide, table of extents;
#: the quarter of a quarter section is half of a quarter section.
USUAL_EXTENT_M = {
    "spring": 3.0, "tank": 3.0, "two-lane crossing": 10.0, "township": 6828.0, "section": 1138.0,
    "quarter section": 570.0, "quarter-quarter section": 284.5,
}  # fmt: skip
#: degrees; half the width of the sector that a compass point names. Georeferencing Best Practices 3.4.5.
_SECTOR_HALF_WIDTH = {1: 45.0, 2: 22.5, 3: 11.25}
#: metres; 40 feet, the United States national map accuracy standard at 1:24,000 for nine points in ten.
MAP_ACCURACY_24000_M = 12.192


def metres_per_degree(latitude: ArrayLike) -> tuple[Metres, Metres]:
    """Metres in one degree of latitude and in one degree of longitude, on the WGS 84 ellipsoid.

    Source: radii of curvature in meridian and prime vertical, Georeferencing Best Practices 3.4.3.

    >>> [round(float(one), 1) for one in metres_per_degree(0.0)]
    [110574.3, 111319.5]
    """
    phi = np.radians(np.asarray(latitude, dtype=float))
    narrowing = 1 - ECCENTRICITY_SQUARED * np.sin(phi) ** 2
    along_meridian = math.pi / 180 * SEMI_MAJOR_AXIS * (1 - ECCENTRICITY_SQUARED) / narrowing**1.5
    along_parallel = math.pi / 180 * SEMI_MAJOR_AXIS * np.cos(phi) / narrowing**0.5
    return along_meridian, along_parallel


def degree_precision_uncertainty(precision_degrees: ArrayLike, latitude: ArrayLike) -> Metres:
    """Metres of doubt from the last digit of a latitude and longitude: the diagonal of a full step of both.

    Source: Georeferencing Best Practices 3.4.3; the full step is used, not half of it.
    """
    along_meridian, along_parallel = metres_per_degree(latitude)
    return np.asarray(np.asarray(precision_degrees, dtype=float) * np.hypot(along_meridian, along_parallel))


def metric_precision_uncertainty(precision_m: ArrayLike) -> Metres:
    """Metres of doubt from the last digit of an easting and northing: the diagonal of a full step of both."""
    return np.asarray(np.asarray(precision_m, dtype=float) * math.sqrt(2))


def grid_cell_radius(side_m: ArrayLike) -> Metres:
    """Metres from the centre of a square cell to its corner.

    >>> [math.ceil(one) for one in grid_cell_radius([1, 10, 100])]
    [1, 8, 71]
    """
    return np.asarray(np.asarray(side_m, dtype=float) / math.sqrt(2))


def gps_uncertainty(displayed_accuracy_m: ArrayLike, recorded_on: ArrayLike, *, allow_default: bool) -> Metres:
    """Metres of doubt of a satellite fix, NaN where nothing is known.

    displayed_accuracy_m: what the receiver showed, NaN where nobody wrote it down. It holds about half of the
    fixes, so it is doubled to hold about 95 of 100 (Georeferencing Best Practices 3.4.2).
    recorded_on: datetime64 days, NaT where unknown; an unknown day counts as before May 2000.
    allow_default: the survey file agrees to the published default where no accuracy was written.
    """
    shown = np.asarray(displayed_accuracy_m, dtype=float)
    shown = np.where(shown > 0, shown, np.nan)
    if not allow_default:
        return 2 * shown
    undegraded = np.asarray(recorded_on, dtype="datetime64[D]") >= GPS_UNDEGRADED_SINCE
    default = np.where(undegraded, GPS_DEFAULT_M, GPS_DEFAULT_BEFORE_MAY_2000_M)
    return np.where(np.isnan(shown), default, 2 * shown)


def datum_uncertainty(operation_m: ArrayLike, is_known: ArrayLike, unknown_m: float = DATUM_UNKNOWN_M) -> Metres:
    """Metres of doubt from the datum: the stated accuracy of the operation, or `unknown_m` without a datum."""
    return np.where(np.asarray(is_known, dtype=bool), np.asarray(operation_m, dtype=float), unknown_m)


def map_uncertainty(scale_denominator: ArrayLike) -> Metres:
    """Metres of doubt of a point read from a paper map: one millimetre of the sheet.

    Source: Georeferencing Best Practices 3.4.2, for maps that state nothing better.
    """
    return np.asarray(np.asarray(scale_denominator, dtype=float) / 1000)


def distance_precision(written: str) -> float:
    """Half of the last step of a written distance, in the unit of the distance; NaN if it is not a number.

    A fraction of halves, thirds, quarters or eighths counts by its denominator (10.25 is a quarter), any other by its
    digits; a whole number by its zeros at the end, but never better than two digits. Reproduces the
    printed rows of Georeferencing Best Practices 3.4.6.

    >>> distance_precision("10.25"), distance_precision("10.6"), distance_precision("2000")
    (0.125, 0.05, 50.0)
    """
    try:
        number = sum(Fraction(part) for part in written.split())
    except (ValueError, ZeroDivisionError):
        return math.nan
    if not written.strip() or number <= 0:
        return math.nan
    fraction = number % 1
    if fraction:
        decimals = len(written.partition(".")[2].rstrip("0"))
        # 10.6 is three fifths by arithmetic, but nobody measures in fifths: it is written to a tenth
        return 0.5 / (fraction.denominator if fraction.denominator in (2, 3, 4, 8, 16) else 10**decimals)
    digits = str(int(number))
    zeros = len(digits) - len(digits.rstrip("0"))
    return 0.5 * max(1.0, float(min(10**zeros, 10.0 ** (len(digits) - 2))))


def direction_half_width(compass_point: str) -> float:
    """Degrees to either side that a compass point leaves open; NaN for anything else.

    >>> [direction_half_width(one) for one in ("N", "NE", "NNE")]
    [45.0, 22.5, 11.25]
    """
    point = compass_point.strip().upper()
    return _SECTOR_HALF_WIDTH.get(len(point), math.nan) if point and not set(point) - set("NESW") else math.nan


def direction_uncertainty(distance: ArrayLike, half_width: ArrayLike) -> Metres:
    """Doubt from the direction alone, in the unit of the distance: the chord across half the sector.

    Source: Wieczorek, Guo & Hijmans 2004, direction without distance error.
    """
    return np.asarray(2 * np.asarray(distance, dtype=float) * np.sin(np.radians(half_width) / 2))


def offset_uncertainty(distance: ArrayLike, distance_doubt: ArrayLike, half_width: ArrayLike) -> Metres:
    """Doubt of a place given by distance and direction, in the unit of the distance.

    From the point named to the farthest corner of the sector: at (d, theta), the corner at (d + u, theta + w).
    distance_doubt: everything that adds to the distance, its precision and the extent of where it starts.
    Source: Wieczorek, Guo & Hijmans 2004.
    """
    near = np.asarray(distance, dtype=float)
    far = near + np.asarray(distance_doubt, dtype=float)
    return np.asarray(np.sqrt(near**2 + far**2 - 2 * near * far * np.cos(np.radians(half_width))))


def right_angle_offset_uncertainty(first_precision: ArrayLike, second_precision: ArrayLike) -> Metres:
    """Doubt of a place given by two distances at right angles: half the diagonal of the box of their last steps.

    Source: Georeferencing Best Practices 3.4.6.
    """
    return np.asarray(np.hypot(np.asarray(first_precision, float), np.asarray(second_precision, float)) / 2)


def half_length(length_m: ArrayLike) -> Metres:
    """Metres from the middle of an array's arms or of a road section to its end."""
    return np.asarray(np.asarray(length_m, dtype=float) / 2)


def sum_of_uncertainties(*parts_m: ArrayLike) -> Metres:
    """The parts added and rounded up to whole metres; NaN where a part is not known or nothing is left to add.

    Adding is a choice: it is never less than another combination, and the guides ask that doubt be overestimated.
    0 is not a valid uncertainty (Darwin Core, coordinateUncertaintyInMeters), so a sum of 0 is unknown.
    """
    total = np.asarray(sum(np.asarray(part, dtype=float) for part in parts_m), dtype=float)
    # a sum that is whole but for the noise of binary arithmetic is not rounded up by a whole metre
    rounded = np.ceil(np.round(total, 6))
    return np.where(rounded > 0, rounded, np.nan)
