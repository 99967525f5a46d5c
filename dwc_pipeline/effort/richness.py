"""Species richness beyond the species seen: lower bounds, from how many species were met once or twice.

All estimate at least how many species these traps at these places could catch. With no species met twice, or fewer
than about 20 individuals, they are wild: print the species seen, and those met once and twice, beside them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from dwc_pipeline.effort.accumulation import whole_counts

#: A species with at most this many individuals is rare (ACE), in at most this many samples infrequent (ICE).
RARE_AT_MOST = 10


class Estimate(NamedTuple):
    """Estimated number of species and its standard error. [species]"""

    species: float
    se: float


def chao1_classic(species: int, singletons: int, doubletons: int, individuals: int | None = None) -> Estimate:
    """S + f1² / (2 f2), times (n - 1) / n before the second term if the number of individuals n is given.

    Without doubletons: the bias-corrected form. Source: Chao 1984; factor and se: Chao et al. 2014, Ecol. Monogr.
    84:45. S 26, f1 12, f2 4, n 168: 43.893 (se 14.306).
    """
    return _classic(species, singletons, doubletons, _factor(individuals))


def chao1_bias_corrected(species: int, singletons: int, doubletons: int, individuals: int | None = None) -> Estimate:
    """S + f1 (f1 - 1) / (2 (f2 + 1)), with the factor (n - 1) / n if individuals are given.

    Source: Chao 1984, 2005.
    """
    return _bias_corrected(species, singletons, doubletons + 1, doubletons, _factor(individuals))


def chao2_classic(species: int, uniques: int, duplicates: int, samples: int | None = None) -> Estimate:
    """S + Q1² / (2 Q2), times (m - 1) / m before the second term if the number of samples m is given.

    Without duplicates: the bias-corrected form. Source: Chao 1987, Biometrics 43:783; Chao et al. 2014.
    S 241, Q1 71, Q2 34, m 230: 314.810.
    """
    return _classic(species, uniques, duplicates, _factor(samples))


def chao2_bias_corrected(species: int, uniques: int, duplicates: int, samples: int | None = None) -> Estimate:
    """S + Q1 (Q1 - 1) / (2 (Q2 + 1)), with the factor (m - 1) / m if samples are given. Source: Chao 1987."""
    return _bias_corrected(species, uniques, duplicates + 1, duplicates, _factor(samples))


def jackknife_1(species: int, uniques_per_sample: ArrayLike) -> Estimate:
    """First-order jackknife S + Q1 (m - 1) / m, with its se.

    uniques_per_sample: for each of the m samples, the species found in that sample only; Q1 is their sum.
    Variance (m - 1) / m * (sum r² - Q1² / m), the variance of the m leave-one-out values.
    Source: Burnham & Overton 1978; Heltshe & Forrester 1983, Biometrics 39:1.
    """
    only_here = np.asarray(uniques_per_sample, dtype=np.float64)
    samples, uniques = len(only_here), only_here.sum()
    if samples == 0:
        return Estimate(np.nan, np.nan)
    share = (samples - 1) / samples
    variance = share * ((only_here**2).sum() - uniques**2 / samples)
    return Estimate(float(species + uniques * share), float(np.sqrt(max(variance, 0.0))))


def jackknife_2(species: int, uniques: int, duplicates: int, samples: int) -> float:
    """Second-order jackknife S + Q1 (2m - 3) / m - Q2 (m - 2)² / (m (m - 1)). [species]; needs two samples.

    Source: Brose, Martinez & Williams 2003, Ecology 84:2364, appendix.
    """
    if samples < 2:
        return np.nan
    doubled = duplicates * (samples - 2) ** 2 / (samples * (samples - 1))
    return species + uniques * (2 * samples - 3) / samples - doubled


def bootstrap_richness(presence: ArrayLike) -> Estimate:
    """S + sum of (1 - Q / m)^m over species, with se. presence: samples x species. Exact, nothing is drawn.

    Source: Smith & van Belle 1984, Biometrics 40:119.
    """
    seen = np.asarray(presence, dtype=bool)
    samples = len(seen)
    if samples == 0:
        return Estimate(np.nan, np.nan)
    seen = seen[:, seen.any(axis=0)]
    missed = (1 - seen.mean(axis=0)) ** samples
    absent = (~seen).astype(np.int64)
    both_missed = ((absent.T @ absent) / samples) ** samples
    variance = (both_missed - np.outer(missed, missed)).sum()
    return Estimate(float(seen.shape[1] + missed.sum()), float(np.sqrt(max(variance, 0.0))))


def ace(abundance: ArrayLike) -> float:
    """Abundance-based coverage estimator. [species]; missing if all rare individuals are singletons.

    abundance: individuals per species. Source: Chao & Lee 1992; formula as in Brose et al. 2003.
    Abundances 12, 3, 6, 1, 10: 5.62749672.
    """
    counts = whole_counts(abundance)
    rare = counts[counts <= RARE_AT_MOST]
    return _coverage_estimator(len(counts) - len(rare), rare, float(rare.sum() - 1))


def ice(incidence: ArrayLike, samples_with_infrequent: int) -> float:
    """Incidence-based coverage estimator. [species]; missing if all infrequent species are in one sample each.

    incidence: samples with each species. samples_with_infrequent: samples that hold at least one infrequent species.
    Source: Lee & Chao 1994, Biometrics 50:88; formula as in Brose et al. 2003.
    """
    counts = whole_counts(incidence)
    infrequent = counts[counts <= RARE_AT_MOST]
    pairs = samples_with_infrequent - 1
    divisor = infrequent.sum() * pairs / samples_with_infrequent if samples_with_infrequent else 0.0
    return _coverage_estimator(len(counts) - len(infrequent), infrequent, float(divisor))


def _coverage_estimator(frequent: int, rare: np.ndarray, divisor: float) -> float:
    """S_frequent + S_rare / C + f1 / C * g; `divisor` is n_rare - 1, or for samples its counterpart N (m - 1) / m."""
    total = float(rare.sum())
    if total == 0:
        return float(frequent)
    ones = float((rare == 1).sum())
    coverage = 1 - ones / total
    if coverage == 0 or divisor <= 0:
        return np.nan
    spread = len(rare) / coverage * float((rare * (rare - 1)).sum()) / (total * divisor) - 1
    return frequent + len(rare) / coverage + ones / coverage * max(spread, 0.0)


def _factor(units: int | None) -> float:
    if units is None:
        return 1.0
    return (units - 1) / units if units > 0 else np.nan


def _classic(species: int, ones: int, twos: int, factor: float) -> Estimate:
    if twos == 0:
        return _bias_corrected(species, ones, 1, 0, factor)
    ratio = ones / twos
    return _with_error(species, ones, twos, factor * ones * ratio / 2, (factor * ratio, -factor * ratio**2 / 2))


def _bias_corrected(species: int, ones: int, divisor: int, twos: int, factor: float) -> Estimate:
    unseen = factor * ones * (ones - 1) / (2 * divisor)
    slopes = (factor * (2 * ones - 1) / (2 * divisor), -unseen / divisor)
    return _with_error(species, ones, twos, unseen, slopes)


def _with_error(species: int, ones: int, twos: int, unseen: float, slopes: tuple[float, float]) -> Estimate:
    """Delta method with multinomial frequencies: cov(f_i, f_j) = f_i (i = j) - f_i f_j / S_estimated.

    slopes: derivatives of the unseen species by f1 and f2. Source: Chao 1987; Chao et al. 2014, appendix.
    """
    estimate = species + unseen
    if estimate == 0:
        return Estimate(0.0, 0.0)
    first = ones * slopes[0] + twos * slopes[1]
    second = ones * slopes[0] ** 2 + twos * slopes[1] ** 2
    variance = species + 2 * first + second - (species + first) ** 2 / estimate
    return Estimate(float(estimate), float(np.sqrt(max(variance, 0.0))))
