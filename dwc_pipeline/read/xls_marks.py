"""Marks of every sheet of an old binary workbook (xls)."""

from __future__ import annotations

import os
import struct
from typing import Any

import numpy as np
import xlrd

from dwc_pipeline.core.raw import CellRange, column_letter
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.number_format import writer_for
from dwc_pipeline.read.sheet_marks import Marks, Place
from dwc_pipeline.read.xlsx_package import NO_COLOUR

#: how the reader of this old format fails on broken bytes; it has no error of its own for most of them.
_BROKEN = (xlrd.compdoc.CompDocError, struct.error, IndexError, KeyError, ValueError, AssertionError, OverflowError,
           TypeError, AttributeError, MemoryError)  # fmt: skip


def read_xls_marks(content: bytes, name: str) -> tuple[bytes, list[Marks]]:
    """The bytes as they are, and the marks of each worksheet."""
    try:
        with open(os.devnull, "w") as nowhere:
            book = xlrd.open_workbook(file_contents=content, formatting_info=True, logfile=nowhere)
        facts = {"date system": "1904"} if book.datemode else {}
        struck, colours, codes = _styles(book)
        return content, [_marks_of(book, sheet, struck, colours, codes, facts) for sheet in book.sheets()]
    except xlrd.XLRDError as problem:
        if "encrypt" in str(problem).lower():
            raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.") from None
        raise _damaged(name) from None
    except _BROKEN:
        raise _damaged(name) from None


def _damaged(name: str) -> UnreadableFile:
    return UnreadableFile(
        f"{name} is damaged and cannot be read. Open and save it again as .xlsx in a spreadsheet program, or take it "
        f"from a backup."
    )


def _styles(book: Any) -> tuple[set[int], dict[int, str], dict[int, str]]:
    """Style numbers in struck type, style number -> colour, style number -> number format."""
    struck, colours, codes = set(), {}, {}
    for number, style in enumerate(book.xf_list):
        if book.font_list[style.font_index].struck_out:
            struck.add(number)
        if style.background.fill_pattern == 1:
            colour = book.colour_map.get(style.background.pattern_colour_index)
            text = "".join(f"{part:02X}" for part in colour) if colour else ""
            if text not in NO_COLOUR:
                colours[number] = text
        written = book.format_map.get(style.format_key)
        # formats 14 and 22 follow the reader's own settings
        if written is not None and style.format_key not in (14, 22) and writer_for(written.format_str):
            codes[number] = written.format_str
    return struck, colours, codes


def _marks_of(
    book: Any, sheet: Any, struck: set[int], colours: dict[int, str], codes: dict[int, str], facts: dict[str, str]
) -> Marks:
    telling = struck | colours.keys() | codes.keys()
    styled: list[tuple[int, int, int]] = []
    errors: dict[Place, str] = {}
    struck_places: set[Place] = set()
    partly: dict[str, str] = {}
    for row in range(sheet.nrows):
        for column, kind in enumerate(sheet.row_types(row)):
            if kind == xlrd.XL_CELL_EMPTY:
                continue
            style = sheet.cell_xf_index(row, column)
            if style in telling:
                styled.append((row + 1, column + 1, style))
            if kind == xlrd.XL_CELL_ERROR:
                code = sheet.cell_value(row, column)
                errors[row + 1, column + 1] = xlrd.error_text_from_code.get(code, "#ERROR")
            elif style in struck and kind != xlrd.XL_CELL_BLANK:
                struck_places.add((row + 1, column + 1))
    for (row, column), runs in sheet.rich_text_runlist_map.items():
        marked = _marked_text(book, sheet, row, column, runs)
        if marked:
            partly[f"partly struck {column_letter(column + 1)}{row + 1}"] = marked
            struck_places.discard((row + 1, column + 1))
        elif marked == "":
            struck_places.add((row + 1, column + 1))
    block = np.array(styled, dtype=np.int64).reshape(-1, 3)
    return Marks(
        sheet=sheet.name,
        is_hidden=bool(sheet.visibility),
        codes=codes,
        colours=colours,
        styled_rows=block[:, 0],
        styled_columns=block[:, 1],
        styled_numbers=block[:, 2],
        errors=errors,
        comments={(row + 1, column + 1): note.text for (row, column), note in sheet.cell_note_map.items()},
        struck=struck_places,
        merged=tuple(CellRange(top + 1, left + 1, below, right) for top, below, left, right in sheet.merged_cells),
        hidden_rows={row + 1 for row, facts_of_row in sheet.rowinfo_map.items() if facts_of_row.hidden},
        hidden_columns={column + 1 for column, about in sheet.colinfo_map.items() if about.hidden},
        facts={**facts, **partly},
    )


def _marked_text(book: Any, sheet: Any, row: int, column: int, runs: list[tuple[int, int]]) -> str | None:
    """The text with its struck part in [ ]; "" if all of it is struck, None if nothing is."""
    text = str(sheet.cell_value(row, column))
    first_font = book.xf_list[sheet.cell_xf_index(row, column)].font_index
    starts = [(0, first_font), *runs]
    pieces = []
    for place, (start, font) in enumerate(starts):
        after = starts[place + 1][0] if place + 1 < len(starts) else len(text)
        pieces.append((bool(book.font_list[font].struck_out), text[start:after]))
    if not any(struck and piece.strip() for struck, piece in pieces):
        return None
    if all(struck or not piece.strip() for struck, piece in pieces):
        return ""
    return "".join(f"[{piece}]" if struck else piece for struck, piece in pieces)
