"""Judge each distinct value once and map what was found back to the rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pandas as pd

from dwc_pipeline.core.verdict import Status, Verdict


def distinct_rows(*columns: pd.Series | np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Which distinct row each row is, and where each distinct row stands first, in the order of appearance.

    For values that only mean something together: easting, northing, zone and datum. All columns have one length.
    """
    count, differing = len(columns[0]), 1
    codes = np.zeros(count, dtype=np.int64)
    for column in columns:
        own, values = pd.factorize(np.asarray(column), use_na_sentinel=False)
        if differing > 1 and len(values) > 1:
            own, values = pd.factorize(codes * len(values) + own)
        if len(values) > 1:
            codes, differing = own, len(values)
    firsts = np.empty(codes.max(initial=-1) + 1, dtype=np.intp)
    firsts[codes[::-1]] = np.arange(count)[::-1]  # the last one written stays, so that of the first row
    return codes, firsts


def twin_rows(columns: Iterable[pd.Series]) -> tuple[np.ndarray, np.ndarray]:
    """Positions of the rows that are like another row in every column, and which rows are alike, as codes.

    Each column is looked at only in rows that are still like another, and none once there are no such rows.
    """
    rows, codes = np.empty(0, dtype=np.intp), np.empty(0, dtype=np.int64)
    for number, column in enumerate(columns):
        if number == 0:
            rows, codes = np.arange(len(column)), np.zeros(len(column), dtype=np.int64)
        own, values = pd.factorize(np.asarray(column)[rows], use_na_sentinel=False)
        codes, _ = pd.factorize(codes * max(len(values), 1) + own)
        again = np.bincount(codes)[codes] > 1
        rows, codes = rows[again], codes[again]
        if not len(rows):
            break
    return rows, codes


def on_distinct(values: pd.Series, work: Callable[[pd.Series], Any]) -> Any:
    """What `work` makes of the values, done on the distinct ones alone.

    work: a Series of texts -> a Series or frame of as many rows, each row made of its own text only.

    >>> on_distinct(pd.Series(["a 1", "b 2", "a 1"]), lambda texts: texts.str.slice(2)).tolist()
    ['1', '2', '1']
    """
    codes, distinct = pd.factorize(values, use_na_sentinel=False)
    return work(pd.Series(distinct, dtype=values.dtype)).take(codes).set_axis(values.index)


def on_distinct_rows(frame: pd.DataFrame, work: Callable[[pd.DataFrame], Any]) -> Any:
    """What `work` makes of the rows of a frame, done on the distinct ones alone; each from its own cells only."""
    codes, firsts = distinct_rows(*(frame[name] for name in frame))
    return work(frame.iloc[firsts].reset_index(drop=True)).take(codes).set_axis(frame.index)


def stripped(values: pd.Series) -> pd.Series:
    """The texts without spaces at their ends; "" where there is none."""
    return on_distinct(values, lambda texts: texts.fillna("").str.strip())


def is_question(verdict: Verdict) -> bool:
    """True if a person must say what the value means."""
    return verdict.status in (Status.AMBIGUOUS, Status.UNREADABLE)
