"""A place of the list, or an animal with a position of its own, far from everything else."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.check.distance import metres_between
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: A survey that one crew visits does not reach so far. [km]; our choice
FAR_KM = 100.0
#: Places that show where the survey is; our choice
LEAST_PLACES = 3
PLACES = [
    {"place": f"A{n}", "latitude": 36.70 + 0.01 * n, "longitude": -99.60, "kind_of_place": "array"} for n in range(4)
]
FINDS = [
    {"own_latitude": 36.70 + 0.01 * n, "own_longitude": -99.60, "latitude": 36.7, "longitude": -99.6}
    for n in range(4)
]


def kilometres_off(latitude: pd.Series, longitude: pd.Series) -> pd.Series:
    """How far each point lies from the middle of all points, whole kilometres; missing where they are too few."""
    if latitude.notna().sum() <= LEAST_PLACES:
        return pd.Series(np.nan, index=latitude.index)
    middle = [np.full(len(latitude), values.median()) for values in (latitude, longitude)]
    metres = metres_between(latitude.to_numpy(), longitude.to_numpy(), *middle)
    return pd.Series(metres / 1000, index=latitude.index).round()


@season_rule(
    view="site",
    field="verbatimLatitude",
    severity=Severity.WARNING,
    needs=("place", "latitude", "longitude"),
    message="{place} lies {km} km from the middle of the other places",
    flagged=[*PLACES, {**PLACES[0], "place": "A9", "latitude": 46.70}],
    passes=[*PLACES, {**PLACES[0], "place": "A9", "latitude": 36.90}],
)
def place_far_from_the_others(site: pd.DataFrame) -> pd.DataFrame:
    """A place of the list lies over 100 km from the middle of all the others.

    Why it matters: a digit, a sign or a zone is wrong, and every animal of the place would be put there on a map.
    What to do: compare the position with the receiver, or with a map. With an outline of the property in the survey
    file, every position is held against it.
    """
    km = kilometres_off(site["latitude"].astype("float64"), site["longitude"].astype("float64"))
    return pd.DataFrame({"flag": km > FAR_KM, "km": km})


@season_rule(
    view="animal",
    field="verbatimLatitude",
    severity=Severity.WARNING,
    needs=("own_latitude", "own_longitude"),
    message="the position of this animal lies {km} km from the middle of the others",
    flagged=[*FINDS, {**FINDS[0], "own_latitude": 26.70}],
    passes=[*FINDS, {**FINDS[0], "own_latitude": 36.90}],
)
def find_far_from_the_others(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal with a position of its own lies over 100 km from the middle of all such animals.

    Why it matters: a digit or a sign is wrong, and the record would extend the range of the species.
    What to do: compare the position with the receiver, or with a map.
    """
    km = kilometres_off(animal["own_latitude"].astype("float64"), animal["own_longitude"].astype("float64"))
    return pd.DataFrame({"flag": km > FAR_KM, "km": km})
