"""Time and objects searched: net hours, person-hours, covers turned."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from dwc_pipeline.effort.trap_nights import Instants, hours_open

Floats = NDArray[np.float64]


class CoverTurns(NamedTuple):
    """Cover objects turned: every turn, objects turned at least once, and turns of an object already turned."""

    turns: int
    objects: int
    repeats: int


def net_hours(start_utc: Instants, end_utc: Instants, minutes_out: ArrayLike = 0.0) -> Floats:
    """Hours from start to end less the minutes spent on other work, such as handling animals. [hours]

    minutes_out: stops for processing. [minutes] More time out than passed is impossible and gives a missing value.
    Common practice, no source. 09:10 to 10:40 less 12 minutes: 1.3 hours.
    """
    hours = hours_open(start_utc, end_utc) - np.asarray(minutes_out, dtype=np.float64) / 60
    return np.where(hours >= 0, hours, np.nan)


def person_hours(people: ArrayLike, hours: ArrayLike) -> Floats:
    """Searchers times hours searched. [person-hours]

    hours: net of handling for the effort, from start to end for the gross figure. 3 people, 1.3 hours: 3.9.
    """
    searchers, searched = np.asarray(people, dtype=np.float64), np.asarray(hours, dtype=np.float64)
    return np.where((searchers > 0) & (searched >= 0), searchers * searched, np.nan)


def cover_turns(covers: ArrayLike, seasons: ArrayLike) -> CoverTurns:
    """Count turned cover objects, a second turn of the same object in one season being a repeat.

    covers, seasons: one entry per turn. Common practice, no source.
    """
    turned = pd.DataFrame({"cover": np.asarray(covers), "season": np.asarray(seasons)})
    repeats = int(turned.duplicated().sum())
    return CoverTurns(len(turned), len(turned) - repeats, repeats)
