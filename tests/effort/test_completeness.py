"""Accumulation, richness beyond what was seen, coverage: exact small cases, and what must always hold."""

from fractions import Fraction
from itertools import combinations
from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from dwc_pipeline.effort.accumulation import species_by_individuals, species_by_samples
from dwc_pipeline.effort.coverage import coverage_of_individuals, coverage_of_samples
from dwc_pipeline.effort.richness import (
    ace,
    bootstrap_richness,
    chao1_bias_corrected,
    chao1_classic,
    chao2_bias_corrected,
    chao2_classic,
    ice,
    jackknife_1,
    jackknife_2,
)

# Four checks, five species.
PRESENCE = np.array([[1, 1, 0, 0, 0], [1, 0, 1, 0, 0], [1, 1, 0, 1, 0], [1, 0, 0, 0, 1]], dtype=bool)
presence_tables = arrays(bool, st.tuples(st.integers(1, 9), st.integers(1, 8)))
abundances = st.lists(st.integers(0, 40), min_size=1, max_size=25)


@given(presence=presence_tables)
@settings(max_examples=40, deadline=None)
def test_accumulation_by_samples_is_the_mean_and_sd_over_every_choice_of_samples(presence):
    curve = species_by_samples(presence)
    for drawn in range(1, len(presence) + 1):
        counts = [presence[list(rows)].any(axis=0).sum() for rows in combinations(range(len(presence)), drawn)]
        assert curve.species[drawn - 1] == pytest.approx(np.mean(counts), abs=1e-9)
        assert curve.sd[drawn - 1] == pytest.approx(np.std(counts), abs=1e-6)


def test_accumulation_of_a_small_table_in_exact_fractions():
    incidence = PRESENCE.sum(axis=0)
    exact = [sum(1 - Fraction(comb(4 - int(q), h), comb(4, h)) for q in incidence) for h in (1, 2, 3, 4)]
    assert exact == [Fraction(9, 4), Fraction(10, 3), Fraction(17, 4), 5]
    assert species_by_samples(PRESENCE).species == pytest.approx([float(value) for value in exact])


@given(presence=presence_tables)
@settings(max_examples=40, deadline=None)
def test_accumulation_rises_and_its_steps_shrink(presence):
    species = np.concatenate([[0.0], species_by_samples(presence).species])
    steps = np.diff(species)
    assert (steps >= -1e-9).all()
    assert (np.diff(steps) <= 1e-9).all()
    assert species[-1] == pytest.approx(presence.any(axis=0).sum())


def test_accumulation_by_individuals_is_the_mean_and_sd_over_every_draw():
    animals = np.repeat(np.arange(4), [4, 2, 1, 1])
    curve = species_by_individuals([4, 2, 1, 1, 0], [1, 2, 5, 8])
    for position, drawn in enumerate((1, 2, 5, 8)):
        counts = [len(set(animals[list(chosen)])) for chosen in combinations(range(8), drawn)]
        assert curve.species[position] == pytest.approx(np.mean(counts))
        assert curve.sd[position] == pytest.approx(np.std(counts), abs=1e-7)


def test_more_individuals_than_were_caught_cannot_be_drawn():
    curve = species_by_individuals([3, 1], [4, 5])
    assert curve.species[0] == pytest.approx(2)
    assert np.isnan(curve.species[1])
    assert np.isnan(curve.sd[1])


def test_fractions_of_animals_are_refused():
    with pytest.raises(ValueError, match="whole numbers"):
        species_by_individuals([1.5, 2], [1])


@given(counts=abundances)
@settings(max_examples=60, deadline=None)
def test_no_estimate_is_below_the_species_seen_and_coverage_is_a_share(counts):
    species, individuals = sum(c > 0 for c in counts), sum(counts)
    ones, twos = counts.count(1), counts.count(2)
    for estimate in (
        chao1_classic(species, ones, twos),
        chao1_bias_corrected(species, ones, twos),
        chao2_bias_corrected(species, ones, twos, 12),
    ):
        assert estimate.species >= species
        assert estimate.se >= 0
    assert chao1_bias_corrected(species, ones, twos).species <= chao1_classic(species, ones, twos).species + 1e-9
    if individuals:
        assert 0 <= coverage_of_individuals(individuals, ones, twos) <= 1
    value = ace(counts)
    assert np.isnan(value) or value >= species - 1e-9


def test_without_doubletons_the_classic_form_falls_back_on_the_corrected_one():
    assert chao1_classic(10, 4, 0) == chao1_bias_corrected(10, 4, 0)
    assert chao2_classic(10, 4, 0, 8).species == pytest.approx(10 + 7 / 8 * 6)


def test_without_rarities_nothing_is_added():
    assert chao1_classic(10, 0, 3) == (10, 0)
    assert coverage_of_individuals(50, 0, 3) == 1
    assert ace([20, 30]) == 2
    assert chao1_classic(0, 0, 0) == (0, 0)


def test_nothing_sampled_gives_missing_values():
    assert np.isnan(coverage_of_individuals(0, 0, 0))
    assert np.isnan(coverage_of_samples(0, 5, 0, 0))
    assert np.isnan(jackknife_1(0, []).species)
    assert np.isnan(jackknife_2(3, 3, 0, 1))
    assert np.isnan(bootstrap_richness(np.zeros((0, 3), dtype=bool)).species)


def test_rare_species_that_are_all_singletons_have_no_coverage_estimate():
    assert np.isnan(ace([1, 1, 1]))
    assert np.isnan(ice([1, 1, 1], 3))


def test_coverage_without_doubletons_uses_one_singleton_less():
    # n 20, f1 3: 1 - 3/20 * 19*2 / (19*2 + 2), by hand
    assert coverage_of_individuals(20, 3, 0) == pytest.approx(float(1 - Fraction(3, 20) * Fraction(38, 40)))
    assert coverage_of_individuals(1, 1, 0) == pytest.approx(1)


def test_jackknife_is_the_jackknife():
    """Value and variance from the pseudo-values of leaving out one sample at a time."""
    incidence = PRESENCE.sum(axis=0)
    uniques = (PRESENCE & (incidence == 1)).sum(axis=1)
    m, species = len(PRESENCE), 5
    without = np.array([np.delete(PRESENCE, row, axis=0).any(axis=0).sum() for row in range(m)])
    estimate = jackknife_1(species, uniques)
    assert estimate.species == pytest.approx(m * species - (m - 1) * without.mean())
    assert estimate.se == pytest.approx(np.sqrt((m - 1) / m * ((without - without.mean()) ** 2).sum()))


def test_second_jackknife_by_hand():
    """S 5, Q1 3, Q2 1, m 4: 5 + 3 * 5/4 - 1 * 4/12."""
    assert jackknife_2(5, 3, 1, 4) == pytest.approx(float(5 + Fraction(15, 4) - Fraction(1, 3)))


def test_bootstrap_is_the_expectation_over_every_resample():
    """All 4^4 resamples of four checks; the species missed on average, and the variance of their number."""
    rows = np.array(np.meshgrid(*[range(4)] * 4)).reshape(4, -1).T
    seen = PRESENCE[rows].any(axis=1).sum(axis=1)
    estimate = bootstrap_richness(PRESENCE)
    assert estimate.species == pytest.approx(5 + (5 - seen.mean()))
    assert estimate.se == pytest.approx(seen.std())
