"""Colours and comments on the cells that findings speak of."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import Any

import pandas as pd
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill

from dwc_pipeline.core.raw import column_letter, column_number
from dwc_pipeline.write.marked.raw_copy import AUTHOR, NOT_IN_A_CELL

#: severity -> fill, RRGGBB; text in any dark colour can be read on them
FILLS = {"error": "F2A79D", "warning": "F8D98A", "note": "BFD7EE"}
INK = "1D2B2A"
#: a comment that is longer than this cannot be read on a screen; the first sheet has the whole text
LONGEST_COMMENT = 1500
#: how a comment box grows with its text. [pixels, characters]
BOX_WIDTH, LINE_HEIGHT, LETTERS_IN_A_LINE = 360, 17, 52


def place_on(page: Any, row: int, column: str) -> str:
    """The cell that stands for a finding: its own, the first filled one of its row, or the one its cell is merged
    into; "" where the finding is about the whole sheet.
    """
    if row <= 0:
        return ""
    number = column_number(column) if column else _first_filled(page, row)
    for part in page.merged_cells.ranges:
        if part.min_row <= row <= part.max_row and part.min_col <= number <= part.max_col:
            return f"{column_letter(part.min_col)}{part.min_row}"
    return f"{column_letter(number)}{row}"


def _first_filled(page: Any, row: int) -> int:
    cells = (page._cells.get((row, at)) for at in range(1, page.max_column + 1))
    return next((cell.column for cell in cells if cell is not None and cell.value not in (None, "")), 1)


def mark_cells(page: Any, findings: pd.DataFrame, fills: dict[str, str]) -> None:
    """Fill the cells and put a comment on each.

    findings: errors first, with `cell` ("" is left out). fills: colours the raw file had, by cell.
    """
    for place, block in findings[findings["cell"] != ""].groupby("cell", sort=False):
        cell = page[str(place)]
        worst = str(block["severity"].iloc[0])
        said = [finding_text(row) for row in block.to_dict("records")]
        if str(place) in fills:
            said.append(f"The raw file fills this cell with the colour {fills[str(place)]}.")
            font = copy.copy(cell.font)
            font.color = INK
            cell.font = font
        if cell.comment is not None:
            said.insert(0, f"Comment in the raw file: {cell.comment.text}")
        cell.fill = PatternFill("solid", fgColor=FILLS[worst])
        cell.comment = _comment(said)


def finding_text(row: dict[Any, Any]) -> str:
    """What a finding says, in the lines of a comment."""
    lines = [f"{str(row['severity']).upper()}: {row['rule']}", str(row["message"]), f"What to do: {row['remedy']}"]
    if row["suggestions"]:
        lines.append(f"It could be: {row['suggestions']}")
    return "\n".join(lines)


def _comment(said: Sequence[str]) -> Comment:
    text = NOT_IN_A_CELL.sub("?", "\n\n".join(said))
    if len(text) > LONGEST_COMMENT:
        text = text[: LONGEST_COMMENT - 40].rstrip() + " … (more on the first sheet)"
    lines = sum(1 + len(line) // LETTERS_IN_A_LINE for line in text.splitlines())
    return Comment(text, AUTHOR, width=BOX_WIDTH, height=LINE_HEIGHT * (lines + 1))
