"""Where a table begins: a convincing header at the top of a band, beside another table, or below one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dwc_pipeline.read.block import Block, Window, cells_in, parts_of
from dwc_pipeline.read.grid import Grid
from dwc_pipeline.read.header_row import ENOUGH, ENOUGH_AGAIN, Header, find_header, folded, known_names, weigh
from dwc_pipeline.read.merged_cells import header_text

#: a text of so many words beside a header, with nothing below it, is a remark.
_REMARK_WORDS = 4


def start_tables(grid: Grid, window: Window, band: range, active: dict[int, Block]) -> list[Block]:
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
    return [piece for block in started for piece in by_repeated_names(grid, block)]


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
    return header.is_sure and header.score >= ENOUGH_AGAIN


def _title_differs(grid: Grid, rows: range, owner: Block, part: Sequence[int]) -> bool:
    """True if something stands over a repeated header that did not stand over the table's first header."""
    above = {folded(str(grid.text[cell])) for cell in cells_in(grid, rows, part)}
    before = {folded(str(grid.text[cell])) for cell in (*owner.titles, *owner.shared_titles)}
    marks = {text for text in above if text.startswith(("page", "continued")) or text.endswith("continued")}
    return bool(above - before - marks)


def _is_same_table(grid: Grid, left: Block, header: Header | None, part: Sequence[int], band: range) -> bool:
    """True if the part right of a blank column belongs to the table on the left."""
    assert left.header is not None
    at = left.header.rows[-1]
    if header is None:
        words = [str(grid.text[cell]) for cell in cells_in(grid, left.header.rows, part)]
        if grid.filled[at + 1 : band.stop][:, list(part)].any():
            return True
        return any(len(text.split()) < _REMARK_WORDS for text in words)  # else a remark beside the header
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


def by_repeated_names(grid: Grid, block: Block) -> list[Block]:
    """The block, or its pieces if the same names stand in its header again and again from left to right.

    Headings that span each of the pieces become their titles.
    """
    header = block.header
    if header is None:
        return [block]
    for rows in dict.fromkeys((header.rows, header.rows[-1:])):
        names = [header_text(grid, rows, column) for column in block.columns]
        period = _period([folded(name) for name in names])
        if not period:
            continue
        pieces = []
        for start in range(0, len(names), period):
            columns = block.columns[start : start + period]
            why = f"{header.why}; the same names again from left to right"
            piece = Block(
                columns, Header(rows, tuple(names[start : start + period]), header.score, why, header.is_sure)
            )
            piece.titles = cells_in(grid, header.rows[: len(header.rows) - len(rows)], columns)
            piece.starts = block.starts
            pieces.append(piece)
        return pieces
    return [block]


def _period(names: Sequence[str]) -> int:
    """After how many names they begin again, all through; 0 if they do not."""
    for period in range(2, len(names) // 2 + 1):
        pieces = [names[start : start + period] for start in range(0, len(names), period)]
        if len(names) % period == 0 and all(piece == pieces[0] for piece in pieces) and len(set(pieces[0])) == period:
            return period
    return 0


def split_within(grid: Grid, window: Window, block: Block) -> list[Block]:
    """Further tables that begin inside a block, under another header; the block keeps what stands before them."""
    found: list[Block] = []
    while (place := _next_header_within(grid, window, block)) is not None:
        titles_from, header = place
        rows = block.all_rows
        block.rows = [rows[rows < titles_from]]
        block = Block(list(block.columns), header, [rows[rows > header.rows[-1]]])
        block.titles = cells_in(grid, range(titles_from, header.rows[0]), block.columns)
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
    named = [text for text in set(firsts.tolist()) if not text.isdigit() and folded(text) in known_names()]
    likely = rows[(counts >= 3) & (after_title | np.isin(firsts, named))]
    found = []
    for row in likely.tolist():
        cells = grid.filled_in(row, block.columns)
        if sum(not grid.is_value(row, column) for column in cells) >= 0.75 * len(cells):
            found.append(row)
    return found
