"""The agency's copy of a small season, opened again with another library."""

from __future__ import annotations

import datetime as dt
import hashlib
import zipfile
from pathlib import Path
from typing import Any
from xml.dom import minidom

import openpyxl
import pandas as pd
import pytest
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import sharable
from dwc_pipeline.write.agency.copy import AgencyInput, write_agency_copy
from dwc_pipeline.write.agency.sheet import Column, Sheet
from dwc_pipeline.write.agency.workbook import tab_names, write_workbook

PERMIT = '\n[share.agency]\nagency = "State agency"\npermit = "31-7"\nholder = "Ada Example"\n'
LOG = (
    "Array,Trap,What,Date,Time,State,Open\n"
    "A1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,07:30,,\nA1,,checked and closed,2023-05-16,07:40,,\n"
)
CAPTURES = (
    "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
    'A1,2023-05-15,07:30,F3,ASSE,M,adult,71,140,8.2,LF1-RH2,N,"=HYPERLINK(""x"")",1,7\n'
    "A1,2023-05-15,07:30,P1,GAOL,,,30,,2.1,,,,2,8\n"
    "A1,2023-05-16,07:40,F3,ASSE,M,adult,71,140,8.3,LF1-RH2,R,died in trap,1,9\n"
)


def agency_input(folder: Path, part: str = PERMIT) -> AgencyInput:
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    given = sharable(prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, HEAD + part))
    return AgencyInput(given.tables, given.account(), given.questions, given.metadata, given.survey, given.boundary)


@pytest.fixture(scope="module")
def given(tmp_path_factory: pytest.TempPathFactory) -> AgencyInput:
    folder = tmp_path_factory.mktemp("survey")
    people = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\n'
    return agency_input(folder, PERMIT + people)


@pytest.fixture(scope="module")
def folder(given: AgencyInput, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("agency")
    write_agency_copy(given, made)
    return made


def rows_of(folder: Path, sheet: str) -> list[dict[str, object]]:
    book = openpyxl.load_workbook(folder / "PT-2023.xlsx")
    rows = [list(row) for row in book[sheet].iter_rows(min_row=3, values_only=True)]
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def tables_of(folder: Path) -> list[Any]:
    """The sheets that hold a table: all but the map."""
    return [sheet for sheet in openpyxl.load_workbook(folder / "PT-2023.xlsx") if sheet.title != "Map"]


def test_every_capture_has_its_exact_place_date_and_datum(folder: Path) -> None:
    rows = rows_of(folder, "Captures")
    assert len(rows) == 3
    assert rows[0]["Date"] == dt.datetime(2023, 5, 15)
    assert rows[0]["Time"] == dt.time(7, 30)
    assert (rows[0]["Latitude [degrees]"], rows[0]["Longitude [degrees]"]) == (36.7512, -99.6348)
    assert rows[0]["Datum"] == "EPSG:4326"
    assert {row["SVL [mm]"] for row in rows} == {71, 30}


def test_what_was_typed_never_becomes_a_formula(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "PT-2023.xlsx")
    kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row}
    assert "f" not in kinds
    assert any("=HYPERLINK" in str(row["Remarks"]) for row in rows_of(folder, "Captures"))


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1+cmd", "@SUM(A1)", "https://example.org", "\t=1", "{=1}"])
def test_texts_of_every_kind_stay_texts(tmp_path: Path, text: str) -> None:
    sheet = Sheet("S", "T", (Column("a", "A", "x"),), pd.DataFrame({"a": [text]}))
    write_workbook([sheet], tmp_path / "b.xlsx", "t", dt.date(2031, 1, 1), True)
    cell = openpyxl.load_workbook(tmp_path / "b.xlsx")["S"]["A4"]
    assert (cell.data_type, cell.value.strip(), cell.hyperlink) == ("s", text.strip(), None)


def test_the_numbers_of_the_summary_are_those_of_the_captures(folder: Path) -> None:
    said = {str(row["What"]).strip(): row["Value"] for row in rows_of(folder, "Summary")}
    captures = rows_of(folder, "Captures")
    assert int(str(said["Animals captured"])) == sum(int(str(row["Number"])) for row in captures) == 4
    fates = ("Released", "Left in place", "Removed", "Died", "Escaped", "Dead on road", "Fate not told")
    assert sum(int(str(said[fate])) for fate in fates) == 4
    assert said["Trap checks"] == 2
    assert said["Effort [trap-nights]"] == 24  # 12 traps, two midnights
    assert said["From"] == dt.datetime(2023, 5, 1)
    assert said["Permit number"] == "31-7"


def test_each_species_adds_up(folder: Path) -> None:
    for row in rows_of(folder, "Species"):
        parts = ("Released", "Left in place", "Removed", "Died", "Escaped", "Dead on road", "Fate not told")
        assert row["Captured"] == sum(int(str(row[part])) for part in parts)


def test_a_marked_animal_is_told_once_with_its_captures(folder: Path) -> None:
    rows = rows_of(folder, "Marks")
    assert len(rows) == 1
    assert (rows[0]["Captures"], rows[0]["Sites"]) == (2, "A1")


def test_headers_are_frozen_filtered_and_repeated_in_print(folder: Path) -> None:
    for sheet in tables_of(folder):
        assert sheet.freeze_panes == "E4" if sheet.title == "Captures" else sheet.freeze_panes[1:] == "4"
        assert sheet.auto_filter.ref
        assert sheet.print_title_rows == "$3:$3"
        assert sheet.page_setup.orientation == "landscape"


def test_every_column_is_in_the_dictionary(folder: Path) -> None:
    told = {(row["Sheet"], row["Column"]) for row in rows_of(folder, "Data dictionary")}
    for sheet in tables_of(folder):
        if sheet.title != "Data dictionary":
            assert {(sheet.title, cell.value) for cell in sheet[3]} <= told


def test_checksums_are_right_and_the_archive_is_the_same_in_the_zip(folder: Path) -> None:
    lines = (folder / "sha256.txt").read_text(encoding="utf-8").splitlines()
    assert {line.split("  ")[1] for line in lines} == {"PT-2023.xlsx", "PT-2023.zip", "README.txt", "map.svg"}
    for line in lines:
        digest, name = line.split("  ")
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    with zipfile.ZipFile(folder / "PT-2023-agency.zip") as whole:
        assert whole.read("PT-2023.zip") == (folder / "PT-2023.zip").read_bytes()


def test_the_map_is_a_picture_with_the_site(folder: Path) -> None:
    drawn = minidom.parseString((folder / "map.svg").read_text(encoding="utf-8"))
    assert "A1" in [node.firstChild.data for node in drawn.getElementsByTagName("text")]


def test_two_writings_give_the_same_bytes(given: AgencyInput, folder: Path, tmp_path: Path) -> None:
    write_agency_copy(given, tmp_path)
    for path in folder.iterdir():
        assert path.read_bytes() == (tmp_path / path.name).read_bytes(), path.name


def test_the_agency_names_sheets_and_columns(tmp_path: Path) -> None:
    names = (
        '\n[share.agency.sheets]\nCaptures = "Form 2"\nMarks = ""\n'
        '[share.agency.columns]\nSVL = "Length_mm"\n"Life stage" = ""\n'
        '\n[[people]]\nname = "Ada Example"\nroles = ["creator"]\n'
    )
    write_agency_copy(agency_input(tmp_path / "survey", PERMIT + names), tmp_path)
    book = openpyxl.load_workbook(tmp_path / "PT-2023.xlsx")
    assert "Form 2" in book.sheetnames
    assert "Marks" not in book.sheetnames
    headers = {cell.value for cell in book["Form 2"][3]}
    assert "Length_mm" in headers
    assert "Life stage" not in headers


def test_a_season_without_animals_has_its_effort_and_one_without_a_log_its_animals(tmp_path: Path) -> None:
    people = '\n[[people]]\nname = "Ada Example"\nroles = ["creator"]\n'
    for name, log, captures in (("log", LOG, CAPTURES.partition("\n")[0] + "\n"), ("captures", "", CAPTURES)):
        files = {"sites.csv": SITES, "captures.csv": captures} | ({"log.csv": log} if log else {})
        entries = SITES_TABLE + (LOG_TABLE if log else "") + CAPTURES_TABLE
        given = sharable(prepared(tmp_path / f"{name}-survey", files, entries, HEAD + PERMIT + people))
        folder = tmp_path / name
        folder.mkdir()
        inputs = (given.tables, given.account(), given.questions, given.metadata, given.survey, given.boundary)
        write_agency_copy(AgencyInput(*inputs), folder)
        assert len(rows_of(folder, "Captures")) == (0 if log else 3)
        assert sum(int(str(row["Events"])) for row in rows_of(folder, "Effort")) == 2


def test_tabs_get_names_that_a_workbook_can_hold() -> None:
    assert tab_names(["a/b", "A b", "x" * 40, "x" * 40]) == ["a b", "A b 2", "x" * 31, "x" * 29 + " 2"]
