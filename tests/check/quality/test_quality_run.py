"""Running the data-quality tests on a record and on a table."""

import json
from datetime import date

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.check.quality import ResponseStatus, quality_response, quality_responses, quality_tests
from dwc_pipeline.check.quality.run import COUNTS, UnsupportedParameter

TODAY = date(2026, 11, 25)
CELLS = st.sampled_from(
    ["", " ", "5", "05", "x", "2023", "2023-05-14", "14/5/2023", "May", "-99.6", "36.75", "US", "null"]
)
TERMS = (
    "eventDate",
    "verbatimEventDate",
    "year",
    "month",
    "day",
    "decimalLatitude",
    "decimalLongitude",
    "countryCode",
)
RECORDS = st.fixed_dictionaries(dict.fromkeys(TERMS, CELLS))

RECORD = {
    "eventDate": "2023-05-14", "year": "2023", "month": "6", "decimalLatitude": "36.7512",
    "decimalLongitude": "-99.6348", "countryCode": "US", "scientificName": "Spea bombifrons", "sex": "Female",
}  # fmt: skip


@given(record=RECORDS)
@settings(max_examples=15, deadline=None)
def test_every_answer_has_the_parts_that_the_standard_asks(record):
    """Concepts and Use 4.1: status, a result that fits it, and always a comment."""
    for test in quality_tests().values():
        answer = quality_response(test.guid, record, today=TODAY)
        assert answer.comment
        if test.type == "Amendment":
            assert answer.status is not ResponseStatus.RUN_HAS_RESULT
            proposed = answer.status in (ResponseStatus.AMENDED, ResponseStatus.FILLED_IN)
            assert bool(answer.result) is proposed
            assert not proposed or set(json.loads(answer.result)) <= set(test.acted_upon)
        elif answer.status is ResponseStatus.RUN_HAS_RESULT:
            allowed = {"Validation": {"COMPLIANT", "NOT_COMPLIANT"}, "Issue": {"POTENTIAL_ISSUE", "NOT_ISSUE"}}
            assert answer.result in allowed.get(test.type, {answer.result})
            assert test.type != "Measure" or answer.result.isdecimal()
        else:
            assert answer.result == ""


@given(records=st.lists(RECORDS, min_size=1, max_size=5))
@settings(max_examples=6, deadline=None)
def test_a_table_gets_the_same_answers_as_its_rows(records):
    frame = pd.DataFrame(records, index=[f"row {number}" for number in range(len(records))])
    answers = quality_responses(frame, today=TODAY)
    assert len(answers) == len(frame) * len(quality_tests())
    for label, record in zip(frame.index, records, strict=True):
        for row in answers.loc[[label]].itertuples():
            one = quality_response(row.test, record, today=TODAY)
            assert (row.status, row.result, row.comment, row.qualifier) == (
                str(one.status), one.result, one.comment, one.qualifier,
            )  # fmt: skip


def test_a_proposal_does_not_make_a_record_worse():
    """What an amendment proposes for a term passes the validation that looks at that term alone."""
    record = {
        "month": "XI",
        "day": "3rd",
        "sex": "f",
        "taxonRank": "sp.",
        "countryCode": "usa",
        "geodeticDatum": "NAD27",
    }
    for stem in ("MONTH", "DAY", "SEX", "TAXONRANK", "COUNTRYCODE", "GEODETICDATUM"):
        proposed = quality_response(f"AMENDMENT_{stem}_STANDARDIZED", record, today=TODAY).proposals
        assert quality_response(f"VALIDATION_{stem}_STANDARD", record, today=TODAY).result == "NOT_COMPLIANT"
        assert quality_response(f"VALIDATION_{stem}_STANDARD", proposed, today=TODAY).result == "COMPLIANT"


def test_measures_count_the_answers_of_the_validations():
    counts = [
        int(quality_response(measure, RECORD, today=TODAY).result) for measure in COUNTS if "VALIDATION" in measure
    ]
    validations = [test for test in quality_tests().values() if test.type == "Validation"]
    assert sum(counts) == len(validations)
    answers = quality_responses(pd.DataFrame([RECORD]), today=TODAY)
    assert counts[1] == (answers["result"] == "NOT_COMPLIANT").sum() > 0


def test_terms_may_carry_their_prefix_and_tests_any_of_their_names():
    test = quality_tests()["VALIDATION_EVENT_CONSISTENT"]
    prefixed = {f"dwc:{term}": value for term, value in RECORD.items()}
    for name in (test.label, test.guid, f"urn:uuid:{test.guid}", *test.former_labels):
        assert quality_response(name, prefixed, today=TODAY) == quality_response(test.label, RECORD, today=TODAY)
    with pytest.raises(KeyError, match="no published data-quality test"):
        quality_response("VALIDATION_OF_EVERYTHING", RECORD)


def test_a_parameter_that_is_not_the_default_is_told_in_the_comment():
    answer = quality_response("VALIDATION_YEAR_INRANGE", RECORD, {"bdqval:earliestValidDate": "2024"}, today=TODAY)
    assert answer.result == "NOT_COMPLIANT"
    assert "bdqval:earliestValidDate=2024" in answer.comment
    literal = quality_response("VALIDATION_YEAR_INRANGE", RECORD, {"bdqval:earliestValidDate": "1582"}, today=TODAY)
    assert literal == quality_response("VALIDATION_YEAR_INRANGE", RECORD, today=TODAY)


def test_an_authority_out_of_reach_is_told_and_an_unknown_one_is_a_mistake():
    unreachable = {"bdqval:sourceAuthority": "https://invalid/invalidservice"}
    assert quality_response("VALIDATION_SEX_STANDARD", RECORD, unreachable).status.startswith("EXTERNAL")
    assert quality_response("VALIDATION_SEX_STANDARD", {}, unreachable).status.startswith("INTERNAL")
    with pytest.raises(UnsupportedParameter, match="leave it out"):
        quality_response("VALIDATION_SEX_STANDARD", RECORD, {"bdqval:sourceAuthority": "my list"})


def test_tests_that_need_the_network_say_so():
    answer = quality_response("VALIDATION_GENUS_FOUND", {"genus": "Spea"})
    assert answer.status is ResponseStatus.EXTERNAL_PREREQUISITES_NOT_MET
    assert "not at hand" in answer.comment


def test_an_empty_table_and_a_table_without_such_columns():
    assert quality_responses(pd.DataFrame({"year": []}), ["VALIDATION_YEAR_NOTEMPTY"]).empty
    other = quality_responses(pd.DataFrame({"notes": ["a", "b"]}), ["VALIDATION_YEAR_NOTEMPTY"], today=TODAY)
    assert list(other["result"]) == ["NOT_COMPLIANT", "NOT_COMPLIANT"]
    assert list(quality_responses(pd.DataFrame({"year": ["2023"]}), []).columns) == list(other.columns)


def test_nulls_in_a_table_are_empty_cells():
    frame = pd.DataFrame({"year": ["2023", None, float("nan"), " "]}, dtype=object)
    answers = quality_responses(frame, ["VALIDATION_YEAR_NOTEMPTY"], today=TODAY)
    assert list(answers["result"]) == ["COMPLIANT", "NOT_COMPLIANT", "NOT_COMPLIANT", "NOT_COMPLIANT"]


def test_a_large_table_costs_only_its_distinct_values():
    frame = pd.DataFrame({"eventDate": ["2023-05-14", "14/5/2023"] * 20_000})
    answers = quality_responses(frame, ["VALIDATION_EVENTDATE_STANDARD"], today=TODAY)
    assert answers["result"].value_counts().to_dict() == {"COMPLIANT": 20_000, "NOT_COMPLIANT": 20_000}
