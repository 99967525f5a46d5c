"""The official rows and examples of the draft Biodiversity Data Quality standard (for review, 2026-06-03).

The files are read from the folder `shared` beside the repository and are not part of the project.
Rows are joined to tests by GUID. Comments are free, and so is the order of the proposed terms.
"""

import csv
import json
import re
from datetime import date
from pathlib import Path

import pytest

from dwc_pipeline.check.quality import quality_response, quality_tests
from dwc_pipeline.check.quality.registry import find_test

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "standards" / "bdq"
TODAY = date(2026, 11, 25)
needs_files = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="the files of the draft standard are not beside the repository (shared/standards/bdq)"
)

#: Rows that are not answered as they stand, with the reason.
QUARRELS = {
    "1066": "result NOT_REPORTED with a prerequisite status: Concepts and Use 4.1 says that the result is empty",
    "1068": "as 1066",
    "1070": "as 1066",
    "283": "whether the authority knows the name is an internal prerequisite: only the authority can say",
    "285": "as 283",
    "289": "as 283",
    "335": "whether the authority knows the state is an internal prerequisite: only the authority can say",
}
#: Rows that contradict the expected response of their test and are followed all the same: agreement with the rows
#: is what the Implementer's Guide (3) asks of an implementation.
FOLLOWED_AGAINST_THE_TEXT = {
    "157": "licence address without deed or legalcode; note and example of the test take it too",
    "344": "own prerequisites before the authority",
    "549": "authority before own prerequisites",
    "280": "authority before own prerequisites",
    "567": "NOT_AMENDED where the text wants a prerequisite status; the example of the test agrees with the row",
    "682": "a verbatim date without any figure is a prerequisite, not NOT_AMENDED",
    "1052": "a year that cannot be read is a prerequisite, not NOT_AMENDED",
}
EXAMPLE = re.compile(
    r"\[([^\[\]]*(?:\[[^\[\]]*\][^\[\]]*)*?):\s*Response\.status=([A-Z_]+)(.*?)(?=\],\s*\[|\]\s*$)", re.DOTALL
)
TERM = re.compile(r'((?:dwc|dc|dcterms|bdqval):\w+)\s*=\s*"([^"]*)"')
#: Examples that are not answered as printed, by test and status.
EXAMPLE_QUARRELS = {
    ("MEASURE_EVENTDATE_DURATIONINSECONDS", "INTERNAL_PREREQUISITES_NOT_MET"): "result NOT_REPORTED, as row 1066",
    ("AMENDMENT_PATHWAY_STANDARDIZED", "AMENDED"): "proposes the value that is there already",
}


def read(name: str) -> list[dict[str, str]]:
    if not FOLDER.is_dir():
        return []
    csv.field_size_limit(1_000_000)
    with (FOLDER / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def rows() -> list[dict[str, str]]:
    return read("validation_dev.csv") + read("validation_nonprinting_dev.csv")


def as_data(result: str) -> object:
    return json.loads(result) if result.startswith("{") else result


def answered(row: dict[str, str]) -> tuple[str, object]:
    record = {name: value for name, value in row.items() if name.startswith(("dwc:", "dc:", "dcterms:"))}
    parameters = {name: value for name, value in row.items() if name.startswith("bdqval:") and value}
    response = quality_response(row["GUID"], record, parameters, today=TODAY)
    return str(response.status), as_data(response.result)


def expected(row: dict[str, str]) -> tuple[str, object]:
    return row["Response.status"], as_data(row["Response.result"])


@needs_files
def test_the_tests_are_those_of_the_standard():
    official = {row["term_localName"]: row for row in read("TG2_tests.csv")}
    ours = {test.guid: test for test in quality_tests().values()}
    assert ours.keys() == official.keys()
    for guid, row in official.items():
        assert (ours[guid].label, ours[guid].type) == (row["Label"], row["Type"])
        assert ours[guid].acted_upon == tuple(re.findall(r"[\w:]+", row["InformationElement:ActedUpon"]))
        assert ours[guid].consulted == tuple(re.findall(r"[\w:]+", row["InformationElement:Consulted"]))


@needs_files
def test_every_label_in_the_rows_leads_to_the_test_of_its_guid():
    assert all(find_test(row["Label"]).guid == row["GUID"] for row in rows())


@needs_files
def test_every_row_that_needs_no_network_is_answered_as_it_stands():
    local = [row for row in rows() if find_test(row["GUID"]).needs != "network"]
    wrong = {row["dataID"] for row in local if answered(row) != expected(row)}
    assert wrong == {row["dataID"] for row in local} & QUARRELS.keys()
    assert len(local) - len(wrong) >= 559


@needs_files
def test_network_tests_meet_the_rows_that_end_before_the_authority():
    network = [row for row in rows() if find_test(row["GUID"]).needs == "network"]
    early = [row for row in network if row["Response.status"].endswith("NOT_MET")]
    assert {row["dataID"] for row in early if answered(row) != expected(row)} == {
        row["dataID"] for row in early
    } & QUARRELS.keys()


@needs_files
def test_network_tests_never_answer_otherwise_than_that_the_authority_is_not_at_hand():
    network = [row for row in rows() if find_test(row["GUID"]).needs == "network"]
    late = [row for row in network if not row["Response.status"].endswith("NOT_MET")]
    assert {answered(row)[0] for row in late} == {"EXTERNAL_PREREQUISITES_NOT_MET"}


@needs_files
def test_the_listed_quarrels_still_exist():
    present = {row["dataID"]: row for row in rows()}
    assert (QUARRELS | FOLLOWED_AGAINST_THE_TEXT).keys() <= present.keys()
    assert all(answered(present[number]) != expected(present[number]) for number in QUARRELS)
    assert all(answered(present[number]) == expected(present[number]) for number in FOLLOWED_AGAINST_THE_TEXT)


@needs_files
def test_the_printed_examples_are_answered_as_they_stand():
    counted = 0
    for row in read("TG2_tests.csv"):
        if find_test(row["Label"]).needs == "network":
            continue
        for terms, status, rest in EXAMPLE.findall(row["Examples"]):
            record = {name: value.replace("[null]", "") for name, value in TERM.findall(terms)}
            response = quality_response(row["Label"], record, today=TODAY)
            printed = re.search(r"Response\.result=(.*?),?\s*Response\.comment", rest, re.DOTALL)
            result = printed[1].strip().rstrip(",") if printed else ""
            proposed = dict(TERM.findall(result)) if status in ("AMENDED", "FILLED_IN") else {}
            agrees = (str(response.status), response.proposals, response.result) == (
                status, proposed, response.result if proposed else result.strip('"'),
            )  # fmt: skip
            assert agrees is ((row["Label"], status) not in EXAMPLE_QUARRELS), (row["Label"], record)
            counted += 1
    assert counted >= 170
