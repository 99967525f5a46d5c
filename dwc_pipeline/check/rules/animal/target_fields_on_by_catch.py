"""Measurements of the survey's own animals on by-catch."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.rule import Severity

REPTILE_LENGTHS = ("snout_vent_length", "straight_carapace_length")


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.WARNING,
    needs=("scientificName", "in_scope"),
    message="a snout-vent or carapace length for {scientificName}, which is by-catch",
    flagged={"scientificName": "Peromyscus", "in_scope": "false", "snout_vent_length": 81.0},
    passes=[
        {"scientificName": "Peromyscus", "in_scope": "false", "body_mass": 21.0},
        {"scientificName": "Uta stansburiana", "in_scope": "true", "snout_vent_length": 51.0},
    ],
    cause="scientificName",
)
def target_fields_on_by_catch(animal: pd.DataFrame) -> pd.Series:
    """An animal outside the target taxa has a snout-vent or carapace length.

    Why it matters: the name may be that of the row above, or the numbers belong to another animal.
    What to do: compare with the field book; correct the name, or move the numbers.
    """
    measured = pd.concat([number_column(animal, name).notna() for name in REPTILE_LENGTHS], axis=1).any(axis=1)
    return (animal["in_scope"] == "false") & measured
