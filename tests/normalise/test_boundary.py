"""Points against polygons: inside, near the border, outside, and how far."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from dwc_pipeline.normalise.boundary import Surroundings, distance_outside, place_against, smallest_circle
from dwc_pipeline.normalise.coordinate_uncertainty import metres_per_degree
from dwc_pipeline.normalise.datum_shift import geodesic_distance

PROPERTY = box(-100.0, 36.5, -99.5, 37.0)


def test_the_distance_is_zero_inside_and_in_metres_outside():
    one_degree_north, _ = metres_per_degree(37.05)
    found = distance_outside(PROPERTY, [-99.7, -99.7, np.nan], [36.7, 37.1, 36.7])
    assert found[0] == 0
    assert found[1] == pytest.approx(0.1 * float(one_degree_north), rel=1e-3)
    assert np.isnan(found[2])


def test_near_the_border_counts_on_both_sides():
    lon, lat = [-99.7, -99.7, -99.7, -99.7], [36.7, 36.99, 37.01, 37.1]
    assert place_against(PROPERTY, lon, lat).tolist() == ["inside", "near the border", "near the border", "outside"]


def test_without_a_near_zone_there_is_only_inside_and_outside():
    assert place_against(PROPERTY, [-99.7, -99.7], [36.999, 37.001], near_m=0).tolist() == ["inside", "outside"]


def test_a_hole_and_a_second_part_are_respected():
    holed = PROPERTY.difference(box(-99.8, 36.7, -99.7, 36.8))
    two = MultiPolygon([holed, box(-98.0, 36.5, -97.9, 36.6)])
    assert (distance_outside(two, [-99.75, -97.95], [36.75, 36.55]) > 0).tolist() == [True, False]


@settings(max_examples=50, deadline=None)
@given(st.floats(-101, -98.5), st.floats(36, 37.5))
def test_no_point_of_the_border_is_nearer_than_the_distance_found(lon: float, lat: float):
    found = float(distance_outside(PROPERTY, lon, lat)[0])
    border = shapely.get_coordinates(shapely.segmentize(PROPERTY.exterior, 0.01))
    nearest = float(geodesic_distance(lon, lat, border[:, 0], border[:, 1]).min())
    if found:
        assert found <= nearest * 1.0002 + 1  # the nearest point is looked for on a flat map
        assert nearest - found < 1200  # the border is sampled every hundredth of a degree
    else:
        assert PROPERTY.intersects(Point(lon, lat))


def test_the_smallest_circle_holds_the_whole_place():
    lon, lat, radius = smallest_circle(LineString([(-99.64, 36.75), (-99.63, 36.75)]))
    assert (lon, lat) == pytest.approx((-99.635, 36.75), abs=1e-6)
    assert radius == pytest.approx(float(geodesic_distance(-99.64, 36.75, -99.63, 36.75)[0]) / 2, rel=1e-3)


def test_a_centre_outside_the_place_moves_into_it():
    """Georeferencing Best Practices v1.1.1, section 3.3.2: the corrected centre lies in the place."""
    bend = Polygon([(0, 0), (0.1, 0), (0.1, 0.01), (0.01, 0.01), (0.01, 0.1), (0, 0.1)])
    lon, lat, radius = smallest_circle(bend)
    assert bend.buffer(1e-9).contains(Point(lon, lat))
    corners = shapely.get_coordinates(bend)
    assert radius == pytest.approx(float(geodesic_distance(lon, lat, corners[:, 0], corners[:, 1]).max()), rel=1e-2)


def test_an_empty_place_has_no_circle():
    with pytest.raises(ValueError, match="no geometry"):
        smallest_circle(Polygon())


def test_surroundings_go_by_the_polygon():
    known = Surroundings(PROPERTY)
    assert known.accept([-99.7, 10.0], [36.7, 50.0]).tolist() == [True, False]
    assert not Surroundings().are_known


def test_the_zones_of_the_surroundings_start_with_the_nearest():
    assert Surroundings(PROPERTY).zones() == [14]
    assert Surroundings(box(-103, 34, -96.5, 37)).zones() == [14, 13]
    assert Surroundings().zones() == []
