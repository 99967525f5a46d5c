"""The same row twice in one sheet, with a running number of its own each time."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.animal_view import MEASURES
from dwc_pipeline.check.doubles import LEAST_EQUAL, LEAST_FILLED, TIMED
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column, text_columns
from dwc_pipeline.core.distinct import stripped, twin_rows
from dwc_pipeline.core.rule import Severity

NUMBER = "recordNumber_typed"
MARKS = ("mark", "second_mark")
ROW = {
    "file": "june.xlsx",
    "sheet": "A1",
    "eventDate_typed": "5/14/2031",
    "trap_typed": "F3",
    "verbatimIdentification_typed": "ASSE",
    "snout_vent_length_typed": "66",
    "body_mass_typed": "8.7",
    "mark_typed": "",
}
ONE, TWO = {**ROW, "sheet_row": 5, NUMBER: "17"}, {**ROW, "sheet_row": 6, NUMBER: "18"}


@season_rule(
    view="capture",
    field="verbatimIdentification",
    severity=Severity.WARNING,
    asks=True,
    needs=(NUMBER, "verbatimIdentification_typed"),
    message="only the number differs from row {first_row} of the same sheet: {first_number} there, {number} here",
    flagged=[ONE, TWO],
    passes=[
        ONE,
        {**TWO, "body_mass_typed": "8.9"},
        {**TWO, "sheet_row": 7, "body_mass_typed": "", NUMBER: "19"},
        {**TWO, "sheet_row": 8, "body_mass_typed": "", NUMBER: "20"},
        {**TWO, "sheet_row": 9, "mark_typed": "1-4", NUMBER: "21"},
        {**TWO, "sheet_row": 10, "mark_typed": "1-4", NUMBER: "22"},
    ],
)
def row_typed_twice_under_another_number(capture: pd.DataFrame) -> pd.DataFrame:
    """A row about an unmarked animal is that of an earlier row of its sheet, with another running number.

    Why it matters: a row copied down gets the next number by itself, and the animal counts twice in the catch.
    What to do: ask whoever typed it. If it is one animal, remove one row; answer `as it is` if there were two alike.
    """
    typed = [name for name in capture if name.endswith("_typed")]
    is_told = {
        name: stripped(text_column(capture, f"{name}_typed")) != "" for name in (*MARKS, *MEASURES, "eventTime")
    }
    unmarked = ~pd.DataFrame({name: is_told[name] for name in MARKS}).any(axis=1)
    measured = sum(is_told[name].astype(int) for name in MEASURES)
    is_timed = text_column(capture, "eventType").isin(TIMED) & is_told["eventTime"]
    is_timed &= text_column(capture, "trap_typed") == ""
    timed = text_columns(capture[is_timed], typed)
    is_timed &= (timed != "").sum(axis=1).reindex(capture.index, fill_value=0) > LEAST_FILLED
    told = capture.loc[unmarked & ((measured >= LEAST_EQUAL) | is_timed), ["file", "sheet", "sheet_row", *typed]]
    places, codes = twin_rows(told[name].fillna("") for name in told if name not in (NUMBER, "sheet_row"))
    twins = told.iloc[places][["sheet_row", NUMBER]].assign(code=codes).sort_values("sheet_row", kind="stable")
    first = twins.groupby("code")[["sheet_row", NUMBER]].transform("first")
    # A row that repeats the number too is told as a row typed twice.
    again = (twins["sheet_row"] != first["sheet_row"]) & ~twins.duplicated(["code", NUMBER])
    answer = pd.DataFrame({"flag": again.reindex(capture.index, fill_value=False)}, index=capture.index)
    return answer.assign(
        first_row=first["sheet_row"].reindex(capture.index, fill_value=0),
        first_number=first[NUMBER].reindex(capture.index, fill_value=""),
        number=text_column(capture, NUMBER),
    )
