"""Coordinates against published check values; the source stands beside each table.

EPSG: EPSG Guidance Note 7-2, worked examples, as printed on the method pages 9807 and 9802.
FGDC: FGDC-STD-011-2001, United States National Grid, with the example quoted in teaching texts.
GBP: Chapman & Wieczorek 2020, Georeferencing Best Practices v1.1.1. QRG: Zermoglio et al. 2020, Georeferencing
Quick Reference Guide v1.0. PROJ: the test output of the PROJ library. Values without a name were computed with two
independent libraries (PROJ 9.5 and GeographicLib 2.1).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import box

from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.normalise.coordinate_uncertainty import (
    DATUM_UNKNOWN_M,
    DATUM_UNKNOWN_REGIONAL_M,
    MAP_ACCURACY_24000_M,
    USUAL_EXTENT_M,
    datum_uncertainty,
    degree_precision_uncertainty,
    direction_half_width,
    direction_uncertainty,
    distance_precision,
    gps_uncertainty,
    grid_cell_radius,
    half_length,
    map_uncertainty,
    metres_per_degree,
    offset_uncertainty,
    right_angle_offset_uncertainty,
    sum_of_uncertainties,
)
from dwc_pipeline.normalise.datum_shift import geodesic_distance, to_own_degrees, to_wgs84
from dwc_pipeline.normalise.grid_reference import cell_of, parse_grid_reference
from dwc_pipeline.normalise.position_text import PositionContext, UncertaintyParts, judge_position

MILE = 1609.344


class TestProjections:
    """EPSG Guidance Note 7-2 and further check points, from the map back to degrees."""

    @pytest.mark.parametrize(
        ("crs", "x", "y", "latitude", "longitude", "metres"),
        [
            ("EPSG:27700", 577274.99, 69740.50, 50.5, 0.5, 0.02),  # EPSG, transverse Mercator (9807)
            (
                "EPSG:32040",
                2963503.91,
                254759.80,
                28.5,
                -96.0,
                0.01,
            ),  # EPSG, Lambert conformal (9802), US survey feet
            ("EPSG:32630", 699582, 5709431, 51.500721, -0.124430, 3.0),  # GBP 2.4.2, printed pair is rounded
            ("EPSG:32614", 443334.165, 4067460.587, 36.7512, -99.6348, 0.001),
            ("EPSG:2267", 1489558.30, 641520.69, 36.7512, -99.6348, 0.01),
            ("EPSG:32124", 454018.28, 195535.90, 36.7512, -99.6348, 0.01),
        ],
    )
    def test_check_points(self, crs: str, x: float, y: float, latitude: float, longitude: float, metres: float):
        lon, lat = to_own_degrees(x, y, crs)
        assert geodesic_distance(lon, lat, longitude, latitude)[0] <= metres

    def test_us_survey_feet_are_not_international_feet(self):
        """The same numbers as international feet lie 0.908 m east and 0.391 m north of the place."""
        lon, lat = to_own_degrees(1489558.30 * 1.000002, 641520.69 * 1.000002, "EPSG:2267")
        east, north = (
            (lon[0] + 99.6348) * metres_per_degree(36.75)[1],
            (lat[0] - 36.7512) * metres_per_degree(36.75)[0],
        )
        assert math.hypot(east, north) == pytest.approx(math.hypot(0.908, 0.391), abs=0.02)


class TestGridReferences:
    """FGDC-STD-011-2001 and the printed examples of a vendor's documentation of the military grid."""

    @pytest.mark.parametrize(
        ("text", "latitude", "longitude", "tolerance"),
        [
            ("18SUJ2348306479", 38.8894628, -77.0352420, 1e-6),  # FGDC
            ("4QFJ1234567890", 21.409796671597924, -157.91608117421092, 1e-8),
            ("4QFJ16", 21.338665624760598, -157.93921670599434, 1e-8),
        ],
    )
    def test_south_west_corners(self, text: str, latitude: float, longitude: float, tolerance: float):
        reference = parse_grid_reference(text)
        assert reference is not None
        cell = cell_of(reference)
        lon, lat = to_own_degrees(cell.easting, cell.northing, f"EPSG:326{cell.zone:02d}")
        assert (lat[0], lon[0]) == pytest.approx((latitude, longitude), abs=tolerance)

    def test_the_centre_is_the_georeference(self):
        verdict = judge_position("18SUJ2348306479", "", "", "", "", "", "WGS84", PositionContext())
        assert [float(part) for part in verdict.value.split()] == pytest.approx([38.8894674, -77.0352364], abs=1e-6)

    @pytest.mark.parametrize(
        ("text", "side"), [("18SUJ20", 10000), ("18SUJ2306", 1000), ("18SUJ234064", 100), ("18SUJ23480647", 10)]
    )
    def test_precisions_of_one_point(self, text: str, side: int):
        """The digits are cut, not rounded: every coarser cell holds the finer one."""
        reference = parse_grid_reference(text)
        assert reference is not None
        cell = cell_of(reference)
        assert cell.side_m == side
        assert cell.easting <= 323483 < cell.easting + side
        assert cell.northing <= 4306479 < cell.northing + side


class TestDatums:
    """NAD27 in the southern Great Plains by `NAD27 to WGS 84 (6)`, and how far off the official grid that is."""

    PLACES = (
        # NAD27 latitude, longitude; NAD83 by the 1990 grid; WGS84 by (6); metres without shift; metres (6) is off
        (36.7512, -99.6348, 36.7512322, -99.6351958, 36.7512479, -99.6351863, 35.5, 1.9),
        (36.8, -102.2, 36.8000222, -102.2004535, 36.8000378, -102.2004641, 40.6, 2.0),
        (33.5, -102.5, 33.5000962, -102.5004681, 33.5001077, -102.5004544, 44.8, 1.8),
        (37.3, -100.9, 37.3000228, -100.9004400, 37.3000337, -100.9004277, 39.1, 1.6),
        (36.7, -96.3, 36.7000665, -96.3002827, 36.7000582, -96.3002842, 26.3, 0.9),
        (29.5, -103.2, 29.5001963, -103.2004502, 29.5002171, -103.2004548, 48.8, 2.3),
        (28.7, -96.5, 28.7002717, -96.5002519, 28.7002604, -96.5002655, 38.9, 1.8),
        (40.5, -103.0, 40.4999893, -103.0004875, 40.4999789, -103.0005139, 41.3, 2.5),
    )

    @pytest.mark.parametrize("place", PLACES)
    def test_nad27_to_wgs84(self, place: tuple[float, ...]):
        lat27, lon27, lat83, lon83, lat84, lon84, unshifted, off = place
        shifted = to_wgs84(lon27, lat27, "EPSG:4267")
        assert (shifted.latitude[0], shifted.longitude[0]) == pytest.approx((lat84, lon84), abs=1e-7)
        by_grid = geodesic_distance(shifted.longitude, shifted.latitude, lon83, lat83)[0]
        assert by_grid == pytest.approx(off, abs=0.06)
        assert by_grid < shifted.accuracy_m[0] == 7.0
        assert geodesic_distance(lon27, lat27, lon83, lat83)[0] == pytest.approx(unshifted, abs=0.06)
        assert unshifted < DATUM_UNKNOWN_REGIONAL_M

    def test_the_shift_is_that_of_the_geocentre(self):
        """Western United States: -8, 159, 175 m (NIMA TR8350.2, from memory), by the textbook formulas.

        Clarke 1866: a = 6378206.4 m, b = 6356583.8 m.
        """
        a, squared = 6378206.4, 1 - (6356583.8 / 6378206.4) ** 2
        lat, lon = math.radians(36.7512), math.radians(-99.6348)
        normal = a / math.sqrt(1 - squared * math.sin(lat) ** 2)
        x = normal * math.cos(lat) * math.cos(lon) - 8
        y = normal * math.cos(lat) * math.sin(lon) + 159
        z = normal * (1 - squared) * math.sin(lat) + 175
        a, squared = 6378137.0, 0.0066943799901413165
        for _ in range(10):
            normal = a / math.sqrt(1 - squared * math.sin(lat) ** 2)
            lat = math.atan2(z + squared * normal * math.sin(lat), math.hypot(x, y))
        shifted = to_wgs84(-99.6348, 36.7512, "EPSG:4267")
        found = (shifted.longitude[0], shifted.latitude[0])
        assert found == pytest.approx((math.degrees(math.atan2(y, x)), math.degrees(lat)), abs=1e-9)


PROPERTY = box(-100.5, 36.2, -99.0, 37.2)
AT = PositionContext(datum="WGS84")
ON_PROPERTY = PositionContext(datum="WGS84", boundary=PROPERTY)
ZONE_14 = PositionContext(datum="WGS84", zone=14)
UNSIGNED = PositionContext(datum="WGS84", hemisphere_ns="N", hemisphere_ew="W")
SECONDS_IN_THE_COLUMN = PositionContext(datum="WGS84", column_form="degrees minutes seconds")
ZONE_14_ON_PROPERTY = PositionContext(datum="WGS84", zone=14, boundary=PROPERTY)
BASE, WHOLE_SECONDS, UTM = (36.7512, -99.6348), (36.751111, -99.634722), (36.751204, -99.634802)

#: typed, context, latitude and longitude, tolerance in metres: one reading
READ = (
    ("36.7512, -99.6348", AT, BASE, 0.1),
    ("99.6348 W 36.7512 N", AT, BASE, 0.1),
    ("N36.7512 W99.6348", AT, BASE, 0.1),
    ("-99.6348, 36.7512", AT, BASE, 0.1),
    ("36,7512; -99,6348", AT, BASE, 0.1),
    ("36.7512°N, 99.6348°W", AT, BASE, 0.1),
    ("36° 45.072' N 99° 38.088' W", AT, BASE, 0.2),
    ("36 45.072 N, 99 38.088 W", AT, BASE, 0.2),
    ("N 36 45.072 W 099 38.088", AT, BASE, 0.2),
    ("36°45'04.32\"N 99°38'05.28\"W", AT, BASE, 0.2),
    ("36°45′04.32″N 99°38′05.28″W", AT, BASE, 0.2),
    ("36º45’04.32”N 99º38’05.28”W", AT, BASE, 0.2),
    ("36d45m04.32s N 99d38m05.28s W", AT, BASE, 0.2),
    ("36:45:04.32N 99:38:05.28W", AT, BASE, 0.2),
    ("36-45-04.32 N / 99-38-05.28 W", AT, BASE, 0.2),
    ("364504N 0993805W", AT, WHOLE_SECONDS, 0.2),
    ("36 45 4 / 99 38 5", UNSIGNED, WHOLE_SECONDS, 0.2),
    ("36.75 -99.63", AT, (36.75, -99.63), 0.1),
    ("14S 443334 4067461", AT, UTM, 0.1),
    ("14N 443334 4067461", AT, UTM, 0.1),
    ("UTM 14 443334E 4067461N", AT, UTM, 0.1),
    ("443334 4067461", ZONE_14, UTM, 0.1),
    ("4067461 443334", ZONE_14, UTM, 0.1),
    ("0443334 4067461", ZONE_14, UTM, 0.1),
    ("443.334 km E 4067.461 km N", ZONE_14, UTM, 0.1),
    ("14SMF4333467460", AT, (36.751199, -99.634796), 0.8),
    ("14S MF 43334 67460", AT, (36.751199, -99.634796), 0.8),
    ("14SMF433674", AT, (36.751106, -99.634622), 0.8),
    ("MF 4333 6746", PositionContext(datum="WGS84", zone=14, zone_letter="S"), (36.751240, -99.634791), 0.8),
    # the next two by NAD27 to WGS 84 (6), as no grid file is at hand
    ("UTM 14 443370 4067254 NAD27", PositionContext(), (36.751213, -99.634769), 0.5),
    ("36°45'04.2\"N 99°38'03.9\"W", PositionContext(datum="NAD27"), (36.751215, -99.634803), 0.5),
    ("X 1489558.30 Y 641520.69 ft", PositionContext(state_plane_crs="EPSG:2267"), BASE, 0.2),
    ("X 454018.28 Y 195535.90 m", PositionContext(state_plane_crs="EPSG:32124"), BASE, 0.2),
)

#: typed, context, and the readings that must be offered, in order
ASKED = (
    ("36.7512 99.6348", ON_PROPERTY, [BASE, (36.7512, 99.6348)]),
    ("36.4504 -99.3805", SECONDS_IN_THE_COLUMN, [(36.4504, -99.3805), WHOLE_SECONDS]),
    ("36.7512 S 99.6348 W", ON_PROPERTY, [BASE, (-36.7512, -99.6348)]),
    ("367512 -996348", ON_PROPERTY, [BASE]),
    ("443334 4067461", AT, []),
    ("443334 4067461", ON_PROPERTY, [UTM]),
    ("44333 406746", ZONE_14, [(36.751240, -99.634791)]),
)

#: typed, context, rule, and what must be offered first, if anything
IMPOSSIBLE = (
    ("36° 75.12' N 99° 63.48' W", AT, "position-is-out-of-range", BASE),
    ("443334 467461", ZONE_14_ON_PROPERTY, "position-lost-a-digit", UTM),
    ("0, 0", AT, "position-is-zero", None),
    ("T25N R24W Sec 14 NE1/4", AT, "position-is-not-a-coordinate", None),
    ("see map", AT, "position-is-not-a-coordinate", None),
)


def judge(typed: str, context: PositionContext) -> Verdict:
    return judge_position(typed, "", "", "", "", "", "", context)


def metres_apart(reading: str, place: tuple[float, float]) -> float:
    latitude, longitude = (float(part) for part in reading.split(" (")[0].split())
    return float(geodesic_distance(longitude, latitude, place[1], place[0])[0])


class TestSpellings:
    """Spellings of one point, 36.7512 N 99.6348 W; common practice, values by two libraries."""

    @pytest.mark.parametrize(("typed", "context", "place", "metres"), READ)
    def test_one_reading(self, typed: str, context: PositionContext, place: tuple[float, float], metres: float):
        verdict = judge(typed, context)
        assert verdict.is_read
        assert metres_apart(verdict.value, place) <= metres
        assert len(verdict.value.split()[0].partition(".")[2]) == 7

    @pytest.mark.parametrize(("typed", "context", "places"), ASKED)
    def test_several_readings_are_asked_about(
        self, typed: str, context: PositionContext, places: list[tuple[float, float]]
    ):
        verdict = judge(typed, context)
        assert verdict.status is Status.AMBIGUOUS
        assert verdict.value == ""
        assert len(verdict.readings) == len(places)
        for reading, place in zip(verdict.readings, places, strict=True):
            assert metres_apart(reading, place) <= 1.0

    @pytest.mark.parametrize(("typed", "context", "rule", "place"), IMPOSSIBLE)
    def test_what_cannot_be_is_refused_with_an_offer(
        self, typed: str, context: PositionContext, rule: str, place: tuple[float, float] | None
    ):
        verdict = judge(typed, context)
        assert (verdict.status, verdict.rule) == (Status.UNREADABLE, rule)
        assert bool(verdict.readings) == (place is not None)
        if place is not None:
            assert metres_apart(verdict.readings[0], place) <= 0.2

    def test_s_after_the_zone_is_a_band_and_not_the_south(self):
        """Read as southern hemisphere the point would lie at -53.5387, -99.8551."""
        lon, lat = to_own_degrees(443334, 4067461, "EPSG:32714")
        assert (lat[0], lon[0]) == pytest.approx((-53.5387, -99.8551), abs=1e-4)
        assert float(judge("14S 443334 4067461", AT).value.split()[0]) > 0

    def test_a_wrong_zone_moves_the_longitude_by_six_degrees(self):
        right, wrong = (float(judge(f"{zone}S 443334 4067461", AT).value.split()[1]) for zone in (14, 13))
        assert right - wrong == pytest.approx(6.0, abs=1e-7)

    def test_seconds_typed_with_a_point_are_forty_kilometres_off(self):
        assert geodesic_distance(-99.3805, 36.4504, *WHOLE_SECONDS[::-1])[0] == pytest.approx(40390, abs=10)

    @pytest.mark.parametrize(
        ("typed", "context", "metres"),
        [
            ("36.75 -99.63", AT, 1424.4),
            ("36.7512 -99.6348", AT, 14.2),
            ("364504N 0993805W", AT, 39.6),
            ("14SMF433674", AT, 70.7),
            ("14S MF 4333 6746", AT, 7.07),
        ],
    )
    def test_the_precision_of_the_writing_is_stated(self, typed: str, context: PositionContext, metres: float):
        parts = UncertaintyParts.from_text(judge(typed, context).also["uncertainty_parts"])
        assert parts.precision_m == pytest.approx(metres, abs=0.1)


class TestPrecision:
    """GBP 3.4.3, the table of uncertainty from coordinate precision; published metres are rounded up."""

    LATITUDES = (0.0, 30.0, 60.0, 85.0, 36.7512)
    ROWS = (
        (1.0, 156904, 146962, 124605, 112109, 142441.7),
        (0.1, 15691, 14697, 12461, 11211, 14244.2),
        (0.01, 1570, 1470, 1246, 1121, 1424.4),
        (0.001, 157, 147, 125, 112, 142.4),
        (0.0001, 16, 15, 13, 12, 14.2),
        (0.00001, 2, 2, 2, 2, 1.4),
        (1 / 60, 2615, 2450, 2077, 1869, 2374.0),
        (0.1 / 60, 262, 245, 208, 187, 237.4),
        (0.01 / 60, 27, 25, 21, 19, 23.7),
        (0.001 / 60, 3, 3, 3, 2, 2.4),
        (1 / 3600, 44, 41, 35, 32, 39.6),
        (0.1 / 3600, 5, 5, 4, 4, 4.0),
    )

    @pytest.mark.parametrize("row", ROWS)
    def test_the_table(self, row: tuple[float, ...]):
        found = degree_precision_uncertainty(row[0], self.LATITUDES)
        assert np.abs(found[:4] - row[1:5]).max() <= 1.0
        assert found[4] == pytest.approx(row[5], abs=0.06)

    def test_the_printed_example_of_a_hundredth_of_a_degree(self):
        """10.27, -123.6: 1.1061 and 1.0955 km, together 1.5568 km."""
        along_meridian, along_parallel = metres_per_degree(10.27)
        assert 0.01 * along_meridian == pytest.approx(1106.1, abs=0.2)
        assert 0.01 * along_parallel == pytest.approx(1095.5, abs=0.2)
        assert degree_precision_uncertainty(0.01, 10.27) == pytest.approx(1556.8, abs=0.2)

    def test_zeros_that_a_program_adds_are_no_precision(self):
        """10.00000, -123.50000 read as half a degree: 77.87 km."""
        verdict = judge("10.00000, -123.50000", AT)
        assert verdict.also["coordinatePrecision"] == "0.5"
        parts = UncertaintyParts.from_text(verdict.also["uncertainty_parts"])
        assert parts.precision_m == pytest.approx(77870, abs=10)
        assert judge("10.27, -123.6", AT).also["coordinatePrecision"] == "0.01"

    @pytest.mark.parametrize(
        ("typed", "precision"),
        [("36.75123 -99.63481", "0.00001"), ("364504N 0993805W", "0.0002778"), ("36 45 N, 99 38 W", "0.01667")],
    )
    def test_coordinate_precision_as_darwin_core_gives_it(self, typed: str, precision: str):
        """Darwin Core, coordinatePrecision: 0.00001, 0.000278 for a second, 0.01667 for a minute."""
        assert judge(typed, AT).also["coordinatePrecision"] == precision


class TestReceivers:
    """GBP 3.4.2 and QRG: twice the displayed accuracy; 30 m, or 100 m before May 2000, where none was written."""

    def test_the_displayed_accuracy_is_doubled(self):
        found = gps_uncertainty([4.0, 5.0], np.array(["2031-05-04", "1999-05-04"], "M8[D]"), allow_default=False)
        assert found.tolist() == [8.0, 10.0]

    def test_defaults_only_where_the_survey_allows_them(self):
        days = np.array(["2000-04-30", "2000-05-01", "NaT"], "datetime64[D]")
        assert gps_uncertainty([np.nan] * 3, days, allow_default=True).tolist() == [100.0, 30.0, 100.0]
        assert np.isnan(gps_uncertainty([np.nan] * 3, days, allow_default=False)).all()

    def test_an_accuracy_of_zero_is_none(self):
        assert np.isnan(gps_uncertainty([0.0], np.array(["2031-05-04"], "M8[D]"), allow_default=False)).all()


class TestExtentsAndMaps:
    """QRG, table of extents; GBP 3.4.2 for maps; GBP 3.4.4 for the unknown datum."""

    def test_usual_extents(self):
        assert USUAL_EXTENT_M["spring"] == USUAL_EXTENT_M["tank"] == 3
        assert USUAL_EXTENT_M["two-lane crossing"] == 10
        assert [USUAL_EXTENT_M[name] for name in ("township", "section", "quarter section")] == [6828, 1138, 570]

    def test_land_survey_squares_are_half_diagonals_of_their_miles(self):
        for name, side in (
            ("township", 6.0),
            ("section", 1.0),
            ("quarter section", 0.5),
            ("quarter-quarter section", 0.25),
        ):
            assert float(grid_cell_radius(side * MILE)) == pytest.approx(USUAL_EXTENT_M[name], abs=1.1)

    def test_grid_cells(self):
        """QRG: 1 m cell 1, 10 m cell 7, 100 m cell 71, 1 km cell 707 m."""
        assert np.round(grid_cell_radius([1, 10, 100, 1000])).tolist() == [1, 7, 71, 707]

    def test_maps(self):
        assert float(map_uncertainty(24000)) == 24.0
        assert pytest.approx(40 * 0.3048) == MAP_ACCURACY_24000_M

    def test_half_of_an_array_or_a_road_section(self):
        assert half_length([31.0, 1000.0]).tolist() == [15.5, 500.0]

    def test_an_unknown_datum_may_be_off_by_kilometres(self):
        assert DATUM_UNKNOWN_M == 5359
        assert datum_uncertainty([7.0, np.nan], [True, False]).tolist() == [7.0, 5359.0]


class TestWrittenDistances:
    """GBP 3.4.6, precision of a written distance: all fourteen printed rows."""

    @pytest.mark.parametrize(
        ("written", "doubt"),
        [("10.1", 0.05), ("10.25", 0.125), ("10.5", 0.25), ("10.6", 0.05), ("10.75", 0.125), ("10", 0.5), ("15", 0.5),
         ("30", 0.5), ("33", 0.5), ("100", 5), ("140", 5), ("200", 5), ("1000", 50), ("2000", 50)],
    )  # fmt: skip
    def test_printed_rows(self, written: str, doubt: float):
        assert distance_precision(written) == pytest.approx(doubt)

    @pytest.mark.parametrize("written", ["", "far", "0", "-3", "1/0"])
    def test_what_is_no_distance_has_no_precision(self, written: str):
        assert math.isnan(distance_precision(written))

    def test_a_mixed_fraction_counts_by_its_denominator(self):
        assert distance_precision("3 1/4") == 0.125


class TestOffsets:
    """GBP 3.4.5 and 3.4.6, and Wieczorek, Guo & Hijmans 2004."""

    @pytest.mark.parametrize(("point", "width"), [("N", 45.0), ("NE", 22.5), ("NNE", 11.25)])
    def test_compass_points(self, point: str, width: float):
        assert direction_half_width(point) == width
        assert math.isnan(direction_half_width("up"))

    @pytest.mark.parametrize(("width", "kilometres"), [(45.0, 7.6537), (22.5, 3.9018), (11.25, 1.9603)])
    def test_direction_alone(self, width: float, kilometres: float):
        assert float(direction_uncertainty(10.0, width)) == pytest.approx(kilometres, abs=1e-4)

    def test_distance_and_direction_together(self):
        assert float(offset_uncertainty(10.0, 0.5, 22.5)) == pytest.approx(4.0293, abs=1e-4)
        assert float(offset_uncertainty(10.0, 2.5, 22.5)) == pytest.approx(5.0279, abs=1e-4)

    def test_miles_from_a_gate(self):
        """3.5 miles north-north-west of a gate of 30 m radius, written to a quarter of a mile."""
        assert float(offset_uncertainty(3.5 * MILE, 30 + 0.25 * MILE, 11.25)) == pytest.approx(1224.6, abs=0.1)

    def test_two_distances_at_right_angles(self):
        assert float(right_angle_offset_uncertainty(1.0, 1.0)) == pytest.approx(0.707, abs=1e-3)

    def test_the_farthest_corner_by_plane_geometry(self):
        """From (d, theta) to (d + u, theta + w), by the coordinates of the two points."""
        near, far, width = 10.0, 10.5, math.radians(22.5)
        corner = math.hypot(far * math.sin(width), far * math.cos(width) - near)
        assert float(offset_uncertainty(10.0, 0.5, 22.5)) == pytest.approx(corner)


class TestSums:
    """Twice the displayed accuracy, precision, datum operation and extent, added and rounded up, at 36.7512 N."""

    FIVE_DECIMALS, WHOLE_SECONDS = 1e-5, 1 / 3600

    @pytest.mark.parametrize(
        ("shown", "step", "operation", "extent", "exact", "written"),
        [
            (4.0, FIVE_DECIMALS, 0.0, 0.5, 9.92, 10),
            (np.nan, FIVE_DECIMALS, 0.0, 0.5, 31.92, 32),
            (4.0, FIVE_DECIMALS, 0.0, 15.5, 24.92, 25),
            (np.nan, WHOLE_SECONDS, 0.0, 0.5, 70.07, 71),
            (5.0, FIVE_DECIMALS, 7.0, 0.5, 18.92, 19),
            (5.0, FIVE_DECIMALS, np.nan, 0.5, 62.92, 63),
        ],
    )
    def test_cases(self, shown: float, step: float, operation: float, extent: float, exact: float, written: int):
        parts = (
            gps_uncertainty(shown, np.datetime64("2031-05-04"), allow_default=True),
            degree_precision_uncertainty(step, 36.7512),
            datum_uncertainty(operation, not math.isnan(operation), DATUM_UNKNOWN_REGIONAL_M),
            extent,
        )
        assert float(sum(np.asarray(part) for part in parts)) == pytest.approx(exact, abs=0.01)
        assert float(sum_of_uncertainties(*parts)) == written

    def test_never_zero_and_unknown_with_an_unknown_part(self):
        """Darwin Core, coordinateUncertaintyInMeters: zero is not valid; empty if it cannot be estimated."""
        assert np.isnan(sum_of_uncertainties([0.0, np.nan], [0.0, 5.0])).all()

    def test_whole_sums_are_not_pushed_up_by_binary_noise(self):
        assert float(sum_of_uncertainties(0.1, 0.2, 0.7)) == 1.0
