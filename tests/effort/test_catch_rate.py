"""Catch per effort, exact limits, two rates, clumped counts."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from dwc_pipeline.effort.catch_rate import (
    bootstrap_rate_limits,
    catch_per_100_trap_nights,
    catch_per_effort,
    catch_rate_limits,
    compare_rates,
    index_of_dispersion,
    poisson_limits,
)

CLUMPED = [0, 0, 1, 0, 7, 0, 2, 0, 0, 3]


def test_zero_or_unknown_effort_gives_a_missing_rate_not_infinity():
    assert np.isnan(catch_per_100_trap_nights([3, 0, 2, 1], [0, 0, np.nan, -1])).all()


def test_a_unit_with_no_catch_has_the_rate_zero():
    assert catch_per_100_trap_nights(0, 360) == 0


def test_the_worked_session_has_its_rate_and_limits():
    assert catch_per_100_trap_nights(5, 19.5) == pytest.approx(25.6410, abs=1e-4)
    assert catch_rate_limits(5, 19.5) == pytest.approx((8.3256, 59.8376), abs=1e-4)
    assert catch_rate_limits(23, 449.5) == pytest.approx((3.24361, 7.67771), abs=1e-5)
    assert catch_rate_limits(0, 360) == pytest.approx((0, 1.02469), abs=1e-5)


def test_rates_per_other_efforts():
    assert catch_per_effort(6, 50.2115, per=100) == pytest.approx(11.9494, abs=1e-4)
    assert catch_per_effort(9, 3.9, per=1) == pytest.approx(2.3077, abs=1e-4)
    assert catch_per_effort(9, 64) == pytest.approx(14.0625)


def test_fractions_and_negatives_are_no_counts():
    assert np.isnan(poisson_limits([0.5, -1, np.nan])).all()


@given(count=st.integers(0, 3000), confidence=st.floats(0.5, 0.999))
@settings(max_examples=60, deadline=None)
def test_exact_limits_bracket_the_count_and_leave_the_tails_they_should(count, confidence):
    lower, upper = poisson_limits(count, confidence)
    tail = (1 - confidence) / 2
    assert lower <= count < upper
    assert stats.poisson.cdf(count, upper) == pytest.approx(tail, rel=1e-6)
    if count:
        assert stats.poisson.sf(count - 1, lower) == pytest.approx(tail, rel=1e-6)


@given(count=st.integers(0, 500))
@settings(max_examples=30, deadline=None)
def test_limits_widen_with_confidence(count):
    narrow, wide = poisson_limits(count, 0.9), poisson_limits(count, 0.99)
    assert wide.lower <= narrow.lower <= narrow.upper <= wide.upper


def test_worked_comparisons_of_two_rates():
    ratio, lower, upper, p = compare_rates((23, 9), (449.5, 380))
    assert (ratio, lower, upper) == pytest.approx((2.160425, 0.963036, 5.304789), abs=1e-6)
    assert p == pytest.approx(0.05086744, abs=1e-8)
    ratio, lower, upper, p = compare_rates((7, 0), (240, 160))
    assert ratio == np.inf == upper
    assert (lower, p) == pytest.approx((0.960872, 0.0468352), abs=1e-6)


@given(first=st.integers(0, 60), second=st.integers(0, 60), effort=st.floats(1, 1e4))
@settings(max_examples=40, deadline=None)
def test_swapping_two_rates_inverts_the_ratio_and_keeps_p(first, second, effort):
    if first and second:
        there, back = compare_rates((first, second), (100.0, effort)), compare_rates((second, first), (effort, 100.0))
        assert there.ratio == pytest.approx(1 / back.ratio)
        assert there.lower == pytest.approx(1 / back.upper)
        assert there.p == pytest.approx(back.p)
        assert there.lower <= there.ratio <= there.upper


def test_two_rates_without_any_animal_or_effort_cannot_be_compared():
    assert np.isnan(compare_rates((0, 0), (10, 10))).all()
    assert np.isnan(compare_rates((3, 1), (10, 0))).all()


def test_clumped_counts_are_told_from_independent_ones():
    clumped = index_of_dispersion(CLUMPED)
    assert clumped.mean == pytest.approx(1.3)
    assert clumped.variance == pytest.approx(5.12222, abs=1e-5)
    assert clumped.ratio == pytest.approx(3.94017, abs=1e-5)
    assert clumped.chi_square == pytest.approx(35.4615, abs=1e-4)
    assert clumped.degrees_of_freedom == 9
    assert clumped.p == pytest.approx(4.94e-5, rel=1e-3)


def test_dispersion_agrees_with_the_chi_square_test_of_equal_counts():
    reference = stats.chisquare(CLUMPED)
    ours = index_of_dispersion(CLUMPED)
    assert (ours.chi_square, ours.p) == pytest.approx((reference.statistic, reference.pvalue))


@pytest.mark.parametrize("counts", [[], [4], [0, 0, 0], [np.nan, 3]])
def test_too_little_to_judge_clumping_gives_missing_values(counts):
    assert np.isnan(index_of_dispersion(counts).ratio)


def test_bootstrap_limits_are_repeatable_and_wider_than_poisson_for_clumped_counts():
    effort = np.full(10, 12.0)
    limits = bootstrap_rate_limits(CLUMPED, effort, seed=7)
    assert limits == bootstrap_rate_limits(CLUMPED, effort, seed=7)
    exact = catch_rate_limits(sum(CLUMPED), effort.sum())
    assert limits.lower < exact.lower < catch_per_effort(13, 120) < exact.upper < limits.upper


def test_bootstrap_agrees_with_scipy_on_the_same_units():
    effort = np.full(10, 12.0)
    ours = bootstrap_rate_limits(CLUMPED, effort, seed=1)
    reference = stats.bootstrap((np.array(CLUMPED),), np.mean, method="percentile", rng=2, n_resamples=9999)
    scale = 100 / 12
    assert ours.lower == pytest.approx(reference.confidence_interval.low * scale, abs=0.9)
    assert ours.upper == pytest.approx(reference.confidence_interval.high * scale, abs=0.9)


def test_units_with_unknown_effort_leave_the_bootstrap():
    with_gap = bootstrap_rate_limits([*CLUMPED, 50], [*np.full(10, 12.0), np.nan], seed=3)
    assert with_gap == bootstrap_rate_limits(CLUMPED, np.full(10, 12.0), seed=3)
    assert np.isnan(bootstrap_rate_limits([3], [10], seed=3)).all()
