"""Larvae and metamorphs among reptiles."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="lifeStage",
    severity=Severity.WARNING,
    needs=("scientificName", "lifeStage", "group"),
    message="{lifeStage} of {scientificName}, a {group}",
    flagged={"scientificName": "Uta stansburiana", "group": "lizard", "lifeStage": "metamorph"},
    passes={"scientificName": "Spea bombifrons", "group": "frog", "lifeStage": "metamorph"},
)
def stage_the_animal_cannot_have(animal: pd.DataFrame) -> pd.Series:
    """A reptile is written as a larva or a metamorph.

    Why it matters: reptiles have no larvae; the name or the stage is wrong.
    What to do: correct the stage, or the name.
    """
    return animal["group"].isin(["snake", "lizard", "turtle"]) & animal["lifeStage"].isin(["larva", "metamorph"])
