"""Mass against what any animal of its group weighs at that length."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.effort.length_mass import LEAST_ROWS

#: Least and greatest mass in g of an animal of 100 mm, taken to other lengths by the cube; SVL, for turtles the
#: straight carapace. Wide bounds from memory: a slender and a stout species of each group, and half again.
GRAMS_AT_100_MM = {
    "snake": (0.1, 3.0),
    "lizard": (2.0, 200.0),
    "frog": (25.0, 400.0),
    "salamander": (2.0, 100.0),
    "turtle": (40.0, 600.0),
}
LIZARD = {"scientificName": "Uta stansburiana", "group": "lizard"}


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    needs=("scientificName", "group", "body_mass"),
    message="{body_mass} g at {length} mm; a {group} of that length weighs between {least} and {greatest} g",
    flagged={**LIZARD, "snout_vent_length": 48.0, "body_mass": 380.0},
    passes=[
        {**LIZARD, "snout_vent_length": 48.0, "body_mass": 3.8},
        {**LIZARD, "snout_vent_length": 48.0, "body_mass": 380.0, "mass_max_g": 6.0},
    ],
    source="common practice, no source: bounds from memory, for species with too few animals to compare",
)
def mass_impossible_for_the_length(animal: pd.DataFrame) -> pd.DataFrame:
    """No snake, lizard, frog, salamander or turtle of that length has such a mass.

    Only for species of which neither this season nor the checklist shows what is usual.
    Why it matters: a decimal point slipped, or length or mass are in another unit than their column says.
    What to do: check mass, length and their units against the field book.
    """
    length = number_column(animal, "snout_vent_length")
    length = length.where(animal["group"] != "turtle", number_column(animal, "straight_carapace_length"))
    compared = length.notna().groupby(animal["scientificName"]).transform("sum") >= LEAST_ROWS
    cube = (length / 100) ** 3
    least, greatest = (
        animal["group"].map({name: ends[at] for name, ends in GRAMS_AT_100_MM.items()}) for at in (0, 1)
    )
    single = number_column(animal, "count").fillna(1) == 1
    outside = (animal["body_mass"] < least * cube) | (animal["body_mass"] > greatest * cube)
    flag = outside & single & ~compared & number_column(animal, "mass_max_g").isna()
    return pd.DataFrame(
        {"flag": flag, "length": length, "least": (least * cube).round(2), "greatest": (greatest * cube).round(2)}
    )
