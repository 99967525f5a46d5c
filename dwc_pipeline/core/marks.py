"""The marks of an animal one by one: a cell may hold two, and a sheet may have a column for a second one."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.findings import READINGS_SEPARATOR


def all_marks(rows: pd.DataFrame) -> pd.Series:
    """Every mark of each row, one line a mark, with the index of the rows (so it repeats); rows without are left out.

    rows: with `mark` and `second_mark`. A cell of a row of several animals holds several.
    """
    texts = pd.concat([text_column(rows, name).fillna("").astype(object) for name in ("mark", "second_mark")])
    marks = texts.str.split(READINGS_SEPARATOR, regex=False).explode()
    return marks[marks != ""]


def marks_apart(rows: pd.DataFrame) -> tuple[pd.Series, pd.Series]:
    """The first and the second mark of each row, "" where there is none.

    rows: standard capture rows with `mark`, `second_mark` and `individualCount`, each where the sheets have it. A
    cell with two marks of one animal gives both; on a row of several animals nobody can tell whose they are, so the
    cell stays whole.
    """
    cell, second = text_column(rows, "mark").fillna(""), text_column(rows, "second_mark").fillna("")
    single = number_column(rows, "individualCount").fillna(1) == 1
    several = single & cell.str.contains(READINGS_SEPARATOR, regex=False)
    if not several.any():
        return cell, second
    parts = cell[several].str.split(READINGS_SEPARATOR, regex=False)
    first, further = cell.copy(), second.copy()
    first[several] = parts.str[0]
    further[several] = second[several].where(second[several] != "", parts.str[1])
    return first, further
