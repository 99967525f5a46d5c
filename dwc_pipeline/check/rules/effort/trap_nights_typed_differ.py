"""Trap-nights on the sheet against those computed from the log."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

#: Trap-nights by midnights are whole or half numbers; less than this apart is rounding. [trap-nights]
HALF_OF_A_HALF = 0.25
#: Where they are counted by hours or by the night, whole numbers on a sheet are rounded ones. [trap-nights]
ROUNDED = 0.5


@season_rule(
    view="visit",
    field="trap_nights_typed",
    severity=Severity.ERROR,
    needs=("trap_nights", "trap_nights_typed"),
    message="{place} on {checked_on}: {trap_nights_typed} trap-nights typed, {trap_nights} by the log",
    flagged={"place": "A2", "checked_on": "2031-06-24", "trap_nights": 0.0, "trap_nights_typed": 12.0},
    passes={"place": "A2", "checked_on": "2031-06-24", "trap_nights": 11.5, "trap_nights_typed": 11.5},
    cause="eventID",
    source="common practice, no source; trap-nights as protocol.trap_night in the survey file counts them",
)
def trap_nights_typed_differ(visit: pd.DataFrame, survey: SurveyFile) -> pd.Series:
    """The trap-nights typed for a check are not those that the log itself gives.

    Why it matters: catch per unit effort is wrong in one of the two, usually where a closed or flooded trap was
    forgotten, a check was missed, or an afternoon interval without a midnight was counted.
    What to do: compare the number with the openings, closings and trap states of the log, and correct what is wrong.
    The computed number is used.
    """
    tolerance = HALF_OF_A_HALF if survey.protocol.trap_night == "midnights" else ROUNDED
    return (visit["trap_nights"] - visit["trap_nights_typed"]).abs() > tolerance
