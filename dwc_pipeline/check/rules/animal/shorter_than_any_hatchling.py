"""A length far below that of any young of the species."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Young reptiles hatch, and young toads leave the water, at over this share of the smallest adult. [share]; ours
LEAST_SHARE = 0.15
SPECIES = {"scientificName": "Uta stansburiana", "adult_min_mm": 40.0, "size_measure": "SVL"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.WARNING,
    needs=("scientificName", "size_mm", "adult_min_mm"),
    message="{size_measure} {size_mm} mm; adults of {scientificName} measure {adult_min_mm} mm and more",
    flagged={**SPECIES, "size_mm": 5.2},
    passes={**SPECIES, "size_mm": 22.0},
    source="common practice, no source; the adult lengths are those of the survey's own checklist",
)
def shorter_than_any_hatchling(animal: pd.DataFrame) -> pd.Series:
    """An animal is shorter than any hatchling or metamorph of its species can be.

    Why it matters: centimetres were probably typed in a column of millimetres, or a digit is missing.
    What to do: check the unit and the number.
    """
    return animal["size_mm"] < LEAST_SHARE * animal["adult_min_mm"]
