"""The rules about values against what was published: every example of every term, and the official rows of the draft
data-quality tests.

Sources: Darwin Core list of terms 2026-05-26 and Humboldt Extension list of terms 2026-05-26, column of examples;
draft Biodiversity Data Quality standard (2026-06-03), development half of its validation rows. They are looked for in
the folder `shared/standards` beside the repository; without it these tests are skipped.
"""

from __future__ import annotations

import csv
import re
from functools import cache
from pathlib import Path

import pytest
from archive_in_memory import TODAY, archive, value_rules_of

from dwc_pipeline.check.value_rules import check_values
from dwc_pipeline.core.rule import RULES, Severity

STANDARDS = Path(__file__).resolve().parents[3] / "shared" / "standards"
needs_standards = pytest.mark.skipif(not STANDARDS.is_dir(), reason="the published standards are not at hand")
#: in "`5` (sampleSizeValue) with `metre` (sampleSizeUnit)" the second is no example of the value
OF_ANOTHER_TERM = {("sampleSizeValue", "metre"), ("sampleSizeUnit", "5")}
#: rules that ask for a second term beside the one that an example shows
OF_TWO_TERMS = {
    "sample-size-lacks-its-other-half", "quantity-lacks-its-other-half", "coordinate-stands-alone",
    "coordinates-have-no-datum", "effort-or-area-lacks-its-other-half", "uncertainty-without-coordinates",
    "non-target-taxa-without-a-scope", "non-target-organisms-without-a-scope", "fully-reported-without-a-scope",
    "detail-of-what-is-not-reported", "effort-reported-and-not-there", "abundance-cap-reported-and-not-there",
}  # fmt: skip


@cache
def published_examples() -> list[tuple[str, str]]:
    """(term, example) of the two lists; text behind the closing quotation mark explains and is no value."""
    found = []
    for file in ("dwc/terms.csv", "eco/terms.csv"):
        if (STANDARDS / file).is_file():
            with (STANDARDS / file).open(encoding="utf-8", newline="") as lines:
                for row in csv.DictReader(lines):
                    if row["prefix"] in ("dwc", "eco", "dcterms") and row["term_type"] == "property":
                        found += [(row["term"], one) for one in re.findall(r"`([^`]+)`", row["examples"])]
    return [one for one in found if one not in OF_ANOTHER_TERM]


@needs_standards
def test_no_published_example_of_a_term_breaks_a_rule_about_its_value() -> None:
    """More than 600 examples; a rule that flags the list of terms' own example would be wrong."""
    wrong = {}
    for term, example in published_examples():
        told = {rule for rule in value_rules_of({term: example}) if RULES[rule].severity is not Severity.NOTE}
        if told - OF_TWO_TERMS:
            wrong[term, example] = told - OF_TWO_TERMS
    assert len(published_examples()) > 500
    assert wrong == {}


def official_rows(label: str) -> list[dict[str, str]]:
    path = STANDARDS / "bdq" / "validation_dev.csv"
    if not path.is_file():
        return []
    with path.open(encoding="utf-8", newline="") as lines:
        return [row for row in csv.DictReader(lines) if row["Label"] == label]


def given(row: dict[str, str]) -> dict[str, str]:
    """The Darwin Core terms of an official row."""
    return {name.removeprefix("dwc:"): text for name, text in row.items() if name.startswith("dwc:") and text.strip()}


#: official test -> rules of ours that say the same
SAME = {
    "VALIDATION_EVENTDATE_STANDARD": {
        "date-is-not-iso", "event-date-not-on-the-calendar", "interval-ends-before-it-begins", "null-is-written-out",
    },
    "VALIDATION_DAY_INRANGE": {"day-is-not-in-the-month"},
    "VALIDATION_MONTH_STANDARD": {"month-is-none"},
    "VALIDATION_DECIMALLATITUDE_INRANGE": {"latitude-is-out-of-range"},
    "VALIDATION_DECIMALLONGITUDE_INRANGE": {"longitude-is-out-of-range"},
    "VALIDATION_COORDINATES_NOTZERO": {"coordinates-are-zero"},
    "VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION": {"elevation-ends-are-exchanged"},
    "VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH": {"depth-ends-are-exchanged"},
    "VALIDATION_COUNTRYCODE_STANDARD": {"country-code-is-not-iso"},
    "VALIDATION_BASISOFRECORD_STANDARD": {"basis-of-record-is-no-class"},
    "VALIDATION_PATHWAY_STANDARD": {"word-is-not-in-its-controlled-vocabulary"},
    "VALIDATION_ESTABLISHMENTMEANS_STANDARD": {"word-is-not-in-its-controlled-vocabulary"},
    "VALIDATION_DEGREEOFESTABLISHMENT_STANDARD": {"word-is-not-in-its-controlled-vocabulary"},
    "VALIDATION_EVENT_CONSISTENT": {"date-part-disagrees-with-event-date"},
    "VALIDATION_STARTDAYOFYEAR_INRANGE": {"start-day-of-year-is-none"},
    "VALIDATION_ENDDAYOFYEAR_INRANGE": {"end-day-of-year-is-none"},
}  # fmt: skip


@needs_standards
@pytest.mark.parametrize("label", SAME)
def test_our_rules_agree_with_the_official_rows(label: str) -> None:
    """COMPLIANT is not flagged, NOT_COMPLIANT is; rows that the test could not judge say nothing."""
    rows = [row for row in official_rows(label) if row["Response.result"] in ("COMPLIANT", "NOT_COMPLIANT")]
    wrong = []
    for row in rows:
        told = value_rules_of(given(row)) & SAME[label]
        if bool(told) != (row["Response.result"] == "NOT_COMPLIANT"):
            wrong.append((row["dataID"], given(row), row["Response.result"], told))
    assert wrong == []


class TestForms:
    """Darwin Core eventDate, examples; ISO 8601-1 from memory where marked."""

    @pytest.mark.parametrize(
        "date",
        [
            "1971", "1906-06", "1809-02-12", "2018-08-29T15:19", "2009-02-20T08:40Z", "1963-03-08T14:07-06:00",
            "1963-03-08T14:07-0600", "1900/1909", "2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", "2007-11-13/15",
            "2024-123",
        ],
    )  # fmt: skip
    def test_forms_of_the_examples_pass(self, date: str) -> None:
        assert value_rules_of({"eventDate": date}) == set()

    @pytest.mark.parametrize(
        ("date", "rule"),
        [
            ("1963-03-08T14:67-0600", "event-date-not-on-the-calendar"),  # official row 434
            ("1963-03-08T4", "date-is-not-iso"),  # 436
            ("1963-03-08T14:0", "date-is-not-iso"),  # 151
            ("0", "date-is-not-iso"),  # 442
            ("null", "date-is-not-iso"),  # 155
            ("2021/10/28", "date-is-not-iso"),  # 402, put right by an amendment
            ("2021-28-10", "event-date-not-on-the-calendar"),  # 404
            ("-2000", "date-is-not-iso"),  # 765
            ("2007/..", "date-is-not-iso"),  # open end: another part of the standard, from memory
            ("P1D", "date-is-not-iso"),
        ],
    )
    def test_what_is_no_date_of_an_event_is_named(self, date: str, rule: str) -> None:
        assert rule in value_rules_of({"eventDate": date})


class TestParts:
    """VALIDATION_EVENT_CONSISTENT, and what an interval leaves open."""

    def test_an_interval_over_two_months_has_a_year_alone(self) -> None:
        row = {"eventDate": "2023-04-30/2023-05-01", "year": "2023", "startDayOfYear": "120", "endDayOfYear": "121"}
        assert value_rules_of(row) == set()
        assert "date-part-disagrees-with-event-date" in value_rules_of(row | {"day": "30"})

    def test_the_included_end_gives_the_last_day_of_the_year(self) -> None:
        """Official row 300: 2021-01-15/2021-02-02 ends on day 33."""
        assert value_rules_of({"eventDate": "2021-01-15/2021-02-02", "endDayOfYear": "33"}) == set()


def test_the_words_of_either_edition_pass_and_others_do_not() -> None:
    """occurrenceStatus: detected and notDetected since 2026-05-26, present and absent before."""
    for word in ("detected", "notDetected", "present", "absent"):
        assert value_rules_of({"occurrenceStatus": word}) == set()
    for word in ("Present", "not detected", "1", "true"):
        assert value_rules_of({"occurrenceStatus": word}) == {"occurrence-status-is-another-word"}


def test_a_date_of_tomorrow_somewhere_in_the_world_is_not_in_the_future() -> None:
    rows = [{"eventID": "a", "eventDate": "2026-11-26"}, {"eventID": "b", "eventDate": "2026-11-27"}]
    found = check_values(archive(rows), TODAY)
    assert found["value"].tolist() == ["2026-11-27"]
