"""Snout-vent length against an earlier capture: over 10 % shorter."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Nobody measures so badly. [share]; our choice
LIMIT = 0.10
FIRST = {
    "organismID": "X-animal-1", "date": "2031-05-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "snout_vent_length": 73.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.ERROR,
    needs=("organismID", "snout_vent_length", "date"),
    message="{mark} at {place} on {date}: SVL {snout_vent_length} mm; on {earlier_date} at {earlier_place}: "
    "{earlier_snout_vent_length} mm ({earlier_where})",
    flagged=[FIRST, {**LATER, "snout_vent_length": 60.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 70.0}],
    source="lengths of live snakes vary with handling: Luiselli 2005, Amphibia-Reptilia 26 (from memory); limits:"
    " our choice",
)
def svl_shrank(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal is over 10 % shorter than at an earlier capture.

    Why it matters: a length is wrong, or the mark was misread and these are two animals.
    What to do: compare mark and length of both captures with the field book, and correct the one that is wrong.
    """
    earlier = beside_earlier(animal, animal["snout_vent_length"] > 0, ("snout_vent_length",))
    before = earlier["earlier_snout_vent_length"].astype("float64")
    return earlier.assign(flag=(before - animal["snout_vent_length"]) / before > LIMIT)
