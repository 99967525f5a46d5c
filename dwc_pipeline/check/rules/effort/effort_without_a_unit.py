"""Sampling effort without a unit."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="scope",
    field="samplingEffortValue",
    severity=Severity.ERROR,
    needs=("eventID", "samplingEffortValue"),
    message="{eventID}: effort {samplingEffortValue} without a unit",
    flagged={"eventID": "X-A2-c1", "samplingEffortValue": "275.4", "samplingEffortUnit": ""},
    passes={"eventID": "X-A2-c1", "samplingEffortValue": "275.4", "samplingEffortUnit": "trapHours"},
    source="Humboldt Extension, samplingEffortValue: to be used with samplingEffortUnit",
)
def effort_without_a_unit(scope: pd.DataFrame) -> pd.Series:
    """An event has a value of sampling effort, and no unit.

    Why it matters: a number of effort without a unit cannot be used or compared.
    What to do: report this; the unit is written with the value.
    """
    return text_column(scope, "samplingEffortUnit").fillna("") == ""
