"""Templates as agencies make them, filled: rows under headers, answers in cells, everything else as it was."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font, PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared
from test_agency_copy import CAPTURES, LOG, PERMIT

from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.pipeline import Season, sharable
from dwc_pipeline.write.agency.cell_refs import copied_to, with_rows_put_in
from dwc_pipeline.write.agency.copy import AgencyInput, write_agency_copy

PEOPLE = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\n'
Make = Callable[[Any], None]


def filled(folder: Path, template: Path, more: str = "") -> tuple[Season, Path]:
    """The season of the small survey with a template, and the filled form."""
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    share = PERMIT + f'template = "{template}"\n' + more + PEOPLE
    season = prepared(folder / "survey", files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, HEAD + share)
    given = sharable(season)
    out = folder / "agency"
    out.mkdir()
    parts = (given.tables, given.account(), given.questions, given.metadata, given.survey, given.boundary)
    write_agency_copy(AgencyInput(*parts), out)
    return season, out / "PT-2023-form.xlsx"


def template(folder: Path, make: Make) -> Path:
    book = openpyxl.Workbook()
    make(book)
    path = folder / "form.xlsx"
    book.save(path)
    return path


def told(season: Season, rule: str) -> list[str]:
    findings = season.findings
    return sorted(findings.loc[findings["rule"] == rule, "value"])


def full_form(book: Any) -> None:
    """A form with a title, answers, a header, five rows, a sum, a signature and print set-up."""
    sheet = book.active
    sheet.title = "Form 2"
    sheet["A1"] = "Report of {{Permit holder}} under permit {{permit number}}"
    sheet["A2"], sheet["B2"] = "From", "{{From}}"
    sheet["A3"], sheet["B3"] = "Traps", "{{ Effort [trap-nights] }}"
    sheet.append([])
    sheet.append(["Scientific name", "Date", "Length (mm)", "Number", "Twice", "Weather"])
    for cell in sheet[5]:
        cell.font = Font(bold=True)
    for column in "ABCDEF":
        sheet[f"{column}6"].fill = PatternFill("solid", fgColor="FFFF00")
    sheet["E6"] = "=D6*2"
    sheet["A8"], sheet["D8"] = "Total", "=SUM(D6:D7)"
    sheet["A9"] = "Signature"
    sheet.merge_cells("A9:C9")
    sheet.row_dimensions[6].height = 30
    sheet.row_dimensions[9].height = 44
    sheet.page_setup.orientation = "landscape"
    sheet.print_title_rows = "5:5"
    sheet.print_area = "A1:F9"
    sheet.oddHeader.left.text = "Permit {{Permit number}}"
    sheet.conditional_formatting.add("D6:D7", CellIsRule(operator="greaterThan", formula=["1"]))
    validation = DataValidation(type="list", formula1='"a,b"', sqref="F6:F7")
    sheet.add_data_validation(validation)
    other = book.create_sheet("Look up")
    other["A1"] = "=SUM('Form 2'!D6:D7)"


class TestFullForm:
    @pytest.fixture(scope="module")
    @staticmethod
    def result(tmp_path_factory: pytest.TempPathFactory) -> tuple[Season, Any]:
        folder = tmp_path_factory.mktemp("form")
        more = '[share.agency.columns]\n"Captures: SVL" = "Length (mm)"\n'
        season, path = filled(folder, template(folder, full_form), more)
        return season, openpyxl.load_workbook(path)

    def test_every_capture_is_a_row_with_real_dates_and_numbers(self, result: tuple[Season, Any]) -> None:
        sheet = result[1]["Form 2"]
        rows = [[cell.value for cell in row[:4]] for row in sheet.iter_rows(min_row=6, max_row=8)]
        day = dt.datetime(2023, 5, 15)
        assert sorted(rows, key=str) == sorted(
            [
                ["Aspidoscelis sexlineatus", day, 71, 1],
                ["Gastrophryne olivacea", day, 30, 2],
                ["Aspidoscelis sexlineatus", dt.datetime(2023, 5, 16), 71, 1],
            ],
            key=str,
        )
        assert sheet["B6"].number_format == "yyyy-mm-dd"

    def test_what_stands_below_moves_down_and_sums_reach_over_all_rows(self, result: tuple[Season, Any]) -> None:
        book = result[1]
        sheet = book["Form 2"]
        assert (sheet["A9"].value, sheet["D9"].value) == ("Total", "=SUM(D6:D8)")
        assert sheet["A10"].value == "Signature"
        assert [str(one) for one in sheet.merged_cells.ranges] == ["A10:C10"]
        assert sheet.row_dimensions[10].height == 44
        assert book["Look up"]["A1"].value == "=SUM('Form 2'!D6:D8)"
        assert sheet.print_area == "'Form 2'!$A$1:$F$10"

    def test_looks_and_formulas_of_the_first_row_go_down(self, result: tuple[Season, Any]) -> None:
        sheet = result[1]["Form 2"]
        assert [sheet[f"E{row}"].value for row in (6, 7, 8)] == ["=D6*2", "=D7*2", "=D8*2"]
        assert {sheet[f"A{row}"].fill.fgColor.rgb for row in (6, 7, 8)} == {"00FFFF00"}
        assert sheet.row_dimensions[8].height == 30
        assert sheet["A5"].font.bold

    def test_print_set_up_and_rules_of_the_cells_are_kept(self, result: tuple[Season, Any]) -> None:
        sheet = result[1]["Form 2"]
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.print_title_rows == "$5:$5"
        assert [str(one.sqref) for one in sheet.conditional_formatting] == ["D6:D8"]
        assert [str(one.sqref) for one in sheet.data_validations.dataValidation] == ["F6:F8"]

    def test_answers_stand_in_cells_and_in_the_printed_heading(self, result: tuple[Season, Any]) -> None:
        sheet = result[1]["Form 2"]
        assert sheet["A1"].value == "Report of Ada Example under permit 31-7"
        assert sheet["B2"].value == dt.datetime(2023, 5, 1)
        assert sheet["B3"].value == 24
        assert sheet.oddHeader.left.text == "Permit 31-7"

    def test_the_header_that_nothing_answers_is_told(self, result: tuple[Season, Any]) -> None:
        assert told(result[0], "agency-form-asks-for-more") == ["Weather"]
        assert told(result[0], "agency-form-not-recognised") == []


def test_named_cells_are_filled_and_unknown_ones_told(tmp_path: Path) -> None:
    def make(book: Any) -> None:
        sheet = book.active
        sheet.title = "Cover's page"
        for name, cell in (("Permit_number", "$B$2"), ("Who", "$B$3"), ("Trap_checks", "$B$4"), ("Other", "$B$5")):
            book.defined_names[name] = DefinedName(name, attr_text=f"'Cover''s page'!{cell}")
        sheet["B5"] = "keep"

    more = '[share.agency.cells]\nWho = "Permit holder"\n"Cover\'s page!C9" = "Animals captured"\nNobody = "Agency"\n'
    season, path = filled(tmp_path, template(tmp_path, make), more + '"Cover\'s page!D1" = "Moon"\n')
    sheet = openpyxl.load_workbook(path)["Cover's page"]
    assert [sheet[f"B{row}"].value for row in (2, 3, 4, 5)] == ["31-7", "Ada Example", 2, "keep"]
    assert sheet["C9"].value == 4
    assert told(season, "agency-name-means-nothing") == ["Nobody"]
    assert told(season, "agency-form-asks-for-more") == ["'Moon'"]


def test_placeholders_without_an_answer_stay_and_are_told(tmp_path: Path) -> None:
    def make(book: Any) -> None:
        book.active["A1"] = "{{Permit number}} and {{Colour of the moon}}"
        book.active["A2"] = "{{Area}}"

    season, path = filled(tmp_path, template(tmp_path, make))
    assert openpyxl.load_workbook(path).active["A1"].value == "31-7 and {{Colour of the moon}}"
    assert told(season, "agency-form-asks-for-more") == ["{{Colour of the moon}}"]
    assert told(season, "agency-form-stays-blank") == ["{{Area}}"]


def test_a_template_of_which_nothing_is_known_is_told(tmp_path: Path) -> None:
    season, path = filled(tmp_path, template(tmp_path, lambda book: book.active.append(["Foo", "Bar"])))
    assert told(season, "agency-form-not-recognised") == ["form.xlsx"]
    assert openpyxl.load_workbook(path).active["A1"].value == "Foo"


def test_a_sheet_can_be_named_for_a_table_or_left_alone(tmp_path: Path) -> None:
    def make(book: Any) -> None:
        book.active.title = "Anhang 1"
        book.active.append(["Art", "Anzahl"])
        book.create_sheet("Species").append(["Scientific name", "Captured"])

    more = (
        '[share.agency.template_sheets]\n"Anhang 1" = "Species"\nSpecies = ""\n'
        '[share.agency.columns]\n"Species: Scientific name" = "Art"\n"Species: Captured" = "Anzahl"\n'
    )
    _, path = filled(tmp_path, template(tmp_path, make), more)
    book = openpyxl.load_workbook(path)
    rows = {tuple(cell.value for cell in row) for row in book["Anhang 1"].iter_rows(min_row=2)}
    assert rows == {("Aspidoscelis sexlineatus", 2), ("Gastrophryne olivacea", 2)}
    assert book["Species"].max_row == 1


def test_pictures_tables_and_filters_of_a_template_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "form.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Captures")
        chart = book.add_chart({"type": "column"})
        chart.add_series({"values": "=Captures!$B$2:$B$3"})
        sheet.add_table("A1:B2", {"columns": [{"header": "Site"}, {"header": "Number"}]})
        sheet.insert_chart("D2", chart)
    _, form = filled(tmp_path, path)
    with zipfile.ZipFile(form) as packed, zipfile.ZipFile(path) as before:
        assert set(packed.namelist()) == set(before.namelist())
        assert 'ref="A1:B4"' in packed.read("xl/tables/table1.xml").decode()
    assert [row[1].value for row in openpyxl.load_workbook(form)["Captures"].iter_rows(min_row=2)] == [1, 2, 1]


def test_typed_text_is_never_a_formula_in_the_form(tmp_path: Path) -> None:
    _, path = filled(tmp_path, template(tmp_path, lambda book: book.active.append(["Remarks", "Site", "Date"])))
    cells = [cell for row in openpyxl.load_workbook(path).active.iter_rows() for cell in row]
    assert any("=HYPERLINK" in str(cell.value) for cell in cells)
    assert {cell.data_type for cell in cells} <= {"s", "d", "n", "inlineStr"}


def test_a_text_column_of_the_form_gets_dates_as_text(tmp_path: Path) -> None:
    def make(book: Any) -> None:
        book.active.append(["Site", "Date"])
        book.active["B2"].number_format = "@"

    _, path = filled(tmp_path, template(tmp_path, make))
    assert openpyxl.load_workbook(path).active["B2"].value == "2023-05-15"


def test_columns_too_narrow_for_dates_are_widened_and_others_keep_their_width(tmp_path: Path) -> None:
    path = tmp_path / "form.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Captures")
        sheet.set_column("A:C", 6)
        sheet.set_column("E:E", 20)
        for at, header in enumerate(("Site", "Date", "Number", "Sex", "SVL [mm]")):
            sheet.write_string(0, at, header)
    _, form = filled(tmp_path, path)
    with zipfile.ZipFile(form) as packed:
        text = packed.read("xl/worksheets/sheet1.xml").decode()
    widths = {
        column: float(width) for column, width in re.findall(r'<col min="(\d)" max="\1" width="([\d.]+)"', text)
    }
    assert widths["2"] == 11
    assert widths["1"] == widths["3"] < 7
    assert widths["5"] > 20


def test_the_template_itself_is_untouched_and_two_fillings_are_the_same(tmp_path: Path) -> None:
    path = template(tmp_path, full_form)
    before = path.read_bytes()
    first, second = tmp_path / "first", tmp_path / "second"
    first.mkdir()
    second.mkdir()
    assert filled(first, path)[1].read_bytes() == filled(second, path)[1].read_bytes()
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"", b"no workbook", b"PK\x03\x04 broken"])
def test_what_is_no_workbook_is_refused_with_its_name(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "form.xlsx"
    path.write_bytes(content)
    with pytest.raises(UnreadableFile, match=r"form\.xlsx is no workbook that can be filled"):
        filled(tmp_path, path)


def test_names_that_are_none_of_ours_are_told_with_what_may_be_meant(tmp_path: Path) -> None:
    more = (
        'only_sheets = ["Summary", "Capturs"]\n[share.agency.sheets]\nMarks = "M"\nMark = "X"\n'
        '[share.agency.columns]\nSVL = "L"\n"Captures: Sex" = ""\n"Captures: Sx" = "S"\n'
    )
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    entries = SITES_TABLE + LOG_TABLE + CAPTURES_TABLE
    season = prepared(tmp_path, files, entries, HEAD + PERMIT + more + PEOPLE)
    assert told(season, "agency-name-means-nothing") == ["Captures: Sx", "Capturs", "Mark"]
    found = season.findings.query("rule == 'agency-name-means-nothing'").set_index("value")["message"]
    assert "perhaps 'Captures' is meant" in found["Capturs"]


def test_sheets_and_columns_are_picked_in_the_agencys_order(tmp_path: Path) -> None:
    more = (
        'only_sheets = ["Captures", "Species"]\n'
        '[share.agency.only_columns]\nCaptures = ["Scientific name", "Date", "SVL"]\n'
    )
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    entries = SITES_TABLE + LOG_TABLE + CAPTURES_TABLE
    given = sharable(prepared(tmp_path / "survey", files, entries, HEAD + PERMIT + more + PEOPLE))
    parts = (given.tables, given.account(), given.questions, given.metadata, given.survey, given.boundary)
    write_agency_copy(AgencyInput(*parts), tmp_path)
    book = openpyxl.load_workbook(tmp_path / "PT-2023.xlsx")
    assert book.sheetnames == ["Captures", "Species"]
    assert [cell.value for cell in book["Captures"][3]] == ["Scientific name", "Date", "SVL [mm]"]


class TestReferences:
    @pytest.mark.parametrize(
        ("formula", "after"),
        [
            ("SUM(C5:C14)", "SUM(C5:C17)"),
            ("C13+C14", "C13+C17"),
            ("$C$20*C2", "$C$23*C2"),
            ("Form!C14&Other!C14", "Form!C17&Other!C14"),
            ("'Form'!A1:B20", "'Form'!A1:B23"),
            ('IF(A20="C14",LOG10(A20),A2)', 'IF(A23="C14",LOG10(A23),A2)'),
            ("Total_C14+C14x", "Total_C14+C14x"),
        ],
    )
    def test_rows_put_in_move_what_stands_below(self, formula: str, after: str) -> None:
        assert with_rows_put_in(formula, True, "Form", 14, 3) == after

    def test_a_copied_formula_keeps_what_is_held_with_a_dollar_sign(self) -> None:
        assert copied_to("$A5+B$5+$C$5+Other!D5:D6", 10, 1) == "$A15+C$5+$C$5+Other!E15:E16"
