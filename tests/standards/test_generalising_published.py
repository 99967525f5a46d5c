"""Generalised coordinates against published practice and check values.

Categories and grids: Chapman A.D. (2020), Current Best Practices for Generalizing Sensitive Species Occurrence Data.
Uncertainty of a rounded position: Chapman A.D. & Wieczorek J.R. (2020), Georeferencing Best Practices. The metres are
check values computed with geodesic lines on WGS 84, apart from this project.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod

from dwc_pipeline.protect.grid import LEVEL_OF_CATEGORY, generalised_positions, half_diagonal, snapped

GRIDS = ("0.001", "0.01", "0.1", "1")


def position(latitude: str, longitude: str, uncertainty: str = "10") -> pd.DataFrame:
    return pd.DataFrame(
        {
            "decimalLatitude": [latitude],
            "decimalLongitude": [longitude],
            "coordinateUncertaintyInMeters": [uncertainty],
            "coordinatePrecision": [""],
        }
    )


@pytest.mark.parametrize(
    ("grid", "latitude", "longitude", "diagonal", "uncertainty"),
    [
        ("1", "37", "-100", 71221.02, "71232"),
        ("0.1", "36.8", "-99.6", 7121.24, "7132"),
        ("0.01", "36.75", "-99.63", 712.22, "723"),
        ("0.001", "36.751", "-99.635", 71.22, "82"),
    ],
)
def test_the_worked_point_is_written_as_published(
    grid: str, latitude: str, longitude: str, diagonal: float, uncertainty: str
) -> None:
    made = generalised_positions(position("36.7512", "-99.6348"), pd.Series([grid])).iloc[0]
    assert list(made) == [latitude, longitude, uncertainty, grid]
    assert half_diagonal(latitude, grid) == pytest.approx(diagonal, abs=0.05)


@pytest.mark.parametrize(
    ("latitude", "metres"), [("26", 7466.9), ("30", 7348.9), ("34", 7218.7), ("37", 7114.1), ("40", 7004.6)]
)
def test_half_diagonals_of_a_tenth_of_a_degree(latitude: str, metres: float) -> None:
    assert half_diagonal(latitude, "0.1") == pytest.approx(metres, abs=0.05)


def test_a_category_has_the_published_grid() -> None:
    assert [LEVEL_OF_CATEGORY[one] for one in (1, 2, 3, 4)] == ["1", "0.1", "0.01", "0.001"]


@pytest.mark.parametrize(
    ("degrees", "grid", "centre"),
    [("36.3", "0.1", "36.3"), ("36.05", "0.01", "36.05"), ("36.65", "0.1", "36.7"), ("36.85", "0.1", "36.9")],
)
def test_cells_are_computed_in_decimals(degrees: str, grid: str, centre: str) -> None:
    assert snapped(degrees, grid) == centre


DEGREES = st.decimals(min_value=-85, max_value=85, places=7, allow_nan=False)


@given(DEGREES, st.sampled_from(GRIDS))
def test_rounding_twice_changes_nothing(degrees: Decimal, grid: str) -> None:
    once = snapped(format(degrees, "f"), grid)
    assert snapped(once, grid) == once
    assert Decimal(once) % Decimal(grid) == 0


@given(DEGREES, DEGREES, st.sampled_from(GRIDS))
def test_the_true_place_lies_within_the_written_uncertainty(lat: Decimal, lon: Decimal, grid: str) -> None:
    made = generalised_positions(position(format(lat, "f"), format(lon, "f"), "0"), pd.Series([grid])).iloc[0]
    away = Geod(ellps="WGS84").inv(
        float(lon), float(lat), float(made["decimalLongitude"]), float(made["decimalLatitude"])
    )[2]
    assert away <= float(made["coordinateUncertaintyInMeters"])
    assert not math.isnan(away)


def test_an_unknown_uncertainty_stays_unknown() -> None:
    made = generalised_positions(position("36.7512", "-99.6348", ""), pd.Series(["0.1"])).iloc[0]
    assert made["coordinateUncertaintyInMeters"] == ""


def test_a_withheld_place_has_no_coordinates_at_all() -> None:
    assert generalised_positions(position("36.7512", "-99.6348"), pd.Series(["withheld"])).eq("").all(axis=None)
