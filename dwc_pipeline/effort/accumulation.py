"""Species to expect in fewer samples or fewer individuals: exact expectations, no random draws.

presence: samples x species, true where the sample has the species. abundance: individuals per species.
Species never seen add nothing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]


class Accumulation(NamedTuple):
    """Expected species in `drawn` samples or individuals, with the standard deviation over all possible draws."""

    drawn: Floats
    species: Floats
    sd: Floats


def species_by_samples(presence: ArrayLike) -> Accumulation:
    """Expected species in 1 ... m of the m samples (Mao tau), with sd. [species]

    S(h) = sum over species of 1 - C(m - Q, h) / C(m, h), Q the samples with the species.
    The sd is that of the number of species over all C(m, h) choices, from the joint absence of each pair of
    species; it is 0 at h = m.
    Source: Ugland, Gray & Ellingsen 2003, J. Anim. Ecol. 72:888; Colwell, Mao & Chang 2004, Ecology 85:2717.
    """
    seen = np.asarray(presence, dtype=bool).astype(np.int64)
    samples = len(seen)
    seen = seen[:, seen.any(axis=0)]
    incidence, shared = seen.sum(axis=0), seen.T @ seen
    in_either = incidence[:, None] + incidence[None, :] - shared
    drawn = np.arange(1, samples + 1, dtype=np.int64)
    return _accumulate(samples, incidence, in_either, drawn)


def species_by_individuals(abundance: ArrayLike, drawn: ArrayLike) -> Accumulation:
    """Expected species among `drawn` individuals taken without replacement, with sd. [species]

    More individuals than were caught gives a missing value.
    Source: Hurlbert 1971, Ecology 52:577; sd: Heck, van Belle & Simberloff 1975, Ecology 56:1459.
    """
    counts = whole_counts(abundance)
    wanted = np.atleast_1d(np.asarray(drawn, dtype=np.int64))
    in_either = counts[:, None] + counts[None, :]
    np.fill_diagonal(in_either, counts)
    return _accumulate(int(counts.sum()), counts, in_either, wanted)


def _accumulate(total: int, counts: Counts, in_either: Counts, drawn: Counts) -> Accumulation:
    """Mean and sd of the species hit when `drawn` of `total` units are taken.

    counts: units that hold each species. in_either: units that hold one or the other of each pair.
    """
    # Few distinct counts stand for many species and many more pairs.
    single, how_many = np.unique(counts, return_counts=True)
    joint, how_many_pairs = np.unique(in_either, return_counts=True)
    missed = _chance_all_missed(total, single, drawn)
    expected_missed = missed @ how_many
    both_missed = _chance_all_missed(total, joint, drawn) @ how_many_pairs
    variance = np.maximum(both_missed - expected_missed**2, 0.0)
    possible = (drawn >= 0) & (drawn <= total)
    species = np.where(possible, len(counts) - expected_missed, np.nan)
    return Accumulation(drawn.astype(np.float64), species, np.where(possible, np.sqrt(variance), np.nan))


def _chance_all_missed(total: int, held: Counts, drawn: Counts) -> Floats:
    """C(total - held, drawn) / C(total, drawn), drawn in rows and held in columns."""
    from scipy.special import gammaln  # slow to load, and a check needs no curve

    size = np.asarray(drawn)[:, None]
    left = total - held[None, :] - size
    log_chance = (
        gammaln(total - held + 1)[None, :]
        - gammaln(np.maximum(left, 0) + 1)
        - gammaln(total + 1)
        + gammaln(np.maximum(total - size, 0) + 1)
    )
    return np.where(left >= 0, np.exp(log_chance), 0.0)


def whole_counts(abundance: ArrayLike) -> Counts:
    """The counts above zero as whole numbers; raises ValueError for fractions, negatives and missing values."""
    given = np.asarray(abundance, dtype=np.float64)
    if not np.all((given >= 0) & (given == np.floor(given))):
        raise ValueError("abundances are whole numbers of individuals, not negative and not missing")
    return given[given > 0].astype(np.int64)
