"""Rows of a block that are no records: repeated headers, totals and averages, notes, page numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dwc_pipeline.core.raw import RowRole
from dwc_pipeline.read.grid import Grid
from dwc_pipeline.read.header_row import Header, folded
from dwc_pipeline.read.merged_cells import widest_across

TOTAL_WORDS = ("total", "totals", "grand total", "subtotal", "sub-total", "sum", "average", "averages", "avg", "mean")
_PAGE = re.compile(r"\W*(?:page|pg\.?|sheet)\s*\d+(?:\s*(?:of|/)\s*\d+)?\W*|\W*continued\W*", re.I)
_REMARK = re.compile(r"\s*(?:\*|†|‡|n\.?b\.?[\s:]|notes?\b|remarks?\b|legend\b|key:|codes?:)", re.I)
_STATISTIC = re.compile(
    r"(?:n|s\.?d\.?|s\.?e\.?|std\.? ?dev\.?|min(?:imum)?|max(?:imum)?|median|range|count)\W*", re.I
)
#: words from which on a text alone in its row reads as a sentence.
_SENTENCE = 4


@dataclass(frozen=True)
class Judged:
    """The role of each row of a block and how it was recognised, by position."""

    roles: dict[int, tuple[RowRole, str]]
    data: np.ndarray


def judge_rows(
    grid: Grid, rows: np.ndarray, columns: Sequence[int], header: Header | None, total_words: Sequence[str]
) -> Judged:
    """Roles of the rows of a block below its header.

    rows: positions of the rows that hold something in the block's columns, in order. Only rows that show a sign of
    being no record are looked at one by one.
    """
    roles: dict[int, tuple[RowRole, str]] = {}
    if not len(rows):
        return Judged(roles, rows)
    filled = grid.filled[rows][:, list(columns)]
    counts = filled.sum(axis=1)
    for row in _repeats(grid, rows, columns, header):
        roles[row] = (RowRole.REPEATED_HEADER, "the header again")
    firsts = np.asarray(columns)[filled.argmax(axis=1)]
    for row, reason in _totals(grid, rows, firsts, columns, total_words):
        roles.setdefault(row, (RowRole.TOTAL, reason))
    for row, reason in _further_statistics(grid, rows, firsts, columns, roles):
        roles.setdefault(row, (RowRole.TOTAL, reason))
    alone = rows[counts == 1] if len(columns) >= 3 else rows[:0]
    records = rows[(counts > 1) & ~np.isin(rows, list(roles))]
    at = dict(zip(rows.tolist(), firsts.tolist(), strict=True))
    for row in alone.tolist():
        reason = _note_reason(grid, row, at[row], columns, rows, records)
        if reason:
            roles.setdefault(row, (RowRole.NOTE, reason))
    return Judged(roles, rows[~np.isin(rows, list(roles))])


def _repeats(grid: Grid, rows: np.ndarray, columns: Sequence[int], header: Header | None) -> list[int]:
    """Rows whose filled cells all stand in the header, and nearly all of the header's cells in them."""
    if header is None:
        return []
    found: set[int] = set()
    for header_row in header.rows:
        named = [column for column in columns if grid.filled[header_row, column]]
        if len(named) < min(2, len(columns)):
            continue
        wanted = {column: folded(str(grid.text[header_row, column])) for column in named}
        likely = rows[grid.text[rows, named[0]] == grid.text[header_row, named[0]]]
        likely = np.union1d(likely, rows[grid.text[rows, named[-1]] == grid.text[header_row, named[-1]]])
        for row in likely.tolist():
            here = grid.filled_in(row, columns)
            same = sum(folded(str(grid.text[row, column])) == wanted.get(column) for column in here)
            if same >= max(1, 0.8 * len(named)) and same >= 0.8 * len(here):
                found.add(row)
    return sorted(found)


def _totals(
    grid: Grid, rows: np.ndarray, firsts: np.ndarray, columns: Sequence[int], total_words: Sequence[str]
) -> list[tuple[int, str]]:
    """Rows that begin with a word for a total and hold only numbers besides."""
    words = "|".join(sorted(map(re.escape, total_words), key=len, reverse=True))
    pattern = re.compile(rf"\W*(?:{words})\b.*", re.I | re.S)
    texts = grid.text[rows, firsts]
    starts = {text for text in set(texts.tolist()) if not text.isdigit() and pattern.fullmatch(text)}
    found = []
    for place in np.flatnonzero(np.isin(texts, list(starts))).tolist() if starts else ():
        row, first = int(rows[place]), int(firsts[place])
        others = [column for column in grid.filled_in(row, columns) if column != first]
        if all(_is_computed(grid, row, column, pattern) for column in others):
            found.append((row, f"begins with {str(grid.text[row, first]).strip()!r} and holds only numbers besides"))
    return found


def _further_statistics(
    grid: Grid, rows: np.ndarray, firsts: np.ndarray, columns: Sequence[int], roles: dict[int, tuple[RowRole, str]]
) -> list[tuple[int, str]]:
    """Rows of further statistics right under a row of totals or averages."""
    place_of = {int(row): place for place, row in enumerate(rows.tolist())}
    found = []
    for total in [row for row, (role, _) in roles.items() if role is RowRole.TOTAL]:
        row = total + 1
        while row in place_of and row not in roles:
            first = int(firsts[place_of[row]])
            text = str(grid.text[row, first]).strip()
            others = [column for column in grid.filled_in(row, columns) if column != first]
            if not _STATISTIC.fullmatch(text) or not all(grid.is_value(row, column) for column in others):
                break
            found.append((row, f"{text!r} under a row of totals"))
            row += 1
    return found


def _is_computed(grid: Grid, row: int, column: int, pattern: re.Pattern[str]) -> bool:
    if (row + 1, column + 1) in grid.sheet.uncomputed:
        return True
    if grid.is_date(row, column):
        return False
    return grid.is_value(row, column) or bool(pattern.fullmatch(str(grid.text[row, column])))


def _note_reason(
    grid: Grid, row: int, column: int, columns: Sequence[int], rows: np.ndarray, records: np.ndarray
) -> str:
    """Why a cell alone in its row is a note; "" if it may be a record."""
    text = str(grid.text[row, column])
    if _PAGE.fullmatch(text):
        return "a page mark"
    if grid.is_value(row, column):
        return ""
    if _REMARK.match(text):
        return "a text alone in its row that begins as a remark"
    words = len(text.split())
    if widest_across(grid, row, columns) >= 3:
        return "one text merged across the columns"
    is_wordy = words >= _SENTENCE and not _is_wordy_column(grid, column, records)
    if not len(records) or row > records[-1]:
        gap = row > 0 and not grid.filled[row - 1, list(columns)].any()
        is_code = words < 2 or text in set(grid.text[rows[rows < row], column].tolist())
        if is_wordy or (gap and not is_code):
            return "a text alone in its row, below the last record"
        return ""
    return "a sentence alone in its row" if is_wordy else ""


def _is_wordy_column(grid: Grid, column: int, records: np.ndarray) -> bool:
    """True for a column of remarks: half of its filled cells in the first records are sentences."""
    sample = [row for row in records[:200].tolist() if grid.filled[row, column]]
    long = sum(len(str(grid.text[row, column]).split()) >= _SENTENCE for row in sample)
    return bool(sample) and long * 2 >= len(sample)
