"""Mass against the checklist, where too few animals were caught to show what is usual."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.effort.length_mass import LEAST_ROWS

#: Masses of a checklist are rough: beyond twice the greatest, or under a third of the least for an adult. [share]
OVER, UNDER = 2.0, 1 / 3
SPECIES = {"scientificName": "Uta stansburiana", "mass_min_g": 2.0, "mass_max_g": 6.0}


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    needs=("scientificName", "body_mass", "mass_min_g", "mass_max_g"),
    message="{body_mass} g; the checklist gives {scientificName} {mass_min_g} to {mass_max_g} g",
    flagged={**SPECIES, "body_mass": 41.0},
    passes=[{**SPECIES, "body_mass": 0.4, "lifeStage": "juvenile"}, {**SPECIES, "body_mass": 7.1}],
    source="common practice, no source; the masses are those of the survey's own checklist",
)
def mass_outside_the_checklist(animal: pd.DataFrame) -> pd.Series:
    """A mass lies far outside what the checklist gives for the species, and too few animals were caught to compare.

    Why it matters: the decimal point may have slipped, or the unit may be another.
    What to do: check the number, the unit and the name; widen the masses in the checklist if they are too narrow.
    """
    length = number_column(animal, "snout_vent_length").fillna(number_column(animal, "straight_carapace_length"))
    compared = length.notna().groupby(animal["scientificName"]).transform("sum") >= LEAST_ROWS
    single = number_column(animal, "count").fillna(1) == 1
    too_heavy = animal["body_mass"] > OVER * animal["mass_max_g"]
    adult = text_column(animal, "lifeStage") == "adult"
    too_light = adult & (animal["body_mass"] < UNDER * animal["mass_min_g"])
    return (too_heavy | too_light) & single & ~(compared & length.notna())
