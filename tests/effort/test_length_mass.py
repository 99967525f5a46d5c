"""Length-mass outliers and body condition."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from dwc_pipeline.effort.length_mass import (
    LARGEST_FIT,
    expected_mass,
    fit_length_mass,
    length_mass_outliers,
    length_mass_scores,
    line_of_season,
    mass_residuals,
    scaled_mass_index,
    slip_names,
)

# Worked example: the ninth mass has a slipped point, the last row belongs to another animal.
SVL = np.array([48, 52, 55, 57, 58, 60, 62, 63, 64, 66, 68, 41], dtype=float)
MASS = np.array([3.9, 4.8, 5.9, 6.4, 6.6, 7.5, 8.0, 8.3, 84.0, 9.9, 10.6, 7.7])
CLEAN = [0, 1, 2, 3, 4, 5, 6, 7, 9, 10]


def test_the_worked_line_and_its_two_outliers():
    line = fit_length_mass(SVL, MASS)
    assert (line.slope, line.intercept, line.mad) == pytest.approx((2.856645, -4.209626, 0.007914), abs=1e-6)
    assert (line.scale, line.rows) == (0.03, 12)
    assert mass_residuals(SVL, MASS, line)[[8, 11]] == pytest.approx([0.9743, 0.4890], abs=1e-4)
    assert length_mass_scores(SVL, MASS, line)[[8, 11]] == pytest.approx([32.48, 16.30], abs=0.01)
    assert expected_mass([64, 41], line) == pytest.approx([8.91, 2.50], abs=0.005)
    assert list(np.flatnonzero(length_mass_outliers(SVL, MASS, line))) == [8, 11]


def test_least_squares_on_the_same_rows_would_hide_both():
    fit = stats.linregress(np.log10(SVL), np.log10(MASS))
    assert (fit.slope, fit.rvalue**2) == pytest.approx((2.3114, 0.19), abs=0.005)
    residual = np.log10(MASS) - fit.intercept - fit.slope * np.log10(SVL)
    assert abs(residual[11]) < 3.5 * residual.std(ddof=2)


def test_the_line_agrees_with_the_reference_library():
    line, reference = fit_length_mass(SVL, MASS), stats.theilslopes(np.log10(MASS), np.log10(SVL), method="joint")
    assert (line.slope, line.intercept) == pytest.approx((reference.slope, reference.intercept))


@given(st.permutations(range(12)))
@settings(max_examples=20, deadline=None)
def test_the_order_of_the_rows_does_not_matter(order):
    there, back = fit_length_mass(SVL, MASS), fit_length_mass(SVL[list(order)], MASS[list(order)])
    assert there == pytest.approx(back)


def test_missing_and_impossible_values_take_no_part():
    line = fit_length_mass([*SVL, np.nan, 50, 0], [*MASS, 5, -1, 3])
    assert line == fit_length_mass(SVL, MASS)
    assert not length_mass_outliers([np.nan, 0], [5, 5], line).any()


def test_too_few_rows_flag_nothing():
    line = fit_length_mass(SVL[3:], MASS[3:])
    assert line.rows == 9
    assert not length_mass_outliers(SVL, MASS, line).any()
    assert np.isnan(fit_length_mass([50, 50], [3, 4]).slope)


def test_a_large_collection_is_fitted_from_evenly_spaced_rows():
    random = np.random.default_rng(5)
    length = random.uniform(30, 90, LARGEST_FIT * 3)
    mass = 6e-5 * length**2.9 * 10 ** random.normal(0, 0.03, len(length))
    line = fit_length_mass(length, mass)
    assert line.rows == LARGEST_FIT * 3
    assert line.slope == pytest.approx(2.9, abs=0.02)


@pytest.mark.parametrize(
    ("length", "mass", "name"),
    [
        (64, 89.1, "decimal point of the mass one place to the right"),
        (64, 0.891, "decimal point of the mass one place to the left"),
        (64, 8.91 / 28.35, "mass in ounces among grams"),
        (6.4, 8.91, "length in centimetres among millimetres"),
        (8.91, 64, "length and mass swapped"),
    ],
)
def test_known_slips_are_named(length, mass, name):
    assert slip_names(length, mass, fit_length_mass(SVL, MASS))[0] == name


def test_an_outlier_of_no_known_kind_gets_no_name():
    assert slip_names(41, 7.7, fit_length_mass(SVL, MASS)) == ()


def test_scaled_mass_index_of_the_clean_rows():
    expected = [7.0368, 6.8754, 7.1888, 7.0348, 6.8997, 7.1103, 6.8999, 6.8359, 7.1299, 7.0043]
    assert scaled_mass_index(SVL[CLEAN], MASS[CLEAN]) == pytest.approx(expected, abs=1e-4)
    assert SVL[CLEAN].mean() == pytest.approx(58.9)


def test_an_animal_of_mean_length_keeps_its_mass():
    index = scaled_mass_index([40, 50, 60], [3.0, 7.0, 9.0])
    assert index[1] == pytest.approx(7.0)


def test_no_index_where_nothing_varies():
    assert np.isnan(scaled_mass_index([50, 50, 50], [3, 4, 5])).all()
    assert np.isnan(scaled_mass_index([50, 51], [3, 4])).all()


def test_animals_of_one_length_make_no_outlier_of_a_young_one_and_show_a_slip() -> None:
    """Isometry: mass goes with the cube of the length in bodies of one shape. Common practice, no source."""
    length = np.array([500, 501, 500, 502, 501, 500, 502, 500, 501, 502, 160, 500], dtype=float)
    mass = np.array([70, 78, 71, 77, 72, 75, 73, 74, 76, 70, 2.3, 7.4])
    line = line_of_season(length, mass)
    assert np.flatnonzero(length_mass_outliers(length, mass, line)).tolist() == [11]
