"""The account of every raw row: one line a row, and it must balance for every sheet."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.records import ROW_FIELDS, Outcome
from dwc_pipeline.errors import AccountsDoNotBalance

#: A row that two tables on one sheet share counts once, with the best that became of it.
BEST_FIRST = (Outcome.PLACED, Outcome.USED, Outcome.ASIDE)


def settle(lines: pd.DataFrame) -> pd.DataFrame:
    """One line for each raw row, sheets in the order read, rows in the order of the sheet."""
    order = lines["outcome"].map({outcome: rank for rank, outcome in enumerate(BEST_FIRST)})
    sheet = lines.groupby(["file", "sheet"], sort=False).ngroup()
    best = lines.assign(order=order, place=sheet).sort_values(["place", "row", "order"], kind="stable")
    return best.drop_duplicates(["file", "sheet", "row"])[list(ROW_FIELDS)].reset_index(drop=True)


def balance(rows: pd.DataFrame, counts: pd.DataFrame) -> pd.DataFrame:
    """Per sheet: rows read, placed, used and set aside.

    counts: file, sheet and the number of rows that are not blank, counted apart from the accounting.
    Raises AccountsDoNotBalance if they differ for any sheet.
    """
    table = rows.groupby(["file", "sheet"], sort=False)["outcome"].value_counts().unstack(fill_value=0)
    table = table.reindex(columns=list(BEST_FIRST), fill_value=0)
    whole = counts.set_index(["file", "sheet"])["count"]
    found = table.sum(axis=1).reindex(whole.index, fill_value=0)
    wrong = whole[whole != found]
    if len(wrong):
        (file, sheet), count = wrong.index[0], wrong.iloc[0]
        raise AccountsDoNotBalance(
            f"{file} {sheet}: {count} rows were read, {found[(file, sheet)]} are accounted for. "
            "This is a fault of the program: please report it with the file."
        )
    return table.reindex(whole.index, fill_value=0).assign(read=whole).reset_index()
