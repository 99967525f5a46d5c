"""Mass against length, by a line for each species that a few bad rows cannot bend."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import in_one_text, number_column, text_columns
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.effort.length_mass import (
    LEAST_ROWS,
    LengthMassLine,
    expected_mass,
    length_mass_outliers,
    line_of_season,
    slip_names,
)

#: Words on a row that explain an unusual mass, or an unusual length; such animals take no part in the line.
EXPLAINED = r"gravid|\begg|\bfed\b|food|bolus|prey|stomach|\bwet\b|emaciat|thin|\bsick|in bag|dead|dried|\bDOR\b"
LENGTHS = (48, 52, 55, 57, 58, 60, 62, 63, 64, 66, 68, 41)
MASSES = (3.9, 4.8, 5.9, 6.4, 6.6, 7.5, 8.0, 8.3, 8.9, 9.9, 10.6, 2.5)
CLEAN = [
    {"scientificName": "Uta stansburiana", "snout_vent_length": float(length), "body_mass": mass}
    for length, mass in zip(LENGTHS, MASSES, strict=True)
]


def is_explained(told: pd.DataFrame) -> pd.Series:
    """True where the words of a row say why an animal is heavier or lighter than its length."""
    words = in_one_text(told)
    return words.str.contains(EXPLAINED, case=False, regex=True) & ~words.str.contains("not gravid")


def hint_of(length: float, mass: float, line: LengthMassLine) -> str:
    """The slip that would explain an outlier best, in words."""
    slips = slip_names(length, mass, line)
    return f"; perhaps {slips[0]}" if slips else ""


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    needs=("scientificName", "body_mass"),
    message="{body_mass} g at {length} mm; other {scientificName} of that length weigh about {expected} g{hint}",
    flagged=[*CLEAN, {"scientificName": "Uta stansburiana", "snout_vent_length": 64.0, "body_mass": 84.0}],
    passes=[*CLEAN, {"scientificName": "Uta stansburiana", "snout_vent_length": 61.0, "body_mass": 7.6}],
    source="slope: Theil 1950, Sen 1968; cut 3.5: Iglewicz & Hoaglin 1993; floor of the scale and ten rows: our "
    "choice",
)
def mass_does_not_fit_the_length(animal: pd.DataFrame) -> pd.DataFrame:
    """A mass lies far off what other animals of the species weigh at that length.

    Gravid, fed, wet, sick and dead animals are left out. A species needs ten animals for this.
    Why it matters: a slipped decimal point, a wrong unit or exchanged numbers pass unseen otherwise, and bend every
    mean and condition index.
    What to do: check mass, length and their units against the field book. If both are right, add why to the
    remarks.
    """
    length = number_column(animal, "snout_vent_length")
    length = length.fillna(number_column(animal, "straight_carapace_length"))
    told = (
        "reproductiveCondition",
        "occurrenceRemarks",
        "cell_remarks",
        "mass_remarks",
        "associatedTaxa",
        "vitality",
    )
    explained = on_distinct_rows(text_columns(animal, told), is_explained)
    single = number_column(animal, "count").fillna(1) == 1
    usable = length.notna() & (length > 0) & (animal["body_mass"] > 0) & ~explained & single
    made = pd.DataFrame({"flag": False, "length": length, "expected": np.nan, "hint": ""}, index=animal.index)
    made["hint"] = made["hint"].astype(object)
    for _, rows in animal.loc[usable, ["scientificName", "body_mass"]].groupby("scientificName"):
        if len(rows) < LEAST_ROWS:
            continue
        own, mass = length[rows.index].to_numpy(), rows["body_mass"].to_numpy()
        line = line_of_season(own, mass)
        out = rows.index[length_mass_outliers(own, mass, line)]
        made.loc[out, "flag"] = True
        made.loc[out, "expected"] = expected_mass(length[out].to_numpy(), line).round(1)
        pairs = list(zip(length[out], animal.loc[out, "body_mass"], strict=True))
        hints = {pair: hint_of(*pair, line) for pair in set(pairs)}
        made.loc[out, "hint"] = [hints[pair] for pair in pairs]
    return made
