"""Distance driven on effort on a road survey."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: International mile, exact. [km]
KILOMETRES_PER_MILE = 1.609344


def kilometres_from_miles(miles: ArrayLike) -> NDArray[np.float64]:
    """International miles as kilometres. [km]; exact definition: 31.2 mi is 50.2115 km."""
    return np.asarray(miles, dtype=np.float64) * KILOMETRES_PER_MILE


def distance_surveyed(route_km: ArrayLike, passes: ArrayLike) -> NDArray[np.float64]:
    """Distance searched: the length of the route times the passes on effort. [km]

    passes: 1 for one way, 2 for out and back; the way there is no pass. Common practice, no source.
    """
    length, times = np.asarray(route_km, dtype=np.float64), np.asarray(passes, dtype=np.float64)
    return np.where((length >= 0) & (times >= 0), length * times, np.nan)
