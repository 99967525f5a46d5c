"""Which length and mass do not fit each other, by a line that a few bad rows cannot bend; and body condition.

One species (and stage) at a time. Lengths and masses that are missing or not positive take no part.
Leave gravid, fed and broken-tailed animals out of the fit.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: Scale of the residuals never below this: balances and rulers are not finer. [log10 units]
LEAST_SCALE = 0.03
#: Iglewicz & Hoaglin 1993. [robust standard deviations]
CUT = 3.5
#: Fewest rows that carry a line; common practice, no source.
LEAST_ROWS = 10
#: Median absolute deviation of a normal distribution to its standard deviation.
MAD_TO_SD = 1.4826
#: Pairwise slopes grow with the square of the rows; above this many, evenly spaced rows (by length) carry the fit.
LARGEST_FIT = 500
#: How near a residual lies to a known slip to be named so. [log10 units]; ours
SLIP_TOLERANCE = 0.15
#: Lengths within this ratio (90th to 10th percentile) tell no slope: the cube is taken. [ratio]; ours
NARROWEST = 1.25
ISOMETRY, ISOMETRY_DOUBT = 3.0, 0.5
GRAMS_PER_OUNCE = 28.349523125


class LengthMassLine(NamedTuple):
    """log10 mass = intercept + slope * log10 length, and the spread of the residuals around their median.

    slope_doubt: how far the slope may be off, where it was not found but taken; middle: the log10 length from which
    that doubt grows.
    """

    slope: float
    intercept: float
    centre: float
    mad: float
    scale: float
    rows: int
    slope_doubt: float = 0.0
    middle: float = 0.0


def fit_length_mass(length: ArrayLike, mass: ArrayLike) -> LengthMassLine:
    """Line through log10 length and mass by the median of pairwise slopes. Unit of each as given, any.

    Fewer than two different lengths give missing values; under `LEAST_ROWS` rows the line should not be used.
    Source: Theil 1950, Sen 1968; scale max(1.4826 MAD, 0.03). The twelve rows of the known example: slope 2.856645.
    """
    x, y = _logs(length, mass)
    known = np.isfinite(x) & np.isfinite(y)
    x, y = x[known], y[known]
    rows = len(x)
    if rows < 2 or x.min() == x.max():
        return LengthMassLine(np.nan, np.nan, np.nan, np.nan, np.nan, rows)
    order = np.lexsort((y, x))
    if rows > LARGEST_FIT:
        order = order[np.linspace(0, rows - 1, LARGEST_FIT).round().astype(np.intp)]
    run = np.subtract.outer(x[order], x[order])
    forward = run > 0
    slope = float(np.median(np.subtract.outer(y[order], y[order])[forward] / run[forward]))
    intercept = float(np.median(y - slope * x))
    residual = y - intercept - slope * x
    centre = float(np.median(residual))
    mad = float(np.median(np.abs(residual - centre)))
    return LengthMassLine(slope, intercept, centre, mad, max(MAD_TO_SD * mad, LEAST_SCALE), rows)


def line_of_season(length: ArrayLike, mass: ArrayLike) -> LengthMassLine:
    """As `fit_length_mass`; animals of about one length get the slope of bodies of one shape, the cube of the length.

    The slope through such animals is noise, and would make every young or old one an outlier.
    """
    x, y = _logs(length, mass)
    known = np.isfinite(x) & np.isfinite(y)
    x, y = x[known], y[known]
    if len(x) == 0 or np.quantile(x, 0.9) - np.quantile(x, 0.1) >= np.log10(NARROWEST):
        return fit_length_mass(length, mass)
    intercept = float(np.median(y - ISOMETRY * x))
    mad = float(np.median(np.abs(y - ISOMETRY * x - intercept)))
    scale = max(MAD_TO_SD * mad, LEAST_SCALE)
    return LengthMassLine(ISOMETRY, intercept, 0.0, mad, scale, len(x), ISOMETRY_DOUBT, float(np.median(x)))


def mass_residuals(length: ArrayLike, mass: ArrayLike, line: LengthMassLine) -> Floats:
    """log10 of (mass / mass expected for the length). [log10 units]"""
    x, y = _logs(length, mass)
    return y - line.intercept - line.slope * x


def expected_mass(length: ArrayLike, line: LengthMassLine) -> Floats:
    """Mass that the line gives for a length. [unit of the masses that made the line]"""
    x, _ = _logs(length, np.ones(np.shape(np.asarray(length))))
    return np.asarray(10 ** (line.intercept + line.slope * x))


def length_mass_scores(length: ArrayLike, mass: ArrayLike, line: LengthMassLine) -> Floats:
    """Distance of each residual from the median residual, signed. [robust standard deviations]"""
    return (mass_residuals(length, mass, line) - line.centre) / line.scale


def length_mass_outliers(
    length: ArrayLike, mass: ArrayLike, line: LengthMassLine, cut: float = CUT
) -> NDArray[np.bool_]:
    """True where length and mass do not fit each other; false everywhere if the line has too few rows.

    Source of the cut: Iglewicz & Hoaglin 1993.
    """
    scores = length_mass_scores(length, mass, line)
    if line.rows < LEAST_ROWS:
        return np.zeros(scores.shape, dtype=bool)
    doubt = line.slope_doubt * np.abs(_logs(length, mass)[0] - line.middle) / line.scale
    return np.abs(scores) > cut + doubt


def slip_names(
    length: float, mass: float, line: LengthMassLine, tolerance: float = SLIP_TOLERANCE
) -> tuple[str, ...]:
    """Known slips that would explain one outlier, the nearest first; empty if none does.

    Common practice, no source; ounces against grams from the exact definition of the ounce.
    """
    residual = float(mass_residuals([length], [mass], line)[0])
    swapped = float(mass_residuals([mass], [length], line)[0])
    ounce = float(np.log10(GRAMS_PER_OUNCE))
    distances = {
        "decimal point of the mass one place to the right": abs(residual - 1),
        "decimal point of the mass one place to the left": abs(residual + 1),
        "mass in ounces among grams": abs(residual + ounce),
        "mass in grams among ounces": abs(residual - ounce),
        "length in centimetres among millimetres": abs(residual - line.slope),
        "length in millimetres among centimetres": abs(residual + line.slope),
        "length and mass swapped": abs(swapped),
    }
    near = sorted((distance, name) for name, distance in distances.items() if distance <= tolerance)
    return tuple(name for _, name in near)


def scaled_mass_index(length: ArrayLike, mass: ArrayLike) -> Floats:
    """Mass that each animal would have at the mean length: M (L0 / L)^b. [unit of the masses]

    b: standardised major axis of ln mass on ln length, its least-squares slope / r; L0: mean length.
    Missing for fewer than three animals, or if lengths or masses do not vary.
    Source: Peig & Green 2009, Oikos 118:1883 (formula from memory of the paper, as used in open code).
    """
    lengths, masses = np.asarray(length, dtype=np.float64), np.asarray(mass, dtype=np.float64)
    x, y = (logs * np.log(10) for logs in _logs(lengths, masses))
    known = np.isfinite(x) & np.isfinite(y)
    if known.sum() < 3 or np.ptp(x[known]) == 0 or np.ptp(y[known]) == 0:
        return np.full(lengths.shape, np.nan)
    from scipy.stats import linregress  # slow to load, and few runs need it

    fit = linregress(x[known], y[known])
    if fit.rvalue == 0:
        return np.full(lengths.shape, np.nan)
    index = np.exp(y + fit.slope / fit.rvalue * (np.log(lengths[known].mean()) - x))
    return np.where(known, index, np.nan)


def _logs(length: ArrayLike, mass: ArrayLike) -> tuple[Floats, Floats]:
    """log10 of both, nan where missing or not positive."""
    lengths, masses = np.asarray(length, dtype=np.float64), np.asarray(mass, dtype=np.float64)
    return tuple(np.log10(np.where(values > 0, values, np.nan)) for values in (lengths, masses))  # type: ignore[return-value]
