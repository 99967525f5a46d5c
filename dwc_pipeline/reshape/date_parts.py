"""Day, month and year in columns of their own -> one text for the date, every part as typed.

The reader of dates knows the form "day 14, month May, year 2023"; nothing is interpreted here.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import text_column
from dwc_pipeline.reshape.facts import Fact

DATE = "eventDate"
PARTS = ("day", "month", "year")


def dates_put_together(text: pd.DataFrame, facts: list[Fact]) -> pd.DataFrame:
    """The rows with one date in place of its parts. A year that only the sheet gives makes no date by itself.

    facts: what holds for all rows; they stand in `text` already.
    """
    given = [name for name in PARTS if name in text]
    if not given or DATE in text:
        return text.drop(columns=given)
    parts = {name: text_column(text, name).str.strip() for name in PARTS}
    typed = [name for name in given if name not in {fact.field for fact in facts}] or given
    says_something = (pd.DataFrame({name: parts[name] for name in typed}) != "").any(axis=1)
    date = pd.Series("", index=text.index, dtype=object)
    for name in PARTS:
        said = (f"{name} " + parts[name]).where(parts[name] != "", "")
        date = date + (", " + said).where((date != "") & (said != ""), said)
    return text.drop(columns=given).assign(**{DATE: date.where(says_something, "")})


def date_columns(columns: dict[str, str]) -> dict[str, str]:
    """Field -> column letter, the date standing where its first part stands."""
    first = next((columns[name] for name in PARTS if name in columns), "")
    kept = {field: letter for field, letter in columns.items() if field not in PARTS}
    return {DATE: first, **kept} if first and DATE not in kept else kept


def of_whole_dates(changes: pd.DataFrame) -> pd.DataFrame:
    """The changes with those of a day, month or year told of the date."""
    of_part = changes["field"].isin(list(PARTS))
    note = changes["note"].where(~of_part, changes["field"] + ": " + changes["note"])
    return changes.assign(
        field=changes["field"].mask(of_part, DATE), term=changes["term"].mask(of_part, DATE), note=note
    )
