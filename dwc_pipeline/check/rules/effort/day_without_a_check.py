"""A day on which an open array was not checked, under a protocol of daily checks."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

VISIT = {"place": "A2", "since_on": "2031-06-01", "interval_hours": 47.0, "is_logged": True}


@season_rule(
    view="visit",
    field="eventDate",
    severity=Severity.WARNING,
    needs=("midnights",),
    message="{place}: no check between {since_on} and {checked_on}, with the array open",
    flagged={**VISIT, "midnights": 2.0, "checked_on": "2031-06-03", "interval_hours": None},
    passes=[
        {**VISIT, "midnights": 1.0, "checked_on": "2031-06-02"},
        {**VISIT, "midnights": 2.0, "checked_on": "2031-06-03"},
        {**VISIT, "midnights": 2.0, "checked_on": "2031-06-03", "interval_hours": None, "is_logged": False},
    ],
    cause="eventID",
    source="common practice, no source",
)
def day_without_a_check(visit: pd.DataFrame, survey: SurveyFile) -> pd.Series:
    """An open array has no check on a day, though the protocol says that it is checked daily.

    An interval over the limit of the survey file is an error of its own and is not named here again. Arrays whose
    checks the log does not hold at all are left out.
    Why it matters: what was in the traps on that day is unknown, which is not the same as empty; and animals die in
    traps that are not visited.
    What to do: if a check was made, add it to the log, also if it found nothing; if the array was closed, add the
    closing and the opening; if checks are not daily by plan, set protocol.checked_daily to false.
    """
    if not survey.protocol.checked_daily:
        return pd.Series(False, index=visit.index)
    limit = survey.limits.hours_between_checks
    named_already = number_column(visit, "interval_hours") > (limit or float("inf"))
    return (visit["midnights"] > 1) & visit["is_logged"].astype(bool) & ~named_already
