"""The tidy rows that one raw table gives, before those of all tables are put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from dwc_pipeline.core.changes import CHANGE_FIELDS
from dwc_pipeline.core.findings import as_findings
from dwc_pipeline.core.records import LEFTOVER_FIELDS

CELL_FIELDS = ("tidy_row", "field", "row", "column")


@dataclass(frozen=True)
class Block:
    """text: RangeIndex, one column a field. sheet_rows: the sheet row of each line.

    stored: ISO text of typed dates and times by field. columns: field -> column letter.
    cells: places of single values that stand elsewhere (CELL_FIELDS; tidy_row counted within the block).
    aside: sheet row -> why it was set aside. used: sheet row -> what it was used for.
    """

    text: pd.DataFrame
    sheet_rows: pd.Series
    stored: Mapping[str, pd.Series] = field(default_factory=dict)
    columns: Mapping[str, str] = field(default_factory=dict)
    cells: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(CELL_FIELDS)))
    aside: Mapping[int, str] = field(default_factory=dict)
    used: Mapping[int, str] = field(default_factory=dict)
    findings: pd.DataFrame = field(default_factory=lambda: as_findings([]))
    changes: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(CHANGE_FIELDS)))
    leftovers: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(LEFTOVER_FIELDS)))
    answered: frozenset[str] = frozenset()

    def taken(self, positions: np.ndarray) -> Block:
        """The lines at some positions, in that order; a position may come twice. Changes and cells go with them.

        What belongs to the sheet and not to a line (rows set aside, findings, left-over cells) is left out.
        """
        back = pd.DataFrame({"tidy_row": positions, "line": np.arange(len(positions))})
        return Block(
            self.text.iloc[positions].reset_index(drop=True),
            self.sheet_rows.iloc[positions].reset_index(drop=True),
            {name: series.iloc[positions].reset_index(drop=True) for name, series in self.stored.items()},
            self.columns,
            moved_along(self.cells, back),
            changes=moved_along(self.changes, back),
        )

    def limited(self, fields: set[str]) -> Block:
        """The block without the fields that such a row cannot have."""
        kept = [name for name in self.text if name in fields or name == "cell_remarks" or is_free(name)]
        return replace(
            self,
            text=self.text[kept],
            stored={name: series for name, series in self.stored.items() if name in kept},
            columns={name: letter for name, letter in self.columns.items() if name in kept},
            cells=self.cells[self.cells["field"].isin(kept)],
            changes=self.changes[self.changes["field"].isin(kept)],
        )


def is_free(name: str) -> bool:
    """True for a measurement that the survey file declares itself."""
    return name.startswith("measurement:")


def moved_along(frame: pd.DataFrame, back: pd.DataFrame) -> pd.DataFrame:
    """Lines of `frame` once for every new line that their tidy row became."""
    if frame.empty:
        return frame
    moved = frame.merge(back, on="tidy_row")
    return moved.assign(tidy_row=moved["line"])[list(frame.columns)].reset_index(drop=True)
