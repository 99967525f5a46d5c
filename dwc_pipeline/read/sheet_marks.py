"""What formatting says about the cells of one sheet, gathered before the values are read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from dwc_pipeline.core.raw import Cell, CellRange, plain_text
from dwc_pipeline.read.number_format import writer_for

Place = tuple[int, int]

#: a dense grid larger than this is not made. [cells]
LARGEST_AREA = 20_000_000
#: blank rows, or columns, between the table and a cell that is called stray when the grid would be too large.
FAR_ROWS, FAR_COLUMNS = 1000, 100
#: more cells than this are no stray ones; the sheet is then refused.
MOST_STRAY_CELLS = 1000


@dataclass
class Marks:
    """Marks of one sheet, places counted from 1.

    written: places whose text is known outright. fills: colours known outright.
    styled_*: parallel arrays of row, column and style number; codes: style number -> number format;
    colours: style number -> colour.
    stray: cells left out because they lie too far away, with their text as far as known.
    merged: None where the reader of values gives the merged ranges.
    """

    sheet: str
    is_hidden: bool = False
    written: dict[Place, str] = field(default_factory=dict)
    codes: Mapping[int, str] = field(default_factory=dict)
    colours: Mapping[int, str] = field(default_factory=dict)
    fills: dict[Place, str] = field(default_factory=dict)
    styled_rows: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    styled_columns: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    styled_numbers: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    errors: dict[Place, str] = field(default_factory=dict)
    uncomputed: set[Place] = field(default_factory=set)
    comments: dict[Place, str] = field(default_factory=dict)
    struck: set[Place] = field(default_factory=set)
    merged: tuple[CellRange, ...] | None = None
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    stray: Mapping[Place, str] = field(default_factory=dict)
    facts: dict[str, str] = field(default_factory=dict)

    def shown(self, values: Sequence[Sequence[Cell]]) -> dict[Place, str]:
        """The text a person sees, for cells where it differs from the plain text of the value."""
        shown = dict(self.written)
        for number, code in self.codes.items():
            writer = writer_for(code)
            places = self.styled_numbers == number
            if writer is None or not places.any():
                continue
            texts: dict[tuple[type, Cell], str | None] = {}
            for place in zip(self.styled_rows[places].tolist(), self.styled_columns[places].tolist(), strict=True):
                row, column = place
                if row > len(values) or column > len(values[row - 1]):
                    continue
                value = values[row - 1][column - 1]
                if value == "":
                    continue
                key = (type(value), value)
                if key in texts:
                    text = texts[key]
                else:
                    text = writer(value)
                    text = texts[key] = None if text is None or text == plain_text(value) else text
                if text is not None:
                    shown[place] = text
        return shown

    def fills_within(self, values: Sequence[Sequence[Cell]]) -> dict[Place, str]:
        """Coloured cells inside the part of the sheet that holds values."""
        width = max((len(row) for row in values), default=0)
        fills = {place: fill for place, fill in self.fills.items() if place[0] <= len(values) and place[1] <= width}
        inside = (self.styled_rows <= len(values)) & (self.styled_columns <= width)
        for number, colour in self.colours.items():
            places = inside & (self.styled_numbers == number)
            fills.update(
                dict.fromkeys(
                    zip(self.styled_rows[places].tolist(), self.styled_columns[places].tolist(), strict=True), colour
                )
            )
        return fills


def far_away(used: Mapping[int, int], largest_gap: int) -> int:
    """The last row (or column) before the first gap that is too large; 0 if there is no such gap.

    used: filled cells in each row (or column) that has any.
    """
    numbers = sorted(used)
    for one, following in pairwise(numbers):
        if following - one > largest_gap:
            return one
    return 0
