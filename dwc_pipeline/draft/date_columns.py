"""The date of a table, whether it stands in one column or in three: day, month and year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.placing import Placed, is_firm
from dwc_pipeline.draft.proposal import Confidence
from dwc_pipeline.reshape.date_parts import DATE, PARTS, dates_put_together


def has_date(fields: set[str]) -> bool:
    """True if some columns give a date: whole, or in parts that a year of the sheet can complete.

    >>> has_date({"eventDate"}), has_date({"day", "month"}), has_date({"day", "year"})
    (True, True, False)
    """
    return "eventDate" in fields or ("month" in fields and bool(fields & {"day", "year"}))


def with_whole_dates(placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """The columns with day, month and year placed together or not at all, and only where no column is the date."""
    firm = {one.field for one in placed if is_firm(one)}
    if "eventDate" not in firm and has_date(firm & set(PARTS)):
        return tuple(placed)
    why = "another column is the date" if "eventDate" in firm else "day, month and year are not all there"
    return tuple(
        replace(one, confidence=Confidence.UNSURE, note=why) if one.field in PARTS else one for one in placed
    )


def date_column(text: pd.DataFrame, placed: Sequence[Placed], year: str = "") -> Column | None:
    """The column of dates; put together from its parts where they stand apart; None if there is none.

    text: cells of the table by column letter. placed: columns that take effect. year: that of all rows,
    where no column gives it.
    """
    columns = {one.field: one.column for one in placed}
    if "eventDate" in columns:
        return columns["eventDate"]
    if not has_date(set(columns)):
        return None
    parts = pd.DataFrame({name: text[columns[name].letter].str.strip() for name in PARTS if name in columns})
    if "year" not in parts and year:
        parts["year"] = year
    whole = (parts != "").all(axis=1)
    date = dates_put_together(parts, [])[DATE]
    first = columns.get("day", columns["month"])
    header = " ".join(columns[name].header.strip() for name in PARTS if name in columns)
    return Column.of(first.letter, header, date.where(whole, ""), None)
