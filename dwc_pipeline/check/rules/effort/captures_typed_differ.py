"""Captures in the log against the animals on the capture sheets."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

DAY = {"place": "A2", "checked_on": "2031-06-24", "day_is_vague": False, "day_in_scope": 2.0, "day_animals": 3.0}


@season_rule(
    view="visit",
    field="captures_typed",
    severity=Severity.ERROR,
    needs=("captures_typed", "day_typed", "day_animals"),
    message="{place} on {checked_on}: captures by the log {day_typed}, animals on the capture sheets {day_animals}",
    flagged={**DAY, "captures_typed": 5.0, "day_typed": 5.0},
    passes=[
        {**DAY, "captures_typed": 3.0, "day_typed": 3.0},
        {**DAY, "captures_typed": 2.0, "day_typed": 2.0},
        {**DAY, "captures_typed": 20.0, "day_typed": 20.0, "day_is_vague": True},
    ],
    cause=("place", "checked_on"),
)
def captures_typed_differ(visit: pd.DataFrame) -> pd.Series:
    """The number of captures that the log gives for an array and a day is not the number on the capture sheets.

    Compared by array and day, with and without by-catch; days with a count in words are left out.
    Why it matters: a row is missing, stands on another day or array, or was typed twice.
    What to do: compare the field book with the rows of that day. A row whose date or array could not be read is
    missing here too.
    """
    differs = (visit["day_typed"] != visit["day_animals"]) & (visit["day_typed"] != visit["day_in_scope"])
    return differs & ~visit["day_is_vague"].astype(bool)
