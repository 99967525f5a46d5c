"""Recapture flags against the order in which the captures of a mark came."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import moments

#: Tags are unique in the world, decimal or hexadecimal; clip codes are given out anew in each species.
TAG = r"^[0-9A-F]{9,}$|^[0-9A-F]{3}\."


def is_tag(mark: pd.Series) -> pd.Series:
    """True for the codes of tags, as against clip codes."""
    return mark.str.upper().str.contains(TAG, regex=True)


def first_rows(animal: pd.DataFrame) -> pd.Series:
    """True for the earliest capture of each mark; never where a row of the mark has no date, for that may be it.

    A tag counts as met before also where another species was written for it: that row has its own finding.
    """
    at = moments(animal)
    key = animal["organismID"].where(~is_tag(animal["mark"]), animal["mark"])
    all_dated = at.notna().groupby(key).transform("all")
    return all_dated & (at == at.groupby(key).transform("min"))


def marked_later(animal: pd.DataFrame) -> pd.Series:
    """True where a later row of the same animal says that it was marked then."""
    at = moments(animal)
    new_at = at.where(animal["capture_status"] == "new")
    return new_at.groupby(animal["organismID"]).transform("max") > at
