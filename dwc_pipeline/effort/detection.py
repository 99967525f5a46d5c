"""What empty checks say: chance of missing a species that is there, checks needed, constant-detection occupancy.

The detection p is the person's statement or an estimate from data; it is never invented here.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: Slack for a logarithm that should come out as a whole number. [checks]
WHOLE_NUMBER_SLACK = 1e-9


class Occupancy(NamedTuple):
    """Share of sites occupied, detection per check at an occupied site, share of sites with a detection."""

    occupied: float
    detection: float
    naive: float


def chance_of_missing(detection: ArrayLike, checks: ArrayLike) -> Floats:
    """Chance (1 - p)^n that n checks all stay empty where the species lives. [share, 0 to 1]"""
    return (1 - _share(detection)) ** np.asarray(checks, dtype=np.float64)


def least_checks(detection: ArrayLike, level: float = 0.05) -> Floats:
    """Fewest empty checks that make a present species unlikely at the level: ceil(ln level / ln(1 - p)). [checks]

    Missing for p = 0: no number of checks is enough. Source: McArdle 1990; Kery 2002, J. Wildl. Manage. 66:330.
    p 0.1 at 5 %: 29; p 0.46: 5.
    """
    p = _share(detection)
    with np.errstate(divide="ignore", invalid="ignore"):
        needed = np.ceil(np.log(level) / np.log1p(-p) - WHOLE_NUMBER_SLACK)
    return np.where(p > 0, np.maximum(needed, 1.0), np.nan)


def chance_present_after_empty_checks(occupied: ArrayLike, detection: ArrayLike, checks: ArrayLike) -> Floats:
    """Chance that the species lives there after n empty checks: psi q / (1 - psi + psi q), q = (1 - p)^n. [share]

    occupied psi: share of such sites with the species, before looking. Source: Bayes' rule; psi 0.5, p 0.1, n 10:
    0.258533.
    """
    prior, missed = _share(occupied), chance_of_missing(detection, checks)
    with np.errstate(invalid="ignore"):
        return prior * missed / (1 - prior + prior * missed)


def detection_per_check(detection_per_trap_night: ArrayLike, trap_nights: ArrayLike) -> Floats:
    """Chance that at least one of independent trap-nights detects: 1 - (1 - p)^n. [share]

    0.004 per trap-night and 12 trap-nights: 0.046958.
    """
    return 1 - chance_of_missing(detection_per_trap_night, trap_nights)


def detection_limit_of_zero(trap_nights: ArrayLike, confidence: float = 0.95) -> Floats:
    """One-sided upper limit of p per trap-night after no detection at all: 1 - (1 - confidence)^(1/n). [share]

    360 trap-nights: 0.008287 (the rule of three, 3/n, gives 0.008333). No effort: 1.
    """
    nights = np.asarray(trap_nights, dtype=np.float64)
    with np.errstate(divide="ignore"):
        return np.where(nights >= 0, 1 - (1 - confidence) ** (1 / nights), np.nan)


def occupancy(sites: int, checks: int, sites_with_detection: int, detections: int) -> Occupancy:
    """Maximum likelihood of the share of sites occupied, p constant, the same number of checks at every site.

    p / (1 - (1-p)^K) = d / (K s1); psi = s1 / (s (1 - (1-p)^K)), at most 1 (p is then d / (K s)).
    detections d: checks with a detection, over all sites. Missing if nothing was detected or K is 1.
    Source: MacKenzie et al. 2002, Ecology 83:2248. 39 sites, 5 checks, 18, 30: psi 0.594623, p 0.258729.
    """
    if not 0 <= sites_with_detection <= min(sites, detections) or detections > checks * sites_with_detection:
        raise ValueError("detections do not fit the sites and checks")
    naive = sites_with_detection / sites if sites else np.nan
    if sites_with_detection == 0 or checks < 2:
        return Occupancy(np.nan, np.nan, naive)
    p = _conditional_detection(checks, detections / (checks * sites_with_detection))
    occupied = naive / (1 - (1 - p) ** checks) if p > 0 else np.inf
    if occupied > 1:
        return Occupancy(1.0, detections / (checks * sites), naive)
    return Occupancy(float(occupied), float(p), naive)


def _conditional_detection(checks: int, per_check: float) -> float:
    """The p for which detections per check at sites with any detection are p / (1 - (1-p)^K)."""
    if per_check >= 1:
        return 1.0
    if per_check <= 1 / checks:  # each site met once only: the likelihood rises towards p = 0
        return 0.0

    def excess(p: float) -> float:
        return p / float(-np.expm1(checks * np.log1p(-p))) - per_check

    from scipy.optimize import brentq  # slow to load, and few runs need it

    return float(brentq(excess, 1e-12, 1 - 1e-12, xtol=1e-14))


def _share(given: ArrayLike) -> Floats:
    values = np.asarray(given, dtype=np.float64)
    return np.where((values >= 0) & (values <= 1), values, np.nan)
