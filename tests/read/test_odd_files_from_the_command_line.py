"""Damaged and odd files as the command line meets them: all of them named at once, or read as they are.

Sources of the files: ECMA-376 part 1 (workbooks), OpenDocument 1.3 part 3, made here cell by cell; the two date
systems: ECMA-376 part 1, 18.17.4.1.
"""

from __future__ import annotations

import datetime as dt
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from small_survey import TODAY, write_survey
from test_ods_workbook import write_ods

from dwc_pipeline import cli
from dwc_pipeline.core.accounts import balance, settle
from dwc_pipeline.read.run import read
from dwc_pipeline.reshape.run import reshape
from dwc_pipeline.settings import read_survey_file

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
TABLE = """
[[table]]
name = "captures"
holds = "capture"
files = [{files}]
columns = {{ Date = "eventDate", Array = "place", Species = "verbatimIdentification", Mass = "body_mass" }}
units = {{ body_mass = "g" }}
"""
ROWS = [["Date", "Array", "Species", "Mass"]] + [
    [dt.date(2023, 5, day), "A1", species, 10.5] for day, species in ((14, "SCCO"), (15, "THRA"), (16, "SPBO"))
]
TEXT = "Date,Array,Species,Mass\n2023-05-14,A1,SCCO,10.5\n2023-05-15,A1,THRA,10.5\n2023-05-16,A1,SPBO,10.5\n"


def survey_of(folder: Path, names: list[str]) -> Path:
    return write_survey(folder, {}, TABLE.format(files=", ".join(f'"{name}"' for name in names)))


def workbook(path: Path, change: Callable[[openpyxl.Workbook], None] = lambda _: None, shift: int = 0) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    for row, cells in enumerate(ROWS, 1 + shift):
        for column, value in enumerate(cells, 1 + shift):
            sheet.cell(row, column, value)
    change(book)
    book.save(path)


def bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("[Content_Types].xml", "<Types/>")
        package.writestr("xl/workbook.xml", "<workbook/>")
        package.writestr("xl/worksheets/sheet1.xml", b" " * 60_000_000)


def test_every_file_that_cannot_be_read_is_named_at_once_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "good.csv").write_text(TEXT, encoding="utf-8")
    (tmp_path / "encrypted.xlsx").write_bytes(OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"))
    (tmp_path / "page.xls").write_bytes(b"<html><table><tr><td>Trap</td></tr></table></html>")
    (tmp_path / "empty.csv").write_bytes(b"")
    workbook(tmp_path / "whole.xlsx")
    (tmp_path / "cut.xlsx").write_bytes((tmp_path / "whole.xlsx").read_bytes()[:-300])
    bomb(tmp_path / "bomb.xlsx")
    bad = ["encrypted.xlsx", "page.xls", "empty.csv", "cut.xlsx", "bomb.xlsx", "gone.csv"]
    path = survey_of(tmp_path, ["good.csv", *bad[:-1]])
    path.write_text(path.read_text(encoding="utf-8") + TABLE.format(files='"gone.csv"'), encoding="utf-8")
    result = CliRunner().invoke(cli.main, ["run", str(path)])
    assert result.exit_code == 2
    assert [name for name in bad if name not in result.output] == []
    assert "good.csv:" not in result.output
    assert not (tmp_path / "out").exists()
    assert not (tmp_path / "identifiers.csv").exists()


def test_a_draft_names_what_it_cannot_read_and_takes_the_rest(tmp_path: Path) -> None:
    (tmp_path / "good.csv").write_text(TEXT, encoding="utf-8")
    (tmp_path / "encrypted.xlsx").write_bytes(OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"))
    result = CliRunner().invoke(cli.main, ["draft", str(tmp_path), "--to", str(tmp_path / "survey.toml")])
    assert result.exit_code == 0
    assert "encrypted.xlsx" in result.output
    assert "good.csv" in (tmp_path / "survey.toml").read_text(encoding="utf-8")
    alone = ["draft", str(tmp_path / "encrypted.xlsx"), "--to", str(tmp_path / "other.toml")]
    refused = CliRunner().invoke(cli.main, alone)
    assert refused.exit_code == 2
    assert "password" in refused.output
    assert not (tmp_path / "other.toml").exists()


def stray(book: openpyxl.Workbook) -> None:
    book.active["XFD1048576"] = "x"


def merged_header(book: openpyxl.Workbook) -> None:
    book.active.insert_rows(1)
    book.active["A1"], book.active["C1"] = "Visit", "Animal"
    book.active.merge_cells("A1:B1")
    book.active.merge_cells("C1:D1")


def with_hidden(book: openpyxl.Workbook) -> None:
    hidden = book.create_sheet("old")
    hidden.append(["nothing here yet"])
    hidden.sheet_state = "hidden"


def with_error(book: openpyxl.Workbook) -> None:
    book.active["D3"] = "#REF!"
    book.active["D3"].data_type = "e"


def from_1904(book: openpyxl.Workbook) -> None:
    book.epoch = CALENDAR_MAC_1904


def repeated_ods(path: Path) -> None:
    def cells(values: list[str]) -> str:
        return "".join(
            f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
            for value in values
        )

    lines = [line.split(",") for line in TEXT.splitlines()]
    rows = "".join(f"<table:table-row>{cells(line)}</table:table-row>" for line in lines)
    rest = (
        '<table:table-row table:number-rows-repeated="1048000">'
        '<table:table-cell table:number-columns-repeated="1024"/></table:table-row>'
    )
    write_ods(path, f'<table:table table:name="S">{rows}{rest}</table:table>')


MAKERS: dict[str, Callable[[Path], object]] = {
    "stray.xlsx": lambda path: workbook(path, stray),
    "corner.xlsx": lambda path: workbook(path, shift=3),
    "merged.xlsx": lambda path: workbook(path, merged_header),
    "hidden.xlsx": lambda path: workbook(path, with_hidden),
    "error.xlsx": lambda path: workbook(path, with_error),
    "mac1904.xlsx": lambda path: workbook(path, from_1904),
    "win1900.xlsx": workbook,
    "repeated.ods": repeated_ods,
    "utf16.csv": lambda path: path.write_bytes(TEXT.encode("utf-16")),
    "text.xls": lambda path: path.write_text(TEXT, encoding="utf-8"),
    "mac.csv": lambda path: path.write_bytes(TEXT.replace("SPBO", "SPBO – señal größer").encode("mac_roman")),
    "ragged.csv": lambda path: path.write_text(TEXT.replace("THRA,10.5", "THRA"), encoding="utf-8"),
}
#: what else is told of a file, beside its three records
TOLD = {
    "stray.xlsx": "stray-cell-far-away",
    "error.xlsx": "cell-holds-a-spreadsheet-error",
    "hidden.xlsx": "sheet-hidden",
    "text.xls": "file-ending-does-not-fit",
    "ragged.csv": "ragged-line",
}


@pytest.mark.parametrize("name", MAKERS)
def test_an_odd_file_is_read_with_its_three_records_and_says_what_is_odd(tmp_path: Path, name: str) -> None:
    MAKERS[name](tmp_path / name)
    path = survey_of(tmp_path, [name])
    if name == "merged.xlsx":
        text = path.read_text(encoding="utf-8")
        for header, whole in (("Date", "Visit Date"), ("Array", "Visit Array"), ("Species", "Animal Species"),
                              ("Mass", "Animal Mass")):  # fmt: skip
            text = text.replace(f"{header} = ", f'"{whole}" = ')
        path.write_text(text, encoding="utf-8")
    survey = read_survey_file(path)
    records = reshape(read(survey, TODAY), survey)
    tidy = records.tidy["capture"]
    assert [day[:10] for day in tidy.stored_iso("eventDate").where(tidy.stored_iso("eventDate") != "",
                                                                   tidy.verbatim("eventDate"))] == [
        "2023-05-14", "2023-05-15", "2023-05-16"]  # fmt: skip
    assert [text[:4] for text in tidy.verbatim("verbatimIdentification")] == ["SCCO", "THRA", "SPBO"]
    balance(settle(records.rows), records.row_counts)
    if name in TOLD:
        assert TOLD[name] in records.findings["rule"].tolist()
