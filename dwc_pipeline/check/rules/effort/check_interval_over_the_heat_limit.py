"""Hours between two checks in heat against the limit of the survey file."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

VISIT = {"place": "A2", "checked_on": "2031-06-24", "interval_hours": 23.9}


@season_rule(
    view="visit",
    field="eventDate",
    severity=Severity.ERROR,
    needs=("interval_hours", "maximum_air_temperature"),
    limit="hours_between_checks_in_heat",
    message="{place}: {interval_hours} hours since the last visit, checked on {checked_on}, and up to "
    "{maximum_air_temperature} degrees C since then",
    flagged={**VISIT, "maximum_air_temperature": 37.2},
    passes=[
        {**VISIT, "maximum_air_temperature": 29.0},
        {**VISIT, "interval_hours": 9.8, "maximum_air_temperature": 39.0},
    ],
    cause="eventID",
    source="common practice, no source; both limits are the survey file's",
)
def check_interval_over_the_heat_limit(visit: pd.DataFrame, survey: SurveyFile) -> pd.Series:
    """In heat, an open array was left longer than the survey file allows between two checks.

    Why it matters: heat kills animals in traps within hours. Your permit and your animal-care protocol set the
    limits; this check compares your log with the limit written in the survey file.
    What to do: if a check is missing from the log, add it; if nobody went, report it as your permit asks.
    """
    limits = survey.limits
    if limits.heat_celsius is None:
        return pd.Series(False, index=visit.index)
    hot = visit["maximum_air_temperature"] >= limits.heat_celsius
    return hot & (visit["interval_hours"] > limits.hours_between_checks_in_heat)
