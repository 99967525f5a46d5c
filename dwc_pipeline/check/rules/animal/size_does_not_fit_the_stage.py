"""Length against the life stage."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

YOUNG = ("juvenile", "larva", "metamorph")
#: How far into the range of adults a young animal may reach, and how far below it an adult may stay. [share]; ours
INTO, BELOW = 0.3, 0.75
SPECIES = {"scientificName": "Uta stansburiana", "adult_min_mm": 40.0, "adult_max_mm": 55.0, "size_measure": "SVL"}


@season_rule(
    view="animal",
    field="lifeStage",
    severity=Severity.WARNING,
    needs=("scientificName", "lifeStage", "size_mm", "adult_min_mm", "adult_max_mm"),
    message="{lifeStage} with {size_measure} {size_mm} mm; adults of {scientificName} measure {adult_min_mm} to "
    "{adult_max_mm} mm",
    flagged={**SPECIES, "lifeStage": "juvenile", "size_mm": 52.0},
    passes=[
        {**SPECIES, "lifeStage": "juvenile", "size_mm": 31.0},
        {**SPECIES, "lifeStage": "adult", "size_mm": 37.0},
        {**SPECIES, "lifeStage": "subadult", "size_mm": 37.0},
    ],
    source="common practice, no source; the adult lengths are those of the survey's own checklist",
)
def size_does_not_fit_the_stage(animal: pd.DataFrame) -> pd.Series:
    """A young animal has the length of an adult, or an adult that of a young one.

    Why it matters: stage, length or name is wrong; the share of young animals in the population comes out wrong.
    What to do: check stage, length and name against the field book.
    """
    least = animal["adult_min_mm"]
    grown = least + INTO * (animal["adult_max_mm"] - least)
    too_long = animal["lifeStage"].isin(YOUNG) & (animal["size_mm"] > grown)
    return too_long | ((animal["lifeStage"] == "adult") & (animal["size_mm"] < BELOW * least))
