"""Snout-vent length against an earlier capture: less than 5 % shorter."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Under this it is the usual error of measuring. [share]; our choice
MOST = 0.05
#: Less than this is the grain of a ruler. [mm]; our choice
GRAIN_MM = 1.0
FIRST = {
    "organismID": "X-animal-1", "date": "2031-05-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "snout_vent_length": 73.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.NOTE,
    needs=("organismID", "snout_vent_length", "date"),
    message="{mark} at {place} on {date}: SVL {snout_vent_length} mm; on {earlier_date} at {earlier_place}: "
    "{earlier_snout_vent_length} mm ({earlier_where})",
    flagged=[FIRST, {**LATER, "snout_vent_length": 71.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 72.5}],
    source="lengths of live snakes vary with handling: Luiselli 2005, Amphibia-Reptilia 26 (from memory); limits:"
    " our choice",
)
def svl_shrank_a_little(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal is a little shorter than at an earlier capture, by less than 5 %.

    Why it matters: it shows how exactly lengths are measured here; growth below that cannot be told.
    What to do: nothing. Keep both lengths.
    """
    earlier = beside_earlier(animal, animal["snout_vent_length"] > 0, ("snout_vent_length",))
    before = earlier["earlier_snout_vent_length"].astype("float64")
    lost = before - animal["snout_vent_length"]
    return earlier.assign(flag=(lost > GRAIN_MM) & (lost / before < MOST))
