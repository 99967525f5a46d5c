"""From a raw sheet to the tables on it, with a role for every row and the reasons in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at, join_findings
from dwc_pipeline.core.raw import RawSheet, RawTable, RowRole, column_letter, column_number
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.block import Block, Layout, Window
from dwc_pipeline.read.foot_rows import TOTAL_WORDS, judge_rows
from dwc_pipeline.read.grid import Grid, grid_of, stored_of
from dwc_pipeline.read.header_row import Header, folded
from dwc_pipeline.read.merged_cells import header_text, spread
from dwc_pipeline.read.sheet_findings import sheet_findings
from dwc_pipeline.read.table_blocks import find_blocks, headerless_block
from dwc_pipeline.read.table_starts import by_repeated_names
from dwc_pipeline.read.workbook import STRAY_CELL

HEADER_FOUND = declare(
    Rule(
        id="header-found-by-evidence",
        severity=Severity.NOTE,
        what="The header row of a table was found by the look of the sheet.",
        why="If another row is the header, columns go by wrong names and a record is lost.",
        remedy="Look whether the row is right; if not, write header_rows in the survey file.",
    )
)
NAME_THE_HEADER = (
    "Say in the [[table]] of the survey file which row names the columns, such as header_rows = [2]. If none does, "
    'write has_header = false there, and name the columns by their letters: "column A" = "eventDate".'
)
HEADER_DOUBTFUL = declare(
    Rule(
        id="header-is-doubtful",
        severity=Severity.WARNING,
        what="The first row of a table was taken for its header, though it looks like the rows below.",
        why="If the table has no header, its first record is lost and the columns have no names.",
        remedy=NAME_THE_HEADER,
        asks=True,
    )
)
NO_HEADER = declare(
    Rule(
        id="no-header-found",
        severity=Severity.WARNING,
        what="No row of the sheet looks like a header.",
        why="Without names nobody can tell what the columns hold; they go by their letters until somebody says so.",
        remedy=NAME_THE_HEADER,
        asks=True,
    )
)
TOTAL_SET_ASIDE = declare(
    Rule(
        id="total-row-set-aside",
        severity=Severity.NOTE,
        what="A row of totals or averages stands among or below the records; it was not read as a record.",
        why="Read as a record it would count every animal twice.",
        remedy="Nothing to do if it is a total. If it is a record, rename what makes it look like one.",
    )
)
NOTE_SET_ASIDE = declare(
    Rule(
        id="note-row-set-aside",
        severity=Severity.NOTE,
        what="A text stands alone in its row, and was not read as a record.",
        why="Such notes often tell of closed traps, lost sheets or codes, which no column holds.",
        remedy="Read it. If it tells of effort or of an animal, enter that where it belongs.",
    )
)
_ORDER = (RowRole.DATA, RowRole.HEADER, RowRole.REPEATED_HEADER, RowRole.TOTAL, RowRole.TITLE, RowRole.NOTE,
          RowRole.OUTSIDE)  # fmt: skip


@dataclass(frozen=True)
class TableOptions:
    """What the survey file says of the tables on a sheet; row numbers as a person counts them.

    header_rows: rows that make the header together; () to find it; None if the columns have no header.
    first_row, last_row: the part of the sheet to look at, None for its ends; header_rows may lie above it.
    columns: such as "A:H", "" for all. table_number: 0 for all. total_words: what a row of totals begins with.
    named: headers that the survey file names.
    """

    header_rows: tuple[int, ...] | None = ()
    first_row: int | None = None
    last_row: int | None = None
    columns: str = ""
    table_number: int = 0
    spread_merged: bool = True
    total_words: tuple[str, ...] = TOTAL_WORDS
    named: tuple[str, ...] = ()


@dataclass(frozen=True)
class SheetTables:
    """The tables of a sheet. roles: index sheet row, columns role and reason, for every row that is not blank."""

    tables: tuple[RawTable, ...]
    roles: pd.DataFrame
    findings: pd.DataFrame


def find_tables(sheet: RawSheet, options: TableOptions = TableOptions()) -> SheetTables:  # frozen
    """The tables on a sheet, every row accounted for."""
    grid = grid_of(sheet, frozenset(map(folded, options.named)))
    if not grid.filled.any():
        return SheetTables((), _roles_frame({}), as_findings(sheet.found))
    window = _window(grid, options)
    layout = _layout(grid, window, options)
    text, spread_over = spread(grid, grid.text) if options.spread_merged else (grid.text, [])
    values = spread(grid, grid.values)[0] if options.spread_merged else grid.values
    numbered = list(enumerate(layout.blocks, start=1))
    made = [_Made(grid, block, number, text, values, options) for number, block in numbered]
    chosen = [each for each in made if options.table_number in (0, each.number)]
    tables = tuple(each.table for each in chosen)
    roles = _sheet_roles(grid, window, layout, made, chosen)
    own = [finding for each in chosen for finding in each.findings()]
    own += [_far_finding(grid, row) for row in layout.far]
    findings = join_findings([as_findings([*sheet.found, *own]), sheet_findings(sheet, tables, spread_over)])
    return SheetTables(tables, roles, findings)


def _window(grid: Grid, options: TableOptions) -> Window:
    columns = range(grid.width)
    if options.columns:
        first, last = (column_number(letters) for letters in options.columns.split(":"))
        columns = range(first - 1, min(last, grid.width))
    last_row = min(options.last_row or grid.height, grid.height) - 1
    return Window(max(options.first_row or 1, 1) - 1, last_row, tuple(columns))


def _layout(grid: Grid, window: Window, options: TableOptions) -> Layout:
    if options.header_rows is None:
        return Layout([headerless_block(grid, window)])
    if not options.header_rows:
        return find_blocks(grid, window)
    rows = tuple(sorted(row - 1 for row in options.header_rows if 1 <= row <= grid.height))
    columns = [
        c for c in window.columns if grid.filled[[*rows, *range(window.first_row, window.last_row + 1)], c].any()
    ]
    names = tuple(header_text(grid, rows, column) for column in columns)
    blocks = by_repeated_names(grid, Block(columns, Header(rows, names, why="as the survey file says")))
    first = max(window.first_row, rows[-1] + 1 if rows else 0)
    for block in blocks:
        counts = grid.rows_filled(block.columns, first, window.last_row + 1)
        block.rows.append(np.flatnonzero(counts) + first)
        above = range(min(rows[0], window.first_row) if window.first_row < rows[0] else 0, rows[0])
        block.titles.extend((row, column) for row in above for column in grid.filled_in(row, block.columns))
    return Layout(blocks)


class _Made:
    """One block turned into a raw table, with the roles of its rows."""

    def __init__(
        self, grid: Grid, block: Block, number: int, text: np.ndarray, values: np.ndarray, options: TableOptions
    ) -> None:
        self.grid, self.block, self.number = grid, block, number
        header = block.header
        judged = judge_rows(grid, block.all_rows, block.columns, header, options.total_words)
        self.roles: dict[int, tuple[RowRole, str]] = dict(judged.roles)
        self.data = judged.data
        for row in header.rows if header else ():
            self.roles[row] = (RowRole.HEADER, header.why if header else "")
        for row, _ in block.titles:
            self.roles.setdefault(row, (RowRole.TITLE, "above the header"))
        named = dict(zip(block.columns, header.names, strict=True)) if header else {}
        used = [c for c in block.columns if named.get(c, "").strip() or grid.filled[judged.data, c].any()]
        letters = [column_letter(column + 1) for column in used]
        index = pd.Index(judged.data + 1, name="row")
        body = pd.DataFrame(text[judged.data][:, used], index=index, columns=letters, dtype=object)
        stored = {
            letter: moments
            for letter, column in zip(letters, used, strict=True)
            if (grid.timed[column] or grid.merged)  # a merged cell may be spread over columns without dates
            and (moments := stored_of(values[judged.data, column].tolist())) is not None
        }
        self.table = RawTable(
            raw=grid.sheet,
            number=number,
            header_rows=tuple(row + 1 for row in header.rows) if header else (),
            headers=tuple(named[column] for column in used) if header else tuple(letters),
            text=body,
            stored=pd.DataFrame(stored, index=index, dtype=object),
            roles=_roles_frame(self.roles, judged.data),
            above={grid.address(row, column): str(grid.text[row, column]) for row, column in sorted(block.titles)},
            why=header.why if header else "no row looks like a header",
        )

    def findings(self) -> list[dict[str, object]]:
        """What was taken for a header, a total or a note."""
        header, found = self.block.header, []
        if header is None or header.score > 0 or not header.is_sure:
            found.append(self._header_finding(header))
        for row, (role, reason) in sorted(self.roles.items()):
            rule = {RowRole.TOTAL: TOTAL_SET_ASIDE, RowRole.NOTE: NOTE_SET_ASIDE}.get(role)
            if rule is not None:
                column = self.grid.filled_in(row, self.block.columns)[0]
                message = f"Row {row + 1} was set aside: {reason}."
                found.append(self._at(rule, message, row, column, str(self.grid.text[row, column]), cause=reason))
        return found

    def _header_finding(self, header: Header | None) -> dict[str, object]:
        if header is None:
            message = "No row looks like a header; the columns go by their letters."
            return finding_at(NO_HEADER, message=message, file=self.table.file, sheet=self.table.sheet)
        rule = HEADER_FOUND if header.is_sure else HEADER_DOUBTFUL
        words = " | ".join(name for name in header.names if name.strip())
        message = f"Table {self.number} has its header in {header.why}."
        return self._at(rule, message, header.rows[0], self.block.columns[0], words)

    def _at(self, rule: Rule, message: str, row: int, column: int, value: str, cause: str = "") -> dict[str, object]:
        return finding_at(
            rule, message=message, file=self.table.file, sheet=self.table.sheet, row=row + 1,
            column=column_letter(column + 1), value=value, cause=cause,
        )  # fmt: skip


def _far_finding(grid: Grid, row: int) -> dict[str, object]:
    column = grid.filled_in(row, range(grid.width))[0]
    address = grid.address(row, column)
    message = f"{address} is filled, far below the other cells of the sheet; it was left out."
    return finding_at(
        STRAY_CELL, message=message, file=grid.sheet.file, sheet=grid.sheet.sheet, row=row + 1,
        column=column_letter(column + 1), value=str(grid.text[row, column]),
    )  # fmt: skip


def _roles_frame(roles: dict[int, tuple[RowRole, str]], data: Sequence[int] | np.ndarray = ()) -> pd.DataFrame:
    """Roles by sheet row; rows of data are given by position alone."""
    rows = np.concatenate([np.asarray(data, dtype=np.int64), np.fromiter(roles, dtype=np.int64, count=len(roles))])
    role = [str(RowRole.DATA)] * len(data) + [str(each) for each, _ in roles.values()]
    reason = ["below the header"] * len(data) + [why for _, why in roles.values()]
    index = pd.Index(rows + 1, name="row")
    return pd.DataFrame({"role": role, "reason": reason}, index=index, dtype=object).sort_index()


def _sheet_roles(
    grid: Grid, window: Window, layout: Layout, made: Sequence[_Made], chosen: Sequence[_Made]
) -> pd.DataFrame:
    """One role for each row that is not blank; side by side, what counts most: data, then header."""
    roles = np.full(grid.height, len(_ORDER), dtype=np.int64)
    reasons = np.full(grid.height, "", dtype=object)

    def enter(rows: np.ndarray, role: RowRole, reason: str) -> None:
        better = rows[roles[rows] > _ORDER.index(role)]
        roles[better], reasons[better] = _ORDER.index(role), reason

    everything = np.flatnonzero(grid.filled.any(axis=1))
    for each in made:
        if each in chosen:
            enter(each.data, RowRole.DATA, f"below the header of table {each.number}")
            for row, (role, reason) in each.roles.items():
                enter(np.array([row]), role, reason)
        else:
            own = np.union1d(each.data, np.fromiter(each.roles, dtype=np.int64, count=len(each.roles)))
            enter(own, RowRole.OUTSIDE, f"belongs to table {each.number}, which was not asked for")
    enter(np.array(layout.far, dtype=np.int64), RowRole.OUTSIDE, "far below the other cells of the sheet")
    loose = np.array(sorted({row for row, _ in layout.loose}), dtype=np.int64)
    enter(loose, RowRole.NOTE, "no table is near")
    enter(everything[everything < window.first_row], RowRole.OUTSIDE, "above the rows that the survey file names")
    enter(everything[everything > window.last_row], RowRole.OUTSIDE, "below the rows that the survey file names")
    enter(everything, RowRole.OUTSIDE, "holds nothing in the columns of the tables")
    return pd.DataFrame(
        {"role": [str(_ORDER[place]) for place in roles[everything]], "reason": reasons[everything]},
        index=pd.Index(everything + 1, name="row"), dtype=object,
    )  # fmt: skip
