"""Lowest, present and highest temperature in order."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.rule import Severity

#: What two thermometers may differ by. [degrees C]; our choice
TOLERANCE = 1.0
DAY = {"place": "A2", "date": "2031-06-24", "air_temperature": 24.4}


@season_rule(
    view="weather",
    field="maximum_air_temperature",
    severity=Severity.WARNING,
    message="{place} on {date}: lowest {minimum_air_temperature}, highest {maximum_air_temperature} degrees C",
    flagged={**DAY, "minimum_air_temperature": 31.0, "maximum_air_temperature": 19.0},
    passes={**DAY, "minimum_air_temperature": 19.0, "maximum_air_temperature": 31.0},
)
def temperatures_contradict(weather: pd.DataFrame) -> pd.Series:
    """The lowest temperature since the last check is above the highest.

    Why it matters: the two were exchanged, or one is mistyped; heat limits are judged by the highest.
    What to do: exchange or correct them.
    """
    lowest, highest = (number_column(weather, f"{name}_air_temperature") for name in ("minimum", "maximum"))
    return lowest > highest + TOLERANCE
