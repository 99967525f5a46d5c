"""A tail far shorter than others of its species, without a word about it."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.rules.animal.far_longer_than_the_record import FAR
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity

#: A tail under this share of the usual one for its body is named. [share]; our choice
SHORT = 0.6
#: Fewest animals of a species that show what is usual; common practice, no source.
LEAST_ROWS = 10
BODY = {"scientificName": "Uta stansburiana", "snout_vent_length": 50.0}
MANY = [{**BODY, "tail_length": 80.0 + n} for n in range(10)]


@season_rule(
    view="animal",
    field="tail_length",
    severity=Severity.WARNING,
    needs=("scientificName", "snout_vent_length", "tail_length"),
    message="tail {tail_length} mm with SVL {snout_vent_length} mm; about {usual} mm would be usual, and nothing "
    "says "
    "that it is broken",
    flagged=[*MANY, {**BODY, "tail_length": 31.0}],
    passes=[*MANY, {**BODY, "tail_length": 31.0, "tail_condition": "broken"}],
    source="common practice, no source; the usual share is the median of the season's own animals of the species",
)
def tail_far_shorter_than_usual(animal: pd.DataFrame) -> pd.DataFrame:
    """A tail is far shorter than those of other animals of its species, and is not marked as broken or regrown.

    Why it matters: it is a broken tail that was not written down, or a slip of the pen. Total lengths and proportions
    come out wrong.
    What to do: write "broken" or "regrown" beside the number if so; else correct it.
    """
    condition = text_column(animal, "tail_condition").fillna("")
    share = animal["tail_length"] / animal["snout_vent_length"]
    whole = share.where(condition.isin(["", "intact"]))
    by_species = whole.groupby(animal["scientificName"])
    usual, rows = by_species.transform("median"), by_species.transform("count")
    # Where the body itself is far too long, the tail is not what is wrong.
    body_wrong = number_column(animal, "size_mm") > FAR * number_column(animal, "record_mm")
    flag = whole.notna() & (rows >= LEAST_ROWS) & (whole < SHORT * usual) & ~body_wrong
    return pd.DataFrame({"flag": flag, "usual": (usual * animal["snout_vent_length"]).round()})
