"""Workbooks of every common kind as raw sheets: xlsx and xlsm, xls, ods.

Values come from one fast reader; what only formatting says (errors, comments, struck type, fills, hidden rows,
number formats) from a second look at the file's own parts.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import python_calamine as calamine

from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.raw import Cell, CellRange, RawSheet, column_letter
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.file_guard import lock_findings, open_package, read_bytes
from dwc_pipeline.read.ods_content import read_ods_marks
from dwc_pipeline.read.sheet_marks import Marks
from dwc_pipeline.read.xls_marks import read_xls_marks
from dwc_pipeline.read.xlsx_marks import read_xlsx_marks

#: the first bytes of an old binary workbook (and of an encrypted new one): an OLE compound file.
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ZIP = b"PK\x03\x04"

STRAY_CELL = declare(
    Rule(
        id="stray-cell-far-away",
        severity=Severity.WARNING,
        what="A filled cell stands far from everything else on the sheet, and was not read.",
        why="Such cells are mostly slips of the hand; a record typed there would be missing from the numbers.",
        remedy="Go to the cell (Ctrl+End leads to the last one). Delete it, or move it to where it belongs.",
    )
)
SHEET_IS_EMPTY = declare(
    Rule(
        id="sheet-is-empty",
        severity=Severity.NOTE,
        what="A sheet of the workbook holds no cell.",
        why="A season's sheet that should hold captures may have been cleared or never filled.",
        remedy="Nothing to do if the sheet is a spare one.",
    )
)


def workbook_kind(content: bytes, name: str) -> str:
    """'xlsx', 'xls' or 'ods' by the content of the file; UnreadableFile for everything else, saying what it is."""
    if content.startswith(OLE):
        return _kind_of_compound_file(content, name)
    if not content.startswith(ZIP):
        raise UnreadableFile(f"{name} is not a workbook but {_what_text_is(content)}")
    with open_package(content, name) as package:
        parts = {part.filename for part in package.infolist()}
        if any(part.flag_bits & 1 for part in package.infolist()):
            raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.")
        if any(part.lower().endswith("workbook.bin") for part in parts):
            raise UnreadableFile(f"{name} is a binary workbook (xlsb). Save it as .xlsx and read that.")
        if "content.xml" in parts:
            return "ods"
        if any(part.lower().endswith("workbook.xml") for part in parts):
            return "xlsx"
    raise UnreadableFile(f"{name} is a zip file, but no workbook. Unpack it and name the files inside.")


def _kind_of_compound_file(content: bytes, name: str) -> str:
    if "EncryptedPackage".encode("utf-16-le") in content:
        raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.")
    if any(stream.encode("utf-16-le") in content for stream in ("Workbook", "Book")):
        return "xls"
    raise UnreadableFile(f"{name} is an old office file, but no workbook. Save the table in it as .xlsx.")


def _what_text_is(content: bytes) -> str:
    start = content[:2000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if start.startswith((b"<!doctype html", b"<html", b"<table", b"<meta")) or b"<html" in start:
        return "a web page with the name of one. Open it in a spreadsheet program and save it as .xlsx."
    if start.startswith(b"<"):
        return "an XML file with the name of one. Open it in a spreadsheet program and save it as .xlsx."
    if start.startswith(b"%pdf"):
        return "a PDF. Ask for the table it was made from."
    if b"\0" not in content[:2000]:
        return "plain text with the name of one. Rename it to .csv (or .txt) and read that."
    return "something else, or damaged. Open it in the program that made it and save it as .xlsx."


def read_workbook(path: Path, name: str) -> list[RawSheet]:
    """Every sheet of a workbook, hidden ones too, in order.

    name: the path as the person knows it, for addresses and messages. Raises UnreadableFile, with what to do,
    for files that are damaged, empty, locked, protected, too large or no workbook.
    """
    content = read_bytes(path, name)
    kind = workbook_kind(content, name)
    marks_reader = {"xlsx": read_xlsx_marks, "xls": read_xls_marks, "ods": read_ods_marks}[kind]
    content, all_marks = marks_reader(content, name)
    try:
        with calamine.CalamineWorkbook.from_filelike(io.BytesIO(content)) as workbook:
            sheets = [_raw_sheet(workbook, marks, name, kind) for marks in all_marks]
    except calamine.PasswordError:
        raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.") from None
    except calamine.CalamineError as problem:
        raise UnreadableFile(
            f"{name} is damaged and cannot be read ({problem}). Open and save it again in a spreadsheet program, or "
            f"take it from a backup."
        ) from None
    if not sheets:
        raise UnreadableFile(f"{name} holds no worksheet. Name the file that holds the tables.")
    open_elsewhere = tuple(lock_findings(path, name))
    if open_elsewhere:
        first = sheets[0]
        sheets[0] = RawSheet(**{**vars(first), "found": first.found + open_elsewhere})
    return sheets


def _raw_sheet(workbook: calamine.CalamineWorkbook, marks: Marks, name: str, kind: str) -> RawSheet:
    sheet = workbook.get_sheet_by_name(marks.sheet)
    values = _values(sheet, name, marks.sheet)
    for row, column in marks.uncomputed:  # the reader may give 0 for them
        if row <= len(values) and column <= len(values[row - 1]):
            values[row - 1][column - 1] = ""  # type: ignore[index]  # the reader's own lists
    merged = marks.merged
    if merged is None:
        merged = tuple(
            CellRange(first[0] + 1, first[1] + 1, last[0] + 1, last[1] + 1)
            for first, last in sheet.merged_cell_ranges or ()
        )
    return RawSheet(
        file=name,
        sheet=marks.sheet,
        values=values,
        shown=marks.shown(values),
        errors=marks.errors,
        uncomputed=frozenset(marks.uncomputed),
        comments=marks.comments,
        struck=frozenset(marks.struck),
        fills=marks.fills_within(values),
        merged=merged,
        hidden_rows=frozenset(row for row in marks.hidden_rows if row <= len(values)),
        hidden_columns=frozenset(marks.hidden_columns),
        is_hidden=marks.is_hidden,
        facts={"format": kind, **marks.facts},
        found=_reader_findings(marks, values, name),
    )


def _values(sheet: calamine.CalamineSheet, name: str, sheet_name: str) -> Sequence[Sequence[Cell]]:
    """The typed values of a sheet, dense from A1."""
    try:
        values: Sequence[Sequence[Cell]] = sheet.to_python(skip_empty_area=False)
    except BaseException as problem:
        # the reader of values stops with either, and the second is no Exception, at a date beyond its calendar
        if not isinstance(problem, OverflowError) and type(problem).__name__ != "PanicException":
            raise
        raise UnreadableFile(
            f"{name}, sheet {sheet_name!r}: a cell with the format of a date or a time holds a number too large for "
            f"one; it shows as ####. Give it a plain number format, save, and run again."
        ) from None
    return values


def _reader_findings(marks: Marks, values: Sequence[Sequence[Cell]], name: str) -> tuple[dict[str, object], ...]:
    found = []
    for (row, column), text in sorted(marks.stray.items()):
        message = (
            f"{column_letter(column)}{row} is filled, far away from the other cells of the sheet; it was left out."
        )
        found.append(
            finding_at(STRAY_CELL, message=message, file=name, sheet=marks.sheet, row=row,
                       column=column_letter(column), value=text)
        )  # fmt: skip
    if not values and not marks.stray:
        message = f"Sheet {marks.sheet!r} is empty."
        found.append(finding_at(SHEET_IS_EMPTY, message=message, file=name, sheet=marks.sheet))
    return tuple(found)
