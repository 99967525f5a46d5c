"""Reading of openly licensed survey sheets that lie beside the repository; skipped where they do not."""

from __future__ import annotations

from pathlib import Path

import pytest
import xlrd

from dwc_pipeline.core.raw import RawSheet, RowRole
from dwc_pipeline.read.raw_files import find_files, read_file
from dwc_pipeline.read.tables import find_tables

REAL = Path(__file__).resolve().parents[3] / "shared" / "realdata"
MESSY = REAL / "02-messy-workbook" / "raw" / "survey_data_spreadsheet_messy.xls"

pytestmark = pytest.mark.skipif(not REAL.is_dir(), reason="no folder shared/realdata beside the repository")


@pytest.fixture(scope="module")
def messy() -> dict[str, RawSheet]:
    return {sheet.sheet: sheet for sheet in read_file(MESSY, MESSY.name)}


class TestMessyWorkbook:
    """Data Carpentry contributors, CC BY 4.0: tables side by side, dates without their year, grey cells."""

    def test_three_tables_stand_side_by_side(self, messy):
        found = find_tables(messy["2013"])
        assert [(table.text.columns[0], table.header_rows, len(table.text)) for table in found.tables] == [
            ("C", (7,), 14), ("H", (7,), 12), ("M", (7,), 11),
        ]  # fmt: skip
        assert [set(table.above.items()) for table in found.tables] == [
            {("C3", "2013 Field Season"), (address, title)}
            for address, title in (("C6", "Species: DM"), ("H6", "Species: DO"), ("M6", "Species: DS"))
        ]
        assert {table.headers for table in found.tables} == {("Date Collected", "Plot", "Sex", "Weight")}

    def test_a_fourth_table_stands_below(self, messy):
        found = find_tables(messy["2014"])
        assert [(table.text.columns[0], table.header_rows, len(table.text)) for table in found.tables] == [
            ("C", (7,), 9), ("H", (7,), 19), ("M", (7,), 13), ("C", (32,), 10),
        ]  # fmt: skip
        assert found.tables[3].above["C31"] == "Plot: 4"
        notes = found.findings.loc[found.findings["rule"] == "note-row-set-aside", ["row", "column"]]
        assert notes.to_numpy().tolist() == [[31, "I"]]  # what the grey cells mean
        assert found.roles.at[31, "role"] == RowRole.TITLE

    def test_all_88_records_are_there(self, messy):
        assert sum(len(t.text) for name in ("2013", "2014") for t in find_tables(messy[name]).tables) == 88

    def test_a_date_shown_without_its_year_keeps_the_stored_one(self, messy):
        third = find_tables(messy["2014"]).tables[2]
        assert (third.text.loc[8, "M"], third.stored.loc[8, "M"]) == ("1/8", "2015-01-08")

    def test_grey_cells_are_asked(self, messy):
        findings = find_tables(messy["2014"]).findings
        coloured = findings[findings["rule"] == "coloured-cell"]
        assert coloured[["row", "column", "value"]].to_numpy().tolist() == [[22, "K", "969696"], [24, "K", "969696"]]

    def test_units_and_remarks_in_cells_stay_as_typed(self, messy):
        assert (messy["2013"].text(9, 6), messy["2013"].text(14, 16)) == ("33g", "132 (scale not calibrated)")

    def test_values_agree_with_another_reader(self, messy):
        book = xlrd.open_workbook(MESSY)
        for sheet in book.sheets():
            ours = messy[sheet.name]
            for row in range(sheet.nrows):
                for column in range(sheet.ncols):
                    cell = sheet.cell(row, column)
                    if cell.ctype == xlrd.XL_CELL_DATE:
                        day = xlrd.xldate_as_datetime(cell.value, book.datemode).date()
                        assert ours.value(row + 1, column + 1) == day
                    else:
                        assert ours.value(row + 1, column + 1) == cell.value


def test_a_sheet_typed_twice_and_its_list_of_species():
    path = REAL / "01-portal-rodents" / "raw" / "rodent_test_data.xlsx"
    tables = {sheet.sheet: find_tables(sheet).tables for sheet in read_file(path, path.name)}
    assert {name: [(len(t.text), len(t.headers)) for t in found] for name, found in tables.items()} == {
        "EKB": [(148, 28)], "EMC": [(149, 28)], "SpeciesList": [(55, 11)],
    }  # fmt: skip
    assert tables["EKB"][0].text.loc[40, "Q"] == "21"


def test_a_list_without_a_header_is_told():
    path = REAL / "01-portal-rodents" / "raw" / "test_tags.txt"
    found = find_tables(read_file(path, path.name)[0])
    assert (len(found.tables[0].text), found.tables[0].headers) == (142, ("A",))
    assert found.findings["rule"].tolist() == ["no-header-found"]


@pytest.mark.parametrize(
    ("file", "encoding"),
    [
        ("raw/supptable1-counts.csv", "ascii"),
        ("raw/supptable1-references.csv", "cp1252"),
        ("raw/other-counts.csv", "ascii"),
        ("owner/ssafs-pup-counts-full.csv", "cp1252"),
        ("archive/event.txt", "cp1252"),
        ("archive/occurrence.txt", "cp1252"),
    ],
)
def test_encodings_of_the_pup_counts(file, encoding):
    path = REAL / "03-pup-count-archive" / file
    (sheet,) = read_file(path, file)
    assert sheet.facts["encoding"] == encoding
    assert ("encoding-guessed" in {each["rule"] for each in sheet.found}) == (encoding == "cp1252")
    if file.startswith(("archive", "owner")):
        assert any("Härkönen" in cell for row in sheet.values for cell in row)


def test_every_file_gives_one_table_a_sheet_with_its_header_in_row_1():
    files = find_files(REAL, ["01*/raw/*.csv", "01*/permit/*.csv", "02*/raw/*.csv", "03*/*/*.*", "04*/*/*.csv"])
    for path in files:
        (table,) = find_tables(read_file(path, path.name)[0]).tables
        assert table.header_rows == (1,), path.name
