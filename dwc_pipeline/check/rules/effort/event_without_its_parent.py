"""Events whose parent does not exist."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile


@season_rule(
    view="event",
    field="parentEventID",
    severity=Severity.ERROR,
    needs=("eventID", "has_parent"),
    message='{eventID} belongs to "{parentEventID}", and there is no such event',
    flagged={"eventID": "X-A2-c1", "parentEventID": "X-A2-s9", "has_parent": False},
    passes={"eventID": "X-A2-c1", "parentEventID": "X-A2-s1", "has_parent": True},
    source="Darwin Core, parentEventID: an identifier of another event",
)
def event_without_its_parent(event: pd.DataFrame, survey: SurveyFile) -> pd.Series:
    """An event names a parent that is not among the events.

    An event before or after the survey has none; its date has a finding of its own.
    Why it matters: the tree of survey, season, session and check is broken; effort cannot be added up.
    What to do: report this; the tree is made from the log and should be whole.
    """
    day = text_column(event, "eventDate").fillna("").str.slice(0, 10)
    first = min(survey.survey.starts, survey.survey.project_starts or survey.survey.starts).isoformat()
    outside = (event["parentEventID"] == "") & (day != "") & ~day.between(first, survey.survey.ends.isoformat())
    return ~event["has_parent"].astype(bool) & ~outside
