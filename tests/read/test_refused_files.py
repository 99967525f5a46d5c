"""Files that cannot be read are refused with a sentence that names the file and what to do."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.file_guard import MOST_INFLATION, is_lock_file
from dwc_pipeline.read.raw_files import find_files, read_file
from dwc_pipeline.read.workbook import OLE, read_workbook


def workbook_bytes() -> bytes:
    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream) as book:
        book.add_worksheet().write_row(0, 0, ["Trap", "Date"])
    return stream.getvalue()


def with_part(part: str, body: bytes) -> bytes:
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook_bytes())) as old,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for each in old.namelist():
            new.writestr(each, body if each == part else old.read(each))
    return stream.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
ENTITIES = b'<?xml version="1.0"?><!DOCTYPE worksheet [<!ENTITY a "aaaa">]><worksheet><sheetData/></worksheet>'


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"\0" * 5000, "is empty"),
        (workbook_bytes()[:-400], "damaged"),
        (with_part(SHEET, b"<worksheet><sheetData><row"), "damaged"),
        (with_part("xl/styles.xml", b"<styleSheet><fonts>"), "damaged"),
        (with_part(SHEET, ENTITIES), "document type"),
        (OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "password"),
        (OLE + b"\0" * 600 + "WordDocument".encode("utf-16-le"), "no workbook"),
        (OLE + b"\0" * 600 + "Workbook".encode("utf-16-le") + b"\0" * 900, "damaged"),
        (b"<html><table><tr><td>Trap</td></tr></table></html>", "web page"),
        (b"%PDF-1.7 ...", "PDF"),
    ],
    ids=["empty", "zeros", "cut off", "broken sheet", "broken styles", "entities", "encrypted", "letter",
         "broken xls", "web page", "pdf"],
)  # fmt: skip
def test_the_reason_and_the_remedy_are_told(tmp_path, content, says):
    path = tmp_path / "june.xls"
    path.write_bytes(content)
    with pytest.raises(UnreadableFile, match=says) as refused:
        read_file(path, "raw/june.xls")
    assert str(refused.value).startswith("raw/june.xls")


def test_plain_text_is_no_workbook_for_the_workbook_reader(tmp_path):
    path = tmp_path / "june.xls"
    path.write_text("Trap,Date\nF1,6/4/31\n")
    with pytest.raises(UnreadableFile, match="plain text"):
        read_workbook(path, "june.xls")


def test_a_package_made_to_fill_the_memory_is_refused_before_it_is_unpacked(tmp_path):
    path = tmp_path / "bomb.xlsx"
    path.write_bytes(with_part(SHEET, b" " * 60_000_000))
    assert MOST_INFLATION * path.stat().st_size < 60_000_000
    with pytest.raises(UnreadableFile, match="unpacks to"):
        read_workbook(path, "bomb.xlsx")


def test_other_packages_are_told_apart(tmp_path):
    for part, says in (("xl/workbook.bin", "xlsb"), ("photos/toad.jpg", "no workbook")):
        path = tmp_path / "x.xlsx"
        with zipfile.ZipFile(path, "w") as package:
            package.writestr(part, "x")
        with pytest.raises(UnreadableFile, match=says):
            read_workbook(path, "x.xlsx")


def test_missing_files_folders_and_lock_files_are_named(tmp_path):
    with pytest.raises(UnreadableFile, match="no such file"):
        read_file(tmp_path / "none.csv", "none.csv")
    with pytest.raises(UnreadableFile, match="folder"):
        read_file(tmp_path, "raw")
    lock = tmp_path / "~$june.xlsx"
    lock.write_bytes(b"\x05someone")
    assert is_lock_file(lock.name)
    with pytest.raises(UnreadableFile, match="lock file"):
        read_file(lock, "~$june.xlsx")


def test_a_number_too_large_for_a_time_is_told(tmp_path):
    path = tmp_path / "june.xlsx"
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet("Array 3").write_number(0, 0, 1e18, book.add_format({"num_format": "[h]:mm"}))
    with pytest.raises(UnreadableFile, match=r"june\.xlsx, sheet 'Array 3': .* too large"):
        read_workbook(path, "june.xlsx")


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    part=st.sampled_from(["xl/workbook.xml", "xl/styles.xml", SHEET]),
    at=st.floats(0, 0.999),
    put=st.binary(max_size=4),
)
def test_whatever_is_broken_inside_a_workbook_it_is_refused_or_read(tmp_path, part, at, put):
    with zipfile.ZipFile(io.BytesIO(workbook_bytes())) as package:
        body = package.read(part)
    place = int(at * len(body))
    path = tmp_path / "june.xlsx"
    path.write_bytes(with_part(part, body[:place] + put + body[place + len(put) + 1 :]))
    try:
        assert len(read_workbook(path, "june.xlsx")) == 1
    except UnreadableFile as refused:
        assert str(refused).startswith("june.xlsx")  # noqa: PT017  # either end is right


def test_a_file_that_another_program_keeps_locked_says_so(tmp_path, monkeypatch):
    def refuse(_: Path) -> bytes:
        raise PermissionError

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(UnreadableFile, match="locked by another program"):
        read_file(tmp_path / "june.xlsx", "june.xlsx")


class TestWhichFiles:
    def test_text_under_a_workbooks_name_is_read_and_told(self, tmp_path):
        path = tmp_path / "june.xls"
        path.write_text("Trap,Date\nF1,6/4/31\n")
        (sheet,) = read_file(path, "june.xls")
        assert sheet.value(2, 1) == "F1"
        assert [each["rule"] for each in sheet.found] == ["file-ending-does-not-fit"]

    def test_a_workbook_under_a_text_files_name_is_read_and_told(self, tmp_path):
        path = tmp_path / "june.csv"
        path.write_bytes(workbook_bytes())
        (sheet,) = read_file(path, "june.csv")
        assert sheet.value(1, 2) == "Date"
        assert "file-ending-does-not-fit" in {each["rule"] for each in sheet.found}

    def test_a_workbook_that_is_open_elsewhere_is_told(self, tmp_path):
        (tmp_path / "june.xlsx").write_bytes(workbook_bytes())
        (tmp_path / "~$june.xlsx").write_bytes(b"\x05someone")
        (sheet,) = read_file(tmp_path / "june.xlsx", "june.xlsx")
        assert [each["rule"] for each in sheet.found] == ["file-open-in-another-program"]

    def test_patterns_name_each_file_once_and_no_lock_files(self, tmp_path):
        for name in ("b.csv", "a.csv", "~$a.csv", "c.xlsx"):
            (tmp_path / name).write_text("x")
        assert [path.name for path in find_files(tmp_path, ["*.csv", "a*", "c.xlsx"])] == ["a.csv", "b.csv", "c.xlsx"]

    def test_a_pattern_without_a_file_is_an_error(self, tmp_path):
        with pytest.raises(UnreadableFile, match=r"No file matches 'raw/\*\.xlsx'"):
            find_files(tmp_path, ["raw/*.xlsx"])
