"""Which row of a table names its columns, by evidence that can be told in words.

Evidence is counted in points; no source, tried on open survey workbooks. It never decides silently: the reasons
go with the table, and weak evidence becomes a question.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from dwc_pipeline.read.grid import Grid
from dwc_pipeline.read.merged_cells import covering, header_text, is_across, reaches_down
from dwc_pipeline.terms.schema import schemas_folder
from dwc_pipeline.terms.sheet import sheet_fields

#: how many rows of a block are looked at for its header, and how many rows below to compare with.
ROWS_TO_TRY, ROWS_BELOW = 25, 12
ENOUGH = 4.0
#: evidence that a header needs where rows could be records of another table, so that no record is taken for one.
ENOUGH_AGAIN = 6.5
#: evidence of a row in which most cells are headers that the survey file names; nothing in the data outweighs it.
NAMED_IN_SURVEY = 8.0
#: headers of two letters or fewer also occur as data, so they prove nothing.
_SHORTEST_KNOWN = 3
_LONGEST_NAME = 60
_UNIT = re.compile(
    r"[(\[]?\s*(?:mm|cm|m|km|mi|ft|in|g|kg|mg|oz|lb|ml|l|h|hrs?|hours?|min|minutes|days?|nights?|%|n|no\.?|#|y/n|m/f|"
    r"yes/no|°\s?[cf]|deg(?:rees)?(?: [cf])?|[cf]|m/s|mph|km/h|ha|acres?|dd|utm|[dmy]{1,4}(?:[/.-][dmy]{1,4}){2}|"
    r"hh:?mm|24 ?h(?:r|our)?|decimal degrees|count|number)\s*[)\]]?",
    re.I,
)


@dataclass(frozen=True)
class Header:
    """The header of a block. rows: positions; names: one per column of the block; why: the evidence in words."""

    rows: tuple[int, ...]
    names: tuple[str, ...]
    score: float = 0.0
    why: str = ""
    is_sure: bool = True


@lru_cache(maxsize=20_000)
def folded(text: str) -> str:
    """A name without differences of case, spaces and closing marks.

    >>> folded(" Trap\\u00a0no.: ")
    'trap no'
    """
    return re.sub(r"[\s\u200b]+", " ", text.replace("\u00a0", " ")).strip(" .:;,").casefold()


@cache
def known_names() -> frozenset[str]:
    """Usual headers of every kind of field sheet, folded."""
    kinds = sorted(path.stem for path in (schemas_folder() / "sheet").glob("*.json"))
    names = (
        header for kind in kinds for each in sheet_fields(kind).values() for header in (each.name, *each.headers)
    )
    return frozenset(name for name in map(folded, names) if len(name) >= _SHORTEST_KNOWN)


def known_count(texts: Sequence[str]) -> int:
    """How many of the texts are usual column names, units in brackets left aside."""
    return sum(map(_is_known, texts))


@lru_cache(maxsize=20_000)
def _is_known(text: str) -> bool:
    return folded(re.sub(r"\s*[(\[].*?[)\]]\s*$", "", text)) in known_names()


def find_header(grid: Grid, rows: range, columns: Sequence[int], last: int) -> Header | None:
    """The best header among the first rows, joined with the rows that belong to it; None if no row convinces.

    last: position of the last row that may be compared with. Equal evidence: the upper row.
    """
    best: Header | None = None
    candidates: list[Header] = []
    counts = grid.rows_filled(columns, rows.start, min(rows.stop, rows.start + ROWS_TO_TRY))
    for row, count in zip(range(rows.start, rows.stop), counts.tolist(), strict=False):
        if count >= min(2, len(columns)):
            found = weigh(grid, row, columns, last)
            if found.score >= ENOUGH:
                candidates.append(found)
                best = found if best is None or found.score > best.score else best
    if best is None:
        return None
    sure = (each for each in candidates if each.is_sure and each.score >= ENOUGH_AGAIN)
    earlier = (each for each in sure if _has_records(grid, each, best, columns))
    return with_neighbours(grid, next(earlier, best), rows, columns)


def _has_records(grid: Grid, upper: Header, lower: Header, columns: Sequence[int]) -> bool:
    """True if rows that look like records stand between two rows, so that the upper one begins a table of its own."""
    between = range(upper.rows[0] + 1, lower.rows[0])
    enough = 0.5 * len(grid.filled_in(upper.rows[0], columns))
    for row in between:
        cells = grid.filled_in(row, columns)
        if len(cells) >= enough and any(grid.is_value(row, column) for column in cells):
            return True
    return False


def weigh(grid: Grid, row: int, columns: Sequence[int], last: int) -> Header:
    """The evidence for one row being the header."""
    cells = grid.filled_in(row, columns)
    texts = [str(grid.text[row, column]) for column in cells]
    below = _rows_below(grid, row, columns, last)
    active = [c for c in columns if grid.filled[row, c] or any(grid.filled[r, c] for r in below)]
    words = [column for column in cells if not grid.is_value(row, column)]
    share, fill = len(words) / len(cells), len(cells) / max(1, len(active))
    named = sum(folded(text) in grid.named for text in texts)
    is_named = named >= 2 and 2 * named >= len(cells)
    known = max(known_count(texts), named if is_named else 0)
    contrast = sum(_differs_below(grid, column, below) for column in words)
    score = 2.0 * (fill >= 0.8) + 1.0 * (0.5 <= fill < 0.8) - 1.0 * (fill < 0.5)
    score += 2.0 if share == 1 else 1.0 if share >= 0.75 else -2.0
    distinct = len({folded(text) for text in texts}) == len(texts)
    score += 1.0 if distinct else -0.5
    score += 3.0 if known >= 2 else 1.5 * known
    score += NAMED_IN_SURVEY * is_named
    score += 3.0 if contrast * 2 >= len(cells) else 2.0 if contrast else 0.0
    has_corner = bool(words) or (cells[0] != columns[0] and any(grid.filled[r, columns[0]] for r in below))
    across = has_corner and _is_series(grid, row, [column for column in cells if column not in words], below)
    score += 5.0 if across and share < 0.75 else 0.0
    score += _signs_against(grid, row, cells, texts, below)
    score -= 4.0 * _is_narrow_alone(grid, row, len(cells), below)
    if len(columns) == 1 and not (known or contrast):
        score = 0.0
    if not below:
        score -= 2.0
    why = _in_words(row, len(cells), len(active), distinct, known, contrast, across, named * is_named)
    names = tuple(str(grid.text[row, column]) for column in columns)
    return Header((row,), names, score, why, is_sure=known >= 2 or 2 * known >= len(cells) or contrast > 0 or across)


def _rows_below(grid: Grid, row: int, columns: Sequence[int], last: int) -> list[int]:
    counts = grid.rows_filled(columns, row + 1, min(last, row + 1 + 4 * ROWS_BELOW) + 1)
    return [row + 1 + place for place, count in enumerate(counts.tolist()) if count][:ROWS_BELOW]


def _differs_below(grid: Grid, column: int, below: Sequence[int]) -> bool:
    """True if most filled cells below are numbers or dates."""
    filled = [row for row in below if grid.filled[row, column]]
    return bool(filled) and sum(grid.is_value(row, column) for row in filled) >= 0.6 * len(filled)


def _is_series(grid: Grid, row: int, columns: Sequence[int], below: Sequence[int]) -> bool:
    """True if the numbers of the row are a run of days, or of trap numbers, over cells of another kind."""
    if len(columns) < 2:
        return False
    texts = [folded(str(grid.text[row, column])) for column in columns]
    if len(set(texts)) < len(texts):
        return False
    if all(grid.is_date(row, column) for column in columns):
        return not any(grid.is_date(r, column) for r in below for column in columns if grid.filled[r, column])
    numbers = [int(text) for text in texts if text.isdigit()]
    return len(numbers) == len(texts) >= 3 and numbers == list(range(numbers[0], numbers[0] + len(numbers)))


def _signs_against(grid: Grid, row: int, cells: Sequence[int], texts: Sequence[str], below: Sequence[int]) -> float:
    score = 0.0
    if any(text.rstrip().endswith(":") or re.search(r":\s\S", text) for text in texts):
        score -= 5.0  # a label, or a label and its value, as above a table
    if max(map(len, texts)) > _LONGEST_NAME:
        score -= 2.0
    again = [column for column, text in zip(cells, texts, strict=True)
             if any(folded(str(grid.text[r, column])) == folded(text) for r in below)]  # fmt: skip
    if again and len(again) < len(cells):
        score -= 2.0 + 2.0 * (len(again) * 2 >= len(cells))  # its words are values of the column
    if len(texts) >= 4 and known_count(texts[::2]) >= 2 and not known_count(texts[1::2]):
        score -= 6.0  # labels and their values by turns
    labels = _column_around(grid, row, cells[0])
    if len(cells) <= 2 and len(labels) >= 2 and known_count(labels) >= 0.6 * len(labels):
        score -= 6.0  # a list of labels with their values
    return score


def _column_around(grid: Grid, row: int, column: int) -> list[str]:
    """The texts of the column in the unbroken run of filled cells around a row, at most six either way."""
    first, last = row, row
    while first > 0 and row - first < 6 and grid.filled[first - 1, column]:
        first -= 1
    while last + 1 < grid.height and last - row < 6 and grid.filled[last + 1, column]:
        last += 1
    return [str(grid.text[each, column]) for each in range(first, last + 1)]


def _is_narrow_alone(grid: Grid, row: int, filled: int, below: Sequence[int]) -> bool:
    """True if a blank row follows, and then rows with far more filled cells: a fact over a table, not its header."""
    if not below or grid.filled[row + 1].any():
        return False
    return filled < 0.6 * max(int(grid.filled[each].sum()) for each in below[:3])


def _in_words(
    row: int, filled: int, width: int, distinct: bool, known: int, contrast: int, across: bool, named: int
) -> str:
    said = [f"{filled} of {width} columns filled with {'distinct ' if distinct else ''}words"]
    if across:
        said = ["a run of dates or numbers across the columns"]
    if named:
        said.append(f"{named} of them named in the survey file")
    elif known:
        said.append(f"{known} of them usual column names")
    if contrast:
        said.append(f"numbers or dates below {contrast} of them")
    return f"row {row + 1}: {', '.join(said)}"


def with_neighbours(grid: Grid, header: Header, rows: range, columns: Sequence[int]) -> Header:
    """The header with the rows above and below that belong to it, at most three in all."""
    first = last = header.rows[0]
    reasons = [header.why]
    while last + 1 < rows.stop and last - first < 2:
        reason = _goes_on_below(grid, last, columns)
        if not reason:
            break
        last += 1
        reasons.append(reason)
    while first > rows.start and last - first < 2:
        reason = _goes_on_above(grid, first, columns)
        if not reason:
            break
        first -= 1
        reasons.append(reason)
    together = tuple(range(first, last + 1))
    names = tuple(header_text(grid, together, column) for column in columns)
    return Header(together, names, header.score, "; ".join(reasons), header.is_sure)


def _goes_on_below(grid: Grid, row: int, columns: Sequence[int]) -> str:
    below = grid.filled_in(row + 1, columns)
    if reaches_down(grid, row, columns):
        return f"row {row + 2} belongs to it by merged cells"
    if below and all(_UNIT.fullmatch(str(grid.text[row + 1, column]).strip()) for column in below):
        return f"row {row + 2} gives units"
    named = grid.filled_in(row, columns)
    if len(below) >= 2 and not set(below) & set(named) and not any(grid.is_value(row + 1, c) for c in below):
        return f"row {row + 2} names the columns that row {row + 1} leaves blank"
    for spread in is_across(grid, row, columns):
        under = [column for column in below if spread.first_column <= column <= spread.last_column]
        names = {folded(str(grid.text[row + 1, column])) for column in under}
        if len(names) >= 2 and not any(grid.is_value(row + 1, column) for column in below):
            return f"row {row + 2} divides merged headings"
    return ""


def _goes_on_above(grid: Grid, row: int, columns: Sequence[int]) -> str:
    above = grid.filled_in(row - 1, columns)
    texts = [str(grid.text[row - 1, column]) for column in above]
    if not above or any(":" in text or "=" in text for text in texts):
        return ""
    if any(grid.is_value(row - 1, column) and not grid.is_date(row - 1, column) for column in above):
        return ""
    spreads = is_across(grid, row - 1, columns)
    if reaches_down(grid, row - 1, columns) or any(_covers_several(grid, row, spread) for spread in spreads):
        return f"row {row} spans it with merged headings"
    names = grid.filled_in(row, columns)
    below = [folded(str(grid.text[row, column])) for column in names]
    if len(above) >= 2 and len(set(below)) < len(below):
        joined = [
            folded(covering(grid, row - 1, column, columns) + " " + str(grid.text[row, column])) for column in names
        ]
        if len(set(joined)) == len(joined):
            return f"row {row} tells apart columns of one name"
    only_above = [column for column in above if column not in names]
    if only_above and len(above) >= 2 and len(set(above) | set(names)) > max(len(above), len(names)):
        return f"row {row} names the columns that row {row + 1} leaves blank"
    return ""


def _covers_several(grid: Grid, row: int, spread: object) -> bool:
    first, last = spread.first_column, spread.last_column  # type: ignore[attr-defined]  # a CellRange
    return sum(bool(grid.filled[row, column]) for column in range(first, min(last + 1, grid.width))) >= 2
