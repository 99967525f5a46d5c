"""Snout-vent length against an earlier capture: longer than it can have grown."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.length_histories import lengths_beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

FIRST = {
    "organismID": "X-animal-1", "date": "2031-05-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "snout_vent_length": 48.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.WARNING,
    needs=("organismID", "snout_vent_length", "date"),
    message="{mark} at {place} on {date}: SVL {snout_vent_length} mm; on {earlier_date} at {earlier_place}: "
    "{earlier_snout_vent_length} mm ({earlier_where})",
    flagged=[FIRST, {**LATER, "snout_vent_length": 168.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 59.0}],
    source="common practice, no source; rates from memory, meant as upper bounds",
)
def svl_grew_too_fast(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal grew faster between two captures than its kind can.

    Why it matters: a length is wrong, or the mark was misread and these are two animals.
    What to do: compare mark and length of both captures with the field book.
    """
    lengths = lengths_beside_earlier(animal)
    return lengths.assign(flag=(lengths["grown_beyond"] > 0) & ~lengths["is_back"])
