"""A raw sheet as arrays: what is filled, what it shows, and what kind of content it is. Positions count from 0."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from dwc_pipeline.core.raw import Cell, CellRange, RawSheet, column_letter, plain_text, stored_iso

_VALUE_LIKE = re.compile(r"\s*[-+~<>≤≥≈±(]?\s*\.?\d")
_DATE_LIKE = re.compile(r"\s*\d{1,4}[/.\-]\d{1,2}(?:[/.\-]\d{1,4})?\b|\s*\d{1,2}[- ]?[A-Za-z]{3,9}\b")
_MOMENTS = (dt.date, dt.time, dt.timedelta)


@dataclass(frozen=True)
class Grid:
    """The cells of a sheet.

    values: typed values, rows x columns, "" where blank. text: what a person sees; equal texts of a column are one
    object, so that later steps compare them fast. filled: true for cells that hold something, errors and formulas
    without a value included; cells of spaces alone count as blank. timed: true for columns with typed dates or times.
    named: headers that the survey file names for this sheet.
    """

    sheet: RawSheet
    values: np.ndarray
    text: np.ndarray
    filled: np.ndarray
    timed: np.ndarray
    named: frozenset[str] = frozenset()

    @property
    def height(self) -> int:
        """Number of rows."""
        return int(self.filled.shape[0])

    @property
    def width(self) -> int:
        """Number of columns."""
        return int(self.filled.shape[1])

    @cached_property
    def merged(self) -> tuple[CellRange, ...]:
        """Merged ranges in positions from 0."""
        return tuple(CellRange(*(number - 1 for number in each)) for each in self.sheet.merged)

    def is_value(self, row: int, column: int) -> bool:
        """True for numbers, dates, truth values and text that begins like a number."""
        value = self.values[row, column]
        if isinstance(value, str):
            return bool(_VALUE_LIKE.match(value)) or (row + 1, column + 1) in self.sheet.errors
        return True

    def is_date(self, row: int, column: int) -> bool:
        """True for dates and times, and text that looks like a date."""
        value = self.values[row, column]
        return isinstance(value, _MOMENTS) or (isinstance(value, str) and bool(_DATE_LIKE.match(value)))

    def rows_filled(self, columns: Sequence[int], first: int = 0, after: int | None = None) -> np.ndarray:
        """How many of the columns are filled in each row from `first` to before `after`."""
        return np.asarray(self.filled[first:after][:, list(columns)].sum(axis=1))

    def filled_in(self, row: int, columns: Sequence[int]) -> list[int]:
        """The columns that are filled in the row."""
        return [column for column in columns if self.filled[row, column]]

    def address(self, row: int, column: int) -> str:
        """The cell's address as a person names it."""
        return f"{column_letter(column + 1)}{row + 1}"


def grid_of(sheet: RawSheet, named: frozenset[str] = frozenset()) -> Grid:
    """The sheet as arrays; columns are handled whole, distinct values once."""
    height = max([len(sheet.values), *(row for row, _ in sheet.errors), *(row for row, _ in sheet.uncomputed)])
    width = max([sheet.width, *(column for _, column in sheet.errors), *(column for _, column in sheet.uncomputed)])
    values = np.empty((height, width), dtype=object, order="F")  # columns are what is read
    if height and width:
        values[:] = [[*row, *([""] * (width - len(row)))] for row in sheet.values] + [
            [""] * width for _ in range(height - len(sheet.values))
        ]
    text = np.empty_like(values)
    filled = np.empty(values.shape, dtype=bool, order="F")
    timed = np.zeros(width, dtype=bool)
    for column in range(width):
        cells = values[:, column].tolist()
        kinds = set(map(type, cells))
        timed[column] = any(issubclass(kind, _MOMENTS) for kind in kinds)
        codes, texts = pd.factorize(np.array(texts_of(cells, kinds), dtype=object), use_na_sentinel=False)
        text[:, column] = texts[codes]
        filled[:, column] = np.array([bool(each.strip()) for each in texts], dtype=bool)[codes]
    for overlay in (sheet.shown, sheet.errors):
        for (row, column), shown in overlay.items():
            if row <= height and column <= width:
                text[row - 1, column - 1] = shown
                filled[row - 1, column - 1] = bool(shown.strip())
    for row, column in sheet.uncomputed:
        filled[row - 1, column - 1] = True
    return Grid(sheet, values, text, filled, timed, named)


def texts_of(column: list[Cell], kinds: set[type]) -> list[str]:
    """The plain text of every value of a column. kinds: the types of the values."""
    if kinds <= {str}:
        return column  # type: ignore[return-value]  # all are str
    if bool in kinds:  # True equals 1, so distinct values would mix them up
        return [value if isinstance(value, str) else plain_text(value) for value in column]
    texts = {value: value if isinstance(value, str) else plain_text(value) for value in set(column)}
    return [texts[value] for value in column]


def stored_of(column: list[Cell]) -> list[str] | None:
    """Dates and times of a column in ISO 8601, "" elsewhere; None if it holds no typed date or time."""
    if not any(issubclass(kind, _MOMENTS) for kind in set(map(type, column))):
        return None
    stored: dict[Cell, str] = {value: stored_iso(value) for value in set(column) if isinstance(value, _MOMENTS)}
    return [stored.get(value, "") for value in column]
