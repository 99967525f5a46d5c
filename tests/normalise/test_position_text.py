"""Positions in cells of their own, their context, and the terms they fill."""

from __future__ import annotations

import pandas as pd
import pytest
from shapely.geometry import box

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.normalise.position_text import (
    PositionCells,
    PositionContext,
    UncertaintyParts,
    judge_position,
    judge_positions,
)

PLAIN = PositionContext(datum="WGS84")
PROPERTY = PositionContext(datum="WGS84", boundary=box(-100.5, 36.2, -99.0, 37.2))


def judge(context: PositionContext = PLAIN, **cells: str) -> Verdict:
    return judge_position(*PositionCells(**cells), context)


def rules_of(verdict: Verdict) -> list[str]:
    return [flag.rule for flag in verdict.flags]


def test_two_plain_cells_are_kept_as_they_are():
    verdict = judge(latitude="36.7512", longitude="-99.6348")
    assert verdict.status is Status.KEPT
    assert verdict.value == "36.7512000 -99.6348000"
    assert verdict.also["decimalLatitude"] == "36.7512000"
    assert verdict.also["decimalLongitude"] == "-99.6348000"
    assert verdict.also["geodeticDatum"] == "EPSG:4326"
    assert verdict.also["verbatimSRS"] == "EPSG:4326"
    assert verdict.also["verbatimLatitude"] == "36.7512"
    assert verdict.also["verbatimLongitude"] == "-99.6348"
    assert verdict.also["verbatimCoordinates"] == ""
    assert verdict.also["coordinatePrecision"] == "0.0001"
    assert verdict.also["verbatimCoordinateSystem"] == "decimal degrees"


@pytest.mark.parametrize(
    ("cells", "system", "verbatim"),
    [
        ({"latitude": "36 45.072", "longitude": "-99 38.088"}, "degrees decimal minutes", ""),
        ({"latitude": "N36°45'04\"", "longitude": "W99°38'05\""}, "degrees minutes seconds", ""),
        ({"coordinates": "14S 443334 4067461"}, "UTM", "14S 443334 4067461"),
        ({"easting": "443334", "northing": "4067461", "zone": "14S"}, "UTM", "14S 443334 4067461"),
        ({"coordinates": "14S MF 43334 67460"}, "MGRS", "14S MF 43334 67460"),
    ],
)
def test_the_coordinate_system_and_the_cells_are_written_down(cells: dict[str, str], system: str, verbatim: str):
    """Darwin Core, verbatimCoordinateSystem and verbatimCoordinates."""
    verdict = judge(**cells)
    assert verdict.status is Status.CHANGED
    assert verdict.value.startswith("36.751")
    assert verdict.also["verbatimCoordinateSystem"] == system
    assert verdict.also["verbatimCoordinates"] == verbatim


@pytest.mark.parametrize("zone", ["14", "14S", "14 S", "14N", "14 N", "Zone 14", "14.0", "UTM 14S", "14 north"])
def test_zone_cells_as_people_fill_them(zone: str):
    verdict = judge(easting="443334", northing="4067461", zone=zone)
    assert verdict.value == "36.7512037 -99.6348019"


@pytest.mark.parametrize(
    ("zone", "rule"),
    [
        ("14T", "position-contradicts-itself"),
        ("", "position-lacks-its-zone"),
        ("panhandle", "position-lacks-its-zone"),
    ],
)
def test_zone_cells_that_leave_a_question(zone: str, rule: str):
    verdict = judge(easting="443334", northing="4067461", zone=zone)
    assert verdict.status is Status.AMBIGUOUS
    assert verdict.rule == rule


@pytest.mark.parametrize(
    ("easting", "northing"),
    [
        ("443,334", "4,067,461"),
        ("0443334", "4067461"),
        ("443334 mE", "4067461 mN"),
        ("443334E", "4067461N"),
        ("443.334 km", "4067.461 km"),
    ],
)
def test_eastings_and_northings_as_people_write_them(easting: str, northing: str):
    assert judge(easting=easting, northing=northing, zone="14S").value == "36.7512037 -99.6348019"


def test_easting_and_northing_in_each_others_cells_are_asked_about():
    verdict = judge(easting="4067461", northing="443334", zone="14S")
    assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "position-contradicts-itself")
    assert verdict.readings[0].startswith("36.7512037 -99.6348019")


@pytest.mark.parametrize(("easting", "northing"), [("-109.0830584", "31.93907884"), ("31.93907884", "-109.0830584")])
def test_degrees_under_easting_and_northing_are_asked_about(easting: str, northing: str):
    """A cell seen in a published survey: degrees under both headings and DD for the datum."""
    verdict = judge(easting=easting, northing=northing, zone="12", datum="DD")
    assert verdict.status is Status.AMBIGUOUS
    assert verdict.readings[0].startswith("31.9390788 -109.0830584")
    assert "datum-cell-holds-no-datum" in rules_of(verdict)


def test_utm_under_latitude_and_longitude_needs_its_zone_beside_it():
    assert judge(latitude="4067461", longitude="443334", zone="14S").value == "36.7512037 -99.6348019"
    assert judge(latitude="4067461", longitude="443334").status is Status.AMBIGUOUS


@pytest.mark.parametrize(
    ("latitude", "longitude", "status", "rule"),
    [
        ("36.7512", "", Status.UNREADABLE, "position-lacks-its-other-half"),
        ("", "-99.6348", Status.UNREADABLE, "position-lacks-its-other-half"),
        ("-99.6348", "36.7512", Status.UNREADABLE, "position-is-out-of-range"),
        ("36.7512", "99.6348", Status.AMBIGUOUS, "position-has-no-sign-or-letter"),
        ("99.6348 W", "36.7512 N", Status.AMBIGUOUS, "position-contradicts-itself"),
        ("36.7512", "-99.6348E", Status.AMBIGUOUS, "position-contradicts-itself"),
        ("36.7512N", "99.6348N", Status.UNREADABLE, "position-is-out-of-range"),
        ("36.7512", "260.3652", Status.UNREADABLE, "position-is-out-of-range"),
        ("36.7512", "see map", Status.UNREADABLE, "position-is-not-a-coordinate"),
        ("0", "0", Status.UNREADABLE, "position-is-zero"),
        ("0", "-99.6348", Status.AMBIGUOUS, "position-is-zero"),
    ],
)
def test_latitude_and_longitude_cells_that_are_no_position(latitude: str, longitude: str, status: Status, rule: str):
    verdict = judge(latitude=latitude, longitude=longitude)
    assert (verdict.status, verdict.rule, verdict.value) == (status, rule, "")
    assert verdict.also["verbatimLatitude"] == latitude


def test_a_whole_position_in_the_latitude_cell_is_read():
    assert judge(latitude="36 45 04 N 99 38 05 W").value == "36.7511111 -99.6347222"


class TestTheDatum:
    def test_the_row_goes_before_the_survey_file(self):
        verdict = judge(latitude="36.7512", longitude="-99.6348", datum="NAD27 CONUS")
        assert verdict.value == "36.7512479 -99.6351863"
        assert verdict.also["verbatimSRS"] == "EPSG:4267"
        assert verdict.also["geodeticDatum"] == "EPSG:4326"
        assert UncertaintyParts.from_text(verdict.also["uncertainty_parts"]).datum_operation_m == 7.0
        assert "better-datum-grid-missing" in rules_of(verdict)

    def test_the_survey_file_says_where_its_datum_is_from(self):
        context = PositionContext(datum="NAD83", datum_source="the receiver's settings page")
        remarks = judge(context, latitude="36.7512", longitude="-99.6348").also["georeferenceRemarks"]
        assert "datum NAD83 from the receiver's settings page" in remarks
        assert "NAD83 to WGS 84 (1), good to 4 m" in remarks

    def test_a_missing_datum_is_told_and_not_made_up(self):
        verdict = judge(PositionContext(), latitude="36.7512", longitude="-99.6348")
        assert verdict.value == "36.7512000 -99.6348000"
        assert verdict.also["geodeticDatum"] == verdict.also["verbatimSRS"] == "not recorded"
        assert rules_of(verdict) == ["datum-not-recorded"]
        assert not UncertaintyParts.from_text(verdict.also["uncertainty_parts"]).datum_is_known

    def test_a_number_format_in_the_datum_cell_leaves_the_datum_of_the_survey(self):
        verdict = judge(latitude="36.7512", longitude="-99.6348", datum="DD")
        assert rules_of(verdict) == ["datum-cell-holds-no-datum"]
        assert verdict.also["geodeticDatum"] == "EPSG:4326"

    @pytest.mark.parametrize("datum", ["NAD27?", "NAD27 or WGS84", "EPSG:99999", "Clarke 1866"])
    def test_a_doubtful_datum_is_not_replaced_by_that_of_the_survey(self, datum: str):
        verdict = judge(latitude="36.7512", longitude="-99.6348", datum=datum)
        assert rules_of(verdict) == ["datum-cell-holds-no-datum", "datum-not-recorded"]
        assert verdict.also["geodeticDatum"] == "not recorded"

    def test_two_datums_are_a_question(self):
        verdict = judge(coordinates="36.7512 -99.6348 NAD83", datum="NAD27")
        assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "datums-contradict")
        assert len(verdict.readings) == 2

    def test_a_code_in_the_datum_cell_gives_the_zone_too(self):
        verdict = judge(easting="443334", northing="4067461", datum="EPSG:26914")
        assert verdict.value == "36.7512037 -99.6348019"
        assert verdict.also["verbatimSRS"] == "EPSG:26914"

    def test_a_code_against_the_zone_cell_is_a_question(self):
        verdict = judge(easting="443334", northing="4067461", zone="14S", datum="EPSG:26913")
        assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "position-contradicts-itself")

    def test_a_datum_far_from_its_continent_has_no_operation(self):
        verdict = judge(latitude="+40.5", longitude="+30.2", datum="NAD27")
        assert (verdict.status, verdict.rule) == (Status.UNREADABLE, "datum-has-no-operation-here")

    def test_a_survey_file_with_an_unknown_datum_is_refused(self):
        with pytest.raises(ValueError, match="NAD72"):
            judge(PositionContext(datum="NAD72"), latitude="36.7512", longitude="-99.6348")
        with pytest.raises(ValueError, match="State Plane"):
            judge(PositionContext(state_plane_crs="EPSG:1"), latitude="36.7512", longitude="-99.6348")


class TestStatePlane:
    FEET = PositionContext(state_plane_crs="EPSG:2267")

    def test_cells_without_a_unit_are_in_the_unit_of_the_zone(self):
        assert judge(self.FEET, easting="1489558.30", northing="641520.69").value == "36.7512000 -99.6348000"

    def test_metres_in_a_zone_of_feet_are_a_question(self):
        verdict = judge(self.FEET, coordinates="X 454018.28 Y 195535.90 m")
        assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "position-contradicts-itself")
        assert verdict.readings[0].startswith("36.75")

    def test_feet_without_a_zone_lack_it(self):
        assert judge(coordinates="X 1489558.30 Y 641520.69 ft").rule == "position-lacks-its-zone"

    def test_a_row_on_another_datum_is_a_question(self):
        verdict = judge(self.FEET, easting="1489558.30", northing="641520.69", datum="NAD27")
        assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "datums-contradict")


class TestTwoPositionsInOneRow:
    def test_the_same_place_twice_is_one_position(self):
        verdict = judge(latitude="36.7512", longitude="-99.6348", easting="443334", northing="4067461", zone="14S")
        assert verdict.value == "36.7512000 -99.6348000"
        assert verdict.flags == ()

    def test_two_places_are_a_question(self):
        verdict = judge(latitude="36.7512", longitude="-99.6348", easting="444334", northing="4067461", zone="14S")
        assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "position-cells-disagree")
        assert len(verdict.readings) == 2

    def test_a_datum_apart_is_told(self):
        verdict = judge(latitude="36.75120", longitude="-99.63480", coordinates="36.75125 -99.63519")
        assert verdict.is_read
        assert rules_of(verdict) == ["position-cells-disagree"]

    def test_words_beside_a_position_do_no_harm(self):
        assert (
            judge(latitude="36.7512", longitude="-99.6348", coordinates="see map").value == "36.7512000 -99.6348000"
        )


class TestThePlace:
    def test_the_property_is_evidence_and_never_decides_a_missing_minus(self):
        verdict = judge(PROPERTY, latitude="36.7512", longitude="99.6348")
        assert verdict.readings[0] == "36.7512 -99.6348 (minus sign missing: inside the property)"
        assert verdict.value == ""

    def test_an_unsigned_position_where_the_survey_works_is_read(self):
        context = PositionContext(datum="WGS84", boundary=box(99, 36, 100, 37))
        verdict = judge(context, latitude="36.7512", longitude="99.6348")
        assert verdict.value == "36.7512000 99.6348000"
        assert "inside the property" in verdict.note

    def test_a_declared_survey_needs_no_signs(self):
        context = PositionContext(datum="WGS84", hemisphere_ns="N", hemisphere_ew="W")
        assert judge(context, latitude="36.7512", longitude="99.6348").value == "36.7512000 -99.6348000"
        assert judge(context, latitude="36.7512", longitude="-99.6348").value == "36.7512000 -99.6348000"
        assert judge(context, latitude="36.7512", longitude="99.6348 E").value == "36.7512000 99.6348000"

    def test_the_slack_round_the_property_is_the_survey_s(self):
        outside = {"latitude": "37.21", "longitude": "-99.6348"}
        assert rules_of(judge(PROPERTY, **outside)) == []
        strict = PositionContext(datum="WGS84", boundary=PROPERTY.boundary, boundary_slack_m=0.0)
        assert "position-outside-the-property" in rules_of(judge(strict, **outside))

    def test_another_zone_is_offered_and_not_taken(self):
        verdict = judge(PROPERTY, easting="443334", northing="4067461", zone="13S")
        assert verdict.rule == "position-fits-only-when-repaired"
        assert "zone 14 instead of 13" in verdict.readings[0]


class TestPrecision:
    def test_zeros_count_only_where_they_are_kept(self):
        loose = judge(latitude="36.7500", longitude="-99.6300")
        kept = judge(PositionContext(datum="WGS84", precision_is_kept=True), latitude="36.7500", longitude="-99.6300")
        assert loose.also["coordinatePrecision"] == "0.01"
        assert kept.also["coordinatePrecision"] == "0.0001"

    def test_the_coarser_form_of_a_pair_counts(self):
        assert judge(coordinates="36°45'N 99°38'05\"W").also["coordinatePrecision"] == "0.01667"

    @pytest.mark.parametrize(
        ("easting", "northing", "metres"),
        [
            ("443334", "4067461", 1.41),
            ("443330", "4067460", 14.1),
            ("443300", "4067400", 141.4),
            ("443334.5", "4067461.5", 0.14),
        ],
    )
    def test_metres_rounded_to_tens_and_hundreds_are_coarser(self, easting: str, northing: str, metres: float):
        verdict = judge(easting=easting, northing=northing, zone="14S")
        parts = UncertaintyParts.from_text(verdict.also["uncertainty_parts"])
        assert parts.precision_m == pytest.approx(metres, abs=0.05)
        assert verdict.also["coordinatePrecision"] == ""


def test_the_column_shows_that_seconds_were_typed_with_a_point():
    column = pd.DataFrame({"coordinates": ["36 45 04 N 99 38 05 W", "36 44 58 N 99 38 11 W", "36.4504 -99.3805"]})
    verdicts = judge_positions(column, PLAIN)
    assert [verdict.status for verdict in verdicts] == [Status.CHANGED, Status.CHANGED, Status.AMBIGUOUS]
    assert verdicts[2].readings[1].startswith("36.7511111 -99.6347222")
    assert judge(coordinates="36.4504 -99.3805").status is Status.KEPT


def test_every_finding_quotes_a_rule_that_is_declared():
    cells = ["see map", "0, 0", "36 45", "36.7512 99.6348", "443334 4067461", "14T 443334 4067461", "367512 -996348",
             "36° 75.12' N 99° 63.48' W", "63.7512 -99.6348", "-36.7512 -99.6348"]  # fmt: skip
    for verdict in judge_positions(pd.DataFrame({"coordinates": cells}), PositionContext(boundary=PROPERTY.boundary)):
        assert all(rule in RULES for rule in rules_of(verdict))
        assert verdict.is_read or verdict.rule in RULES


def test_the_parts_of_an_uncertainty_read_back():
    for parts in (UncertaintyParts(14.244, 7.0), UncertaintyParts(0.5, 0.0)):
        assert UncertaintyParts.from_text(parts.as_text()) == parts
    with pytest.raises(ValueError, match="uncertainty"):
        UncertaintyParts.from_text("14 m")
