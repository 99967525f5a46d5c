"""Blocks of a sheet: the pieces that tables are found in, and the cuts at blank rows and columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from dwc_pipeline.read.grid import Grid
from dwc_pipeline.read.header_row import Header, folded

Place = tuple[int, int]


@dataclass(frozen=True)
class Window:
    """The part of a sheet to look at: positions of rows (both ends included) and columns."""

    first_row: int
    last_row: int
    columns: tuple[int, ...]


@dataclass
class Block:
    """A table in the making. columns: positions; rows: those below the header that hold something in its columns.

    starts: the first row of its titles, or its header, in the band where it begins.
    """

    columns: list[int]
    header: Header | None
    rows: list[np.ndarray] = field(default_factory=list)
    titles: list[Place] = field(default_factory=list)
    shared_titles: list[Place] = field(default_factory=list)
    starts: int = 0

    @property
    def all_rows(self) -> np.ndarray:
        """Positions of the rows below the header, in order."""
        return np.unique(np.concatenate(self.rows)) if self.rows else np.empty(0, dtype=np.int64)

    def names(self) -> list[str]:
        """Folded header names, blanks left out."""
        return [folded(name) for name in self.header.names if name.strip()] if self.header else []


@dataclass
class Layout:
    """The blocks of a sheet from left to right and top to bottom, and cells that belong to none.

    loose: cells above or between the tables that name no table. far: rows far below everything else.
    """

    blocks: list[Block] = field(default_factory=list)
    loose: list[Place] = field(default_factory=list)
    far: list[int] = field(default_factory=list)


def bands_of(grid: Grid, window: Window) -> list[range]:
    """Runs of rows that hold something in the window's columns."""
    counts = grid.rows_filled(window.columns, window.first_row, window.last_row + 1)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (counts > 0).astype(np.int8), [0]])))
    starts, stops = edges[0::2] + window.first_row, edges[1::2] + window.first_row
    return [range(int(start), int(stop)) for start, stop in zip(starts, stops, strict=True)]


def cells_in(grid: Grid, rows: Iterable[int], columns: Sequence[int]) -> list[Place]:
    """The filled cells of some rows and columns, row by row."""
    return [(row, column) for row in rows for column in grid.filled_in(row, columns)]


def parts_of(grid: Grid, band: range, columns: Sequence[int]) -> list[list[int]]:
    """Groups of columns between columns that are blank in every well filled row of the band."""
    area = grid.filled[band.start : band.stop][:, list(columns)]
    counts = area.sum(axis=1)
    dense = area[counts >= min(3, counts.max())]
    used = dense.any(axis=0)
    parts: list[list[int]] = []
    for place, column in enumerate(columns):
        if used[place]:
            if parts and place and used[place - 1]:
                parts[-1].append(column)
            else:
                parts.append([column])
    return parts


def widen(block: Block, column: int) -> None:
    """Take one more column, without a header, into a block."""
    if column in block.columns:
        return
    block.columns = sorted([*block.columns, column])
    if block.header:
        place = block.columns.index(column)
        header = block.header
        names = (*header.names[:place], "", *header.names[place:])
        block.header = Header(header.rows, names, header.score, header.why, header.is_sure)
