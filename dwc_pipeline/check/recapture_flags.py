"""Recapture flags against the order in which the captures of a mark came."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import moments
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import on_distinct

#: Tags are unique in the world, decimal or hexadecimal; clip codes are given out anew in each species.
TAG = r"^[0-9A-F]{9,}$|^[0-9A-F]{3}\."


def is_tag(mark: pd.Series) -> pd.Series:
    """True for the codes of tags, as against clip codes."""
    return on_distinct(mark, lambda texts: texts.str.upper().str.contains(TAG, regex=True))


def first_rows(animal: pd.DataFrame) -> pd.Series:
    """True for the earliest capture of each mark; never where a row of the mark has no date, for that may be it.

    An animal was met before where one of its marks was, in whichever column. A tag counts as met before also where
    another species was written for it: that row has its own finding.
    """
    told = ways_to_know(animal)
    at = moments(animal)
    told["at"] = told["row"].map(at)
    by_key = told.groupby("key")["at"]
    is_first = told["at"].notna() & (told["at"] == by_key.transform("min"))
    sure = told["at"].notna().groupby(told["key"]).transform("all")
    return (is_first & sure).groupby(told["row"]).all().reindex(animal.index, fill_value=False)


def ways_to_know(animal: pd.DataFrame) -> pd.DataFrame:
    """What each animal may be known by, one line each: row, and key (organismID, a tag, a clip of its species)."""
    parts = [animal["organismID"]]
    for name in ("mark", "second_mark"):
        mark = text_column(animal, name).fillna("")
        clip = text_column(animal, "scientificName").fillna("") + " " + mark
        parts.append(mark.where(is_tag(mark) | (mark == ""), clip))
    told = pd.concat([pd.DataFrame({"row": animal.index, "key": part.to_numpy()}) for part in parts])
    return told[told["key"] != ""].drop_duplicates().reset_index(drop=True)


def marked_later(animal: pd.DataFrame) -> pd.Series:
    """True where a later row of the same animal says that it was marked then."""
    at = moments(animal)
    new_at = at.where(animal["capture_status"] == "new")
    return new_at.groupby(animal["organismID"]).transform("max") > at
