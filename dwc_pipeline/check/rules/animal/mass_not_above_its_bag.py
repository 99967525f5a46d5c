"""Body mass against the mass of the bag."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    needs=("body_mass", "bag_mass"),
    message="mass {body_mass} g, bag {bag_mass} g: the very same number",
    flagged={"body_mass": 17.5, "bag_mass": 17.5},
    passes=[
        {"body_mass": 9.4, "bag_mass": 17.5},
        {"body_mass": 17.5, "bag_mass": 17.5, "mass_method": "bag 17.5 taken off 35"},
    ],
)
def mass_not_above_its_bag(animal: pd.DataFrame) -> pd.Series:
    """The mass of the animal is the mass of its bag.

    Why it matters: the bag was weighed empty, or its mass was typed in the wrong column; the animal's mass is
    unknown.
    What to do: look at the field book for the mass with the bag and take the bag off; else leave the mass blank.
    """
    is_net = text_column(animal, "mass_method").str.startswith("bag ")
    return (animal["body_mass"] == animal["bag_mass"]) & ~is_net
