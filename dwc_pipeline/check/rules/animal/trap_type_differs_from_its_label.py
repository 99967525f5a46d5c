"""A trap type against the letter of the trap."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.rule import Severity

#: Letters of the trade, used only where the place list has traps of all three kinds named so.
TYPE_OF_LETTER = {"B": "box trap", "F": "funnel trap", "P": "pitfall trap"}


@season_rule(
    view="animal",
    field="trap_type",
    severity=Severity.ERROR,
    needs=("trap", "trap_type", "place"),
    message="{trap} of {place} is a {by_label} by its label, {trap_type} on the row",
    flagged={"place": "A2", "trap": "F3", "trap_type": "pitfall trap"},
    passes=[
        {"place": "A2", "trap": "F3", "trap_type": "funnel trap"},
        {"place": "A2", "trap": "7", "trap_type": "pitfall trap"},
    ],
    source="common practice, no source: B, F and P for box, funnel and pitfall traps",
    cause=("place", "trap", "trap_type"),
)
def trap_type_differs_from_its_label(animal: pd.DataFrame) -> pd.DataFrame:
    """The type of a trap on a capture row contradicts the trap's label.

    Why it matters: catch by trap type, and the deaths in each, come out wrong.
    What to do: correct the trap or its type.
    """
    by_label = on_distinct(
        animal["trap"], lambda traps: traps.str.extract(r"^([BFP])\d", expand=False).map(TYPE_OF_LETTER)
    )
    return pd.DataFrame({"flag": by_label.notna() & (by_label != animal["trap_type"]), "by_label": by_label})
