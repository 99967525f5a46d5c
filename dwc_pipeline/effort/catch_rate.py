"""Catch per unit of effort, its exact limits, and whether two rates or several counts differ by chance alone."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: Resamples that are worked on at once, so that memory stays small.
RESAMPLES_AT_ONCE = 500


class Limits(NamedTuple):
    """Lower and upper confidence limit, in the unit of the estimate."""

    lower: Floats
    upper: Floats


class RateComparison(NamedTuple):
    """Ratio of two rates (first / second) with exact limits, and a two-sided p value.

    The p value sums the small probabilities and the limits are central: near 0.05 they can disagree.
    Print the limits; give p only when asked.
    """

    ratio: float
    lower: float
    upper: float
    p: float


class Dispersion(NamedTuple):
    """Are counts clumped? The ratio is variance / mean; chi_square is sum((x - mean)²) / mean on n - 1 degrees."""

    mean: float
    variance: float
    ratio: float
    chi_square: float
    degrees_of_freedom: int
    p: float


def catch_per_effort(captures: ArrayLike, effort: ArrayLike, per: float = 100.0) -> Floats:
    """Captures per `per` units of effort, such as per 100 trap-nights, per 1,000 trap-hours or per 100 km.

    captures: animals caught (or first captures: the caller says which). effort: in the unit of the rate.
    Zero or unknown effort gives a missing rate, never infinity or zero.
    """
    worked = np.asarray(effort, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = per * np.asarray(captures, dtype=np.float64) / worked
    return np.where(worked > 0, rate, np.nan)


def catch_per_100_trap_nights(captures: ArrayLike, trap_nights: ArrayLike) -> Floats:
    """Captures per 100 trap-nights. [captures / 100 trap-nights]

    trap_nights: closures taken out; zero gives a missing rate. 5 captures in 19.5 trap-nights: 25.6410.
    """
    return catch_per_effort(captures, trap_nights, per=100.0)


def poisson_limits(count: ArrayLike, confidence: float = 0.95) -> Limits:
    """Exact central limits of a Poisson mean from one count. [same unit as the count]

    count: whole numbers; anything else gives missing limits. Zero has the lower limit 0.
    Source: Garwood 1936, Biometrika 28:437. Count 25 at 95 %: 16.17868 to 36.90493.
    """
    from scipy.special import gammaincinv  # slow to load, and a check needs no limits

    counts = np.asarray(count, dtype=np.float64)
    valid = (counts >= 0) & (counts == np.floor(counts))
    whole = np.where(valid, counts, np.nan)
    tail = (1 - confidence) / 2
    # Half a quantile of chi-square on 2 n degrees is a quantile of the gamma distribution of shape n.
    lower = np.where(whole > 0, gammaincinv(np.maximum(whole, 1), tail), np.where(valid, 0.0, np.nan))
    upper = gammaincinv(whole + 1, 1 - tail)
    return Limits(lower, np.asarray(upper))


def catch_rate_limits(captures: ArrayLike, effort: ArrayLike, per: float = 100.0, confidence: float = 0.95) -> Limits:
    """Exact limits of a catch rate, effort taken as known. Units as in `catch_per_effort`.

    Holds if animals come one by one and independently: look at `index_of_dispersion` first.
    23 captures in 449.5 trap-nights: 3.24361 to 7.67771 per 100.
    """
    limits = poisson_limits(captures, confidence)
    return Limits(catch_per_effort(limits.lower, effort, per), catch_per_effort(limits.upper, effort, per))


def compare_rates(captures: tuple[int, int], effort: tuple[float, float], confidence: float = 0.95) -> RateComparison:
    """Compare two catch rates exactly, given their sum: the first count is then binomial.

    captures: the two counts. effort: the two efforts, in one unit. No captures at all, or an effort that is zero
    or unknown, gives missing values.
    Source: the conditional test of two Poisson rates, as in base R `poisson.test`.
    11 in 800 against 21 in 3011: ratio 1.971488, 0.8584264 to 4.277266, p 0.07966863.
    """
    (first, second), (effort_1, effort_2) = captures, effort
    total = first + second
    if min(first, second) < 0 or total == 0 or not (effort_1 > 0 and effort_2 > 0):
        return RateComparison(np.nan, np.nan, np.nan, np.nan)
    from scipy.stats import binomtest  # slow to load, and few runs compare rates

    test = binomtest(first, total, effort_1 / (effort_1 + effort_2))
    share = test.proportion_ci(confidence, method="exact")
    ratio = np.inf if second == 0 else (first / effort_1) / (second / effort_2)
    lower, upper = (_odds(limit) * effort_2 / effort_1 for limit in (share.low, share.high))
    return RateComparison(float(ratio), float(lower), float(upper), float(test.pvalue))


def _odds(share: float) -> float:
    return np.inf if share >= 1 else share / (1 - share)


def index_of_dispersion(counts: ArrayLike) -> Dispersion:
    """Variance / mean of counts per unit of equal effort, with its chi-square test against Poisson.

    counts: one per unit, such as captures per array-night. Ratio above 1: clumped, Poisson limits are too narrow.
    p is the chance of a value this large if animals came independently. Fewer than two units, or no animal at all,
    gives missing values. Counts 0,0,1,0,7,0,2,0,0,3: ratio 3.94017, chi-square 35.4615 on 9, p 4.94e-05.
    """
    from scipy.special import chdtrc  # slow to load, and few runs need it

    values = np.asarray(counts, dtype=np.float64)
    values = values[~np.isnan(values)]
    freedom = len(values) - 1
    if freedom < 1 or values.sum() <= 0:
        mean = float(values.mean()) if len(values) else np.nan
        return Dispersion(mean, np.nan, np.nan, np.nan, max(freedom, 0), np.nan)
    mean, variance = float(values.mean()), float(values.var(ddof=1))
    chi_square = freedom * variance / mean
    return Dispersion(mean, variance, variance / mean, chi_square, freedom, float(chdtrc(freedom, chi_square)))


def bootstrap_rate_limits(
    captures: ArrayLike,
    effort: ArrayLike,
    *,
    seed: int,
    per: float = 100.0,
    confidence: float = 0.95,
    resamples: int = 10_000,
) -> Limits:
    """Percentile limits of the pooled rate, by drawing whole units (array-nights) with replacement.

    captures, effort: one per unit; a unit with unknown catch or effort leaves both sums. seed: makes the
    result repeatable. For clumped catches; fewer than two units gives missing limits.
    Source: Efron 1979, the percentile bootstrap.
    """
    caught, worked = (np.asarray(given, dtype=np.float64) for given in (captures, effort))
    known = ~np.isnan(caught) & ~np.isnan(worked)
    caught, worked = caught[known], worked[known]
    if len(caught) < 2:
        return Limits(np.asarray(np.nan), np.asarray(np.nan))
    random = np.random.default_rng(seed)
    rates = []
    for done in range(0, resamples, RESAMPLES_AT_ONCE):
        drawn = random.integers(len(caught), size=(min(RESAMPLES_AT_ONCE, resamples - done), len(caught)))
        rates.append(catch_per_effort(caught[drawn].sum(axis=1), worked[drawn].sum(axis=1), per))
    tail = (1 - confidence) / 2
    lower, upper = np.nanquantile(np.concatenate(rates), [tail, 1 - tail])
    return Limits(np.asarray(lower), np.asarray(upper))
