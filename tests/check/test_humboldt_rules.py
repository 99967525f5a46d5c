"""A hierarchy that breaks each rule about events taken together, and one that breaks none."""

from __future__ import annotations

import pytest
from archive_in_memory import archive

from dwc_pipeline.check.humboldt_rules import HUMBOLDT_CHECKS, check_humboldt
from dwc_pipeline.check.row_type_rules import ROW_TYPE_CHECKS, check_row_types
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.rule import RULES, Severity

Rows = list[dict[str, str]]
HERE = {"decimalLatitude": "36.76412", "decimalLongitude": "-99.63349", "geodeticDatum": "EPSG:4326"}
SCOPE = {"targetTaxonomicScope": "Squamata", "isTaxonomicScopeFullyReported": "true"}
INCLUSIVE = "isLeastSpecificTargetCategoryQuantityInclusive"


def events(*children: dict[str, str], **parent: str) -> Rows:
    """A session and its visits v1, v2 ..."""
    visits = [{"eventID": f"v{number}", "parentEventID": "s", **child} for number, child in enumerate(children, 1)]
    return [{"eventID": "s", "parentEventID": "", **parent}, *visits]


def humboldt(**rows: dict[str, str]) -> Rows:
    return [{"eventID": event, **row} for event, row in rows.items()]


def animals(*rows: tuple[str, str, str]) -> Rows:
    """Event, name, organismQuantity."""
    return [
        {"occurrenceID": f"o{number}", "eventID": event, "scientificName": name, "organismQuantity": count,
         "organismQuantityType": "individuals", "basisOfRecord": "HumanObservation"}
        for number, (event, name, count) in enumerate(rows)
    ]  # fmt: skip


TOTALS = [
    {**row, "lifeStage": stage}
    for row, stage in zip(
        animals(("v1", "Spea bombifrons", "3"), ("v1", "Spea bombifrons", "1"), ("v1", "Spea bombifrons", "1")),
        ("", "adult", "juvenile"),
        strict=True,
    )
]
CLASSIFIED = [
    {**row, "order": order, "family": family}
    for row, order, family in zip(
        animals(("v1", "Sceloporus consobrinus", "1"), ("v2", "Spea bombifrons", "1")),
        ("Squamata", "Anura"),
        ("Phrynosomatidae", "Scaphiopodidae"),
        strict=True,
    )
]
SAYS_NONE = SCOPE | {"hasNonTargetTaxa": "false"}
#: rule -> archive that breaks it, archive that does not
ARCHIVES: dict[str, tuple[ArchiveContents, ArchiveContents]] = {
    "archive-has-no-event": (archive([]), archive(events())),
    "event-has-no-identifier": (archive([{"eventID": "a"}, {"eventID": ""}]), archive(events())),
    "event-identifier-is-repeated": (archive([{"eventID": "a"}, {"eventID": "a"}]), archive(events())),
    "parent-event-is-not-there": (archive([{"eventID": "a", "parentEventID": "b"}]), archive(events({}))),
    "event-is-its-own-ancestor": (
        archive([{"eventID": "a", "parentEventID": "b"}, {"eventID": "b", "parentEventID": "a"}]),
        archive(events({})),
    ),
    "child-is-outside-its-parent-in-time": (
        archive(events({"eventDate": "2025-06-01/2025-06-03"}, eventDate="2025-05-06/2025-06-02")),
        archive(events({"eventDate": "2025-06-01/2025-06-02"}, eventDate="2025-05-06/2025-06-02")),
    ),
    "child-may-be-outside-its-parent-in-time": (
        archive(events({"eventDate": "2025-06"}, eventDate="2025-05-06/2025-06-02")),
        archive(events({"eventDate": "2025-05-06"}, eventDate="2025-05")),
    ),
    "child-is-outside-its-parent-in-place": (
        archive(events(HERE | {"decimalLatitude": "36.8", "coordinateUncertaintyInMeters": "30"},
                       **HERE, coordinateUncertaintyInMeters="500")),
        archive(events(HERE | {"coordinateUncertaintyInMeters": "30"}, **HERE, coordinateUncertaintyInMeters="30")),
    ),
    "child-may-be-outside-its-parent-in-place": (
        archive(events(HERE | {"coordinateUncertaintyInMeters": "900"}, **HERE, coordinateUncertaintyInMeters="500")),
        archive(events(HERE | {"coordinateUncertaintyInMeters": "400"}, **HERE, coordinateUncertaintyInMeters="500")),
    ),
    "child-is-in-another-country-than-its-parent": (
        archive(events({"stateProvince": "Texas"}, stateProvince="Oklahoma")),
        archive(events({"stateProvince": "Texas"}, stateProvince="Oklahoma | Texas")),
    ),
    "scope-is-missing-on-a-child": (
        archive(events({}, {}), humboldt=humboldt(s=SCOPE, v1=SCOPE)),
        archive(events({}, {}), humboldt=humboldt(s=SCOPE, v1=SCOPE, v2=SCOPE)),
    ),
    "value-stands-on-the-broader-event-only": (
        archive(events({}), animals(("v1", "Spea bombifrons", "1")), humboldt(s={"protocolNames": "boxTrapping"})),
        archive(events({}), (), humboldt(s={"protocolNames": "boxTrapping"})),
    ),
    "value-looks-added-up": (
        archive(events({}, {}), (), humboldt(s={"samplingEffortValue": "5"}, v1={"samplingEffortValue": "2"},
                                             v2={"samplingEffortValue": "3.0"})),
        archive(events({}, {}), (), humboldt(s={"samplingEffortValue": "6"}, v1={"samplingEffortValue": "2"},
                                             v2={"samplingEffortValue": "3"})),
    ),
    "value-speaks-of-records-that-are-elsewhere": (
        archive(events({}), animals(("v1", "Spea bombifrons", "1")), humboldt(s={"hasVouchers": "true"})),
        archive(events({}), animals(("s", "Spea bombifrons", "1")), humboldt(s={"hasVouchers": "true"})),
    ),
    "scope-looks-like-what-was-found": (
        archive(events({}, {}), animals(("v1", "Spea bombifrons", "1"), ("v2", "Anaxyrus debilis", "1")),
                humboldt(s={"targetTaxonomicScope": "Anaxyrus debilis | Spea bombifrons"})),
        archive(events({}, {}), animals(("v1", "Spea bombifrons", "1"), ("v2", "Anaxyrus debilis", "1")),
                humboldt(s={"targetTaxonomicScope": "Anura | Squamata"})),
    ),
    "absence-beside-incomplete-reporting": (
        archive(events({}), [{"eventID": "v1", "occurrenceStatus": "absent"}],
                humboldt(v1={"taxonCompletenessReported": "reportedIncomplete"})),
        archive(events({}), [{"eventID": "v1", "occurrenceStatus": "absent"}],
                humboldt(v1={"taxonCompletenessReported": "reportedComplete"})),
    ),
    "several-protocols-on-one-event": (
        archive(events({"samplingProtocol": "funnel trap | pitfall trap"})),
        archive(events({}, samplingProtocol="funnel trap | pitfall trap")),
    ),
    "total-of-a-taxon-is-missing": (
        archive(events({}), TOTALS[1:], humboldt(v1={INCLUSIVE: "true"})),
        archive(events({}), TOTALS, humboldt(v1={INCLUSIVE: "true"})),
    ),
    "subsets-exceed-their-total": (
        archive(events({}), [TOTALS[0] | {"organismQuantity": "1"}, *TOTALS[1:]], humboldt(v1={INCLUSIVE: "true"})),
        archive(events({}), [TOTALS[0] | {"organismQuantity": "1"}, *TOTALS[1:]], humboldt(v1={INCLUSIVE: "false"})),
    ),
    "quantity-inclusive-is-not-said": (
        archive(events({}), TOTALS, humboldt(v1={"siteCount": "1"})),
        archive(events({}), TOTALS[1:], humboldt(v1={"siteCount": "1"})),
    ),
    "abundance-reported-and-not-there": (
        archive(events({}), animals(("v1", "Spea bombifrons", "")), humboldt(v1={"isAbundanceReported": "true"})),
        archive(events({}), animals(("v1", "Spea bombifrons", "2")), humboldt(v1={"isAbundanceReported": "true"})),
    ),
    "non-target-taxa-disagree-with-the-records": (
        archive(events({}, {}), CLASSIFIED, humboldt(v1=SAYS_NONE, v2=SAYS_NONE)),
        archive(events({}, {}), CLASSIFIED, humboldt(v1=SAYS_NONE, v2=SAYS_NONE | {"hasNonTargetTaxa": "true"})),
    ),
    "class-is-used-as-a-field": (
        archive([{"eventID": "a", "http://rs.tdwg.org/dwc/terms/Occurrence": "x"}]),
        archive([{"eventID": "a"}]),
    ),
    "term-is-not-registered-for-its-row-type": (
        archive([{"eventID": "a", "eventCategory": "Survey"}]),
        archive([{"eventID": "a", "eventType": "trapCheck"}]),
    ),
    "registry-asks-for-a-term": (
        archive(events(), [{"eventID": "s", "occurrenceID": "o"}]),
        archive(events(), [{"eventID": "s", "basisOfRecord": "HumanObservation"}]),
    ),
    "occurrence-status-follows-an-edition": (
        archive(events(), [{"eventID": "s", "occurrenceStatus": "notDetected"}]),
        archive(events(), [{"eventID": "s", "occurrenceStatus": "detected"}]),
    ),
    "occurrence-status-mixes-editions": (
        archive(events(), [{"eventID": "s", "occurrenceStatus": word} for word in ("present", "notDetected")]),
        archive(events(), [{"eventID": "s", "occurrenceStatus": word} for word in ("present", "absent")]),
    ),
}  # fmt: skip


def rules_of(contents: ArchiveContents) -> set[str]:
    return set(check_humboldt(contents)["rule"]) | set(check_row_types(contents)["rule"])


@pytest.mark.parametrize("rule", ARCHIVES)
def test_each_faulty_hierarchy_is_named(rule: str) -> None:
    assert rule in rules_of(ARCHIVES[rule][0])


@pytest.mark.parametrize("rule", ARCHIVES)
def test_a_sound_hierarchy_is_let_pass(rule: str) -> None:
    assert rule not in rules_of(ARCHIVES[rule][1])


def test_every_rule_about_events_taken_together_has_such_archives() -> None:
    assert {check.rule.id for check in (*HUMBOLDT_CHECKS, *ROW_TYPE_CHECKS)} == set(ARCHIVES)


def test_what_a_program_can_only_suspect_is_never_called_an_error() -> None:
    hints = [check.rule for check in HUMBOLDT_CHECKS if "a hint" in check.rule.source]
    assert len(hints) >= 4
    assert all(RULES[rule.id].severity is not Severity.ERROR for rule in hints)


def test_events_on_the_way_into_a_circle_are_not_part_of_it() -> None:
    links = {"a": "b", "b": "c", "c": "b", "d": "a", "e": ""}
    found = check_humboldt(archive([{"eventID": event, "parentEventID": parent} for event, parent in links.items()]))
    assert set(found.loc[found["rule"] == "event-is-its-own-ancestor", "row"]) == {3, 4}


@pytest.mark.parametrize(
    ("child", "parent", "rule"),
    [
        # 22:00 on 31 May in Oklahoma is 1 June in UTC: without the parent's offset nobody knows
        ("2025-06-01T03:00Z", "2025-05-01/2025-05-31", "child-may-be-outside-its-parent-in-time"),
        ("2025-06-03T03:00Z", "2025-05-01/2025-05-31", "child-is-outside-its-parent-in-time"),
        ("2025-05-31T22:00-05:00", "2025-05-01T00:00Z/2025-06-01T02:00Z", "child-is-outside-its-parent-in-time"),
        ("2025-05-31T22:00-05:00", "2025-05-01T00:00Z/2025-06-01T03:00Z", ""),
        ("2025-05-06T17:08-05:00/2025-05-07T07:04-05:00", "2025-05-06/2025-05-07", ""),
        ("2025-05-06", "2025-05-06T17:08/2025-05-15T07:04", "child-may-be-outside-its-parent-in-time"),
        ("2025", "2025-05-06/2025-05-15", "child-may-be-outside-its-parent-in-time"),
        ("not a date", "2025-05-06/2025-05-15", ""),
    ],
)
def test_time_is_compared_with_offsets_and_with_what_a_coarse_date_leaves_open(
    child: str, parent: str, rule: str
) -> None:
    found = rules_of(archive(events({"eventDate": child}, eventDate=parent)))
    assert {one for one in found if "in-time" in one} == ({rule} if rule else set())


@pytest.mark.parametrize(
    ("child", "rule"),
    [
        ({**HERE, "coordinateUncertaintyInMeters": "10"}, ""),
        ({**HERE, "decimalLongitude": "-99.2", "coordinateUncertaintyInMeters": "10"}, "child-is-outside"),
        ({**HERE, "decimalLongitude": "-99.2"}, "child-may-be-outside"),
        ({**HERE, "decimalLongitude": "-99.2", "coordinateUncertaintyInMeters": "90000"}, "child-may-be-outside"),
        ({"footprintWKT": "POLYGON((-99.6 36.7,-99.6 36.8,-99.5 36.8,-99.6 36.7))"}, ""),
        ({"footprintWKT": "POLYGON((-98.6 36.7,-98.6 36.8,-98.5 36.8,-98.6 36.7))"}, "child-is-outside"),
        ({"footprintWKT": "POLYGON((-99.6 36.7,-99.6 36.8,-99.0 36.8,-99.6 36.7))"}, "child-may-be-outside"),
        ({"footprintWKT": "POLYGON((broken"}, ""),
    ],
)
def test_an_outline_contains_points_and_outlines(child: dict[str, str], rule: str) -> None:
    outline = "POLYGON((-99.7 36.7,-99.4 36.7,-99.4 36.9,-99.7 36.9,-99.7 36.7))"
    found = rules_of(archive(events(child, footprintWKT=outline)))
    expected = {f"{rule}-its-parent-in-place"} if rule else set()
    assert {one for one in found if "in-place" in one} == expected


def test_another_datum_may_move_a_point_so_far_that_nothing_is_certain() -> None:
    child = {
        **HERE,
        "decimalLatitude": "36.77412",
        "geodeticDatum": "EPSG:4267",
        "coordinateUncertaintyInMeters": "30",
    }
    parent = {**HERE, "coordinateUncertaintyInMeters": "30"}
    assert not [rule for rule in rules_of(archive(events(child, **parent))) if "in-place" in rule]


def test_a_finding_about_a_humboldt_row_points_at_that_row() -> None:
    contents = archive(events({}, {}), humboldt=humboldt(s=SCOPE, v2={"targetTaxonomicScope": "Squamata"}))
    found = check_humboldt(contents)
    found = found[found["rule"] == "scope-is-missing-on-a-child"]
    places = set(zip(found["sheet"], found["row"], found["value"], found["field"], strict=True))
    assert ("humboldt.txt", 3, "v2", "isTaxonomicScopeFullyReported") in places
    assert ("event.txt", 3, "v1", "targetTaxonomicScope") in places
    assert len(places) == 3
