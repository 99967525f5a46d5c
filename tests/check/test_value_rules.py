"""One row that breaks each rule about values, and one like it that does not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from archive_in_memory import TODAY, archive, part, value_rules_of

from dwc_pipeline.check.part_block import Block
from dwc_pipeline.check.value_check import MOST_VALUES, ValueFindings
from dwc_pipeline.check.value_rules import VALUE_CHECKS, check_values
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.terms.darwin_core import DWC

Row = dict[str, str]
EXACT = {"decimalLatitude": "36.76412", "decimalLongitude": "-99.63349", "geodeticDatum": "EPSG:4326"}
COARSE = {"decimalLatitude": "36.8", "decimalLongitude": "-99.6", "geodeticDatum": "EPSG:4326"}
TO_A_TENTH = {"dataGeneralizations": "coordinates rounded to 0.1 degree"}
SEARCH = {"inventoryTypes": "restrictedSearch", "targetTaxonomicScope": "Squamata"}
#: rule -> a row that breaks it, a row that does not
ROWS: dict[str, tuple[Row, Row]] = {
    "date-is-not-iso": ({"eventDate": "6/14/2025"}, {"eventDate": "2007-11-13/15"}),
    "event-date-not-on-the-calendar": ({"eventDate": "2025-02-29"}, {"eventDate": "2024-02-29"}),
    "interval-ends-before-it-begins": (
        {"eventDate": "2025-06-15/2025-06-14"},
        {"eventDate": "2025-06-14/2025-06-15"},
    ),
    "date-is-in-the-future": ({"dateIdentified": "2031-05-01"}, {"dateIdentified": "2025-05-01"}),
    "event-date-is-very-old": ({"eventDate": "0202-05-01"}, {"eventDate": "1582-11-15"}),
    "date-is-given-by-week": ({"eventDate": "2024-W18"}, {"eventDate": "2024-123"}),
    "interval-tells-one-offset-only": (
        {"eventDate": "2025-06-14T19:00-05:00/2025-06-15T07:00"},
        {"eventDate": "2025-06-14T19:00-05:00/2025-06-15T07:00-05:00"},
    ),
    "event-time-is-not-iso": ({"eventTime": "7:10 PM"}, {"eventTime": "13:00:00Z/15:30:00Z"}),
    "event-time-disagrees-with-event-date": (
        {"eventDate": "2025-06-14T19:00-05:00", "eventTime": "07:00-05:00"},
        {"eventDate": "2025-06-14T19:00-05:00", "eventTime": "19:00-05:00"},
    ),
    "identified-before-the-event": (
        {"eventDate": "2025-06-14", "dateIdentified": "2025-06-13"},
        {"eventDate": "2025-06-14", "dateIdentified": "2025-06"},
    ),
    "month-is-none": ({"month": "13"}, {"month": "6"}),
    "day-is-not-in-the-month": (
        {"day": "29", "month": "2", "year": "2025"},
        {"day": "29", "month": "2", "year": "2024"},
    ),
    "year-is-none": ({"year": "25"}, {"year": "2025"}),
    "start-day-of-year-is-none": (
        {"startDayOfYear": "366", "year": "2025"},
        {"startDayOfYear": "366", "year": "2024"},
    ),
    "end-day-of-year-is-none": ({"endDayOfYear": "0"}, {"endDayOfYear": "365"}),
    "date-part-disagrees-with-event-date": (
        {"eventDate": "2023-04-30/2023-05-01", "year": "2023", "month": "4"},
        {"eventDate": "2023-04-30/2023-05-01", "year": "2023", "month": ""},
    ),
    "latitude-is-out-of-range": (EXACT | {"decimalLatitude": "90.5"}, EXACT | {"decimalLatitude": "90"}),
    "longitude-is-out-of-range": (EXACT | {"decimalLongitude": "99° W"}, EXACT),
    "coordinate-stands-alone": (EXACT | {"decimalLatitude": ""}, EXACT),
    "coordinates-are-zero": (EXACT | {"decimalLatitude": "0", "decimalLongitude": "0.0"}, EXACT),
    "coordinates-have-no-datum": (EXACT | {"geodeticDatum": ""}, EXACT),
    "datum-is-not-recognised": (EXACT | {"geodeticDatum": "GPS"}, EXACT | {"geodeticDatum": "not recorded"}),
    "uncertainty-is-not-positive": (
        EXACT | {"coordinateUncertaintyInMeters": "0"},
        EXACT | {"coordinateUncertaintyInMeters": "30"},
    ),
    "uncertainty-without-coordinates": (
        {"coordinateUncertaintyInMeters": "30"},
        EXACT | {"coordinateUncertaintyInMeters": "30"},
    ),
    "precision-is-no-fraction-of-a-degree": ({"coordinatePrecision": "10"}, {"coordinatePrecision": "0.01667"}),
    "country-code-is-not-iso": ({"countryCode": "USA"}, {"countryCode": "XZ"}),
    "height-or-depth-is-no-number": ({"minimumElevationInMeters": "1,200 ft"}, {"minimumElevationInMeters": "-100"}),
    "elevation-ends-are-exchanged": (
        {"minimumElevationInMeters": "700", "maximumElevationInMeters": "600"},
        {"minimumElevationInMeters": "600", "maximumElevationInMeters": "600"},
    ),
    "depth-ends-are-exchanged": (
        {"minimumDepthInMeters": "7", "maximumDepthInMeters": "6"},
        {"minimumDepthInMeters": "6", "maximumDepthInMeters": "7"},
    ),
    "name-holds-a-qualifier": ({"scientificName": "Sceloporus cf. consobrinus"}, {"scientificName": "Cfa aspis"}),
    "count-is-no-whole-number": ({"individualCount": "3-4"}, {"individualCount": "0"}),
    "non-detection-has-animals": (
        {"occurrenceStatus": "notDetected", "individualCount": "2"},
        {"occurrenceStatus": "absent", "individualCount": "0"},
    ),
    "detection-has-a-count-of-zero": (
        {"occurrenceStatus": "present", "individualCount": "0"},
        {"occurrenceStatus": "detected", "individualCount": "1"},
    ),
    "sample-size-lacks-its-other-half": (
        {"sampleSizeValue": "12", "sampleSizeUnit": ""},
        {"sampleSizeValue": "12", "sampleSizeUnit": "hours"},
    ),
    "sample-size-is-no-number": ({"sampleSizeValue": "a few", "sampleSizeUnit": "hours"}, {"sampleSizeValue": "1"}),
    "quantity-lacks-its-other-half": (
        {"organismQuantity": "", "organismQuantityType": "individuals"},
        {"organismQuantity": "3", "organismQuantityType": "individuals"},
    ),
    "unit-is-outside-the-international-system": ({"measurementUnit": "inches"}, {"measurementUnit": "mm"}),
    "dynamic-properties-are-no-pairs": ({"dynamicProperties": "wet"}, {"dynamicProperties": '{"soil":"wet"}'}),
    "list-is-parted-otherwise": ({"recordedBy": "A. Ash|B. Birch"}, {"recordedBy": "A. Ash | B. Birch"}),
    "people-are-parted-by-a-semicolon": ({"recordedBy": "A. Ash; B. Birch"}, {"recordedBy": "Ash, A."}),
    "type-is-not-dublin-core": ({"http://purl.org/dc/elements/1.1/type": "Photo"}, {"type": "StillImage"}),
    "basis-of-record-is-no-class": ({"basisOfRecord": "seen"}, {"basisOfRecord": "HumanObservation"}),
    "basis-of-record-is-broad": ({"basisOfRecord": "Occurrence"}, {"basisOfRecord": "PreservedSpecimen"}),
    "event-category-is-another-word": ({"eventCategory": "trapping"}, {"eventCategory": "Survey"}),
    "event-type-is-a-broad-category": ({"eventType": "Survey"}, {"eventType": "trapCheck"}),
    "word-is-not-in-its-controlled-vocabulary": ({"pathway": "by ship"}, {"establishmentMeans": "native"}),
    "occurrence-status-is-another-word": ({"occurrenceStatus": "seen"}, {"occurrenceStatus": "notDetected"}),
    "text-stands-in-a-term-for-identifiers": (
        {"http://rs.tdwg.org/dwc/iri/recordedBy": "A. Ash"},
        {"http://rs.tdwg.org/dwc/iri/recordedBy": "https://example.org/ash"},
    ),
    "quantity-inclusive-is-not-true-or-false": (
        {"isLeastSpecificTargetCategoryQuantityInclusive": "yes"},
        {"isLeastSpecificTargetCategoryQuantityInclusive": "false"},
    ),
    "boolean-is-not-true-or-false": ({"hasVouchers": "TRUE"}, {"hasVouchers": "true"}),
    "taxon-completeness-is-another-word": (
        {"taxonCompletenessReported": "reported incomplete"},
        {"taxonCompletenessReported": "reportedIncomplete", "taxonCompletenessProtocols": "species curve"},
    ),
    "degree-of-establishment-scope-is-another-word": (
        {"targetDegreeOfEstablishmentScope": "native | wild"},
        {"targetDegreeOfEstablishmentScope": "native | established"},
    ),
    "humboldt-list-is-parted-otherwise": (
        {"targetTaxonomicScope": "Anura; Squamata"},
        {"targetTaxonomicScope": "Anura | Squamata"},
    ),
    "humboldt-number-is-none": (
        {"eventDurationValue": "all night", "eventDurationUnit": "h"},
        {"eventDurationValue": "8.5"},
    ),
    "humboldt-count-is-none": ({"siteCount": "two"}, {"siteCount": "2"}),
    "site-count-is-zero": ({"siteCount": "0"}, {"siteCount": "1"}),
    "effort-or-area-lacks-its-other-half": (
        {"samplingEffortValue": "12", "samplingEffortUnit": ""},
        {"samplingEffortValue": "12", "samplingEffortUnit": "trapHours"},
    ),
    "area-sampled-is-larger-than-its-scope": (
        {
            "totalAreaSampledValue": "3",
            "totalAreaSampledUnit": "ha",
            "geospatialScopeAreaValue": "29000",
            "geospatialScopeAreaUnit": "m²",
        },
        {
            "totalAreaSampledValue": "3",
            "totalAreaSampledUnit": "ha",
            "geospatialScopeAreaValue": "30000",
            "geospatialScopeAreaUnit": "m²",
        },
    ),
    "area-unit-is-spelt-otherwise": ({"totalAreaSampledUnit": "km2"}, {"totalAreaSampledUnit": "km²"}),
    "word-resembles-a-published-example": (
        {"inventoryTypes": "Restricted search"},
        {"inventoryTypes": "restrictedSearch"},
    ),
    "survey-target-is-neither-included-nor-excluded": ({"includeOrExclude": "in"}, {"includeOrExclude": "include"}),
    "weather-is-no-pairs": ({"reportedWeather": "hot"}, {"reportedWeather": '{"air temperature (°C)":"31"}'}),
    "effort-reported-and-not-there": (
        {"isSamplingEffortReported": "true"},
        {"isSamplingEffortReported": "true", "samplingEffortValue": "3", "samplingEffortUnit": "trapHours"},
    ),
    "effort-is-there-and-not-reported": (
        {"isSamplingEffortReported": "false", "samplingEffortValue": "3"},
        {"isSamplingEffortReported": "false", "samplingEffortValue": ""},
    ),
    "effort-does-not-say-how": (
        {"samplingEffortValue": "3"},
        {"samplingEffortValue": "3", "samplingEffortProtocol": "p"},
    ),
    "abundance-cap-reported-and-not-there": (
        {"isAbundanceCapReported": "true"},
        {"isAbundanceCapReported": "true", "abundanceCap": "50"},
    ),
    "vegetation-reported-and-not-described": (
        {"isVegetationCoverReported": "true"},
        {"isVegetationCoverReported": "true", "verbatimSiteDescriptions": "sand sage, 30 % bare"},
    ),
    "non-target-taxa-without-a-scope": ({"hasNonTargetTaxa": "false"}, SEARCH | {"hasNonTargetTaxa": "false"}),
    "non-target-organisms-without-a-scope": (
        SEARCH | {"hasNonTargetOrganisms": "true"},
        {"hasNonTargetOrganisms": "true", "targetLifeStageScope": "larva"},
    ),
    "full-report-of-non-target-taxa-has-no-ground": (
        {"areNonTargetTaxaFullyReported": "true"},
        SEARCH | {"areNonTargetTaxaFullyReported": "true"},
    ),
    "completeness-of-what-was-no-search": (
        {"taxonCompletenessReported": "notReported", "inventoryTypes": "adventitious"},
        {"taxonCompletenessReported": "notReported", "inventoryTypes": "openSearch"},
    ),
    "fully-reported-without-a-scope": (
        {"isTaxonomicScopeFullyReported": "true"},
        SEARCH | {"isTaxonomicScopeFullyReported": "true"},
    ),
    "completeness-does-not-say-how": (
        {"taxonCompletenessReported": "reportedComplete"},
        {"taxonCompletenessReported": "notReported"},
    ),
    "sources-of-what-was-no-compilation": (
        {"compilationSourceTypes": "museum", "inventoryTypes": "openSearch"},
        {"compilationSourceTypes": "museum", "inventoryTypes": "compilation"},
    ),
    "effort-of-a-compilation": (
        {"samplingEffortValue": "3", "inventoryTypes": "compilation"},
        {"samplingEffortValue": "3", "inventoryTypes": "openSearch"},
    ),
    "scope-is-in-words-only": ({"verbatimTargetScope": "herps"}, SEARCH | {"verbatimTargetScope": "herps"}),
    "detail-of-what-is-not-reported": (
        {"voucherInstitutions": "TM", "hasVouchers": "false"},
        {"voucherInstitutions": "TM", "hasVouchers": "true"},
    ),
    "quantity-inclusive-says-nothing-here": (
        {"isLeastSpecificTargetCategoryQuantityInclusive": "true", "isAbundanceReported": "false"},
        {"isLeastSpecificTargetCategoryQuantityInclusive": "true", "isAbundanceReported": "true"},
    ),
    "place-is-withheld-and-precise": (EXACT | TO_A_TENTH, COARSE | TO_A_TENTH),
    "radius-is-smaller-than-the-generalisation": (
        COARSE | TO_A_TENTH | {"coordinateUncertaintyInMeters": "30"},
        COARSE | TO_A_TENTH | {"coordinateUncertaintyInMeters": "7900"},
    ),
    "coordinates-are-finer-than-their-precision": (
        EXACT | {"coordinatePrecision": "0.1"},
        EXACT | {"coordinatePrecision": "0.00001"},
    ),
    "verbatim-place-beside-a-withheld-one": (
        COARSE | TO_A_TENTH | {"verbatimCoordinates": "14S 443461 4068893"},
        COARSE | TO_A_TENTH | {"verbatimCoordinates": "withheld"},
    ),
    "coordinates-in-words-beside-a-withheld-place": (
        COARSE | TO_A_TENTH | {"locality": "gate at 36.76412, -99.63349"},
        COARSE | TO_A_TENTH | {"locality": "dunes in the north of the county"},
    ),
    "people-are-withheld-and-named": (
        {"informationWithheld": "collector identities withheld", "recordedBy": "A. Ash"},
        {"informationWithheld": "collector identities withheld", "recordedBy": ""},
    ),
    "place-looks-generalised": (COARSE, COARSE | TO_A_TENTH),
    "null-is-written-out": ({"habitat": "\\N"}, {"habitat": "Null Creek"}),
}


@pytest.mark.parametrize("rule", ROWS)
def test_each_faulty_row_is_named(rule: str) -> None:
    row_type = DWC + "Occurrence" if rule.startswith("basis") else DWC + "Event"
    assert rule in value_rules_of(ROWS[rule][0], row_type)


@pytest.mark.parametrize("rule", ROWS)
def test_a_sound_row_is_let_pass(rule: str) -> None:
    assert rule not in value_rules_of(ROWS[rule][1], DWC + "Occurrence")


def test_every_rule_about_values_has_such_rows() -> None:
    assert {check.rule.id for check in VALUE_CHECKS} == set(ROWS)


def test_a_fault_is_told_once_for_each_value_with_its_first_line_and_its_rows() -> None:
    rows = [
        {"eventID": f"e{n}", "eventDate": date}
        for n, date in enumerate(["2025-06-14", "14.6.2025", "14.6.2025", "x"])
    ]
    found = check_values(archive(rows), TODAY)
    assert list(zip(found["sheet"], found["row"], found["column"], found["field"], found["value"], strict=True)) == [
        ("event.txt", 3, "B", "eventDate", "14.6.2025"),
        ("event.txt", 5, "B", "eventDate", "x"),
    ]
    assert "(2 rows; 3 rows and 2 values in all)" in found["message"].iloc[0]
    assert found["cause"].nunique() == 1


def test_midnight_of_a_database_and_another_clock_are_no_disagreement() -> None:
    for time, date in (
        ("20:30", "1987-06-14T00:00:00"),
        ("20:30", "1987-06-15T02:30Z"),
        ("20:30-06:00", "1987-06-15T02:30Z"),
        ("20:30-06:00", "1987-06-14T20:30-06:00"),
        ("20:30", "1987-06-14T20:30-06:00"),
    ):
        assert "event-time-disagrees-with-event-date" not in value_rules_of({"eventTime": time, "eventDate": date})
    wrong = {"eventTime": "20:30-06:00", "eventDate": "1987-06-14T19:30-06:00"}
    assert "event-time-disagrees-with-event-date" in value_rules_of(wrong)


def test_many_faulty_values_are_counted_and_the_first_are_shown() -> None:
    found = check_values(archive([{"eventID": str(n), "year": f"{n} AD"} for n in range(300)]), TODAY)
    assert len(found) == MOST_VALUES
    assert "300 rows and 300 values in all" in found["message"].iloc[0]


def test_blocks_of_an_archive_give_the_same_findings_as_the_whole() -> None:
    rows = [
        {"eventID": str(n), "eventDate": "2025-02-30" if n % 3 else "2025-02-03", "year": "2024"} for n in range(30)
    ]
    whole = part(rows, DWC + "Event", "event.txt", is_core=True)
    gathered = ValueFindings(VALUE_CHECKS)
    for first in range(0, 30, 7):
        gathered.take(Block(replace(whole, rows=whole.rows.iloc[first : first + 7]), TODAY))
    expected = check_values(ArchiveContents("archive", core=whole), TODAY)
    assert gathered.findings("archive").equals(expected)


def test_a_withheld_place_is_never_repeated_in_a_finding() -> None:
    row = COARSE | TO_A_TENTH | {"verbatimCoordinates": "14S 443461 4068893", "locality": "36.76412, -99.63349"}
    told = check_values(archive([{"eventID": "e", **row}]), TODAY)
    assert len(told) == 2
    assert not told.astype(str).stack().str.contains("443461|36.76412").any()
