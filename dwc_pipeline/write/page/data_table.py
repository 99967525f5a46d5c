"""A table as the page shows it: headers, cells as text, which columns are numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import pandas as pd

NUMBER, TEXT = "number", "text"


class DataTable(NamedTuple):
    """headers: one a column. kinds: NUMBER or TEXT, one a column. note: said under the table; "" for nothing."""

    caption: str
    headers: list[str]
    kinds: list[str]
    rows: list[list[str]]
    note: str = ""


def number_text(value: float, digits: int = 2) -> str:
    """A number with at most `digits` decimals and thousands apart; "" where missing.

    >>> number_text(1234.50), number_text(3.0), number_text(float("nan"))
    ('1,234.5', '3', '')
    """
    if pd.isna(value):
        return ""
    text = f"{float(value):,.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def data_table(
    caption: str, frame: pd.DataFrame, columns: Mapping[str, str], digits: int = 2, note: str = ""
) -> DataTable:
    """The columns of a frame under the headers given; numbers are those of number columns."""
    kinds = [NUMBER if pd.api.types.is_numeric_dtype(frame[column]) else TEXT for column in columns]
    texts = [
        [number_text(value, digits) for value in frame[column]]
        if kind == NUMBER
        else ["" if pd.isna(value) else str(value) for value in frame[column]]
        for column, kind in zip(columns, kinds, strict=True)
    ]
    rows = [list(row) for row in zip(*texts, strict=True)]
    return DataTable(caption, list(columns.values()), kinds, rows, note)


def counted(number: float, one: str, many: str = "") -> str:
    """A number with its word.

    >>> counted(1, "check"), counted(1200, "check")
    ('1 check', '1,200 checks')
    """
    return f"{number_text(number)} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str], most: int = 5) -> str:
    """Words with commas between; the rest is counted."""
    more = len(words) - most
    return ", ".join(words[:most]) + (f" and {more} more" if more > 0 else "")


def sentence(text: str) -> str:
    """The text with a capital at its start, unless it starts with a file name or a word with capitals of its own.

    >>> sentence("compare the rows."), sentence("pH was typed"), sentence("raw/log.csv is blank")
    ('Compare the rows.', 'pH was typed', 'raw/log.csv is blank')
    """
    word = text.split(" ", 1)[0].rstrip(",;:.'")
    return text[:1].upper() + text[1:] if word.islower() and word.isalpha() else text


def first_sentence(text: str) -> str:
    """The text up to its first full stop before a space.

    >>> first_sentence("A trap is open. It was closed.")
    'A trap is open.'
    """
    end = text.find(". ")
    return text if end < 0 else text[: end + 1]
