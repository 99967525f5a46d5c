"""Grid references against an independent library, and the mistakes people make in them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.normalise.grid_reference import (
    approximate_latitude,
    band_limits,
    bands_with_square,
    cell_of,
    parse_grid_reference,
)

# on the edge of a latitude band the library and we may name the band on either side
latitudes = st.floats(-79.9, 83.9).filter(lambda degrees: 1e-6 < degrees % 8 < 8 - 1e-6)
longitudes = st.floats(-180, 179.999)


@settings(max_examples=120, deadline=None)
@given(latitudes, longitudes, st.integers(0, 5))
def test_cells_agree_with_an_independent_library(latitude: float, longitude: float, digits: int):
    """The `mgrs` package wraps the reference implementation of the United States government."""
    mgrs = pytest.importorskip("mgrs", reason="the mgrs package is not installed")
    oracle = mgrs.MGRS()
    text = oracle.toMGRS(latitude, longitude, MGRSPrecision=digits)
    reference = parse_grid_reference(text)
    assert reference is not None
    cell = cell_of(reference)
    zone, hemisphere, easting, northing = oracle.MGRSToUTM(text)
    assert (cell.zone, cell.hemisphere) == (zone, hemisphere)
    # the library gives the corner in some versions and the centre in others
    assert 0 <= easting - cell.easting <= cell.side_m / 2 + 1e-6
    assert 0 <= northing - cell.northing <= cell.side_m / 2 + 1e-6


@pytest.mark.parametrize(
    "text",
    ["14SMF4333467460", "14S MF 43334 67460", "14s mf 43334 67460", "14SMF 43334 67460", "14 S MF 43334 67460"],
)
def test_spaces_and_small_letters_make_no_difference(text: str):
    reference = parse_grid_reference(text)
    assert reference is not None
    assert cell_of(reference).centre == (443334.5, 4067460.5)


@pytest.mark.parametrize("text", ["14SMF433346746", "14SMF 43334 6746", "14SMI4333467460", "14OMF12", "see map", ""])
def test_texts_that_are_no_reference(text: str):
    assert parse_grid_reference(text) is None


@pytest.mark.parametrize("text", ["61SMF12", "14SAA1234", "14TMF4333467460", "0SMF12"])
def test_squares_that_do_not_exist_are_refused(text: str):
    reference = parse_grid_reference(text)
    assert reference is not None
    with pytest.raises(ValueError, match=r"zone|band"):
        cell_of(reference)


def test_a_reference_without_a_band_comes_back_every_two_thousand_kilometres():
    reference = parse_grid_reference("14S MF 43334 67460")
    assert reference is not None
    bands = bands_with_square(reference)
    assert "S" in bands
    assert len(bands) > 1


@pytest.mark.parametrize(("digits", "radius"), [("", 70710.7), ("46", 7071.1), ("4367", 707.1), ("433674", 70.7)])
def test_the_radius_reaches_the_corner_of_the_cell(digits: str, radius: float):
    """Georeferencing Quick Reference Guide: 1 km cell 707 m, 100 m cell 71 m."""
    reference = parse_grid_reference(f"14SMF{digits}")
    assert reference is not None
    assert cell_of(reference).radius_m == pytest.approx(radius, abs=0.1)


def test_bands_are_eight_degrees_but_the_last_twelve():
    assert band_limits("C") == (-80.0, -72.0)
    assert band_limits("M") == (-8.0, 0.0)
    assert band_limits("N") == (0.0, 8.0)
    assert band_limits("X") == (72.0, 84.0)


@given(st.floats(-80, 84), st.floats(-3, 3))
def test_the_approximate_latitude_tells_bands_apart(latitude: float, from_meridian: float):
    pyproj = pytest.importorskip("pyproj")
    project = pyproj.Proj("+proj=utm +zone=31 +ellps=WGS84")
    easting, northing = project(3 + from_meridian, latitude)
    assert approximate_latitude(easting, northing) == pytest.approx(latitude, abs=0.02)
