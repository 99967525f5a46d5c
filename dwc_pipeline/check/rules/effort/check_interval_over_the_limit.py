"""Hours between two checks against the limit of the survey file."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile


@season_rule(
    view="visit",
    field="eventDate",
    severity=Severity.ERROR,
    needs=("interval_hours",),
    limit="hours_between_checks",
    message="{place}: {interval_hours} hours since the last visit, checked on {checked_on}",
    flagged={"interval_hours": 48.1, "place": "A2", "checked_on": "2031-06-01"},
    passes={"interval_hours": 13.2},
    cause="eventID",
    source="common practice, no source; the limit is the survey file's",
)
def check_interval_over_the_limit(visit: pd.DataFrame, survey: SurveyFile) -> pd.Series:
    """An open array was left longer than the survey file allows between two checks.

    Why it matters: animals die in traps that are not visited; and traps that hold animals longer lose more of them.
    Your permit and your animal-care protocol set the limits; this check compares your log with the limit written in
    the survey file.
    What to do: if a check is missing from the log, add it; if nobody went, report it as your permit asks.
    """
    return visit["interval_hours"] > survey.limits.hours_between_checks
