"""Snout-vent lengths of marked animals beside the capture before: what rules of growth and shrinking share."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier

#: More than an animal grows in a day. [mm/day]; from memory, meant as upper bounds
MM_A_DAY = {"snake": 1.5}
MM_A_DAY_OF_OTHERS = 1.0
#: What measuring alone may add or take. [share]; our choice
MEASURING = 0.05


def lengths_beside_earlier(animal: pd.DataFrame) -> pd.DataFrame:
    """As `beside_earlier`, with lost [mm] and lost_share of the earlier length, grown_beyond [mm] and is_back.

    grown_beyond: growth above what the days between allow. is_back: this length fits the capture before the earlier
    one, and the earlier one did not: that one is odd, and has the finding.
    """
    length = animal["snout_vent_length"]
    made = beside_earlier(animal, length > 0, ("snout_vent_length",))
    earlier, back = (made[f"{which}_snout_vent_length"].astype("float64") for which in ("earlier", "back"))
    rate = animal.get("group", pd.Series("", index=animal.index)).map(MM_A_DAY).fillna(MM_A_DAY_OF_OTHERS)
    made["lost"] = earlier - length
    made["lost_share"] = made["lost"] / earlier
    made["grown_beyond"] = length - earlier * (1 + MEASURING) - rate * made["days"]
    fits = (length >= back * (1 - MEASURING)) & (length - back * (1 + MEASURING) <= rate * made["days_back"])
    grown = earlier - back * (1 + MEASURING) - rate * (made["days_back"] - made["days"])
    return made.assign(is_back=fits & ((earlier < back * (1 - MEASURING)) | (grown > 0)))
