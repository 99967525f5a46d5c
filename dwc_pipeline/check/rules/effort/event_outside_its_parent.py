"""A visit outside the time of its session or season."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

EVENT = {
    "eventID": "X-A2-c1",
    "parentEventID": "X-A2-s1",
    "parent_date": "2031-06-01T17:00-05:00/2031-06-09T07:05-05:00",
    "parent_type": "trapSession",
}


@season_rule(
    view="event",
    field="eventDate",
    severity=Severity.ERROR,
    needs=("eventDate", "parent_date", "parent_type"),
    message="{eventID} took place {eventDate}, outside {parentEventID}, {parent_date}",
    flagged={**EVENT, "eventDate": "2031-06-09T07:05-05:00/2031-06-11T07:05-05:00"},
    passes={**EVENT, "eventDate": "2031-06-08T07:00-05:00/2031-06-09T07:05-05:00"},
    source="Darwin Core, eventDate and parentEventID: a part takes place within the whole; by local days",
)
def event_outside_its_parent(event: pd.DataFrame) -> pd.Series:
    """A check begins before or ends after the session that it belongs to, or a season is outside its project.

    Dates outside the season have a finding of their own where they are read.

    Why it matters: readers of the archive add up parts to a whole; a part outside it belongs elsewhere.
    What to do: correct the date, or the beginning and end of the season in the survey file.
    """
    first, last = event["eventDate"].str.slice(0, 10), event["eventDate"].str.split("/").str[-1].str.slice(0, 10)
    in_season = event["parent_type"] == "fieldSeason"
    begins = event["parent_date"].str.slice(0, 10)
    ends = event["parent_date"].str.split("/").str[-1].str.slice(0, 10)
    return ((first < begins) | (last > ends)) & ~in_season
