"""What an xlsx workbook says of its cells beyond their values, on small workbooks made here."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.styles import Font, PatternFill
from openpyxl.styles.colors import Color

from dwc_pipeline.core.raw import CellRange
from dwc_pipeline.read.sheet_marks import LARGEST_AREA
from dwc_pipeline.read.workbook import read_workbook
from dwc_pipeline.read.xlsx_package import StruckText
from dwc_pipeline.read.xlsx_sheet import is_plain, scan_any, scan_plain


def rewrite(path: Path, part: str, change) -> None:
    """Change one part of a workbook on disk."""
    with zipfile.ZipFile(path) as package:
        parts = {each.filename: package.read(each) for each in package.infolist()}
    parts[part] = change(parts[part])
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, body in parts.items():
            package.writestr(name, body)


@pytest.fixture
def messy(tmp_path: Path) -> Path:
    """One sheet with every kind of mark, written by xlsxwriter."""
    path = tmp_path / "messy.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Array 3")
        padded = book.add_format({"num_format": "000"})
        day = book.add_format({"num_format": "d/m/yy"})
        struck, grey = book.add_format({"font_strikeout": True}), book.add_format({"bg_color": "#C0C0C0"})
        sheet.write_row("B2", ["Trap", "Date", "Mass"])
        sheet.write_number("B3", 7, padded)
        sheet.write_datetime("C3", dt.datetime(2031, 6, 4), day)
        sheet.write_formula("D3", "=1/0", None, "#DIV/0!")
        sheet.write_string("B4", "F2 ", struck)
        sheet.write_number("D4", 12.5, grey)
        sheet.write_formula("D5", "=D4*2", None, 25)
        sheet.write_comment("B4", "escaped, RT")
        sheet.merge_range("B6:D6", "closed by flood")
        sheet.write_string("B7", "\u00a0")
        sheet.write_blank("C4", None, grey)
        sheet.set_row(4, None, None, {"hidden": True})
        sheet.set_column("G:G", None, None, {"hidden": True})
        book.add_worksheet("old").hide()
    return path


class TestMarks:
    def test_values_stand_at_their_addresses(self, messy):
        sheet = read_workbook(messy, "messy.xlsx")[0]
        assert sheet.value(2, 2) == "Trap"
        assert sheet.value(1, 1) == ""
        assert sheet.value(3, 3) == dt.date(2031, 6, 4)
        assert sheet.value(5, 4) == 25.0

    def test_spaces_and_no_break_spaces_stay_as_typed(self, messy):
        sheet = read_workbook(messy, "messy.xlsx")[0]
        assert sheet.value(4, 2) == "F2 "
        assert sheet.value(7, 2) == "\u00a0"

    def test_number_formats_give_the_text_that_is_seen(self, messy):
        assert read_workbook(messy, "messy.xlsx")[0].shown == {(3, 2): "007", (3, 3): "4/6/31"}

    def test_an_error_is_not_a_blank(self, messy):
        sheet = read_workbook(messy, "messy.xlsx")[0]
        assert sheet.errors == {(3, 4): "#DIV/0!"}
        assert sheet.text(3, 4) == "#DIV/0!"

    def test_struck_coloured_merged_hidden_and_commented_cells_are_known(self, messy):
        shown, hidden = read_workbook(messy, "messy.xlsx")
        assert shown.struck == {(4, 2)}
        assert shown.fills == {(4, 4): "C0C0C0", (4, 3): "C0C0C0"}
        assert shown.merged == (CellRange(6, 2, 6, 4),)
        assert shown.hidden_rows == {5}
        assert shown.hidden_columns == {7}
        assert shown.comments[4, 2] == "escaped, RT"
        assert (shown.is_hidden, hidden.is_hidden) == (False, True)

    def test_an_empty_sheet_is_told(self, messy):
        assert [each["rule"] for each in read_workbook(messy, "messy.xlsx")[1].found] == ["sheet-is-empty"]


class TestFormulas:
    def test_a_formula_without_a_stored_result_is_neither_zero_nor_text(self, tmp_path):
        book = openpyxl.Workbook()
        book.active["A1"], book.active["B1"] = "=1+1", 3
        book.save(tmp_path / "made.xlsx")
        sheet = read_workbook(tmp_path / "made.xlsx", "made.xlsx")[0]
        assert sheet.uncomputed == {(1, 1)}
        assert sheet.text(1, 1) == ""
        assert sheet.value(1, 2) == 3

    def test_a_formula_whose_result_is_an_empty_text_is_computed(self, tmp_path):
        path = tmp_path / "empty_text.xlsx"
        with xlsxwriter.Workbook(path) as book:
            book.add_worksheet().write_formula("A1", '=""', None, "x")
            book.worksheets()[0].write_string("B1", "y")
        rewrite(path, "xl/worksheets/sheet1.xml", lambda xml: xml.replace(b"<v>x</v>", b"<v></v>"))
        assert read_workbook(path, "x")[0].uncomputed == frozenset()

    def test_a_zero_result_is_named_where_the_writer_left_the_calculation_to_others(self, tmp_path):
        path = tmp_path / "zero.xlsx"
        with xlsxwriter.Workbook(path) as book:
            book.add_worksheet().write_formula("B2", "=SUM(A1:A9)")
        assert "formula result zero B2" in read_workbook(path, "x")[0].facts


class TestStruckText:
    def test_a_partly_struck_text_is_a_fact_and_no_struck_cell(self, tmp_path):
        path = tmp_path / "rich.xlsx"
        with xlsxwriter.Workbook(path) as book:
            sheet, struck = book.add_worksheet(), book.add_format({"font_strikeout": True})
            sheet.write_rich_string("B2", "12 ", struck, "13", " mm")
        sheet = read_workbook(path, "x")[0]
        assert sheet.facts["partly struck B2"] == "12 [13] mm"
        assert sheet.struck == frozenset()

    def test_rich_text_that_is_struck_throughout_is_a_struck_cell(self, tmp_path):
        book = openpyxl.Workbook()
        struck = InlineFont(strike=True)
        book.active["A1"] = CellRichText(TextBlock(struck, "all "), TextBlock(struck, "of it"))
        book.active["A2"] = CellRichText("half ", TextBlock(struck, "gone"))
        book.save(tmp_path / "rich.xlsx")
        sheet = read_workbook(tmp_path / "rich.xlsx", "x")[0]
        assert sheet.struck == {(1, 1)}
        assert sheet.facts["partly struck A2"] == "half [gone]"


class TestColours:
    def test_theme_colours_are_named_with_their_tint(self, tmp_path):
        book = openpyxl.Workbook()
        book.active["A1"], book.active["A2"] = "x", "y"
        book.active["A1"].fill = PatternFill("solid", fgColor=Color(theme=3, tint=0.4))
        book.active["A2"].fill = PatternFill("solid", fgColor=Color(theme=0))
        book.save(tmp_path / "theme.xlsx")
        assert read_workbook(tmp_path / "theme.xlsx", "x")[0].fills == {(1, 1): "theme3+0.4"}

    def test_white_is_no_colour(self, tmp_path):
        book = openpyxl.Workbook()
        book.active["A1"] = "x"
        book.active["A1"].fill = PatternFill("solid", fgColor="FFFFFFFF")
        book.save(tmp_path / "white.xlsx")
        assert read_workbook(tmp_path / "white.xlsx", "x")[0].fills == {}


def test_dates_that_count_from_1904_are_read_rightly(tmp_path):
    path = tmp_path / "mac.xlsx"
    with xlsxwriter.Workbook(path, {"date_1904": True}) as book:
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        book.add_worksheet().write_datetime("A1", dt.datetime(2031, 6, 4), day)
    sheet = read_workbook(path, "x")[0]
    assert sheet.value(1, 1) == dt.date(2031, 6, 4)
    assert sheet.facts["date system"] == "1904"


def test_a_conversation_on_a_cell_gives_its_words_alone(tmp_path):
    path = tmp_path / "thread.xlsx"
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet().write_string("A1", "x")
        book.worksheets()[0].write_comment("A1", "[Threaded comment] Your version allows you to read this ...")
    rels = "xl/worksheets/_rels/sheet1.xml.rels"
    kind = b"http://schemas.microsoft.com/office/2017/10/relationships/threadedComment"
    link = b'<Relationship Id="rId9" Type="' + kind + b'" Target="../threadedComments/threadedComment1.xml"/>'
    rewrite(path, rels, lambda xml: xml.replace(b"</Relationships>", link + b"</Relationships>"))
    thread = (
        b'<ThreadedComments xmlns="http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments">'
        b'<threadedComment ref="A1"><text>is this the toad?</text></threadedComment>'
        b'<threadedComment ref="A1"><text>yes</text></threadedComment></ThreadedComments>'
    )
    with zipfile.ZipFile(path, "a") as package:
        package.writestr("xl/threadedComments/threadedComment1.xml", thread)
    assert read_workbook(path, "x")[0].comments == {(1, 1): "is this the toad?\nyes"}


class TestStrayCells:
    def make(self, path: Path, place: str) -> None:
        with xlsxwriter.Workbook(path) as book:
            sheet = book.add_worksheet("Array 3")
            for row in range(20):
                sheet.write_row(row, 0, [f"F{row}", row, "x"])
            sheet.write_string(place, "oops")

    def test_a_cell_at_the_very_end_of_the_sheet_is_left_out_and_named(self, tmp_path):
        self.make(tmp_path / "far.xlsx", "XFD1048576")
        sheet = read_workbook(tmp_path / "far.xlsx", "far.xlsx")[0]
        assert len(sheet.values) == 20
        assert sheet.width == 3
        (found,) = sheet.found
        assert (found["rule"], found["row"], found["column"], found["value"]) == (
            "stray-cell-far-away", 1048576, "XFD", "oops",
        )  # fmt: skip

    def test_a_long_narrow_sheet_is_read_whole(self, tmp_path):
        self.make(tmp_path / "long.xlsx", "A200000")
        sheet = read_workbook(tmp_path / "long.xlsx", "long.xlsx")[0]
        assert LARGEST_AREA > 3 * 200_000
        assert sheet.value(200_000, 1) == "oops"


class TestTwoWaysToTheMarks:
    """The search of the bytes and the walk over every element must agree."""

    def sheet_xml(self, path: Path) -> bytes:
        with zipfile.ZipFile(path) as package:
            return package.read("xl/worksheets/sheet1.xml")

    @pytest.mark.parametrize("maker", ["xlsxwriter", "openpyxl"])
    def test_they_agree(self, messy, tmp_path, maker):
        path = messy
        if maker == "openpyxl":
            book = openpyxl.load_workbook(messy)
            path = tmp_path / "again.xlsx"
            book.save(path)
        xml = self.sheet_xml(path)
        assert is_plain(xml)
        telling, struck = frozenset(range(1, 20)), StruckText(frozenset({0, 3}), {1: "a[b]"})
        plain, walked = scan_plain(xml, telling, struck), scan_any(xml, telling, struck, "part", "name")
        for name in (
            "errors",
            "uncomputed",
            "zero_results",
            "struck",
            "partly_struck",
            "hidden_rows",
            "hidden_columns",
        ):
            assert getattr(plain, name) == getattr(walked, name), name
        for name in ("styled_rows", "styled_columns", "styled_numbers"):
            assert getattr(plain, name).tolist() == getattr(walked, name).tolist(), name

    @pytest.mark.parametrize(
        "change",
        [
            lambda xml: re.sub(rb'<c r="([A-Z]+\d+)" s="(\d+)"', rb'<c s="\2" r="\1"', xml),
            lambda xml: xml.replace(b"<sheetData>", b"<!-- a remark --><sheetData>"),
            lambda xml: re.sub(rb"<(/?)(\w)", rb"<\1x:\2", xml.replace(b"xmlns=", b"xmlns:x=")),
        ],
        ids=["style first", "a remark inside", "a name-space prefix"],
    )
    def test_files_written_in_unusual_ways_give_the_same_sheet(self, messy, change):
        before = read_workbook(messy, "x")[0]
        rewrite(messy, "xl/worksheets/sheet1.xml", change)
        assert not is_plain(self.sheet_xml(messy))
        assert read_workbook(messy, "x")[0] == before

    def test_cells_without_addresses_are_counted_from_the_left(self, messy):
        xml = re.sub(rb' r="[A-Z]*\d+"', b"", self.sheet_xml(messy))
        assert not is_plain(xml)
        marks = scan_any(xml, frozenset(), StruckText(), "part", "name")
        assert marks.errors == {(2, 3): "#DIV/0!"}  # the second row written, the third cell written in it


class TestAgainstAnotherReader:
    """Cross-check with openpyxl, an independent reader of the same standard (ECMA-376)."""

    def test_values_merges_comments_strikes_and_fills_agree(self, tmp_path):
        book = openpyxl.Workbook()
        sheet = book.active
        for row in range(1, 40):
            for column in range(1, 8):
                cell = sheet.cell(row, column, f"r{row}c{column}" if column % 3 else row * column / 4)
                if (row * column) % 11 == 0:
                    cell.font = Font(strike=True)
                if (row + column) % 7 == 0:
                    cell.fill = PatternFill("solid", fgColor="FFCC9900")
                if (row * column) % 53 == 0:
                    cell.comment = Comment(f"note {row}", "somebody")
        sheet.merge_cells("B3:C4")
        sheet.merge_cells("A10:A14")
        path = tmp_path / "both.xlsx"
        book.save(path)
        ours, theirs = read_workbook(path, "x")[0], openpyxl.load_workbook(path).active
        cells = [cell for row in theirs.iter_rows() for cell in row]
        assert {(c.row, c.column): c.value for c in cells if c.value is not None} == {
            (row, column): value
            for row, values in enumerate(ours.values, 1)
            for column, value in enumerate(values, 1)
            if value != ""
        }
        assert ours.struck == {(c.row, c.column) for c in cells if c.font.strike and c.value is not None}
        assert set(ours.fills) == {(c.row, c.column) for c in cells if c.fill.fill_type == "solid"}
        assert set(ours.fills.values()) == {"CC9900"}
        assert ours.comments == {(c.row, c.column): c.comment.text for c in cells if c.comment}
        assert {tuple(each) for each in ours.merged} == {
            (r.min_row, r.min_col, r.max_row, r.max_col) for r in theirs.merged_cells.ranges
        }
