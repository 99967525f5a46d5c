"""Where the tables of a sheet are: side by side, one under the other, with titles above and gaps within.

A sheet is cut into bands at blank rows, a band into parts at blank columns. A part whose header convinces begins a
table; parts and bands without one go on with the table above them in the same columns, or stand above the next.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dwc_pipeline.read.block import Block, Layout, Place, Window, bands_of, cells_in, widen
from dwc_pipeline.read.grid import Grid
from dwc_pipeline.read.table_starts import split_within, start_tables

#: a cell or two more than this many blank rows below everything else belong to no table.
FAR_BELOW = 200
_MOST_TITLE_CELLS = 3


def find_blocks(grid: Grid, window: Window) -> Layout:
    """The tables of the window by evidence; a single block without a header if no header convinces."""
    layout, bands = Layout(), bands_of(grid, window)
    bands = _without_far_bands(grid, window, bands, layout)
    active: dict[int, Block] = {}
    waiting: list[Place] = []
    for band in bands:
        started = start_tables(grid, window, band, active)
        if not started and not active:
            waiting.extend(cells_in(grid, band, window.columns))
            continue
        if not started:
            if _may_be_titles(grid, window, band, active):
                waiting.extend(cells_in(grid, band, window.columns))
            else:
                _give_back(waiting, active, layout)
                _go_on(grid, band, window.columns, active)
            continue
        first = min((block.starts for block in started if set(block.columns) & set(active)), default=band.start)
        _go_on(grid, range(band.start, first), window.columns, active)
        _close_tables_above(grid, first, started, active)
        free = [column for column in window.columns if column not in active]
        _give_titles(grid, range(first, band.stop), started, waiting, free, not layout.blocks)
        layout.blocks.extend(started)
        for block in started:
            active.update(dict.fromkeys(block.columns, block))
        _go_on(grid, band, window.columns, active)
    if not layout.blocks and bands:
        layout.blocks.append(headerless_block(grid, window))
        waiting.clear()
    _give_back(waiting, active, layout)
    for block in list(layout.blocks):
        layout.blocks.extend(split_within(grid, window, block))
    layout.blocks.sort(key=lambda block: (block.header.rows[0] if block.header else 0, block.columns[0]))
    _share_sheet_titles(layout)
    return layout


def _without_far_bands(grid: Grid, window: Window, bands: list[range], layout: Layout) -> list[range]:
    """Leave out the last bands if they are a cell or two, far below everything else."""
    kept = list(bands)
    while len(kept) > 1 and kept[-1].start - kept[-2].stop >= FAR_BELOW:
        if grid.rows_filled(window.columns, kept[-1].start, kept[-1].stop).sum() > _MOST_TITLE_CELLS:
            break
        layout.far.extend(kept.pop())
    return kept


def headerless_block(grid: Grid, window: Window) -> Block:
    """All filled columns of the window as one block without a header."""
    columns = [c for c in window.columns if grid.filled[window.first_row : window.last_row + 1, c].any()]
    block = Block(columns, None)
    _add_rows(grid, block, window.first_row, window.last_row + 1)
    return block


def _add_rows(grid: Grid, block: Block, first: int, after: int) -> None:
    counts = grid.rows_filled(block.columns, first, after)
    block.rows.append(np.flatnonzero(counts) + first)


def _close_tables_above(grid: Grid, first: int, started: Sequence[Block], active: dict[int, Block]) -> None:
    """End the tables whose columns a new one takes; their last records may stand right over its titles."""
    for block in started:
        for owner in {id(active[c]): active[c] for c in block.columns if c in active}.values():
            for column in block.columns:
                if column not in active and grid.filled[first : block.starts, column].any():
                    widen(owner, column)
            counts = grid.rows_filled(owner.columns, first, block.starts)
            owner.rows.append(np.flatnonzero(counts) + first)
            for column in [each for each, its in active.items() if its is owner]:
                del active[column]


def _may_be_titles(grid: Grid, window: Window, band: range, active: dict[int, Block]) -> bool:
    """True for a few texts that may stand over the next table rather than below this one."""
    counts = grid.rows_filled(window.columns, band.start, band.stop)
    if len(band) > 4 or counts.max() > _MOST_TITLE_CELLS:
        return False
    cells = cells_in(grid, band, window.columns)
    width = max(len(block.columns) for block in active.values())
    return width >= 3 and not any(grid.is_value(row, column) for row, column in cells)


def _give_back(waiting: list[Place], active: dict[int, Block], layout: Layout) -> None:
    """Cells that waited for a next table fall to the table above them, or to none."""
    for row, column in waiting:
        owner = _owner(column, active)
        if owner is None:
            layout.loose.append((row, column))
        else:
            owner.rows.append(np.array([row]))
            if column not in owner.columns:
                widen(owner, column)
    waiting.clear()


def _owner(column: int, active: dict[int, Block]) -> Block | None:
    """The active table of a column: its own, else the nearest on the left, else on the right."""
    if column in active:
        return active[column]
    left = [each for each in active if each < column]
    right = [each for each in active if each > column]
    return active[max(left)] if left else active[min(right)] if right else None


def _go_on(grid: Grid, rows: range, columns: Sequence[int], active: dict[int, Block]) -> None:
    """Give the rows to the active tables by column."""
    area = grid.filled[rows.start : rows.stop]
    for column in columns:
        if column not in active and area[:, column].any():
            owner = _owner(column, active)
            below = rows.start if owner is None or owner.header is None else owner.header.rows[-1] + 1
            if owner is not None and grid.filled[max(below, rows.start) : rows.stop, column].any():
                widen(owner, column)
                active[column] = owner
    for block in dict.fromkeys(map(id, active.values())):
        owner = next(each for each in active.values() if id(each) == block)
        first = rows.start if owner.header is None else max(rows.start, owner.header.rows[-1] + 1)
        own = [column for column in owner.columns if active.get(column) is owner]
        if first < rows.stop and own:
            owner.rows.append(np.flatnonzero(grid.rows_filled(own, first, rows.stop)) + first)


def _give_titles(
    grid: Grid, band: range, started: list[Block], waiting: list[Place], free: Sequence[int], is_first: bool
) -> None:
    """Cells over, or beside, the headers of a band go to the nearest table; a row that only the first has, to all.

    free: columns in which no earlier table goes on.
    """
    lowest = max(block.header.rows[-1] for block in started if block.header)
    in_band = cells_in(grid, range(band.start, lowest + 1), free)
    headed = {column for block in started for column in block.columns}
    for cells, is_apart in ((list(waiting), True), (in_band, False)):
        for row in sorted({row for row, _ in cells}):
            by_block: dict[int, list[Place]] = {}
            for cell in (cell for cell in cells if cell[0] == row):
                place = max((n for n, block in enumerate(started) if block.columns[0] <= cell[1]), default=0)
                header = started[place].header
                assert header is not None
                is_over = row < header.rows[0] and (is_apart or row >= started[place].starts)
                if is_over or (row <= header.rows[-1] and cell[1] not in headed):
                    by_block.setdefault(place, []).append(cell)
            is_shared = list(by_block) == [0]
            for place, own in by_block.items():
                for block in started if is_shared else [started[place]]:
                    block.titles.extend(own)
                    if is_apart and is_first:
                        block.shared_titles.extend(own)
    waiting.clear()


def _share_sheet_titles(layout: Layout) -> None:
    """Titles that stand apart over the first tables hold for the tables below as well."""
    if layout.blocks:
        sheet_wide = layout.blocks[0].shared_titles
        for block in layout.blocks[1:]:
            block.titles = list(dict.fromkeys([*sheet_wide, *block.titles]))
