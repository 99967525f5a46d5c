"""A count above 0 beside a word that says that nothing was caught."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

NONE = {"verbatimIdentification_typed": "none", "verbatimIdentification/no_animal": "true"}


@season_rule(
    view="capture",
    field="individualCount",
    severity=Severity.ERROR,
    needs=("verbatimIdentification_typed", "individualCount"),
    message='"{verbatimIdentification_typed}" with a count of {individualCount}',
    flagged={**NONE, "individualCount": "2"},
    passes={**NONE, "individualCount": "0"},
)
def count_beside_no_animals(capture: pd.DataFrame) -> pd.Series:
    """A row says that nothing was caught, and counts animals.

    Why it matters: the check is either empty or not; as it stands the animals are left out of the catch.
    What to do: write the name of the animals, or remove the count.
    """
    says_none = text_column(capture, "verbatimIdentification/no_animal") == "true"
    return says_none & (pd.to_numeric(text_column(capture, "individualCount"), errors="coerce") > 0)
