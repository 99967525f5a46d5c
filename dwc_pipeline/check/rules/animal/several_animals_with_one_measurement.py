"""More than one animal, by a number or a word, with one set of measurements or one mark."""

from __future__ import annotations

import re

import pandas as pd

from dwc_pipeline.check.animal_view import MEASURES
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: vague counts that one animal alone makes true as well
MAY_BE_ONE = frozenset({"present", "heard", "rare", "common", "abundant"})
UPPER_LIMIT = re.compile(r"[<≤=]|at most|less than|under|up to|max", re.I)


@season_rule(
    view="animal",
    field="individualCount",
    severity=Severity.WARNING,
    needs=("animals_told",),
    message="{animals_told} animals, but one {what}",
    flagged=[
        {"animals_told": "3", "snout_vent_length": 52.0},
        {"animals_told": "a few", "body_mass": 8.0},
    ],
    passes=[
        {"animals_told": "1", "snout_vent_length": 52.0},
        {"animals_told": "3", "snout_vent_length": None},
        {"animals_told": "present", "snout_vent_length": 52.0},
    ],
)
def several_animals_with_one_measurement(animal: pd.DataFrame) -> pd.DataFrame:
    """A row counts several animals, or says "a few", and has one set of measurements, or one mark.

    Why it matters: nobody can tell whose measurement it is, and an individual cannot be two.
    What to do: give the measured or marked animal a row of its own with a count of 1.
    """
    measured = pd.concat([number_column(animal, name).notna() for name in MEASURES], axis=1).any(axis=1)
    marked = text_column(animal, "mark") != ""
    what = marked.map({True: "mark", False: "set of measurements"})
    several = on_distinct(text_column(animal, "animals_told"), are_several)
    return pd.DataFrame({"flag": several & (measured | marked), "what": what})


def are_several(told: pd.Series) -> pd.Series:
    """True for counts, exact or vague, of more than one animal.

    >>> are_several(pd.Series(["3", "~20", "a few", "1", "1-2", "<5", "present"])).tolist()
    [True, True, True, False, False, False, False]
    """
    return told.map(is_several).astype(bool)


def is_several(told: str) -> bool:
    """True if the words count more than one animal."""
    numbers = [int(number) for number in re.findall(r"\d+", told)]
    if numbers:
        return min(numbers) > 1 and UPPER_LIMIT.match(told) is None
    entry = load_vocabulary("vague_count").find(told)
    return entry is not None and entry.value not in {"", *MAY_BE_ONE}
