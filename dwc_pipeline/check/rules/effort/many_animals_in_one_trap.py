"""Animals in one trap at one check against the limit of the survey file."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

CHECK = {"eventID": "X-A2-c20310624-1", "trap": "P1", "place": "A2", "date": "2031-06-24"}


@season_rule(
    view="animal",
    field="trap",
    severity=Severity.WARNING,
    needs=("trap", "place", "eventID"),
    limit="animals_per_trap_check",
    message="{total} animals in {trap} of {place} on {date}",
    flagged=[{**CHECK, "count": 15.0}, {**CHECK, "count": 12.0}],
    passes=[{**CHECK, "count": 15.0}, {**CHECK, "trap": "P2", "count": 12.0}],
    source="common practice, no source; the limit is the survey file's",
)
def many_animals_in_one_trap(animal: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """More animals are written for one trap at one check than the survey file expects.

    Why it matters: it may be a pulse of young toads after rain, or a block of rows copied by mistake.
    What to do: compare with the field book. If the number is right, nothing needs to be done.
    """
    count = animal["count"].fillna(1)
    total = count.groupby([animal["eventID"], animal["trap"]]).transform("sum")
    return pd.DataFrame({"flag": total > survey.limits.animals_per_trap_check, "total": total})
