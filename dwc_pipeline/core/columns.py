"""Reading a column that a frame may not have."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from dwc_pipeline.core.distinct import on_distinct, stripped


def text_column(frame: pd.DataFrame, name: str) -> pd.Series:
    """The column as text; "" in every row where the frame has no such column."""
    if name in frame:
        return frame[name]
    return pd.Series("", index=frame.index, dtype=object)


def text_columns(frame: pd.DataFrame, names: Sequence[str]) -> pd.DataFrame:
    """The columns as text; "" where the frame has no such column or nothing stands in it."""
    return pd.DataFrame({name: text_column(frame, name).fillna("") for name in names}, index=frame.index)


def in_one_text(frame: pd.DataFrame) -> pd.Series:
    """The texts of each row, one after the other with a space before each."""
    words = pd.Series("", index=frame.index)
    for name in frame:
        words = words + " " + frame[name]
    return words


def instant_column(frame: pd.DataFrame, name: str) -> pd.Series:
    """The column of instants in UTC; missing in every row where the frame has no such column."""
    if name in frame:
        return frame[name]
    return pd.Series(pd.NaT, index=frame.index, dtype="datetime64[us, UTC]")


def first_filled(*columns: pd.Series) -> pd.Series:
    """The first of the columns that is not blank, row by row."""
    filled = columns[0]
    for column in columns[1:]:
        filled = filled.where(filled != "", column)
    return filled


def joined(*texts: pd.Series) -> pd.Series:
    """Texts of each row with "; " between those that say something."""
    said = texts[0].astype(object)
    for text in texts[1:]:
        both = (said != "") & (text != "")
        said = said + where_true(both, "; ") + text
    return said


def where_true(flags: pd.Series, text: str) -> pd.Series:
    """The text in the rows that are flagged, "" in the others."""
    return pd.Series(np.where(flags.to_numpy(dtype=bool), text, ""), index=flags.index, dtype=object)


def blank_rows(columns: Iterable[pd.Series], index: pd.Index) -> pd.Index:
    """Rows in which every column is blank; each column is looked at only where those before it are."""
    for column in columns:
        if index.empty:
            break
        index = index[(stripped(column.reindex(index)) == "").to_numpy()]
    return index


def mapped(values: pd.Series, words: Mapping[Any, str] | pd.Series) -> pd.Series:
    """The word for each value as text; "" where there is none."""

    def found(distinct: pd.Series) -> pd.Series:
        told = distinct.map(words).astype(object)
        return told.where(told.notna(), "")

    return on_distinct(values, found)


def without_gaps(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame as text, "" where something is missing."""
    return frame.astype(object).where(frame.notna(), "")


def number_column(frame: pd.DataFrame, name: str) -> pd.Series:
    """The column as floats; missing where it is blank or absent. Standard values are always readable numbers."""
    values = text_column(frame, name)
    if values.dtype == "float64":
        return values
    return on_distinct(
        values, lambda texts: pd.to_numeric(texts.replace("", None), errors="coerce").astype("float64")
    )


def as_text(numbers: pd.Series, digits: int) -> pd.Series:
    """Numbers as text with at most `digits` decimals and no trailing zeros; "" where missing.

    >>> as_text(pd.Series([1.50, 2.0, None]), 2).tolist()
    ['1.5', '2', '']
    """
    rounded = numbers.astype("float64").round(digits)
    distinct = {
        value: f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
        for value in rounded.dropna().unique()
    }
    return mapped(rounded, distinct)
