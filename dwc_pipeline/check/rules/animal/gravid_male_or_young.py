"""Gravid animals that cannot be."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

YOUNG = ("egg", "larva", "metamorph", "juvenile")


@season_rule(
    view="animal",
    field="reproductiveCondition",
    severity=Severity.WARNING,
    needs=("reproductiveCondition",),
    message="{who}, and {reproductiveCondition}",
    flagged={"reproductiveCondition": "gravid", "sex": "male", "lifeStage": "adult"},
    passes=[
        {"reproductiveCondition": "gravid", "sex": "female", "lifeStage": "adult"},
        {"reproductiveCondition": "not gravid", "sex": "male", "lifeStage": "adult"},
    ],
)
def gravid_male_or_young(animal: pd.DataFrame) -> pd.DataFrame:
    """A male or a young animal is written as gravid.

    Why it matters: sex, stage or condition is wrong, and with it the share of breeding females.
    What to do: correct the one that is wrong, or leave it blank.
    """
    gravid = animal["reproductiveCondition"] == "gravid"
    male = text_column(animal, "sex") == "male"
    stage = text_column(animal, "lifeStage")
    return pd.DataFrame({"flag": gravid & (male | stage.isin(YOUNG)), "who": stage.where(~male, "male")})
