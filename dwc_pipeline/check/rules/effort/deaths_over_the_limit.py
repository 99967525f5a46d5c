"""Deaths at one check against the limit of the survey file."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile


@season_rule(
    view="visit",
    field="eventDate",
    severity=Severity.WARNING,
    needs=("deaths",),
    limit="deaths_per_check",
    message="{place} on {checked_on}: {deaths} animals died",
    flagged={"place": "A2", "checked_on": "2031-06-24", "deaths": 3.0},
    passes={"place": "A2", "checked_on": "2031-06-24", "deaths": 1.0},
    cause="eventID",
    source="common practice, no source; the limit is the survey file's",
)
def deaths_over_the_limit(visit: pd.DataFrame, survey: SurveyFile) -> pd.Series:
    """More animals died at one check than the survey file allows, by-catch included.

    Why it matters: your permit and your animal-care protocol set the limits; this check compares your log with the
    limit written in the survey file.
    What to do: do what permit and protocol say for such a case, and write down the cause of each death.
    """
    return visit["deaths"] > survey.limits.deaths_per_check
