"""OpenDocument spreadsheets, on a file written by hand after OpenDocument 1.3 part 3."""

from __future__ import annotations

import datetime as dt
import zipfile
from pathlib import Path

import pytest

from dwc_pipeline.core.raw import CellRange, RawSheet
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.ods_content import seen_text
from dwc_pipeline.read.workbook import read_workbook

SPACES = " ".join(
    f'xmlns:{prefix}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for prefix, name in (("office", "office"), ("table", "table"), ("text", "text"), ("style", "style"),
                         ("fo", "xsl-fo-compatible"))
)  # fmt: skip
STYLES = """
<office:automatic-styles>
  <style:style style:name="struck" style:family="table-cell">
    <style:text-properties style:text-line-through-style="solid"/></style:style>
  <style:style style:name="grey" style:family="table-cell">
    <style:table-cell-properties fo:background-color="#c0c0c0"/></style:style>
  <style:style style:name="gone" style:family="text">
    <style:text-properties style:text-line-through-style="solid"/></style:style>
  <style:style style:name="hidden" style:family="table"><style:table-properties table:display="false"/></style:style>
</office:automatic-styles>"""
ROWS = """
<table:table table:name="Array 3">
  <table:table-column/><table:table-column table:visibility="collapse"/>
  <table:table-column table:number-columns-repeated="3"/>
  <table:table-row table:number-rows-repeated="2">
    <table:table-cell table:number-columns-repeated="5"/></table:table-row>
  <table:table-row>
    <table:table-cell/>
    <table:table-cell office:value-type="string"><text:p>Trap</text:p></table:table-cell>
    <table:table-cell office:value-type="string"><office:annotation><text:p>checked by RT</text:p></office:annotation>
      <text:p>Date</text:p></table:table-cell>
    <table:table-cell office:value-type="string"><text:p>Mass</text:p></table:table-cell>
  </table:table-row>
  <table:table-row>
    <table:table-cell/>
    <table:table-cell office:value-type="float" office:value="7"><text:p>007</text:p></table:table-cell>
    <table:table-cell office:value-type="date" office:date-value="2031-06-04">
      <text:p>04/06/31</text:p></table:table-cell>
    <table:table-cell table:style-name="grey" office:value-type="float" office:value="12.5">
      <text:p>12.5</text:p></table:table-cell>
  </table:table-row>
  <table:table-row table:visibility="collapse">
    <table:table-cell/>
    <table:table-cell table:style-name="struck" office:value-type="string"><text:p>F2</text:p></table:table-cell>
    <table:table-cell office:value-type="string">
      <text:p>12 <text:span text:style-name="gone">13</text:span> mm</text:p></table:table-cell>
    <table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="">
      <text:p>#DIV/0!</text:p></table:table-cell>
    <table:table-cell table:formula="of:=1+1"/>
  </table:table-row>
  <table:table-row>
    <table:table-cell/>
    <table:table-cell table:number-columns-spanned="3" table:number-rows-spanned="1" office:value-type="string">
      <text:p>closed</text:p></table:table-cell>
    <table:covered-table-cell table:number-columns-repeated="2"/>
  </table:table-row>
  <table:table-row table:number-rows-repeated="1048570">
    <table:table-cell table:number-columns-repeated="1024"/></table:table-row>
</table:table>
<table:table table:name="old" table:style-name="hidden">
  <table:table-row><table:table-cell office:value-type="string">
      <text:p>x</text:p></table:table-cell></table:table-row>
</table:table>"""


def write_ods(path: Path, tables: str, manifest: str = "") -> Path:
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {SPACES}>{STYLES}'
        f"<office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", content)
        package.writestr("META-INF/manifest.xml", manifest or "<manifest/>")
    return path


@pytest.fixture
def sheet(tmp_path: Path) -> RawSheet:
    return read_workbook(write_ods(tmp_path / "june.ods", ROWS), "june.ods")[0]


def test_values_stand_at_their_addresses(sheet):
    assert sheet.value(3, 2) == "Trap"
    assert sheet.value(4, 3) == dt.date(2031, 6, 4)
    assert sheet.value(4, 4) == 12.5
    assert sheet.facts["format"] == "ods"


def test_a_comment_is_no_part_of_the_value(sheet):
    assert sheet.value(3, 3) == "Date"
    assert sheet.comments == {(3, 3): "checked by RT"}


def test_the_seen_text_is_kept(sheet):
    assert sheet.text(4, 2) == "007"
    assert sheet.text(4, 3) == "04/06/31"


def test_errors_and_formulas_without_a_result_are_known(sheet):
    assert sheet.errors == {(5, 4): "#DIV/0!"}
    assert sheet.uncomputed == {(5, 5)}


def test_struck_coloured_merged_and_hidden_cells_are_known(sheet):
    assert sheet.struck == {(5, 2)}
    assert sheet.facts["partly struck C5"] == "12 [13] mm"
    assert sheet.fills == {(4, 4): "C0C0C0"}
    assert sheet.merged == (CellRange(6, 2, 6, 4),)
    assert sheet.hidden_rows == {5}
    assert sheet.hidden_columns == {2}


def test_a_hidden_sheet_is_known(tmp_path):
    sheets = read_workbook(write_ods(tmp_path / "june.ods", ROWS), "june.ods")
    assert [each.is_hidden for each in sheets] == [False, True]


def test_a_protected_file_is_refused(tmp_path):
    path = write_ods(tmp_path / "locked.ods", ROWS, "<manifest><encryption-data/></manifest>")
    with pytest.raises(UnreadableFile, match="password"):
        read_workbook(path, "locked.ods")


def test_cells_that_reach_too_far_are_refused_by_name(tmp_path):
    blank = '<table:table-cell table:number-columns-repeated="1024"/>'
    oops = '<table:table-cell office:value-type="string"><text:p>oops</text:p></table:table-cell>'
    assert blank in ROWS
    far = ROWS.replace(blank, blank + oops)
    with pytest.raises(UnreadableFile, match=r"Array 3.*too far"):
        read_workbook(write_ods(tmp_path / "far.ods", far), "far.ods")


@pytest.mark.parametrize(
    ("seen", "kind", "stored", "shown"),
    [
        ("007", "float", "7", "007"),
        ("12.35", "float", "12.3456", ""),
        ("26%", "percentage", "0.255", "25.5%"),
        ("12 mm", "float", "12", "12 mm"),
        ("4. Juni", "date", "", "4. Juni"),
    ],
)
def test_no_digit_is_lost_to_a_seen_text(seen, kind, stored, shown):
    assert seen_text(seen, kind, stored) == shown
