"""The same measurements on row after row."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity

#: Rows one below the other with the same length and mass, of different animals, from which it is named. [rows]; ours
LEAST_RUN = 3
ANIMAL = {"file": "june.xlsx", "sheet": "A1", "snout_vent_length_typed": "52", "body_mass_typed": "4.1"}


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    message="SVL {snout_vent_length_typed} and mass {body_mass_typed} on {run} rows one below the other",
    flagged=[
        {**ANIMAL, "organismID": "X-animal-1", "sheet_row": 5},
        {**ANIMAL, "organismID": "X-animal-2", "sheet_row": 6},
        {**ANIMAL, "organismID": "X-animal-3", "sheet_row": 7},
    ],
    passes=[
        {**ANIMAL, "organismID": "X-animal-1", "sheet_row": 5},
        {**ANIMAL, "organismID": "X-animal-2", "sheet_row": 6, "body_mass_typed": "4.3"},
        {**ANIMAL, "organismID": "X-animal-3", "sheet_row": 7},
    ],
    cause=("file", "sheet", "snout_vent_length_typed", "body_mass_typed"),
)
def measurement_filled_down(animal: pd.DataFrame) -> pd.DataFrame:
    """Three rows or more, one below the other, have the same length and mass.

    Why it matters: the numbers were probably dragged down in the spreadsheet, and only the first is true.
    What to do: compare with the field book and correct the copies, or leave them blank.
    """
    ordered = animal.sort_values(["file", "sheet", "sheet_row"], kind="stable")
    length, mass = (stripped(text_column(ordered, f"{name}_typed")) for name in ("snout_vent_length", "body_mass"))
    said = ordered["file"] + "\x1f" + ordered["sheet"] + "\x1f" + length + "\x1f" + mass
    marked = text_column(ordered, "organismID")
    same_animal = (marked != "") & (marked == marked.shift())
    starts = (said != said.shift()) | same_animal
    run = said.groupby(starts.cumsum()).transform("size")
    flag = (run >= LEAST_RUN) & ~starts & (length != "") & (mass != "")
    return pd.DataFrame({"flag": flag, "run": run}).reindex(animal.index)
