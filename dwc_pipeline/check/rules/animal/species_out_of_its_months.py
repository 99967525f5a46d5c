"""A species met outside its months of the checklist."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.rule import Severity

SPECIES = {"scientificName": "Uta stansburiana", "months": "4-10"}


#: First and last month, as "4-10".
SPAN = r"^\s*(\d{1,2})\s*[-–]\s*(\d{1,2})\s*$"


@season_rule(
    view="animal",
    field="verbatimIdentification",
    severity=Severity.WARNING,
    needs=("scientificName", "months", "date"),
    message="{scientificName} on {date}: the checklist has it active in months {months}",
    flagged={**SPECIES, "date": "2031-12-20"},
    passes=[{**SPECIES, "date": "2031-06-20"}, {**SPECIES, "months": "11-3", "date": "2031-02-01"}],
    source="the months of the survey's own checklist",
)
def species_out_of_its_months(animal: pd.DataFrame) -> pd.Series:
    """An animal was met in a month in which the checklist does not have its species active.

    Why it matters: the name or the date may be wrong; or it is a find worth a note.
    What to do: check name and date. If both are right, widen the months in the checklist.
    """
    month = on_distinct(animal["date"], lambda dates: dates.str.slice(5, 7).astype(int))
    span = on_distinct(animal["months"], lambda texts: texts.str.extract(SPAN).astype("float64"))
    first, last = span[0], span[1]
    within = month.between(first, last).where(first <= last, (month >= first) | (month <= last))
    return first.notna() & ~within
