"""Coordinates with far fewer, or far more, decimals than the rest of their column."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.rule import Severity

#: Decimals that both numbers must lack, or have too many of. One lost zero in one of them is an accident of a
#: spreadsheet (1 in 10), two in both are not (1 in 10,000).
FEWER, MORE = 2, 3
#: Fewest positions that show what is usual; our choice.
LEAST_ROWS = 5
POINT = {
    "file": "finds.csv",
    "sheet": "",
    "verbatimLatitude_typed": "36.73616",
    "verbatimLongitude_typed": "-99.61263",
}


def decimals_of(texts: pd.Series) -> pd.Series:
    """How many decimals decimal degrees are typed with; missing for all else."""
    return texts.str.strip().str.extract(r"^[-+]?\d{1,3}[.,](\d+)$", expand=False).str.len()


@season_rule(
    view="position",
    field="verbatimLatitude",
    severity=Severity.WARNING,
    needs=("verbatimLatitude_typed", "verbatimLongitude_typed", "file"),
    message="{verbatimLatitude_typed}, {verbatimLongitude_typed}: {decimals} decimals, where this sheet usually "
    "has {usual}",
    flagged=[POINT] * 6 + [{**POINT, "verbatimLatitude_typed": "36.7", "verbatimLongitude_typed": "-99.61"}],
    passes=[POINT] * 6 + [{**POINT, "verbatimLatitude_typed": "36.7361"}],
    cause=("file", "sheet", "verbatimLatitude_typed", "verbatimLongitude_typed"),
)
def coordinate_coarser_than_its_column(position: pd.DataFrame) -> pd.DataFrame:
    """Both numbers of a position have far fewer decimals than the rest of the sheet, or far more.

    Why it matters: a place typed from memory or from a map stands among receiver readings; or decimals come from a
    conversion and say more than is known.
    What to do: look up the reading of the receiver. If there is none, say how uncertain the position is.
    """
    decimals = pd.concat(
        [on_distinct(position[f"{name}_typed"], decimals_of) for name in ("verbatimLatitude", "verbatimLongitude")],
        axis=1,
        keys=["latitude", "longitude"],
    ).astype("float64")
    sheet = [position["file"], position["sheet"]]
    finest, coarsest = decimals.max(axis=1), decimals.min(axis=1)
    usual = finest.groupby(sheet).transform("median")
    rows = finest.groupby(sheet).transform("count")
    flag = (rows >= LEAST_ROWS) & ((finest <= usual - FEWER) | (coarsest >= usual + MORE))
    return pd.DataFrame({"flag": flag, "decimals": finest, "usual": usual})
