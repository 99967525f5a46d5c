"""A mark that was given out before, on an animal written as new."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

FIRST = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-05-09", "place": "A3", "eventID": "c1",
    "where": "june.xlsx, row 7", "capture_status": "new",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="capture_status",
    severity=Severity.ERROR,
    needs=("organismID", "capture_status", "date"),
    message="{mark} at {place} on {date} is written as {capture_status}, but it was captured on {earlier_date} at "
    "{earlier_place} ({earlier_where})",
    flagged=[FIRST, LATER],
    passes=[FIRST, {**LATER, "capture_status": "recapture"}],
)
def known_mark_without_the_flag(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal is written as new or unmarked, and its mark was captured before.

    Why it matters: an animal is counted as two, and every estimate from recaptures suffers; or the mark was misread.
    What to do: compare both captures with the field book; correct the flag, or the mark.
    """
    flags = animal["capture_status"]
    earlier = beside_earlier(animal, flags != "", ("capture_status",))
    # Where the earlier row is the one that is out of order, that row has the finding.
    known = (earlier["earlier_where"] != "") & ~(
        (flags == "new") & (earlier["earlier_capture_status"] == "recapture") & ~_was_new_before(animal)
    )
    return earlier.assign(flag=known & flags.isin(["new", "unmarked"]))


def _was_new_before(animal: pd.DataFrame) -> pd.Series:
    """True where an earlier row of the same animal says that it was marked then."""
    new = animal.sort_values("date", kind="stable")
    marked = (new["capture_status"] == "new").astype(int)
    before = marked.groupby(new["organismID"]).cumsum() - marked
    return (before > 0).reindex(animal.index)
