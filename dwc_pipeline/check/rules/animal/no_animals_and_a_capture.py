"""A row "none" beside rows with animals at one check."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity

NONE = {
    "place": "A1", "trap": "", "when/date": "2031-06-20", "when/time": "07:10", "verbatimIdentification": "",
    "verbatimIdentification_typed": "none", "verbatimIdentification/no_animal": "true", "where": "june.xlsx, row 8",
}  # fmt: skip
ONE = {
    **NONE, "trap": "F3", "verbatimIdentification": "Uta stansburiana", "verbatimIdentification_typed": "UTST",
    "verbatimIdentification/no_animal": "", "where": "june.xlsx, row 7",
}  # fmt: skip


@season_rule(
    view="capture",
    field="verbatimIdentification",
    severity=Severity.ERROR,
    needs=("place", "when/date"),
    message='"{verbatimIdentification_typed}" for {place}, but {other} has an animal of the same check',
    flagged=[ONE, NONE],
    passes=[
        {**ONE, "when/time": "17:30"},
        NONE,
        {**ONE, "trap": "P1", "place": "A2"},
        {**NONE, "trap": "P2", "place": "A2"},
    ],
)
def no_animals_and_a_capture(capture: pd.DataFrame) -> pd.DataFrame:
    """A row says that nothing was caught at a check, and another row has an animal of the same check.

    Why it matters: one of the two stands on the wrong array or day; as it is, an empty check would be published that
    was not empty.
    What to do: correct the array, the date or the time of one of the rows, or remove the row that says nothing was
    caught.
    """
    empty = text_column(capture, "verbatimIdentification/no_animal") == "true"
    named = stripped(text_column(capture, "verbatimIdentification_typed")) != ""
    trap = text_column(capture, "trap")
    moment = capture["place"] + "\x1f" + capture["when/date"] + "\x1f" + text_column(capture, "when/time")
    with_animal = capture[~empty & named]
    other = with_animal["where"].groupby(moment[with_animal.index]).first()
    of_trap = with_animal["where"].groupby(moment[with_animal.index] + "\x1f" + trap[with_animal.index]).first()
    said_of_array = empty & named & (trap == "")
    said_of_trap = empty & named & (trap != "")
    found = moment.map(other).where(said_of_array, (moment + "\x1f" + trap).map(of_trap).where(said_of_trap))
    return pd.DataFrame({"flag": found.notna(), "other": found})
