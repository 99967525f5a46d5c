"""An animal without a date."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="eventDate",
    severity=Severity.ERROR,
    needs=("verbatimIdentification",),
    message='"{verbatimIdentification}" without a date',
    flagged={"verbatimIdentification": "UTST", "date": "", "eventDate_typed": " "},
    passes=[
        {"verbatimIdentification": "UTST", "date": "2031-06-20", "eventDate_typed": "6/20/31"},
        {"verbatimIdentification": "UTST", "date": "", "eventDate_typed": "6/31/31"},
    ],
)
def animal_without_a_date(animal: pd.DataFrame) -> pd.Series:
    """An animal has no date at all. A date that was written and could not be read has a finding of its own.

    Why it matters: without a date the animal belongs to no check, so it counts in no rate.
    What to do: fill in the date from the field book. If blank cells repeat the date above, say so in the survey file
    (fill_down).
    """
    return (text_column(animal, "date") == "") & (stripped(text_column(animal, "eventDate_typed")) == "")
