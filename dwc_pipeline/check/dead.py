"""Which animals were dead when their row was written."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import text_column

#: Fates after which nobody meets the animal alive. Words of schemas/vocab/fate.csv.
DEADLY = ("died in trap", "died in hand", "euthanised", "predated in trap", "road-killed", "salvaged", "voucher")


def is_dead(animal: pd.DataFrame) -> pd.Series:
    """True where vitality or fate says that the animal was dead at the end of the row."""
    return text_column(animal, "fate").isin(DEADLY) | (text_column(animal, "vitality") == "dead")
