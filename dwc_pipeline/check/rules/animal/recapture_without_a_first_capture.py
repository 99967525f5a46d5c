"""A recapture flag on the first row of a mark, in a project's first season."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.recapture_flags import first_rows
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

FIRST = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-05-09", "place": "A3", "eventID": "c1",
    "where": "june.xlsx, row 7", "capture_status": "new", "older_seasons": False,
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9", "capture_status": "recapture"}


@season_rule(
    view="animal",
    field="capture_status",
    severity=Severity.ERROR,
    needs=("organismID", "mark"),
    message="{mark} at {place} on {date} is a recapture, but no sheet has an earlier capture of it",
    flagged={**LATER, "organismID": "X-animal-2"},
    passes=[FIRST, LATER, {**LATER, "organismID": "X-animal-3"}, {**FIRST, "organismID": "X-animal-3", "date": ""}],
)
def recapture_without_a_first_capture(animal: pd.DataFrame) -> pd.Series:
    """An animal is written as a recapture, and no earlier capture has its mark.

    Why it matters: the mark was misread, the species differs, or the row of the first capture is missing.
    What to do: look for the mark in the field book. Correct it, add the first capture, or correct the flag.
    """
    return first_rows(animal) & (animal["capture_status"] == "recapture") & ~animal["older_seasons"].astype(bool)
