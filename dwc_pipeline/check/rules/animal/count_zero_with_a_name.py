"""A count of 0 with a species."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

NAMED = {"verbatimIdentification": "Uta stansburiana", "verbatimIdentification_typed": "UTST"}


@season_rule(
    view="capture",
    field="individualCount",
    severity=Severity.ERROR,
    needs=("verbatimIdentification", "individualCount"),
    message='a count of 0 for "{verbatimIdentification_typed}"',
    flagged={**NAMED, "individualCount": "0"},
    passes={**NAMED, "individualCount": "1"},
)
def count_zero_with_a_name(capture: pd.DataFrame) -> pd.Series:
    """A row names an animal and gives its count as 0.

    Why it matters: either an animal is lost from the catch, or a species would be published that was not there.
    What to do: write the number of animals, or remove the name and write "none" if the trap was empty.
    """
    return pd.to_numeric(text_column(capture, "individualCount"), errors="coerce") == 0
