"""Countries, datums, verbatim coordinates, depths and elevations in the data-quality tests."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.check.quality import quality_response
from dwc_pipeline.check.quality.country_outlines import code_at, countries, half_side
from dwc_pipeline.check.quality.geodetic_datum import epsg_code, is_geographic_code, largest_datum_shift
from dwc_pipeline.check.quality.verbatim_coordinates import read_angles
from dwc_pipeline.check.quality.verbatim_length import metres_from_text

TODAY = date(2026, 11, 25)


def answer(test: str, **record: str):
    return quality_response(test, record, today=TODAY)


@pytest.mark.parametrize(
    ("code", "square_kilometres"),
    [("US", 9_525_000), ("RU", 17_098_000), ("CA", 9_985_000), ("AU", 7_692_000), ("ID", 1_905_000), ("FJ", 18_270)],
)
def test_outlines_have_the_area_of_their_country(code, square_kilometres):
    """Areas of the World Factbook and national statistics, rounded; from memory. Two cross 180 degrees."""
    assert (2 * half_side(code)) ** 2 / 1e6 == pytest.approx(square_kilometres, rel=0.04)


@pytest.mark.parametrize(
    ("latitude", "longitude", "code"),
    [
        (36.75, -99.63, "US"), (65.0, -175.0, "RU"), (-17.7, 178.0, "FJ"), (-16.8, -179.9, "FJ"), (-89.9, 10.0, "AQ"),
        (4.0, -53.0, "GF"), (16.2, -61.6, "GP"), (78.0, 16.0, "SJ"), (12.2, -68.3, "BQ"), (-10.49, 105.63, "CX"),
        (42.6, 21.0, ""), (0.0, 0.0, None), (25.0, -90.0, None),
    ],
)  # fmt: skip
def test_whose_land_a_point_lies_on(latitude, longitude, code):
    """Codes of ISO 3166-1; areas without a code of their own are not given to anybody."""
    assert code_at(latitude, longitude) == code


def test_every_code_of_iso_3166_1_is_known_and_two_more():
    assert len(countries()) == 249 + 2


CONSISTENT = "VALIDATION_COORDINATESCOUNTRYCODE_CONSISTENT"


@pytest.mark.parametrize(
    ("code", "latitude", "longitude", "result"),
    [
        ("US", "36.7512", "-99.6348", "COMPLIANT"),
        ("MX", "36.7512", "-99.6348", "NOT_COMPLIANT"),
        ("US", "31.76", "-106.49", "COMPLIANT"),
        ("MX", "31.76", "-106.49", "COMPLIANT"),  # El Paso: within 3 km of the border
        ("MX", "18.835941", "-94.4805934", "COMPLIANT"),  # at sea, Mexico alone is near
        ("US", "-38.280937", "72.047790", "NOT_COMPLIANT"),  # far out at sea
        ("XZ", "-38.280937", "72.047790", "COMPLIANT"),
        ("XZ", "36.7512", "-99.6348", "NOT_COMPLIANT"),
        ("GF", "4.0", "-53.0", "COMPLIANT"),
        ("FR", "4.0", "-53.0", "NOT_COMPLIANT"),
    ],
)
def test_points_and_country_codes(code, latitude, longitude, result):
    assert answer(CONSISTENT, countryCode=code, decimalLatitude=latitude, decimalLongitude=longitude).result == result


def test_where_two_zones_could_meet_nothing_is_claimed():
    for code in ("US", "CU", "XZ"):
        at_sea = answer(CONSISTENT, countryCode=code, decimalLatitude="23.9", decimalLongitude="-82.0")
        assert at_sea.result != "COMPLIANT"
    strait = answer(CONSISTENT, countryCode="US", decimalLatitude="23.9", decimalLongitude="-82.0")
    assert strait.status == "EXTERNAL_PREREQUISITES_NOT_MET"
    assert "zones" in strait.comment


@given(
    latitude=st.decimals(30, 40, places=3), longitude=st.decimals(-100, -90, places=3), swap=st.booleans(),
    flip=st.sampled_from([(1, -1), (1, 1)]),
)  # fmt: skip
@settings(max_examples=30, deadline=None)
def test_exchanged_coordinates_are_proposed_back(latitude, longitude, swap, flip):
    if code_at(float(latitude), float(longitude)) != "US":
        return
    wrong = latitude * flip[0], longitude * flip[1]
    if swap:
        wrong = wrong[::-1]
    proposal = answer(
        "AMENDMENT_COORDINATES_TRANSPOSED",
        countryCode="US", decimalLatitude=str(wrong[0]), decimalLongitude=str(wrong[1]),
    )  # fmt: skip
    right = {"dwc:decimalLatitude": str(latitude), "dwc:decimalLongitude": str(longitude)}
    assert proposal.proposals == (right if wrong != (latitude, longitude) else {})
    assert (proposal.qualifier == "TRANSPOSED") == swap


def test_a_centre_of_a_country_is_no_issue_if_its_uncertainty_says_so():
    centre = {"countryCode": "US", "decimalLatitude": "38", "decimalLongitude": "-97"}
    assert answer("ISSUE_COORDINATES_CENTEROFCOUNTRY", **centre).result == "POTENTIAL_ISSUE"
    wide = answer("ISSUE_COORDINATES_CENTEROFCOUNTRY", **centre, coordinateUncertaintyInMeters="2000000")
    assert wide.result == "NOT_ISSUE"


class TestDatums:
    def test_the_largest_shift_is_the_published_one(self):
        """5359 m: the largest possible datum error, Georeferencing Best Practices (Chapman & Wieczorek 2020)."""
        grid = [largest_datum_shift(lat, lon) for lat in range(-90, 91, 6) for lon in range(-180, 180, 6)]
        assert max(grid) <= 5359.2
        assert max(grid) > 5300
        assert largest_datum_shift(-30, 130) == pytest.approx(2786, abs=0.5)

    @pytest.mark.parametrize(
        ("code", "geographic"),
        [("4326", True), ("6326", True), ("7030", True), ("4267", True), ("4979", False), ("23032", False),
         ("5100", False), ("4807", False), ("99999", False)],
    )  # fmt: skip
    def test_which_codes_are_of_a_datum_an_ellipsoid_or_a_system_in_degrees(self, code, geographic):
        """EPSG: 4979 is three-dimensional, 23032 projected, 5100 vertical, 4807 in grads."""
        assert is_geographic_code(code) is geographic

    @pytest.mark.parametrize(
        ("text", "code"),
        [("WGS 84", "EPSG:4326"), ("wgs_84", "EPSG:4326"), ("epsg: 4326", "EPSG:4326"), ("NAD27", "EPSG:4267"),
         ("NAD 83", "EPSG:4269"), ("GDA94", "EPSG:4283"), ("International 1924", "EPSG:7022"), ("GDA", None),
         ("UTM", None), ("EPSG:23032", None), ("6326", None), ("not recorded", None)],
    )  # fmt: skip
    def test_names_of_datums(self, text, code):
        assert epsg_code(text) == code


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("23°42'43.2\"S 140°30'E", [("-23.7120000", "lat"), ("140.5000000", "lon")]),
        ("36.7512 N, 99.6348 W", [("36.7512", "lat"), ("-99.6348", "lon")]),
        ("-36.7512", [("-36.7512", "")]),
        ("139.92", [("139.92", "lon")]),
        ("-36.5 S", None),
        ("36 75' N", None),
        ("91 N", None),
        ("23 degrees south 185 degrees, x degrees east", None),
    ],
)
def test_angles_are_read_whole_or_not_at_all(text, expected):
    read = None if expected is None else [(Decimal(value), axis) for value, axis in expected]
    assert read_angles(text) == read


def test_two_small_figures_have_no_order():
    assert answer("AMENDMENT_COORDINATES_FROM_VERBATIM", verbatimCoordinates="36.5, 82.1").proposals == {}
    told = answer("AMENDMENT_COORDINATES_FROM_VERBATIM", verbatimCoordinates="82.1 W 36.5")
    assert told.proposals == {"dwc:decimalLatitude": "36.5", "dwc:decimalLongitude": "-82.1"}


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("10 fathoms", "18.288", "18.288"), ("10 yards", "9.144", "9.144"), ("100 feet", "30.48", "30.48"),
     ("1-2 km", "1000", "2000"), ("min 3 ft max 2 m", "0.9144", "2")],
)  # fmt: skip
def test_lengths_are_converted_exactly(text, low, high):
    """Exact units; 10 fathoms and 10 yards from the notes of the tests, 100 feet from an example."""
    assert metres_from_text(text) == (Decimal(low), Decimal(high))


@pytest.mark.parametrize(
    "text", ["1000", "x", "1,500 ft", "200-100 m", "-5 m", "5 - -10 m", "10 m and more", "1 2 3 m"]
)
def test_lengths_that_are_not_certain_are_left_alone(text):
    assert metres_from_text(text) is None
