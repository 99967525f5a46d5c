"""Dates without the hour, and to the day, month or year; an interval keeps both ends."""

from __future__ import annotations

import pandas as pd

LENGTH = {"day": 10, "month": 7, "year": 4}
STEPS = tuple(LENGTH)


def coarse_date(text: str, step: str) -> str:
    """An ISO date or interval cut to day, month or year; ends that fall together are written once.

    >>> coarse_date("2031-05-14T18:30-05:00/2031-05-15T07:40-05:00", "day")
    '2031-05-14/2031-05-15'
    >>> coarse_date("2031-05-14/2031-05-15", "month")
    '2031-05'
    """
    ends = list(dict.fromkeys(end[: LENGTH[step]] for end in text.split("/")))
    return "/".join(ends)


def coarse_dates(dates: pd.Series, steps: pd.Series) -> pd.Series:
    """The same for a column, with a step per row."""
    told = pd.DataFrame({"date": dates, "step": steps})
    distinct = told.drop_duplicates()
    words = {(date, step): coarse_date(date, step) for date, step in distinct.itertuples(index=False)}
    return pd.Series(
        [words[pair] for pair in told.itertuples(index=False, name=None)], index=dates.index, dtype=object
    )
