"""One person at two places at one time."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: A sheet on which this share of the rows or more collide gives one time for a whole round. [share]; our choice
HABIT = 0.1
AT = {
    "person": "Karis Medlock", "place": "A1", "moment": "2031-06-24 07:10",
    "kind": "trap_log", "from_utc": pd.Timestamp("2031-06-24T12:10Z"),
    "until_utc": pd.Timestamp("2031-06-24T12:10Z"),
}  # fmt: skip
ELSEWHERE = [
    {
        **AT,
        "from_utc": AT["from_utc"] + pd.Timedelta(days=day),
        "until_utc": AT["until_utc"] + pd.Timedelta(days=day),
    }
    for day in range(1, 20)
]


@season_rule(
    view="presence",
    field="recordedBy",
    severity=Severity.WARNING,
    needs=("person", "place", "from_utc", "until_utc"),
    message="{person} was at {place} on {moment}, and at {other_place} since {other_moment}",
    flagged=[*ELSEWHERE, AT, {**AT, "place": "A6"}],
    passes=[*ELSEWHERE, AT, {**AT, "place": "A6", "person": "Rolf Tennick"}],
    cause="person",
)
def observer_at_two_places_at_once(presence: pd.DataFrame) -> pd.DataFrame:
    """One person is written for two places at the same time.

    Sheets that give one time to a whole round are left out.
    Why it matters: the time, the place or the person of one row is wrong; effort counted by people is too high.
    What to do: correct the row that is wrong.
    """
    ordered = presence.sort_values(["person", "from_utc"], kind="stable")
    before = ordered.groupby("person")[["place", "moment", "until_utc", "from_utc"]].shift()
    overlap = (ordered["from_utc"] < before["until_utc"]) | (ordered["from_utc"] == before["from_utc"])
    meets = overlap & (before["place"] != ordered["place"])
    share = meets.groupby(ordered["kind"]).transform("mean")
    made = pd.DataFrame(
        {"flag": meets & (share < HABIT), "other_place": before["place"], "other_moment": before["moment"]}
    )
    return made.reindex(presence.index)
