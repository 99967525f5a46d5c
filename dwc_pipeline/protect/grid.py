"""Grids of decimal degrees: the cell of a point, and how far the true place can lie from the written one.

Cells are computed in decimals from the written text: in binary, 36.3 / 0.1 falls below 363 and the point into the
wrong cell. Points are never moved at random: false points look true, average out, and break joins.

Source: Chapman A.D. (2020) Current Best Practices for Generalizing Sensitive Species Occurrence Data, sections on
geographic grids; Chapman A.D. & Wieczorek J.R. (2020) Georeferencing Best Practices, uncertainty of a rounded
position.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import text_column

#: finest first. A place is shown on the coarsest level that any rule asks for.
AS_HELD, WITHHELD = "as held", "withheld"
LEVELS = (AS_HELD, "0.001", "0.01", "0.1", "1", WITHHELD)
#: the level of each category of sensitivity, by the guide named above.
LEVEL_OF_CATEGORY: dict[object, str] = {1: "1", 2: "0.1", 3: "0.01", 4: "0.001", WITHHELD: WITHHELD}


def rank_of(level: str) -> int:
    """Position of a level from fine to coarse."""
    return LEVELS.index(level)


def snapped(degrees: str, grid: str) -> str:
    """The centre of the cell, written with as many decimals as the grid has; halves go away from zero.

    >>> snapped("36.7512", "0.1"), snapped("-99.65", "0.1"), snapped("-0.04", "0.1")
    ('36.8', '-99.7', '0.0')
    """
    step = Decimal(grid)
    cell = (Decimal(degrees) / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step
    return format(cell.quantize(step) + 0, "f")


def half_diagonal(latitude: str, grid: str) -> float:
    """Metres from the centre of a cell to its farthest corner, which is one of those nearer to the equator.

    latitude: of the centre. Geodesic on WGS 84.

    >>> round(half_diagonal("36.8", "0.1"), 2)
    7121.24
    """
    half = Decimal(grid) / 2
    corner = abs(Decimal(latitude)) - half
    return _distance(abs(float(latitude)), max(-90.0, float(corner)), float(half))


@cache
def _distance(latitude: float, corner: float, half: float) -> float:
    return float(_ellipsoid().inv(0.0, latitude, half, corner)[2])


@cache
def _ellipsoid() -> Any:
    from pyproj import Geod

    return Geod(ellps="WGS84")


def generalised_positions(position: pd.DataFrame, level: pd.Series) -> pd.DataFrame:
    """Positions on the grid that each row's level asks for.

    position: text columns decimalLatitude, decimalLongitude, coordinateUncertaintyInMeters, coordinatePrecision;
    "" or no column where unknown. level: one of LEVELS per row. Returns the same columns: withheld positions blank;
    where the former uncertainty is not known, the new one is not known either.
    """
    columns = ["decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters", "coordinatePrecision"]
    told = pd.DataFrame({name: text_column(position, name) for name in columns}).assign(level=level)
    distinct = told.drop_duplicates()
    made = pd.DataFrame([_generalised(*row) for row in distinct.itertuples(index=False)], columns=columns)
    made.index = pd.MultiIndex.from_frame(distinct)
    found = made.reindex(pd.MultiIndex.from_frame(told))
    return found.set_axis(position.index)


def _generalised(
    latitude: str, longitude: str, uncertainty: str, precision: str, level: str
) -> tuple[str, str, str, str]:
    if level == AS_HELD or not (latitude and longitude):
        return latitude, longitude, uncertainty, precision
    if level == WITHHELD:
        return "", "", "", ""
    written = snapped(latitude, level), snapped(longitude, level)
    if not uncertainty:
        return *written, "", level
    whole = int(np.ceil(half_diagonal(written[0], level) + float(uncertainty)))
    return *written, str(whole), level
