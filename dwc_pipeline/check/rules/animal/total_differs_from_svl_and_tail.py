"""Total length against snout-vent length plus tail."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity


@season_rule(
    view="animal",
    field="total_length",
    severity=Severity.ERROR,
    needs=("snout_vent_length", "tail_length", "total_length"),
    message="total {total_length} mm, but SVL {snout_vent_length} + tail {tail_length} = {sum} mm",
    flagged={"snout_vent_length": 512.0, "tail_length": 143.0, "total_length": 665.0},
    passes={"snout_vent_length": 512.0, "tail_length": 143.0, "total_length": 656.0},
    source="common practice, no source: tolerance the larger of 2 mm and 1 %",
)
def total_differs_from_svl_and_tail(animal: pd.DataFrame) -> pd.DataFrame:
    """The total length is not the snout-vent length plus the tail, beyond the larger of 2 mm and 1 %.

    Why it matters: one of the three is wrong, and nobody can tell which from the table alone.
    What to do: look at the field book; correct the one that was mistyped, or leave the doubtful one blank.
    """
    total = animal["snout_vent_length"] + animal["tail_length"]
    tolerance = (animal["total_length"] * 0.01).clip(lower=2.0)
    return pd.DataFrame({"flag": (animal["total_length"] - total).abs() > tolerance, "sum": total})
