"""One animal at two arrays in too short a time."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.distance import metres_between
from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

FIRST = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-06-09", "place": "A3", "eventID": "c1",
    "where": "june.xlsx, row 7", "latitude": 36.70, "longitude": -99.60,
}  # fmt: skip
LATER = {**FIRST, "date": "2031-06-10", "where": "june.xlsx, row 11", "eventID": "c9", "place": "A6"}


@season_rule(
    view="animal",
    field="place",
    severity=Severity.WARNING,
    needs=("organismID", "date", "place", "latitude", "longitude"),
    message="{mark} was at {place} on {date} and on {earlier_date} at {earlier_place} ({earlier_where}), {metres}"
    " m away",
    flagged=[FIRST, {**LATER, "latitude": 36.75}],
    passes=[FIRST, {**LATER, "latitude": 36.7009}],
    source="common practice, no source; the distance is the survey file's (limits.metres_moved_in_a_day)",
)
def two_arrays_too_fast(animal: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """A marked animal was captured at two arrays farther apart than it can have moved in the time between.

    Why it matters: a mark or an array is wrong, and two animals are mixed.
    What to do: compare mark and array of both captures with the field book. If your animals do move as far, raise
    limits.metres_moved_in_a_day in the survey file.
    """
    earlier = beside_earlier(animal, animal["place"] != "", ("latitude", "longitude"))
    metres = metres_between(
        animal["latitude"],
        animal["longitude"],
        earlier["earlier_latitude"].astype("float64"),
        earlier["earlier_longitude"].astype("float64"),
    )
    elsewhere = (earlier["earlier_place"] != "") & (earlier["earlier_place"] != animal["place"])
    believed = survey.limits.metres_moved_in_a_day * earlier["days"].clip(lower=1)
    return earlier.assign(flag=elsewhere & (metres > believed), metres=metres.round())
