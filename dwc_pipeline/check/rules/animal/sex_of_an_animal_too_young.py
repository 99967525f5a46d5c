"""Sex of stages at which it cannot be told."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="sex",
    severity=Severity.WARNING,
    needs=("sex", "lifeStage"),
    message="{sex}, and {lifeStage}",
    flagged={"sex": "female", "lifeStage": "larva"},
    passes={"sex": "female", "lifeStage": "juvenile"},
)
def sex_of_an_animal_too_young(animal: pd.DataFrame) -> pd.Series:
    """An egg, a larva or a metamorph has a sex.

    Why it matters: at that stage the sex cannot be told in the field; sex ratios would rest on guesses.
    What to do: leave the sex blank, or correct the stage. If it was told by dissection, say so in the remarks.
    """
    return animal["lifeStage"].isin(["egg", "larva", "metamorph"])
