"""Measurements of an animal without a name."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.animal_view import MEASURES
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity

TOLD = (*MEASURES, "mark", "sex")


@season_rule(
    view="animal",
    field="verbatimIdentification",
    severity=Severity.ERROR,
    message="no name, but {told}",
    flagged={"verbatimIdentification": "", "snout_vent_length_typed": "52", "body_mass_typed": "4.1"},
    passes=[
        {"verbatimIdentification": "UTST", "snout_vent_length_typed": "52"},
        {"verbatimIdentification": "", "snout_vent_length_typed": ""},
    ],
)
def measurements_without_a_name(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal was measured, sexed or marked, and its row has no name.

    Why it matters: without a name the animal is left out of every count and rate of a species.
    What to do: fill in the name from the field book; if it is not there, write what is certain, such as "lizard".
    """
    nameless = animal[stripped(text_column(animal, "verbatimIdentification")) == ""]
    told = pd.Series("", index=nameless.index, dtype=object)
    for name in TOLD:
        typed = stripped(text_column(nameless, f"{name}_typed"))
        told = told + (", " + name.replace("_", " ") + " " + typed).where(typed != "", "")
    said = told.str.removeprefix(", ").reindex(animal.index, fill_value="")
    return pd.DataFrame({"flag": said != "", "told": said})
