"""Merged cells: which cells of a block they cover, and their value spread over all of these."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dwc_pipeline.core.raw import CellRange
from dwc_pipeline.read.grid import Grid

#: a merged cell over this share of a block's columns is a title, not a heading of some columns.
_TITLE_SHARE = 0.8


def is_across(grid: Grid, row: int, columns: Sequence[int]) -> list[CellRange]:
    """Merged ranges that start in the row and lie over several, but not nearly all, columns of the block."""
    found = []
    for each in grid.merged:
        if each.first_row == row and each.last_column > each.first_column:
            covered = [column for column in columns if each.first_column <= column <= each.last_column]
            if 2 <= len(covered) < max(3, _TITLE_SHARE * len(columns)):
                found.append(each)
    return found


def reaches_down(grid: Grid, row: int, columns: Sequence[int]) -> bool:
    """True if a merged range of one column joins the row to the next, and the next names other columns."""
    joins = any(
        each.first_row <= row < each.last_row
        and each.first_column == each.last_column
        and each.first_column in columns
        and grid.filled[each.first_row, each.first_column]
        and each.last_row - each.first_row <= 2
        for each in grid.merged
    )
    if not joins:
        return False
    below = grid.filled_in(row + 1, columns)
    return bool(below) and not any(grid.is_value(row + 1, column) for column in below)


def widest_across(grid: Grid, row: int, columns: Sequence[int]) -> int:
    """How many columns of the block the widest merged range of the row covers; 1 if there is none."""
    widths = [
        sum(each.first_column <= column <= each.last_column for column in columns)
        for each in grid.merged
        if each.first_row <= row <= each.last_row
    ]
    return max(widths, default=1)


def covering(grid: Grid, row: int, column: int, columns: Sequence[int]) -> str:
    """The heading over a cell: its own text, that of the merged range, or of the nearest heading to the left."""
    own = _spread_text(grid, row, column)
    if own:
        return own
    left = [each for each in columns if each < column and grid.filled[row, each]]
    return str(grid.text[row, left[-1]]) if left else ""


def _spread_text(grid: Grid, row: int, column: int) -> str:
    if grid.filled[row, column]:
        return str(grid.text[row, column])
    for each in grid.merged:
        if each.first_row <= row <= each.last_row and each.first_column <= column <= each.last_column:
            return str(grid.text[each.first_row, each.first_column])
    return ""


def header_text(grid: Grid, rows: Sequence[int], column: int) -> str:
    """The header of a column over one or more rows, merged headings spread, joined by a space."""
    parts: list[str] = []
    for row in rows:
        text = _spread_text(grid, row, column)
        if text.strip() and (not parts or parts[-1] != text):
            parts.append(text)
    return parts[0] if len(parts) == 1 else " ".join(part.strip() for part in parts)


def spread(grid: Grid, array: np.ndarray) -> tuple[np.ndarray, list[CellRange]]:
    """A copy in which every merged range holds its upper left value throughout, and the ranges that did something."""
    used = [
        each
        for each in grid.merged
        if each.first_row < grid.height
        and each.first_column < grid.width
        and grid.filled[each.first_row, each.first_column]
    ]
    if not used:
        return array, []
    copy = array.copy()
    for each in used:
        block = copy[each.first_row : each.last_row + 1, each.first_column : each.last_column + 1]
        block[:] = copy[each.first_row, each.first_column]
    return copy, used
