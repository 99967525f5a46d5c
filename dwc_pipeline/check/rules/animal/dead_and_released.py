"""Dead or kept animals that were also released."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

RELEASED = ("released at capture", "released elsewhere")


@season_rule(
    view="animal",
    field="fate",
    severity=Severity.ERROR,
    needs=("fate",),
    message="{what}, and {fate}",
    flagged={"fate": "released at capture", "vitality": "dead", "catalogNumber": ""},
    passes=[
        {"fate": "released at capture", "vitality": "alive", "catalogNumber": ""},
        {"fate": "voucher", "vitality": "dead", "catalogNumber": "12"},
    ],
)
def dead_and_released(animal: pd.DataFrame) -> pd.DataFrame:
    """An animal is dead, or kept as a voucher, and its fate says that it was released.

    Why it matters: deaths and vouchers are what a permit counts; they must add up.
    What to do: correct the fate, the vitality or the catalogue number.
    """
    dead = text_column(animal, "vitality") == "dead"
    kept = text_column(animal, "catalogNumber") != ""
    what = dead.map({True: "dead", False: "a voucher"})
    return pd.DataFrame({"flag": animal["fate"].isin(RELEASED) & (dead | kept), "what": what})
