"""Two places of the list that cannot be told apart by their positions."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.check.distance import metres_between
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity

#: Positions closer than this are the same numbers typed twice. [m]; our choice
SAME_POINT = 1.0
ARRAY = {"place": "A1", "kind_of_place": "array", "latitude": 36.70, "longitude": -99.60, "uncertainty": 30.0}


@season_rule(
    view="site",
    field="place",
    severity=Severity.ERROR,
    needs=("place", "latitude", "longitude"),
    message="{place} lies {metres} m from {other}, closer than their positions are known",
    flagged=[ARRAY, {**ARRAY, "place": "A2", "latitude": 36.7001}],
    passes=[ARRAY, {**ARRAY, "place": "A2", "latitude": 36.7100}, {**ARRAY, "place": "R1", "kind_of_place": "route"}],
)
def two_places_at_one_point(site: pd.DataFrame) -> pd.DataFrame:
    """Two places of one kind lie closer to each other than their positions are known.

    Why it matters: one place may stand in the lists under two codes, or a position was copied to the wrong row;
    captures of one place would be split in two.
    What to do: keep one code and name the other in the survey file as its spelling, or correct the position.
    """
    made = pd.DataFrame({"flag": False, "other": "", "metres": np.nan}, index=site.index)
    made["other"] = made["other"].astype(object)
    kind = text_column(site, "kind_of_place")
    latitude, longitude = site["latitude"].to_numpy(), site["longitude"].to_numpy()
    unsure = number_column(site, "uncertainty").fillna(0).clip(lower=SAME_POINT).to_numpy()
    for at in range(1, len(site)):
        metres = metres_between(latitude[:at], longitude[:at], latitude[at], longitude[at])
        alike = kinds_may_agree(kind.iloc[:at], kind.iloc[at])
        near = (metres <= np.minimum(unsure[:at], unsure[at])) & alike.to_numpy()
        if near.any():
            row, other = site.index[at], int(np.flatnonzero(near)[0])
            made.loc[row, ["flag", "other"]] = [True, site["place"].iloc[other]]
            made.loc[row, "metres"] = float(round(metres[other]))
    return made


def kinds_may_agree(kinds: pd.Series, kind: str) -> pd.Series:
    """True where two places may be one: both of one kind, or an array or site and a point that nobody described.

    The ends of a route are often stored as waypoints at its own position; they are no second place.
    """
    described = (kinds == kind) & (kind != "")
    point_and_site = ((kinds == "") & (kind in ("array", "site"))) | (kinds.isin(["array", "site"]) & (kind == ""))
    return described | point_and_site
