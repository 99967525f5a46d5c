"""Blank cells that repeat the value above: only where the survey file says so, each one a recorded change."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.changes import changes_on_rows, join_changes
from dwc_pipeline.settings import Table


def fill_down(
    text: pd.DataFrame, stored: dict[str, pd.Series], entry: Table
) -> tuple[pd.DataFrame, dict[str, pd.Series], pd.DataFrame]:
    """Blank cells of the fields that the survey file names take the value above; also which cells were filled."""
    text, stored = text.copy(), dict(stored)
    hits = pd.DataFrame(False, index=text.index, columns=[name for name in entry.fill_down if name in text])
    for field in hits:
        blank = text[field].str.strip() == ""
        filled = carried_down(text[field], blank)
        if field in stored:
            stored[field] = carried_down(stored[field], blank)
        hits[field] = blank & (filled != "")
        text[field] = filled.where(hits[field], text[field])
    return text, stored, hits


def fill_changes(filled: pd.DataFrame, text: pd.DataFrame, entry: Table) -> pd.DataFrame:
    """One change for each cell that was filled from above."""
    return join_changes(
        changes_on_rows(
            entry.holds,
            text.index[filled[field]],
            field,
            "",
            text.loc[filled[field], field],
            "filled-down",
            "the survey file says that a blank repeats the value above",
        )
        for field in filled
    )


def carried_down(values: pd.Series, blank: pd.Series) -> pd.Series:
    """The values with blank ones replaced by the last one above that is not; "" where there is none."""
    carried = values.where(~blank, None).ffill().astype(object)
    return carried.where(carried.notna(), "")
