"""The small-group test: no combination that a stranger can see may point to too few properties.

For every cell, date, protocol and observer the distinct properties are counted, events without animals included.
Below the person's number the cell is coarsened, then the date to the month, then the place is withheld; always for
all events of the place, so that no difference is left to read.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.protect.dates import coarse_dates
from dwc_pipeline.protect.grid import LEVELS, WITHHELD, generalised_positions, rank_of
from dwc_pipeline.protect.levels import level_names
from dwc_pipeline.sharing_settings import Property


def with_company(
    event: pd.DataFrame,
    rank: pd.Series,
    step: pd.Series,
    owner: pd.Series,
    keys: pd.Series,
    observers: pd.Series,
    properties: tuple[Property, ...],
    smallest: int,
) -> tuple[pd.Series, pd.Series]:
    """Ranks and date steps after which no combination is too small.

    rank, step, owner, keys, observers: per event; owner -1 = not private.
    """
    others = owner.map({number: one.other_properties_in_cell for number, one in enumerate(properties)} | {-1: 0})
    coarsest = rank_of(WITHHELD)
    while True:
        failing = _too_small(event, rank, step, owner, observers, others, smallest)
        places = keys[failing].unique()
        if not len(places):
            return rank, step
        hit = keys.isin(places)
        cell_left = hit & (rank < coarsest - 1)
        date_left = hit & ~cell_left & (step == "day")
        gone = hit & ~cell_left & ~date_left
        rank = rank.where(~cell_left, rank + 1).where(~gone, coarsest)
        step = step.where(~date_left, "month")


def _too_small(
    event: pd.DataFrame,
    rank: pd.Series,
    step: pd.Series,
    owner: pd.Series,
    observers: pd.Series,
    others: pd.Series,
    smallest: int,
) -> pd.Series:
    """Events of private places in a combination with fewer properties than asked for."""
    cells = generalised_positions(event, level_names(rank))
    shown = pd.DataFrame(
        {
            "latitude": cells["decimalLatitude"],
            "longitude": cells["decimalLongitude"],
            "date": coarse_dates(event["eventDate"], step),
            "protocol": event["eventType"],
            "observer": observers,
            "owner": owner,
            "others": others,
        }
    )
    combination = ["latitude", "longitude", "date", "protocol", "observer"]
    grouped = shown.groupby(combination, sort=False)
    count = grouped["owner"].transform("nunique") + grouped["others"].transform("max")
    return (shown["latitude"] != "") & (owner >= 0) & (count < smallest) & (rank < len(LEVELS) - 1)
