"""Sex against an earlier capture of the same animal."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

FIRST = {
    "organismID": "X-animal-1", "date": "2031-05-09", "place": "A3", "where": "june.xlsx, row 7", "sex": "male",
    "eventID": "c1", "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="sex",
    severity=Severity.ERROR,
    needs=("organismID", "sex", "date"),
    message="{mark} at {place} on {date}: {sex}; on {earlier_date} at {earlier_place}: {earlier_sex} "
    "({earlier_where})",
    flagged=[FIRST, {**LATER, "sex": "female"}],
    passes=[FIRST, LATER],
)
def sex_changed(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal has another sex than at an earlier capture.

    Why it matters: one of the two is wrong, or the mark was misread and these are two animals.
    What to do: compare mark and sex of both captures with the field book. Leave the sex blank where it is not sure.
    """
    told = animal["sex"].isin(["male", "female"])
    earlier = beside_earlier(animal, told, ("sex",))
    changed = earlier["earlier_sex"].isin(["male", "female"]) & (earlier["earlier_sex"] != animal["sex"])
    # Where the capture before agrees, the one between is odd, and has the finding.
    return earlier.assign(flag=changed & (earlier["back_sex"] != animal["sex"]))
