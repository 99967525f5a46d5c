"""A capture in a trap that the log has closed since an earlier row."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

HERE = {"place": "A3", "trap": "F2", "date": "2031-06-20", "trap_shut": "closed", "shut_where": "log.csv, row 4"}


@season_rule(
    view="animal",
    field="trap",
    severity=Severity.ERROR,
    needs=("trap", "place", "date"),
    message="{trap} of {place} is {trap_shut} in the log since before {date} ({shut_where})",
    flagged={**HERE, "shut_by": "log"},
    passes={**HERE, "trap_shut": "", "shut_by": ""},
)
def capture_in_a_closed_trap(animal: pd.DataFrame) -> pd.Series:
    """An animal is written for a trap that the log had closed, or that it names as missing, at that time.

    Why it matters: either the trap caught and its trap-nights are missing, or the animal is given to the wrong trap.
    What to do: correct the trap or the date of the animal, or the row of the log that closes the trap.
    """
    return animal["shut_by"] == "log"
