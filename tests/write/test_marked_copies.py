"""Marked copies: the cells of findings, what is kept of the raw file, and that the raw file stays as it was."""

from __future__ import annotations

import datetime as dt
import hashlib
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
import xlsxwriter
from click.testing import CliRunner
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, write_survey

from dwc_pipeline import cli
from dwc_pipeline.core.raw import CellRange, RawSheet
from dwc_pipeline.core.review import FINDING_COLUMNS
from dwc_pipeline.read.raw_files import find_files, read_file
from dwc_pipeline.write.marked.copies import copy_names, write_marked_copies, write_marked_copy
from dwc_pipeline.write.marked.marks import FILLS
from dwc_pipeline.write.marked.raw_copy import RawFile

LOG = (
    "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\nA1,,checked and closed,2023-05-15,07:40,,\n"
)
CAPTURES = (
    "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
    "A1,2023-05-15,07:40,F3,Aspidoscelis sexlineatus,M,ad,seventy?,148,9.1,,new,=1+1,,1\n"
)


def finding(row: int, column: str, **more: Any) -> dict[str, Any]:
    told = dict.fromkeys(FINDING_COLUMNS, "") | {
        "finding": "f1", "severity": "error", "rule": "some-fault", "file": "raw/june.xlsx", "sheet": "May",
        "row": row, "column": column, "value": "7", "message": "seven is wrong", "remedy": "Write eight.",
    }  # fmt: skip
    return told | more


def findings(*rows: dict[str, Any]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=list(FINDING_COLUMNS))


@pytest.fixture
def workbook(tmp_path: Path) -> RawFile:
    """A workbook with what people do to theirs."""
    path = tmp_path / "june.xlsx"
    book = xlsxwriter.Workbook(str(path), {"strings_to_formulas": False})
    page, notes = book.add_worksheet("May"), book.add_worksheet("Notes")
    yellow, struck = book.add_format({"bg_color": "#FFFF00"}), book.add_format({"font_strikeout": True})
    for at, header in enumerate(("Date", "Trap", "SVL")):
        page.write_string(0, at, header)
    page.write_datetime(1, 0, dt.datetime(2031, 5, 4), book.add_format({"num_format": "yyyy-mm-dd"}))
    page.write_string(1, 1, "F3", yellow)
    page.write_number(1, 2, 71)
    page.write_string(2, 1, "=F4", struck)
    page.write_formula(2, 2, "=C2+1", None, 72)
    page.write_comment(1, 2, "measured twice")
    page.merge_range(3, 0, 4, 0, "5 May")
    page.set_row(2, None, None, {"hidden": True})
    page.set_column(1, 1, 17, None, {"hidden": True})
    notes.hide()
    book.close()
    return RawFile(path, "raw/june.xlsx", read_file(path, "raw/june.xlsx"))


def marked(file: RawFile, folder: Path, found: pd.DataFrame) -> Any:
    before = hashlib.sha256(file.path.read_bytes()).hexdigest()
    (path,) = write_marked_copies([file], found, folder)
    assert hashlib.sha256(file.path.read_bytes()).hexdigest() == before
    return openpyxl.load_workbook(path)


def test_the_cell_is_filled_and_says_rule_fault_and_remedy(workbook: RawFile, tmp_path: Path) -> None:
    book = marked(workbook, tmp_path / "m", findings(finding(2, "A", suggestions="8 | 9")))
    cell = book["May"]["A2"]
    assert cell.fill.fgColor.rgb.endswith(FILLS["error"])
    for text in ("some-fault", "seven is wrong", "Write eight.", "8 | 9"):
        assert text in cell.comment.text
    assert cell.value == dt.datetime(2031, 5, 4)
    assert cell.number_format == "yyyy-mm-dd"


def test_the_first_sheet_lists_the_findings_with_links_and_explains_the_colours(
    workbook: RawFile, tmp_path: Path
) -> None:
    book = marked(workbook, tmp_path / "m", findings(finding(2, "A"), finding(0, "", severity="note")))
    first = book.worksheets[0]
    texts = [str(cell.value) for row in first.iter_rows() for cell in row if cell.value]
    assert texts[0] == "2 findings in raw/june.xlsx"
    assert any(text.startswith("warning: ") for text in texts)
    links = [cell.hyperlink.location for row in first.iter_rows() for cell in row if cell.hyperlink]
    assert links == ["'May'!A2", "'May'!A1"]
    assert book.active is first
    assert [page.title for page in book.worksheets[1:]] == ["May", "Notes"]


def test_what_the_raw_file_says_by_its_formatting_is_kept(workbook: RawFile, tmp_path: Path) -> None:
    book = marked(workbook, tmp_path / "m", findings(finding(2, "B"), finding(2, "C")))
    page = book["May"]
    assert page["B3"].font.strike
    assert page.row_dimensions[3].hidden
    assert page.column_dimensions["B"].hidden
    assert book["Notes"].sheet_state == "hidden"
    assert "FFFF00" in page["B2"].comment.text
    assert "measured twice" in page["C2"].comment.text


def test_text_stays_text_and_no_formula_is_left(workbook: RawFile, tmp_path: Path) -> None:
    book = marked(workbook, tmp_path / "m", findings(finding(2, "A", value="=2+2", message="=HYPERLINK(1)")))
    assert (book["May"]["B3"].value, book["May"]["B3"].data_type) == ("=F4", "s")
    assert book["May"]["C3"].value == 72
    assert not [cell for page in book for row in page.iter_rows() for cell in row if cell.data_type == "f"]


def test_a_finding_on_a_merged_cell_stands_where_the_person_sees_it(workbook: RawFile, tmp_path: Path) -> None:
    page = marked(workbook, tmp_path / "m", findings(finding(5, "A")))["May"]
    assert "some-fault" in page["A4"].comment.text


def test_a_finding_on_a_row_stands_on_its_first_filled_cell(workbook: RawFile, tmp_path: Path) -> None:
    page = marked(workbook, tmp_path / "m", findings(finding(3, "")))["May"]
    assert "some-fault" in page["B3"].comment.text


def test_two_findings_on_one_cell_show_the_graver_colour(workbook: RawFile, tmp_path: Path) -> None:
    found = findings(finding(2, "A"), finding(2, "A", severity="note", rule="other-fault"))
    cell = marked(workbook, tmp_path / "m", found)["May"]["A2"]
    assert cell.fill.fgColor.rgb.endswith(FILLS["error"])
    assert "other-fault" in cell.comment.text


def test_what_was_waived_is_not_marked(workbook: RawFile, tmp_path: Path) -> None:
    book = marked(workbook, tmp_path / "m", findings(finding(2, "A", waived="seen in the hand")))
    assert book["May"]["A2"].comment is None
    texts = [str(cell.value) for row in book.worksheets[0].iter_rows() for cell in row if cell.value]
    assert texts[0] == "Nothing was found in raw/june.xlsx"
    assert any("waived" in text for text in texts)


def test_the_same_input_gives_the_same_bytes(workbook: RawFile, tmp_path: Path) -> None:
    found = findings(finding(2, "A"))
    one, two = (write_marked_copies([workbook], found, tmp_path / name)[0].read_bytes() for name in ("a", "b"))
    assert one == two


def test_parts_that_are_not_carried_are_named(workbook: RawFile, tmp_path: Path) -> None:
    with zipfile.ZipFile(workbook.path, "a") as book:
        book.writestr("xl/media/image1.png", b"")
        book.writestr("xl/vbaProject.bin", b"")
    first = marked(workbook, tmp_path / "m", findings()).worksheets[0]
    texts = " ".join(str(cell.value) for row in first.iter_rows() for cell in row if cell.value)
    assert "pictures" in texts
    assert "macros" in texts
    assert "formulas" in texts


def test_a_workbook_that_cannot_be_copied_whole_is_copied_by_value(
    workbook: RawFile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise KeyError("styles")

    monkeypatch.setattr("dwc_pipeline.write.marked.raw_copy.load_workbook", refuse)
    (path,) = write_marked_copies([workbook], findings(finding(2, "B")), tmp_path / "m")
    book = openpyxl.load_workbook(path)
    assert book["May"]["B2"].value == "F3"
    assert "some-fault" in book["May"]["B2"].comment.text
    assert "only values" in " ".join(str(row[0].value) for row in book.worksheets[0].iter_rows())


def test_a_copy_of_values_keeps_what_formatting_said(tmp_path: Path) -> None:
    sheet = RawSheet(
        "old.xls", "A5", (("Date", "n", "Mark"), (dt.datetime(2031, 5, 4), 3.0, 12.0), ("bad\x01", True, "")),
        shown={(2, 3): "0012"}, errors={(3, 3): "#REF!"}, comments={(2, 2): "seen"}, struck=frozenset({(2, 1)}),
        fills={(2, 2): "00FF00"}, merged=(CellRange(4, 1, 5, 1),), hidden_rows=frozenset({3}),
        hidden_columns=frozenset({2}), facts={"format": "xls"},
    )  # fmt: skip
    file = RawFile(tmp_path / "old.xls", "old.xls", [sheet])
    book = openpyxl.load_workbook(
        write_marked_copy(file, findings(finding(2, "B", file="old.xls", sheet="A5")), tmp_path / "old.xlsx")
    )
    page = book["A5"]
    assert (page["A2"].value, page["B2"].value, page["C2"].value) == (dt.datetime(2031, 5, 4), 3, "0012")
    assert (page["A3"].value, page["C3"].value) == ("bad\ufffd", "#REF!")
    assert page["A2"].font.strike
    assert page.row_dimensions[3].hidden
    assert page.column_dimensions["B"].hidden
    assert "seen" in page["B2"].comment.text
    assert "00FF00" in page["B2"].comment.text


def test_every_copy_has_a_name_of_its_own() -> None:
    names = copy_names(["a.csv", "A.CSV.xlsx", "b/a.csv"])
    assert len({name.casefold() for name in names}) == 3


@pytest.fixture
def survey(tmp_path: Path) -> Path:
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    return write_survey(tmp_path, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)


def test_check_marks_a_text_file_in_a_workbook_beside_the_survey_file(survey: Path) -> None:
    before = {path: path.read_bytes() for path in survey.parent.iterdir()}
    result = CliRunner().invoke(cli.main, ["check", str(survey), "--mark"])
    assert result.exit_code == 1, result.output
    assert {path: path.read_bytes() for path in before} == before
    page = openpyxl.load_workbook(survey.parent / "marked" / "captures.csv.xlsx")["captures"]
    assert (page["M2"].value, page["M2"].data_type) == ("=1+1", "s")
    assert "quantity-not-readable" in page["H2"].comment.text


def test_marked_copies_are_never_read_as_raw_files(survey: Path) -> None:
    CliRunner().invoke(cli.main, ["check", str(survey), "--mark"])
    assert [path.name for path in find_files(survey.parent, ["**/*.csv*"]) if path.suffix == ".xlsx"] == []


def test_run_puts_the_marked_copies_into_its_output(survey: Path) -> None:
    result = CliRunner().invoke(cli.main, ["run", str(survey), "--mark"])
    assert result.exit_code == 1, result.output
    assert (survey.parent / "out" / "marked" / "captures.csv.xlsx").is_file()
    assert CliRunner().invoke(cli.main, ["run", str(survey)]).exit_code == 1


def test_a_folder_of_somebody_else_is_not_replaced(survey: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("all of it", encoding="utf-8")
    result = CliRunner().invoke(cli.main, ["check", str(survey), "--mark", "--out", str(tmp_path / "mine")])
    assert result.exit_code == 2
    assert (tmp_path / "mine" / "thesis.txt").read_text(encoding="utf-8") == "all of it"


def test_options_that_have_no_meaning_are_refused(survey: Path) -> None:
    result = CliRunner().invoke(cli.main, ["check", str(survey), "--out", "x"])
    assert result.exit_code == 2
    assert "--mark" in result.output
