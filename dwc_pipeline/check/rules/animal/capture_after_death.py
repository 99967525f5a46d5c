"""A capture of an animal that was recorded as dead."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.dead import is_dead
from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

FIRST = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-05-09", "place": "A3", "eventID": "c1",
    "where": "june.xlsx, row 7", "fate": "died in trap",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9", "fate": "released at capture"}


@season_rule(
    view="animal",
    field="fate",
    severity=Severity.ERROR,
    needs=("organismID", "date"),
    message="{mark} was captured at {place} on {date}, but on {earlier_date} at {earlier_place} it was dead: "
    "{earlier_fate} ({earlier_where})",
    flagged=[FIRST, LATER],
    passes=[{**FIRST, "fate": "released at capture"}, LATER],
)
def capture_after_death(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal was captured after a capture at which it was recorded as dead.

    Why it matters: the fate, the mark or a date is wrong; deaths are counted that were none, or the reverse.
    What to do: compare both captures with the field book; correct the fate, the mark or the date.
    """
    earlier = beside_earlier(
        animal.assign(dead=is_dead(animal)),
        pd.Series(True, index=animal.index),
        ("fate", "dead"),
        beyond_death=True,
    )
    return earlier.assign(flag=earlier["earlier_dead"].fillna(False).astype(bool))
