"""How far apart two points are, near enough for comparing places of one survey."""

from __future__ import annotations

from typing import Any

import numpy as np

#: Mean radius of the Earth, IUGG. [m]
EARTH_RADIUS = 6_371_008.8


def metres_between(latitude: Any, longitude: Any, other_latitude: Any, other_longitude: Any) -> Any:
    """Metres on a sphere between points in decimal degrees, by the haversine formula; arrays or Series alike.

    One degree of a meridian is 111.195 km:

    >>> round(float(metres_between(36.0, -99.0, 37.0, -99.0)))
    111195
    """
    one, two = np.radians(latitude), np.radians(other_latitude)
    half_up, half_across = (two - one) / 2, (np.radians(other_longitude) - np.radians(longitude)) / 2
    chord = np.sin(half_up) ** 2 + np.cos(one) * np.cos(two) * np.sin(half_across) ** 2
    return 2 * EARTH_RADIUS * np.arcsin(np.sqrt(chord))
