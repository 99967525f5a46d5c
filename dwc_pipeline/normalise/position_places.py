"""Readings of positions brought to WGS 84, one conversion for each reference system, and how they are offered."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd

from dwc_pipeline.normalise.coordinate_uncertainty import degree_precision_uncertainty
from dwc_pipeline.normalise.datum_shift import to_wgs84
from dwc_pipeline.normalise.position_context import ParsedPosition, PositionContext

#: how many proposals a finding lists
_OFFERED = 5


class Place(NamedTuple):
    """A reading in WGS 84. is_accepted: it lies where the survey works; None if nothing is known of that."""

    position: ParsedPosition
    longitude: float
    latitude: float
    accuracy_m: float
    operation: str
    missing_grid: str
    is_accepted: bool | None
    distance_m: float

    @property
    def is_somewhere(self) -> bool:
        return math.isfinite(self.longitude) and math.isfinite(self.latitude)


def locate(positions: Sequence[ParsedPosition], context: PositionContext) -> list[Place]:
    """WGS 84 places of the positions, one conversion for each reference system."""
    count = len(positions)
    if not count:
        return []
    x = np.fromiter((one.x for one in positions), float, count)
    y = np.fromiter((one.y for one in positions), float, count)
    lon, lat, accuracy = np.full(count, np.nan), np.full(count, np.nan), np.full(count, np.nan)
    operation, missing = np.full(count, "", dtype=object), np.full(count, "", dtype=object)
    codes, systems = pd.factorize(np.array([one.crs for one in positions], dtype=object))
    for code, crs in enumerate(systems):
        here = np.flatnonzero(codes == code)
        shifted = to_wgs84(x[here], y[here], crs, context.grids_folder)
        lon[here], lat[here], accuracy[here] = shifted.longitude, shifted.latitude, shifted.accuracy_m
        operation[here], missing[here] = shifted.operation, shifted.missing_grid
    surroundings = context.surroundings
    accepted: list[bool | None] = [None] * count
    distance = np.full(count, np.nan)
    if surroundings.are_known:
        distance = surroundings.distance(lon, lat)
        accepted = (distance <= surroundings.slack_m).tolist()
    return [
        Place(*one)
        for one in zip(
            positions,
            lon.tolist(),
            lat.tolist(),
            accuracy.tolist(),
            operation.tolist(),
            missing.tolist(),
            accepted,
            distance.tolist(),
            strict=True,
        )  # fmt: skip
    ]


def precision_m(place: Place) -> float:
    """Metres of doubt from the last written digit."""
    if math.isnan(place.position.step_degrees):
        return place.position.radius_m
    return float(degree_precision_uncertainty(place.position.step_degrees, place.latitude))


def offered(places: Sequence[Place], context: PositionContext) -> tuple[str, ...]:
    """Readings as text, those that the place speaks for first, each once."""
    ordered = sorted(
        (place for place in places if place.is_somewhere), key=lambda place: place.is_accepted is not True
    )
    texts = []
    for place in ordered:
        evidence = f": {context.surroundings.evidence}" if place.is_accepted else ""
        texts.append(f"{_short(place.latitude)} {_short(place.longitude)} ({place.position.label}{evidence})")
    return tuple(dict.fromkeys(texts))[:_OFFERED]


def _short(degrees: float) -> str:
    """Degrees without zeros at the end."""
    text = f"{degrees:.7f}".rstrip("0")
    return text + "0" if text.endswith(".") else text
