"""A check at an hour at which nobody checks."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

VISIT = {"is_logged": True, "place": "A2", "checked_on": "2031-06-02"}


@season_rule(
    view="visit",
    field="eventTime",
    severity=Severity.WARNING,
    needs=("eventDate", "is_logged"),
    limit="earliest_check",
    message="{place} on {checked_on}: checked at {at}, outside the hours of the survey file",
    flagged={**VISIT, "eventDate": "2031-06-01T07:10-05:00/2031-06-02T21:10-05:00"},
    passes=[
        {**VISIT, "eventDate": "2031-06-01T07:10-05:00/2031-06-02T07:10-05:00"},
        {**VISIT, "eventDate": "2031-06-01/2031-06-02"},
    ],
)
def check_outside_working_hours(visit: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """The log has a check at an hour that lies outside the working hours of the survey file.

    Openings and closings by themselves may be at any hour.
    Why it matters: morning and evening were exchanged, and the trap-hours of two intervals are wrong.
    What to do: compare the time with the paper sheet; widen the hours in the survey file if it was so.
    """
    end = text_column(visit, "eventDate").str.split("/").str[-1]
    at = end.str.slice(11, 16).where(end.str.len() > len("2031-06-02"), "")
    first, last = survey.limits.earliest_check, survey.limits.latest_check
    inside = at.between(first, last) if first <= last else (at >= first) | (at <= last)
    return pd.DataFrame({"flag": visit["is_logged"].astype(bool) & (at != "") & (last != "") & ~inside, "at": at})
