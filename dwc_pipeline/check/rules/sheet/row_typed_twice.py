"""The same row twice in one sheet."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_columns
from dwc_pipeline.core.distinct import distinct_rows
from dwc_pipeline.core.rule import Severity

#: A row that says less than this many things may well repeat itself. [filled cells]; our choice.
LEAST_FILLED = 4
ROW = {
    "file": "june.xlsx",
    "sheet": "A1",
    "eventDate_typed": "5/14/2031",
    "place_typed": "A1",
    "trap_typed": "F3",
    "verbatimIdentification_typed": "THRA",
    "snout_vent_length_typed": "512",
}


@season_rule(
    view="capture",
    field="verbatimIdentification",
    severity=Severity.ERROR,
    message="the row repeats row {first_row} of the same sheet, cell for cell",
    flagged=[{**ROW, "sheet_row": 5}, {**ROW, "sheet_row": 6}],
    passes=[{**ROW, "sheet_row": 5}, {**ROW, "snout_vent_length_typed": "498", "sheet_row": 6}],
    cause=("file", "sheet", "content"),
)
def row_typed_twice(capture: pd.DataFrame) -> pd.DataFrame:
    """A row is the same, cell for cell, as an earlier row of its sheet.

    Why it matters: a row copied by mistake counts an animal twice, in the catch and in every rate.
    What to do: remove one of the rows, or give both animals their own number if there were two alike.
    """
    typed = [column for column in capture if column.endswith("_typed")]
    cells = text_columns(capture, ("file", "sheet", *typed))
    codes, firsts = distinct_rows(*(cells[name] for name in cells))
    filled = (cells.iloc[firsts][typed] != "").sum(axis=1).take(codes).set_axis(capture.index)
    first = capture["sheet_row"].groupby(codes).transform("min")
    # Several animals of one sheet row say the same; only another row of the sheet is a copy.
    again = (capture["sheet_row"] != first) & (filled >= LEAST_FILLED)
    copied = np.unique(codes[again])
    told = np.full(len(firsts), "", dtype=object)
    told[copied] = ["\x1f".join(row) for row in cells.iloc[firsts[copied]][typed].to_numpy()]
    content = pd.Series(told[codes], index=capture.index, dtype=object).where(again, "")
    return pd.DataFrame({"flag": again, "first_row": first, "content": content})
