"""Sample coverage: the share of the individuals (or incidences) that belongs to species already met."""

from __future__ import annotations

import numpy as np


def coverage_of_individuals(individuals: int, singletons: int, doubletons: int) -> float:
    """1 - f1/n * (n-1) f1 / ((n-1) f1 + 2 f2); the form for f2 = 0 uses f1 - 1. [share, 0 to 1]

    Missing without individuals. Source: Chao & Jost 2012, Ecology 93:2533. n 168, f1 12, f2 4: 0.9289.
    """
    return _coverage(individuals, individuals, singletons, doubletons)


def coverage_of_samples(incidences: int, samples: int, uniques: int, duplicates: int) -> float:
    """1 - Q1/U * (m-1) Q1 / ((m-1) Q1 + 2 Q2); the form for Q2 = 0 uses Q1 - 1. [share, 0 to 1]

    incidences U: sum over species of the samples with it. Missing without incidences.
    Source: Chao & Jost 2012; Chao et al. 2014. U 2943, m 230, Q1 71, Q2 34: 0.9760.
    """
    return _coverage(incidences, samples, uniques, duplicates)


def _coverage(total: int, units: int, ones: int, twos: int) -> float:
    if total <= 0 or units <= 0:
        return np.nan
    if ones == 0:
        return 1.0
    weight = (units - 1) * (ones if twos else ones - 1)
    denominator = weight + 2 * (twos or 1)
    return 1 - ones / total * weight / denominator
