"""A count above 1 with one set of measurements or one mark."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity

MEASURED = ("snout_vent_length", "tail_length", "total_length", "straight_carapace_length", "body_mass")


@season_rule(
    view="animal",
    field="individualCount",
    severity=Severity.WARNING,
    needs=("count",),
    message="{count} animals, but one {what}",
    flagged={"count": 3.0, "snout_vent_length": 52.0},
    passes=[{"count": 1.0, "snout_vent_length": 52.0}, {"count": 3.0, "snout_vent_length": None}],
)
def several_animals_with_one_measurement(animal: pd.DataFrame) -> pd.DataFrame:
    """A row counts several animals and has one set of measurements, or one mark.

    Why it matters: nobody can tell whose measurement it is, and an individual cannot be two.
    What to do: give the measured or marked animal a row of its own with a count of 1.
    """
    measured = pd.concat([number_column(animal, name).notna() for name in MEASURED], axis=1).any(axis=1)
    marked = text_column(animal, "mark") != ""
    what = marked.map({True: "mark", False: "set of measurements"})
    return pd.DataFrame({"flag": (animal["count"] > 1) & (measured | marked), "what": what})
