"""Measurements that an animal of its group does not have."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="tail_length",
    severity=Severity.WARNING,
    needs=("scientificName", "group"),
    message="{what} for {scientificName}, a {group}",
    flagged={"scientificName": "Spea bombifrons", "group": "frog", "tail_length": 31.0, "lifeStage": "adult"},
    passes=[
        {"scientificName": "Spea bombifrons", "group": "frog", "tail_length": 12.0, "lifeStage": "metamorph"},
        {"scientificName": "Terrapene ornata", "group": "turtle", "straight_carapace_length": 104.0},
        {"scientificName": "Uta stansburiana", "group": "lizard", "tail_length": 70.0},
    ],
    cause=("what", "scientificName"),
)
def field_of_another_group(animal: pd.DataFrame) -> pd.DataFrame:
    """A grown frog has a tail length, or an animal that is no turtle a carapace length.

    Why it matters: a number stands in the wrong column or row, or the name is wrong.
    What to do: move the number to its column, or correct the name.
    """
    young = text_column(animal, "lifeStage").isin(["larva", "metamorph"])
    tail = (animal["group"] == "frog") & ~young & number_column(animal, "tail_length").notna()
    shell = (animal["group"] != "turtle") & number_column(animal, "straight_carapace_length").notna()
    what = tail.map({True: "a tail length", False: "a carapace length"})
    return pd.DataFrame({"flag": tail | shell, "what": what})
