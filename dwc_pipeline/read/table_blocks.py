"""Where the tables of a sheet are: side by side, one under the other, with titles above and gaps within.

A sheet is cut into bands at blank rows, a band into parts at blank columns. A part whose header convinces begins a
table; parts and bands without one go on with the table above them in the same columns, or stand above the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from dwc_pipeline.read.grid import Grid
from dwc_pipeline.read.header_row import ENOUGH, Header, find_header, folded, known_names, weigh
from dwc_pipeline.read.merged_cells import header_text

#: a cell or two more than this many blank rows below everything else belong to no table.
FAR_BELOW = 200
#: evidence that a header within or below a table needs, so that no record is taken for one.
_ENOUGH_AGAIN = 6.5
_MOST_TITLE_CELLS = 3


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


def find_blocks(grid: Grid, window: Window) -> Layout:
    """The tables of the window by evidence; a single block without a header if no header convinces."""
    layout, bands = Layout(), bands_of(grid, window)
    bands = _without_far_bands(grid, window, bands, layout)
    active: dict[int, Block] = {}
    waiting: list[Place] = []
    for band in bands:
        started = _start_tables(grid, window, band, active)
        if not started and not active:
            waiting.extend(_cells(grid, band, window.columns))
            continue
        if not started:
            if _may_be_titles(grid, window, band, active):
                waiting.extend(_cells(grid, band, window.columns))
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
        layout.blocks.extend(_split_within(grid, window, block))
    layout.blocks.sort(key=lambda block: (block.header.rows[0] if block.header else 0, block.columns[0]))
    _share_sheet_titles(layout)
    return layout


def _cells(grid: Grid, rows: Iterable[int], columns: Sequence[int]) -> list[Place]:
    return [(row, column) for row in rows for column in grid.filled_in(row, columns)]


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


def _start_tables(grid: Grid, window: Window, band: range, active: dict[int, Block]) -> list[Block]:
    """The tables whose header stands in the band, from left to right; [] if there is none."""
    if active and not _may_hold_header(grid, window, band):
        return []
    parts = parts_of(grid, band, window.columns)
    if len(parts) == 1 and len(parts[0]) == 1 and grid.filled[:, list(window.columns)].any(axis=0).sum() > 1:
        return []  # a text alone on its row is no header of a wider sheet
    started: list[Block] = []
    for part in parts:
        header = find_header(grid, band, part, window.last_row) if len(part) > 1 or len(parts) == 1 else None
        owner = next((active[column] for column in part if column in active), None)
        starts = band.start
        if header and owner:
            starts = _titles_above(grid, band.start, header.rows[0], part)
            if not _is_new_header(grid, header, owner, part, starts):
                header = None
        previous = started[-1] if started else None
        if header is None and previous:
            header = _same_names(grid, previous, part)
        if previous and previous.header and _is_same_table(grid, previous, header, part, band):
            _join(grid, previous, part)
        elif header:
            started.append(Block(part, header, starts=starts))
    return [piece for block in started for piece in by_repeated_names(block)]


def _may_hold_header(grid: Grid, window: Window, band: range) -> bool:
    """A quick look: some of the first rows holds two texts or more and no number."""
    for row in list(band)[:4]:
        cells = grid.filled_in(row, window.columns)
        if len(cells) >= 2 and sum(not grid.is_value(row, column) for column in cells) >= 0.6 * len(cells):
            return True
    return False


def _titles_above(grid: Grid, first: int, header_row: int, part: Sequence[int]) -> int:
    """The first of the rows right above a header that hold too little to be records."""
    row = header_row
    few = max(1, min(2, len(part) // 2))
    while row > first and 0 < len(grid.filled_in(row - 1, part)) <= few:
        row -= 1
    return row


def _is_new_header(grid: Grid, header: Header, owner: Block, part: Sequence[int], titles_from: int) -> bool:
    """True if a header below a table begins another one, rather than repeating its header or being a record."""
    names = {folded(name) for name in header.names if name.strip()}
    if names == set(owner.names()):
        return _title_differs(grid, range(titles_from, header.rows[0]), owner, part)
    return header.is_sure and header.score >= _ENOUGH_AGAIN


def _title_differs(grid: Grid, rows: range, owner: Block, part: Sequence[int]) -> bool:
    """True if something stands over a repeated header that did not stand over the table's first header."""
    above = {folded(str(grid.text[cell])) for cell in _cells(grid, rows, part)}
    before = {folded(str(grid.text[cell])) for cell in (*owner.titles, *owner.shared_titles)}
    marks = {text for text in above if text.startswith(("page", "continued")) or text.endswith("continued")}
    return bool(above - before - marks)


def _close_tables_above(grid: Grid, first: int, started: Sequence[Block], active: dict[int, Block]) -> None:
    """End the tables whose columns a new one takes; their last records may stand right over its titles."""
    for block in started:
        for owner in {id(active[c]): active[c] for c in block.columns if c in active}.values():
            for column in block.columns:
                if column not in active and grid.filled[first : block.starts, column].any():
                    _widen(owner, column)
            counts = grid.rows_filled(owner.columns, first, block.starts)
            owner.rows.append(np.flatnonzero(counts) + first)
            for column in [each for each, its in active.items() if its is owner]:
                del active[column]


def _is_same_table(grid: Grid, left: Block, header: Header | None, part: Sequence[int], band: range) -> bool:
    """True if the part right of a blank column belongs to the table on the left."""
    assert left.header is not None
    at = left.header.rows[-1]
    if header is None:
        return any(grid.filled[row, column] for row in left.header.rows for column in part) or bool(
            grid.filled[at + 1 : band.stop][:, list(part)].any()
        )
    if not set(header.rows) & set(left.header.rows):
        return False
    names, own = {folded(name) for name in header.names if name.strip()}, set(left.names())
    if len(names & own) * 2 >= min(len(names), len(own)):
        return False
    return not _is_list_apart(grid, left.columns, part, at, band) and not _is_list_apart(
        grid, part, left.columns, at, band
    )


def _same_names(grid: Grid, left: Block, part: Sequence[int]) -> Header | None:
    """The header of a part that stands in the rows of the header on the left and repeats its names."""
    assert left.header is not None
    names = tuple(header_text(grid, left.header.rows, column) for column in part)
    own = [folded(name) for name in names if name.strip()]
    if len(own) >= 2 and set(own) == set(left.names()):
        return Header(left.header.rows, names, left.header.score, left.header.why, left.header.is_sure)
    return None


def _is_list_apart(grid: Grid, long: Sequence[int], short: Sequence[int], header_row: int, band: range) -> bool:
    """True for a short, fully filled list beside a longer table: a legend, a list of codes."""
    rows_long = np.flatnonzero(grid.rows_filled(long, header_row + 1, band.stop))
    rows_short = np.flatnonzero(grid.rows_filled(short, header_row + 1, band.stop))
    if len(short) < 2 or len(rows_long) < 5 or not 1 <= len(rows_short) <= 0.6 * len(rows_long):
        return False
    is_unbroken = rows_short[-1] == len(rows_short) - 1
    area = grid.filled[header_row + 1 : header_row + 1 + len(rows_short)][:, list(short)]
    return bool(is_unbroken and area.mean() >= 0.9)


def _join(grid: Grid, block: Block, part: Sequence[int]) -> None:
    """Add the columns of a part, and the blank ones between, to a block."""
    assert block.header is not None
    block.columns = list(range(block.columns[0], part[-1] + 1))
    rows = block.header.rows
    names = tuple(header_text(grid, rows, column) for column in block.columns)
    block.header = Header(rows, names, block.header.score, block.header.why, block.header.is_sure)


def by_repeated_names(block: Block) -> list[Block]:
    """The block, or its pieces if the same names stand in its header again and again from left to right."""
    header = block.header
    if header is None:
        return [block]
    names = [folded(name) for name in header.names]
    for period in range(2, len(names) // 2 + 1):
        pieces = [names[start : start + period] for start in range(0, len(names), period)]
        if len(names) % period == 0 and all(piece == pieces[0] for piece in pieces) and len(set(pieces[0])) == period:
            return [
                Block(
                    block.columns[start : start + period],
                    Header(header.rows, header.names[start : start + period], header.score,
                           f"{header.why}; the same names again from left to right", header.is_sure),
                )
                for start in range(0, len(names), period)
            ]  # fmt: skip
    return [block]


def _may_be_titles(grid: Grid, window: Window, band: range, active: dict[int, Block]) -> bool:
    """True for a few texts that may stand over the next table rather than below this one."""
    counts = grid.rows_filled(window.columns, band.start, band.stop)
    if len(band) > 4 or counts.max() > _MOST_TITLE_CELLS:
        return False
    cells = _cells(grid, band, window.columns)
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
                _widen(owner, column)
    waiting.clear()


def _owner(column: int, active: dict[int, Block]) -> Block | None:
    """The active table of a column: its own, else the nearest on the left, else on the right."""
    if column in active:
        return active[column]
    left = [each for each in active if each < column]
    right = [each for each in active if each > column]
    return active[max(left)] if left else active[min(right)] if right else None


def _widen(block: Block, column: int) -> None:
    """Take one more column, without a header, into a block."""
    if column in block.columns:
        return
    block.columns = sorted([*block.columns, column])
    if block.header:
        place = block.columns.index(column)
        header = block.header
        names = (*header.names[:place], "", *header.names[place:])
        block.header = Header(header.rows, names, header.score, header.why, header.is_sure)


def _go_on(grid: Grid, rows: range, columns: Sequence[int], active: dict[int, Block]) -> None:
    """Give the rows to the active tables by column."""
    area = grid.filled[rows.start : rows.stop]
    for column in columns:
        if column not in active and area[:, column].any():
            owner = _owner(column, active)
            below = rows.start if owner is None or owner.header is None else owner.header.rows[-1] + 1
            if owner is not None and grid.filled[max(below, rows.start) : rows.stop, column].any():
                _widen(owner, column)
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
    in_band = _cells(grid, range(band.start, lowest + 1), free)
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


def _split_within(grid: Grid, window: Window, block: Block) -> list[Block]:
    """Further tables that begin inside a block, under another header; the block keeps what stands before them."""
    found: list[Block] = []
    while (place := _next_header_within(grid, window, block)) is not None:
        titles_from, header = place
        rows = block.all_rows
        block.rows = [rows[rows < titles_from]]
        block = Block(list(block.columns), header, [rows[rows > header.rows[-1]]])
        block.titles = _cells(grid, range(titles_from, header.rows[0]), block.columns)
        found.append(block)
    return found


def _next_header_within(grid: Grid, window: Window, block: Block) -> tuple[int, Header] | None:
    """The first row of titles, and the header under it, of a further table inside the block."""
    rows = block.all_rows
    if len(rows) < 3 or len(block.columns) < 3 or block.header is None:
        return None
    for row in _likely_headers(grid, rows, block):
        titles_from = _titles_above(grid, int(rows[0]), row, block.columns)
        if titles_from == block.header.rows[-1] + 1 and titles_from < row:
            continue  # what stands right under a header is no title of another table
        header = weigh(grid, row, block.columns, window.last_row)
        if header.score >= ENOUGH and _is_new_header(grid, header, block, block.columns, titles_from):
            return titles_from, header
    return None


def _likely_headers(grid: Grid, rows: np.ndarray, block: Block) -> list[int]:
    """Rows of words that follow a title, or that begin with a usual column name."""
    counts = grid.filled[rows][:, block.columns].sum(axis=1)
    after_title = np.zeros(len(rows), dtype=bool)
    after_title[1:] = (counts[:-1] <= 2) & (np.diff(rows) == 1)
    firsts = grid.text[rows, np.asarray(block.columns)[grid.filled[rows][:, block.columns].argmax(axis=1)]]
    named = [text for text in set(firsts.tolist()) if folded(text) in known_names()]
    likely = rows[(counts >= 3) & (after_title | np.isin(firsts, named))]
    found = []
    for row in likely.tolist():
        cells = grid.filled_in(row, block.columns)
        if sum(not grid.is_value(row, column) for column in cells) >= 0.75 * len(cells):
            found.append(row)
    return found
