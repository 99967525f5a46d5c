"""Empty checks and occupancy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from dwc_pipeline.effort.detection import (
    chance_of_missing,
    chance_present_after_empty_checks,
    detection_limit_of_zero,
    detection_per_check,
    least_checks,
    occupancy,
)


@pytest.mark.parametrize(
    ("p", "at_5", "at_10", "at_1"),
    [
        (0.02, 149, 114, 228),
        (0.05, 59, 45, 90),
        (0.1, 29, 22, 44),
        (0.2, 14, 11, 21),
        (0.3, 9, 7, 13),
        (0.5, 5, 4, 7),
    ],
)
def test_the_checks_needed_for_a_detection(p, at_5, at_10, at_1):
    assert (least_checks(p), least_checks(p, 0.1), least_checks(p, 0.01)) == (at_5, at_10, at_1)


@given(p=st.floats(0.001, 0.999), level=st.floats(0.001, 0.5))
@settings(max_examples=80, deadline=None)
def test_one_check_fewer_would_not_be_enough(p, level):
    needed = float(least_checks(p, level))
    assert chance_of_missing(p, needed) <= level * (1 + 1e-6)
    assert needed == 1 or chance_of_missing(p, needed - 1) > level * (1 - 1e-6)


def test_a_whole_number_of_checks_is_not_rounded_up():
    assert least_checks(0.5, 0.25) == 2
    assert least_checks(0.9, 0.001) == 3


def test_a_species_that_cannot_be_detected_or_no_detection_at_all():
    assert np.isnan(least_checks(0))
    assert np.isnan(least_checks([1.2, -0.1, np.nan])).all()
    assert least_checks(1) == 1


def test_the_chance_that_it_is_there_all_the_same():
    assert chance_present_after_empty_checks(0.5, 0.1, 10) == pytest.approx(0.258533, abs=1e-6)
    assert chance_present_after_empty_checks(0.5, 0.1, 29) == pytest.approx(0.044983, abs=1e-6)
    assert chance_present_after_empty_checks(0.8, 0.05, 40) == pytest.approx(0.339519, abs=1e-6)
    assert chance_present_after_empty_checks(0.8, 0.05, 0) == pytest.approx(0.8)


def test_per_trap_night_detection_and_what_no_detection_excludes():
    assert detection_per_check(0.004, 12) == pytest.approx(0.046958, abs=1e-6)
    assert detection_limit_of_zero(360) == pytest.approx(0.008287, abs=1e-6)
    assert detection_limit_of_zero(360) < 3 / 360
    assert detection_limit_of_zero(0) == 1


@pytest.mark.parametrize(
    ("sites", "checks", "found", "detections", "p", "psi"),
    [(39, 5, 18, 30, 0.258729, 0.594623), (30, 5, 12, 25, 0.377818, 0.441129), (20, 2, 10, 14, 0.571429, 0.6125)],
)
def test_occupancy_of_the_worked_cases_is_the_numerical_maximum(sites, checks, found, detections, p, psi):
    estimate = occupancy(sites, checks, found, detections)
    assert estimate.detection == pytest.approx(p, abs=1e-6)
    assert estimate.occupied == pytest.approx(psi, abs=1e-6)
    assert estimate.naive == pytest.approx(found / sites)

    def minus_log_likelihood(logits):
        occupied, detected = 1 / (1 + np.exp(-np.asarray(logits)))
        hit = found * np.log(occupied) + detections * np.log(detected)
        hit += (checks * found - detections) * np.log1p(-detected)
        return -(hit + (sites - found) * np.log(occupied * (1 - detected) ** checks + 1 - occupied))

    best = 1 / (1 + np.exp(-minimize(minus_log_likelihood, [0.0, 0.0]).x))
    assert (estimate.occupied, estimate.detection) == pytest.approx(tuple(best), abs=1e-4)


def test_two_visits_have_a_closed_form():
    once, twice, sites = 6, 4, 20
    estimate = occupancy(sites, 2, once + twice, once + 2 * twice)
    assert estimate.detection == pytest.approx(2 * twice / (2 * twice + once))
    assert estimate.occupied == pytest.approx((2 * twice + once) ** 2 / (4 * sites * twice))


def test_occupancy_is_never_above_one():
    assert occupancy(10, 3, 9, 9) == (1.0, 9 / 30, 0.9)
    assert occupancy(10, 3, 10, 30) == (1.0, 1.0, 1.0)


def test_too_little_for_an_estimate():
    assert np.isnan(occupancy(10, 3, 0, 0).occupied)
    assert np.isnan(occupancy(10, 1, 4, 4).occupied)
    with pytest.raises(ValueError, match="do not fit"):
        occupancy(10, 3, 4, 13)
