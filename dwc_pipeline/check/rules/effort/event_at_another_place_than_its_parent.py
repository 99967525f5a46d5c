"""A visit at another place than its session."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="event",
    field="place",
    severity=Severity.ERROR,
    needs=("place", "parent_place"),
    message="{eventID} is at {place}, its parent {parentEventID} at {parent_place}",
    flagged={"eventID": "X-A2-c1", "parentEventID": "X-A1-s1", "place": "A2", "parent_place": "A1"},
    passes={"eventID": "X-A2-c1", "parentEventID": "X-A2-s1", "place": "A2", "parent_place": "A2"},
    source="Darwin Core, parentEventID",
)
def event_at_another_place_than_its_parent(event: pd.DataFrame) -> pd.Series:
    """A check is at another array than the session that it belongs to.

    Why it matters: its effort and its animals would be counted for the wrong array.
    What to do: correct the array of the check in the log.
    """
    return event["place"] != event["parent_place"]
