"""A snake whose tail is as long as its body."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="tail_length",
    severity=Severity.ERROR,
    needs=("snout_vent_length", "tail_length"),
    message="tail {tail_length} mm, SVL {snout_vent_length} mm, and {scientificName} is a snake",
    flagged={
        "group": "snake",
        "scientificName": "Coluber constrictor",
        "snout_vent_length": 163.0,
        "tail_length": 557.0,
    },
    passes=[
        {"group": "snake", "scientificName": "Coluber constrictor", "snout_vent_length": 557.0, "tail_length": 163.0},
        {"group": "lizard", "scientificName": "Uta stansburiana", "snout_vent_length": 48.0, "tail_length": 81.0},
    ],
    source="common practice, no source: no snake of the plains has a tail longer than its body",
)
def tail_as_long_as_the_body(animal: pd.DataFrame) -> pd.Series:
    """A snake's tail is written as long as its snout-vent length, or longer.

    Why it matters: the two were probably exchanged, and both would be wrong.
    What to do: look at the field book and exchange the two numbers, or correct the name if it is a legless lizard.
    """
    return (animal["group"] == "snake") & (animal["tail_length"] >= animal["snout_vent_length"])
