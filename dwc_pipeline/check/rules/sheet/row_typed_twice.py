"""The same row twice in one sheet."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.doubles import LEAST_FILLED
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column, text_columns
from dwc_pipeline.core.distinct import on_distinct_rows, twin_rows
from dwc_pipeline.core.rule import Severity

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
    places, codes = twin_rows(text_column(capture, name).fillna("") for name in ("file", "sheet", *typed))
    twins = capture.iloc[places]
    cells = text_columns(twins, typed)
    first = twins["sheet_row"].groupby(codes).transform("min")
    # Several animals of one sheet row say the same; only another row of the sheet is a copy.
    again = (twins["sheet_row"] != first) & ((cells != "").sum(axis=1) >= LEAST_FILLED)
    content = on_distinct_rows(cells[again], lambda rows: pd.Series(["\x1f".join(row) for row in rows.to_numpy()]))
    answer = pd.DataFrame({"flag": False, "first_row": 0, "content": ""}, index=capture.index)
    return answer.assign(
        flag=again.reindex(answer.index, fill_value=False),
        first_row=first.reindex(answer.index, fill_value=0),
        content=content.reindex(answer.index, fill_value=""),
    )
