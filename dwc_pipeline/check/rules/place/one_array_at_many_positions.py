"""Captures of one array far from the array."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.distance import metres_between
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Arms of a fence are shorter than this; a capture beyond it is not of the array. [m]; our choice
REACH = 100.0
ANIMAL = {"place": "A1", "event_type": "trapCheck", "latitude": 36.70, "longitude": -99.60, "date": "2031-06-24"}


@season_rule(
    view="animal",
    field="verbatimLatitude",
    severity=Severity.WARNING,
    needs=("place", "latitude", "longitude", "own_latitude", "own_longitude"),
    message="the position of this animal lies {metres} m from {place}, where it was trapped",
    flagged={**ANIMAL, "own_latitude": 36.72, "own_longitude": -99.60},
    passes=[
        {**ANIMAL, "own_latitude": 36.7002, "own_longitude": -99.6001},
        {**ANIMAL, "event_type": "roadSurvey", "own_latitude": 36.72, "own_longitude": -99.60},
    ],
)
def one_array_at_many_positions(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal trapped at an array has a position of its own, far from the array.

    Why it matters: the array or the position is wrong, or the position is that of another array copied down.
    What to do: correct the array or the position; an array's position belongs in the place list.
    """
    metres = metres_between(animal["latitude"], animal["longitude"], animal["own_latitude"], animal["own_longitude"])
    trapped = animal["event_type"].isin(["trapCheck", "trapSession"])
    return pd.DataFrame({"flag": trapped & (metres > REACH), "metres": metres.round()})
