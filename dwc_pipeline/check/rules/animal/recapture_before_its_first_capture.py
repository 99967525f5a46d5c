"""A recapture dated before the capture at which the animal was marked."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import moments
from dwc_pipeline.check.recapture_flags import first_rows, marked_later
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import mapped
from dwc_pipeline.core.rule import Severity

NEW = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-07-18", "place": "A3", "eventID": "c9",
    "where": "july.xlsx, row 11", "capture_status": "new",
}  # fmt: skip
RECAPTURE = {
    **NEW, "date": "2031-05-09", "where": "june.xlsx, row 7", "eventID": "c1", "capture_status": "recapture",
}  # fmt: skip


@season_rule(
    view="animal",
    field="eventDate",
    severity=Severity.ERROR,
    needs=("organismID", "capture_status", "date"),
    message="{mark} at {place} on {date} is a recapture, but it was marked on {new_date} at {new_place} "
    "({new_where})",
    flagged=[NEW, RECAPTURE],
    passes=[{**NEW, "date": "2031-05-01"}, RECAPTURE],
)
def recapture_before_its_first_capture(animal: pd.DataFrame) -> pd.DataFrame:
    """A recapture is dated before the capture at which the animal was marked.

    Why it matters: one of the two dates or flags is wrong, or the marks are of two animals.
    What to do: compare both captures with the field book.
    """
    new = animal.assign(at=moments(animal))[animal["capture_status"] == "new"].sort_values("at", kind="stable")
    new = new.drop_duplicates("organismID").set_index("organismID")
    made = pd.DataFrame(
        {f"new_{name}": mapped(animal["organismID"], new[name]) for name in ("date", "place", "where")}
    )
    is_recapture = animal["capture_status"] == "recapture"
    return made.assign(flag=is_recapture & first_rows(animal) & marked_later(animal))
