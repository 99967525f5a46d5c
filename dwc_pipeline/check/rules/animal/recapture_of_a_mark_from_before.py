"""A recapture flag on the first row of a mark, in a project of several seasons."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.recapture_flags import first_rows
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

SEEN = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-05-09", "place": "A3", "eventID": "c1",
    "where": "june.xlsx, row 7", "capture_status": "recapture", "older_seasons": True,
}  # fmt: skip
AGAIN = {**SEEN, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="capture_status",
    severity=Severity.WARNING,
    needs=("organismID", "mark"),
    message="{mark} at {place} on {date} is a recapture, and these sheets have no earlier capture of it: marked "
    "in an "
    "earlier season?",
    flagged=SEEN,
    passes=[{**SEEN, "capture_status": "new"}, AGAIN],
)
def recapture_of_a_mark_from_before(animal: pd.DataFrame) -> pd.Series:
    """An animal is written as a recapture, its mark is not among the earlier captures, and the project is older.

    Why it matters: it may have been marked in an earlier season; or the mark was misread.
    What to do: look for the mark in the sheets of the seasons before. If it is there, nothing needs to be done.
    """
    return first_rows(animal) & (animal["capture_status"] == "recapture") & animal["older_seasons"].astype(bool)
