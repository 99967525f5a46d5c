"""A trap that is closed and has a capture at one and the same check."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

HERE = {"place": "A3", "trap": "F2", "date": "2031-06-20", "trap_shut": "F2 closed", "shut_where": "log.csv, row 4"}


@season_rule(
    view="animal",
    field="trap",
    severity=Severity.ERROR,
    needs=("trap", "place", "date"),
    message='{trap} of {place} has an animal on {date}; at that check the log says "{trap_shut}" ({shut_where})',
    flagged={**HERE, "shut_by": "check"},
    passes={**HERE, "trap_shut": "", "shut_by": ""},
)
def trap_closed_and_with_a_capture(animal: pd.DataFrame) -> pd.Series:
    """The log says at a check that a trap was closed, missing or not checked, and an animal is written for it.

    Why it matters: a closed trap adds no trap-nights; if it did catch, the catch rate comes out too high.
    What to do: correct the trap of the animal or the state in the log. Where the trap was closed at this check, after
    it was emptied, write the closing on a row of its own.
    """
    return animal["shut_by"] == "check"
