"""The schemas are one declaration for every engine, and are found wherever the package is."""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pandas as pd
import pandera.errors
import pytest

from dwc_pipeline.errors import TablesBreakTheirSchema
from dwc_pipeline.terms import schema
from dwc_pipeline.terms.darwin_core import DWC, ECO, short_name, term_by_iri, term_by_name
from dwc_pipeline.terms.schema import (
    OUTPUT_TABLES,
    column_names,
    columns_in_use,
    frictionless_schema,
    pandera_schema,
    refuse_faulty_tables,
    row_type,
    table_schema,
    term_iri,
    written_schema,
)

PROJECT = Path(__file__).resolve().parents[2]


def failures(frame: pd.DataFrame, table: str) -> set[tuple[str, object]]:
    """Column and row of everything that the table's schema refuses."""
    try:
        pandera_schema(table).validate(frame, lazy=True)
    except pandera.errors.SchemaErrors as errors:
        cases = errors.failure_cases
        return set(zip(cases["column"], cases["index"], strict=True))
    return set()


def events(**columns: list[str]) -> pd.DataFrame:
    """Two events with some columns."""
    return pd.DataFrame({"eventID": ["a", "b"], **columns}, dtype=object)


@pytest.mark.parametrize("table", OUTPUT_TABLES)
def test_every_column_explains_itself_and_is_spelt_as_what_it_is(table: str) -> None:
    for field in table_schema(table)["fields"]:
        assert field["title"]
        assert len(field["description"].split()) > 1
        if "term" in field:
            assert short_name(field["term"]) == field["name"]
            assert field["class"]
        else:
            assert field["name"] == field["name"].lower()


@pytest.mark.parametrize("table", OUTPUT_TABLES)
def test_frictionless_and_pandera_take_every_schema(table: str) -> None:
    assert frictionless_schema(table).field_names == list(column_names(table))
    assert set(pandera_schema(table).columns) == set(column_names(table))


def test_a_term_has_one_identifier_in_all_tables() -> None:
    for table in OUTPUT_TABLES:
        for column in column_names(table):
            if term_iri(column, table):
                assert term_iri(column, table) == term_iri(column)


def test_identifiers_of_terms_and_row_types() -> None:
    assert term_iri("eventID") == "http://rs.tdwg.org/dwc/terms/eventID"
    assert term_iri("license") == "http://purl.org/dc/terms/license"
    assert term_iri("samplingEffortValue") == "http://rs.tdwg.org/eco/terms/samplingEffortValue"
    assert term_iri("measurementTypeID") == "http://rs.iobis.org/obis/terms/measurementTypeID"
    assert term_iri("detected") == ""
    assert row_type("event") == DWC + "Event"
    assert row_type("place") == ""


def test_the_words_of_detection_are_no_constraint_of_a_column() -> None:
    fields = {field["name"]: field for field in table_schema("occurrence")["fields"]}
    assert "constraints" not in fields["occurrenceStatus"]
    assert fields["detected"]["type"] == "boolean"


def test_what_a_caller_changes_does_not_change_the_declaration() -> None:
    table_schema("event")["fields"].clear()
    assert table_schema("event")["fields"]


def test_an_unknown_table_is_named() -> None:
    with pytest.raises(KeyError, match="there is no table 'events'"):
        table_schema("events")


@pytest.mark.parametrize("dtype", [object, "str"])
def test_good_text_passes_whatever_pandas_calls_it(dtype: object) -> None:
    frame = events(eventDate=["2031-05", "2031-05-14T18:30-05:00/2031-05-15T07:40-05:00"], year=["2031", ""])
    assert failures(frame.astype(dtype), "event") == set()


@pytest.mark.parametrize(
    ("column", "values"),
    [
        ("eventDate", ["2031-05-14", "14 May"]),
        ("eventDate", ["2031-05-14", "2031-05-14\n"]),
        ("eventDate", ["2031-05-14", "2031-05-14x"]),
        ("year", ["2031", "2031.0"]),
        ("month", ["12", "13"]),
        ("decimalLatitude", ["36.5", "95"]),
        ("decimalLatitude", ["36.5", "3.65e1"]),
        ("decimalLatitude", ["36.5", "nan"]),
        ("coordinateUncertaintyInMeters", ["30", "0"]),
        ("countryCode", ["US", "USA"]),
        ("eventCategory", ["Survey", "survey"]),
    ],
)
def test_a_bad_value_is_refused_in_its_row(column: str, values: list[str]) -> None:
    assert failures(events(**{column: values}), "event") == {(column, 1)}


def test_an_empty_cell_is_missing_and_only_required_columns_mind() -> None:
    assert failures(events(eventDate=["", ""], decimalLatitude=["", ""]), "event") == set()
    assert failures(pd.DataFrame({"eventID": ["a", ""]}, dtype=object), "event") == {("eventID", 1)}


def test_a_repeated_identifier_is_refused_in_every_row() -> None:
    assert failures(pd.DataFrame({"eventID": ["a", "b", "a"]}, dtype=object), "event") == {
        ("eventID", 0),
        ("eventID", 2),
    }


def test_a_number_in_a_text_column_and_an_undeclared_column_are_refused() -> None:
    assert {column for column, _ in failures(events(year=[2031, "2031"]), "event")} >= {"year"}  # type: ignore[list-item]
    assert failures(events(eventdate=["", ""]), "event") == {("event", None)}


def test_only_columns_that_hold_something_are_in_use() -> None:
    frame = events(habitat=["", "sand"], locality=["", ""], place=["A1", ""])
    assert columns_in_use("event", frame) == ("eventID", "habitat", "place")


def test_keys_into_tables_that_are_not_there_are_left_out() -> None:
    columns = ["eventID", "occurrenceID"]
    assert "foreignKeys" not in written_schema("occurrence", columns)
    assert (
        written_schema("occurrence", columns, beside=["event"])["foreignKeys"][0]["reference"]["resource"] == "event"
    )


def test_terms_are_found_by_name_and_identifier() -> None:
    language = term_by_name("language")
    assert language is not None
    assert language.iri == "http://purl.org/dc/terms/language"
    old = term_by_iri("http://rs.tdwg.org/dwc/dwctype/Occurrence")
    assert old is not None
    assert old.is_deprecated
    site_count = term_by_name("siteCount")
    assert site_count is not None
    assert site_count.iri == ECO + "siteCount"
    assert term_by_name("eventdate") is None


def found_from(folder: Path, place: Path) -> str:
    """What `schemas_folder` says when the package in `folder` is used from another place."""
    program = "from dwc_pipeline.terms.schema import *; print(schemas_folder()); print(len(column_names('event')))"
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=place, env={"PYTHONPATH": str(folder)}, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    where, count = done.stdout.split()
    assert int(count) == len(column_names("event"))
    return where


def test_the_schemas_stand_beside_the_package_in_a_checkout(tmp_path: Path) -> None:
    if (Path(schema.__file__).parents[1] / "schemas").is_dir():
        pytest.skip("the tests run on an installed package")
    assert found_from(PROJECT, tmp_path) == str(PROJECT / "schemas")


def test_the_schemas_are_inside_the_package_when_it_is_installed(tmp_path: Path) -> None:
    ignore = shutil.ignore_patterns("__pycache__")
    shutil.copytree(Path(schema.__file__).parents[1], tmp_path / "dwc_pipeline", ignore=ignore)
    shutil.copytree(schema.schemas_folder(), tmp_path / "dwc_pipeline" / "schemas", dirs_exist_ok=True)
    assert found_from(tmp_path, tmp_path) == str(tmp_path / "dwc_pipeline" / "schemas")


@pytest.mark.skipif(importlib.util.find_spec("hatchling") is None, reason="the build tool hatchling is not installed")
def test_a_wheel_carries_the_schemas(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(command, cwd=PROJECT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "installed")
    assert found_from(tmp_path / "installed", tmp_path) == str(tmp_path / "installed" / "dwc_pipeline" / "schemas")


def test_a_table_that_breaks_its_schema_is_refused_with_table_column_and_value() -> None:
    good = pd.DataFrame(
        {"eventID": ["X-1", "X-2"], "eventDate": ["2031-05-04", ""], "month": ["5", ""]}, dtype=object
    )
    bad = good.assign(eventID=["X-1", "X-1"], month=["13", "five"])
    with pytest.raises(TablesBreakTheirSchema) as refused:
        refuse_faulty_tables({"event": bad})
    text = str(refused.value)
    for part in ("Internal error", "table event, column eventID", "table event, column month", "'five'"):
        assert part in text


def test_a_column_that_nobody_declared_is_refused() -> None:
    with pytest.raises(TablesBreakTheirSchema, match="column nobody"):
        refuse_faulty_tables({"effort": pd.DataFrame({"nobody": ["1"]}, dtype=object)})


def test_an_empty_table_is_no_fault() -> None:
    refuse_faulty_tables({"event": pd.DataFrame()})
