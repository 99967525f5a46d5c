"""Dead animals without a fate."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="fate",
    severity=Severity.ERROR,
    needs=("vitality", "event_type"),
    message="a dead {verbatimIdentification} and no word of what became of it",
    flagged={"vitality": "dead", "fate": "", "event_type": "trapCheck", "verbatimIdentification": "UTST"},
    passes=[
        {"vitality": "dead", "fate": "died in trap", "event_type": "trapCheck", "verbatimIdentification": "UTST"},
        {"vitality": "dead", "fate": "", "event_type": "roadSurvey", "verbatimIdentification": "UTST"},
    ],
)
def dead_without_a_fate(animal: pd.DataFrame) -> pd.Series:
    """An animal of a trap or a search is dead, and its row does not say what became of it.

    Animals found dead on roads and by chance need no fate.
    Why it matters: a permit wants each death with its circumstances, and each body accounted for.
    What to do: write the fate, such as died in trap, salvaged or voucher.
    """
    handled = animal["event_type"].isin(["trapCheck", "trapSession", "coverSearch"])
    return handled & (animal["vitality"] == "dead") & (text_column(animal, "fate").fillna("") == "")
