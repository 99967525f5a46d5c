"""A workbook that shows a raw file as it is: the workbook itself where it is one, else its values."""

from __future__ import annotations

import copy
import datetime as dt
import re
import warnings
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.utils.exceptions import InvalidFileException

from dwc_pipeline.core.raw import Cell, RawSheet, column_letter
from dwc_pipeline.write.agency.workbook import LONGEST_TEXT, tab_names

WORKBOOK_FORMATS = ("xlsx", "xlsm")
#: parts of a workbook that a copy does not carry, by the path they have in the file
NOT_CARRIED = {
    "xl/media/": "pictures",
    "xl/vbaproject.bin": "macros",
    "xl/externallinks/": "links to other files",
    "xl/activex/": "buttons and form controls",
    "xl/ctrlprops/": "buttons and form controls",
    "xl/threadedcomments/": "replies to comments",
    "xl/slicers/": "slicers",
    "xl/diagrams/": "diagrams",
}
KEPT_OF_VALUES = "values, comments, fills, merged, struck and hidden cells"
FORMULAS = "formulas (their cells show the values that the file holds)"
#: characters that no cell of a workbook can hold. Source: XML 1.0, 2.2
NOT_IN_A_CELL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
CANNOT_OPEN = (ValueError, KeyError, TypeError, AttributeError, IndexError, OSError, SyntaxError)
#: the day before which a workbook knows no dates that all programs agree on
FIRST_DAY = dt.date(1900, 3, 1)
#: rows looked at for the width of a column, and its limits. [rows, characters]
ROWS_SEEN, LEAST_WIDTH, MOST_WIDTH = 200, 6, 40
AUTHOR = "dwc-pipeline"


@dataclass(frozen=True)
class RawFile:
    """A raw file and its sheets as they were read. name: the path as the person knows it."""

    path: Path
    name: str
    sheets: Sequence[RawSheet]


@dataclass(frozen=True)
class RawCopy:
    """book: an openpyxl workbook. tabs: sheet as findings name it -> its tab. lost: what the copy does not carry."""

    book: Any
    tabs: dict[str, Any]
    lost: tuple[str, ...]


def copy_of(file: RawFile) -> RawCopy:
    """A workbook that looks like the raw file, in memory; the file is only read."""
    if file.sheets and file.sheets[0].facts.get("format") in WORKBOOK_FORMATS:
        try:
            return _same_workbook(file)
        except (*CANNOT_OPEN, InvalidFileException, zipfile.BadZipFile):
            return _values_only(file, ("formats, formulas and drawings: only values could be copied from this file",))
    return _values_only(file, _lost_of_values(file))


def _same_workbook(file: RawFile) -> RawCopy:
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        book = load_workbook(file.path, data_only=True, rich_text=True, keep_links=False)
    for page in book.worksheets:
        page._images = []  # whether they could be carried would depend on what else is installed
        page.sheet_view.tabSelected = False
    with zipfile.ZipFile(file.path) as opened:
        names = [name.lower() for name in opened.namelist()]
    lost = [what for part, what in NOT_CARRIED.items() if any(name.startswith(part) for name in names)]
    said = sorted({str(one.message).splitlines()[0] for one in told})
    return RawCopy(book, {page.title: page for page in book.worksheets}, _each_once([FORMULAS, *lost, *said]))


def _each_once(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(lines))


def _lost_of_values(file: RawFile) -> tuple[str, ...]:
    if file.sheets and file.sheets[0].facts.get("format") in ("xls", "ods"):
        return (f"formulas, drawings, fonts and borders: only {KEPT_OF_VALUES} were copied",)
    return ()


def _values_only(file: RawFile, lost: tuple[str, ...]) -> RawCopy:
    book = Workbook()
    book.remove(book.active)
    book.properties.creator = AUTHOR
    tabs = {}
    names = tab_names([sheet.sheet or file.path.stem for sheet in file.sheets])
    for name, sheet in zip(names, file.sheets, strict=True):
        tabs[sheet.sheet] = page = book.create_sheet(name)
        _fill_in(page, sheet)
    return RawCopy(book, tabs, lost)


def _set_widths(page: Any, sheet: RawSheet) -> None:
    """Columns as wide as their first rows need. [characters]"""
    for at in range(1, sheet.width + 1):
        longest = max(
            (len(sheet.text(row, at)) for row in range(1, min(len(sheet.values), ROWS_SEEN) + 1)), default=0
        )
        page.column_dimensions[column_letter(at)].width = min(max(longest + 2, LEAST_WIDTH), MOST_WIDTH)


def _fill_in(page: Any, sheet: RawSheet) -> None:
    """The values of a sheet, and what only its formatting said."""
    for number, cells in enumerate(sheet.values, 1):
        for at, value in enumerate(cells, 1):
            place = (number, at)
            text = sheet.errors.get(place) or sheet.shown.get(place)
            if text or value != "":
                write_value(page.cell(number, at), text or value)
    for row, at in set(sheet.errors) - {(cell.row, cell.column) for cell in page._cells.values()}:
        write_text(page.cell(row, at), sheet.errors[(row, at)])
    for (row, at), text in sheet.comments.items():
        page.cell(row, at).comment = Comment(NOT_IN_A_CELL.sub("?", text), AUTHOR)
    for (row, at), colour in sheet.fills.items():
        page.cell(row, at).fill = PatternFill("solid", fgColor=colour)
    for row, at in sheet.struck:
        cell = page.cell(row, at)
        cell.font = struck_through(cell.font)
    for part in sheet.merged:
        page.merge_cells(None, *part)
    _set_widths(page, sheet)
    for row in sheet.hidden_rows:
        page.row_dimensions[row].hidden = True
    for column in sheet.hidden_columns:
        page.column_dimensions[column_letter(column)].hidden = True
    page.sheet_state = "hidden" if sheet.is_hidden else "visible"


def struck_through(font: Any) -> Any:
    """The font with a line through it."""
    changed = copy.copy(font)
    changed.strike = True
    return changed


def write_value(cell: Any, value: Cell) -> None:
    """A number or date as such, anything else as text."""
    is_date = isinstance(value, dt.datetime) and value.date() >= FIRST_DAY
    if is_date or isinstance(value, bool | int | float):
        cell.value = value
    else:
        write_text(cell, value if isinstance(value, str) else str(value))


def write_text(cell: Any, text: str) -> None:
    """Text that stays text, whatever it begins with."""
    plain = NOT_IN_A_CELL.sub("\ufffd", text)[:LONGEST_TEXT]
    cell.value = plain
    cell.data_type = "s"
    if plain[:1] in ("=", "+", "-", "@"):
        cell.quotePrefix = True
