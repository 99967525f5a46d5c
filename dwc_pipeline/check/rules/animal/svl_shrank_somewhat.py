"""Snout-vent length against an earlier capture: 5 to 10 % shorter."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Between these it may be handling or a slip. [share]; our choice
LEAST, MOST = 0.05, 0.10
FIRST = {
    "organismID": "X-animal-1", "date": "2031-05-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "snout_vent_length": 73.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.WARNING,
    needs=("organismID", "snout_vent_length", "date"),
    message="{mark} at {place} on {date}: SVL {snout_vent_length} mm; on {earlier_date} at {earlier_place}: "
    "{earlier_snout_vent_length} mm ({earlier_where})",
    flagged=[FIRST, {**LATER, "snout_vent_length": 68.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 72.0}],
    source="lengths of live snakes vary with handling: Luiselli 2005, Amphibia-Reptilia 26 (from memory); limits:"
    " our choice",
)
def svl_shrank_somewhat(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal is 5 to 10 % shorter than at an earlier capture.

    Why it matters: a live animal cannot be measured exactly, but this is more than is usual; growth rates suffer.
    What to do: compare both lengths with the field book. Keep both if they were read so.
    """
    earlier = beside_earlier(animal, animal["snout_vent_length"] > 0, ("snout_vent_length",))
    before = earlier["earlier_snout_vent_length"].astype("float64")
    return earlier.assign(flag=((before - animal["snout_vent_length"]) / before).between(LEAST, MOST))
