"""Totals at the foot of a sheet."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: Labels of a row that is no sum.
NO_SUM = r"mean|average|avg|median|min|max|range|s\.?d\.?|count|^n$"
#: Sums of decimals typed with few digits. [share]; our choice
ROUNDING = 0.0005
FOOT = {
    "file": "june.xlsx", "sheet": "A1", "sheet_row": 143, "column": "G", "field": "individualCount", "label": "Total",
    "sum": 129.0, "sum_of_blanks": 135.0, "filled": 129, "unreadable": 0,
}  # fmt: skip


@season_rule(
    view="total",
    field="written",
    severity=Severity.ERROR,
    needs=("written", "sum"),
    message="{label} {written} in column {column}; the rows above add up to {sum}",
    flagged={**FOOT, "written": 132.0},
    passes=[{**FOOT, "written": 129.0}, {**FOOT, "label": "Mean", "written": 1.0}, {**FOOT, "written": 135.0}],
    cause=("file", "sheet", "field", "label"),
)
def total_differs_from_its_rows(total: pd.DataFrame) -> pd.Series:
    """A total at the foot of a sheet is not the sum of the rows above it.

    Columns with cells that are no numbers are left out. A blank cell may count as one where animals are counted.
    Why it matters: a row was added, lost or changed after the total was typed, or a formula covers too few rows.
    What to do: count again. The total is not used; the rows are.
    """
    tolerance = (total["sum"].abs() * ROUNDING).clip(lower=1e-6)
    is_sum = (total["written"] - total["sum"]).abs() <= tolerance
    blanks = (total["field"] == "individualCount") & (total["written"] == total["sum_of_blanks"])
    no_sum = total["label"].str.contains(NO_SUM, case=False, regex=True)
    return ~is_sum & ~blanks & ~no_sum & (total["unreadable"] == 0) & (total["filled"] > 0)
