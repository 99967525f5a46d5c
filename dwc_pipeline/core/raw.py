"""What a raw file holds before anything is interpreted: sheets, and the tables found on them.

Rows and columns are numbered from 1 as a person counts them; a cell's column is also named by its letter.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple

import pandas as pd

Cell = str | float | int | bool | dt.datetime | dt.date | dt.time | dt.timedelta


class CellRange(NamedTuple):
    """A block of cells, both ends included, numbered from 1."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int


def column_letter(number: int) -> str:
    """The letter of a column counted from 1.

    >>> column_letter(1), column_letter(28)
    ('A', 'AB')
    """
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """The number of a column from its letter.

    >>> column_number("AB")
    28
    """
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def colour_cause(file: str, sheet: str, colour: str) -> str:
    """What a question about a fill colour is bound to: one sheet of one file."""
    return f"{file}\x1f{sheet}\x1f{colour}"


def plain_text(value: Cell | None) -> str:
    """A cell's value as text when its number format is not known.

    >>> plain_text(7.0), plain_text(7.25), plain_text(dt.date(2031, 5, 4)), plain_text(dt.time(7, 5))
    ('7', '7.25', '2031-05-04', '07:05')
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        # Spreadsheets keep 15 digits; what lies beyond is noise of binary arithmetic.
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(float(f"{value:.15g}"))
    if isinstance(value, dt.datetime):
        return value.isoformat(sep=" ", timespec="seconds" if value.second else "minutes")
    if isinstance(value, dt.time):
        return value.isoformat(timespec="seconds" if value.second else "minutes")
    if isinstance(value, dt.timedelta):
        minutes, seconds = divmod(round(value.total_seconds()), 60)
        hours, minutes = divmod(minutes, 60)
        return f"{hours:02d}:{minutes:02d}" + (f":{seconds:02d}" if seconds else "")
    return str(value) if isinstance(value, int) else value.isoformat()


def stored_iso(value: Cell | None) -> str:
    """The date or time that the file itself stores in the cell, in ISO 8601; "" for any other kind of cell.

    >>> stored_iso(dt.datetime(2031, 5, 4, 7, 5)), stored_iso("5/4/31")
    ('2031-05-04T07:05', '')
    """
    if isinstance(value, dt.datetime):
        return value.isoformat(timespec="seconds" if value.second else "minutes")
    if isinstance(value, dt.date | dt.time):
        return plain_text(value)
    if isinstance(value, dt.timedelta) and 0 <= value.total_seconds() < 86400:
        return plain_text(value)
    return ""


@dataclass(frozen=True)
class RawSheet:
    """One sheet of a workbook, or one delimited file, every cell as the file has it.

    file: path as the person knows it. sheet: sheet name; "" for delimited text.
    values: rows of typed cells, dense from A1 ("" for a blank cell); rows may differ in length.
    shown: text that a person sees where the cell's format makes it differ from `plain_text(value)`.
    errors: error text such as "#REF!". uncomputed: formulas whose value the file does not hold.
    comments, struck, fills (RRGGBB): what only formatting says; keys are (row, column) from 1.
    facts: how the file was read: "encoding", "delimiter", "date system", "format".
    found: what the reader itself has to tell, each made by core.findings.finding_at.
    """

    file: str
    sheet: str
    values: Sequence[Sequence[Cell]]
    shown: Mapping[tuple[int, int], str] = field(default_factory=dict)
    errors: Mapping[tuple[int, int], str] = field(default_factory=dict)
    uncomputed: frozenset[tuple[int, int]] = frozenset()
    comments: Mapping[tuple[int, int], str] = field(default_factory=dict)
    struck: frozenset[tuple[int, int]] = frozenset()
    fills: Mapping[tuple[int, int], str] = field(default_factory=dict)
    merged: tuple[CellRange, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    is_hidden: bool = False
    facts: Mapping[str, str] = field(default_factory=dict)
    found: tuple[dict[str, object], ...] = ()

    @cached_property
    def width(self) -> int:
        """Number of columns in the widest row."""
        return max((len(row) for row in self.values), default=0)

    def value(self, row: int, column: int) -> Cell:
        """The typed value at a place; "" outside the sheet."""
        if 1 <= row <= len(self.values) and 1 <= column <= len(self.values[row - 1]):
            return self.values[row - 1][column - 1]
        return ""

    def text(self, row: int, column: int) -> str:
        """What a person sees in the cell, error texts included."""
        place = (row, column)
        return self.errors.get(place) or self.shown.get(place) or plain_text(self.value(row, column))


class RowRole(StrEnum):
    """What a row of a sheet is, before its content is interpreted."""

    DATA = "data"
    HEADER = "header"
    TITLE = "title or note above the table"
    REPEATED_HEADER = "repeated header"
    TOTAL = "total or average"
    NOTE = "note between or below the rows"
    OUTSIDE = "outside the tables"


@dataclass(frozen=True)
class RawTable:
    """One table found on a sheet, as text.

    number: which table on its sheet, from 1. header_rows: sheet rows that make the header (may be empty).
    headers: one per column, several header rows joined by a space, as typed.
    text: index = sheet row numbers of the data rows, columns = column letters, every cell as shown
    (merged values spread over what they cover), "" for a blank cell, dtype object holding str.
    stored: the same rows for those columns that hold typed dates or times, in ISO 8601, "" elsewhere.
    roles: one line for each row of the table's part of the sheet that is not blank:
    index = sheet row, columns `role` (RowRole) and `reason` (how it was recognised).
    above: cells over the header by address, such as {"B2": "Array 3"}.
    why: how the header was recognised, in words.
    """

    raw: RawSheet
    number: int
    header_rows: tuple[int, ...]
    headers: tuple[str, ...]
    text: pd.DataFrame
    stored: pd.DataFrame
    roles: pd.DataFrame
    above: Mapping[str, str] = field(default_factory=dict)
    why: str = ""

    @property
    def file(self) -> str:
        """Path of the file as the person knows it."""
        return self.raw.file

    @property
    def sheet(self) -> str:
        """Name of the sheet; "" for delimited text."""
        return self.raw.sheet

    @property
    def header_of(self) -> dict[str, str]:
        """Column letter -> header."""
        return dict(zip(self.text.columns, self.headers, strict=True))
