"""Captures of marked animals set beside the capture before: what recapture rules compare.

Two captures are of one animal where organismID agrees, which is mark and species together.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.dead import is_dead
from dwc_pipeline.core.columns import text_column

#: Noon, for captures whose time is not known. [hours]
NOON = 12


def moments(animal: pd.DataFrame) -> pd.Series:
    """When each animal was met, for putting captures in order: UTC, or noon of the day where no time is known."""
    day = pd.to_datetime(text_column(animal, "date"), format="%Y-%m-%d", errors="coerce")
    by_day = (day + pd.Timedelta(hours=NOON)).dt.tz_localize("UTC")
    if "utc" not in animal:
        return by_day
    return pd.to_datetime(animal["utc"], utc=True).fillna(by_day)


def checks(animal: pd.DataFrame) -> pd.Series:
    """What tells one check from another: the event, or the place and day where there is none."""
    event = text_column(animal, "eventID").fillna("")
    return event.where(event != "", text_column(animal, "place") + " " + text_column(animal, "date"))


def beside_earlier(
    animal: pd.DataFrame,
    wanted: pd.Series,
    columns: tuple[str, ...],
    key: str = "organismID",
    beyond_death: bool = False,
) -> pd.DataFrame:
    """For each wanted capture, the nearest earlier wanted capture of the same animal at another check.

    animal: a view with organismID, date, place and `where`. wanted: rows that say something to compare.
    Returns the index of `animal` with days (between the two, as fraction), earlier_date, earlier_place,
    earlier_where and earlier_<column>; missing and "" where there is no earlier capture. Rows of one check are one
    meeting: only its first row is compared, and later checks look back to it. A capture after a recorded death is
    compared with nothing before that, unless `beyond_death`: the death or the mark is in doubt, which is one fault
    with a rule of its own. days_back and back_<column> are of the capture before the earlier one.
    """
    told = ("date", "place", "where", *columns)
    view = pd.DataFrame(
        {
            "key": text_column(animal, key),
            "at": moments(animal),
            "check": checks(animal),
            "dead": is_dead(animal).astype(int),
            **{name: animal.get(name, "") for name in told},
        },
        index=animal.index,
    )
    view = view[(view["key"] != "") & view["at"].notna()].sort_values("at", kind="stable")
    view["deaths"] = 0 if beyond_death else view.groupby("key")["dead"].cumsum() - view["dead"]
    view = view[wanted.reindex(view.index)].drop_duplicates(["key", "check"])
    lives = view.groupby(["key", "deaths"])
    earlier, back = lives[["at", *told]].shift(), lives[["at", *columns]].shift(2)
    made = earlier.rename(columns={name: f"earlier_{name}" for name in told})
    made[[f"back_{name}" for name in columns]] = back[list(columns)]
    for name, then in (("days", earlier), ("days_back", back)):
        made[name] = (view["at"] - then["at"]).dt.total_seconds() / 86_400
    made = made.drop(columns="at").reindex(animal.index)
    for name in ("earlier_date", "earlier_place", "earlier_where"):
        made[name] = made[name].fillna("")
    return made
