"""Air temperatures that are none."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.rule import Severity

#: Air temperatures that field work meets. [degrees C]; the world's extremes are -89.2 and 56.7 (WMO records).
COLDEST, HOTTEST = -40.0, 56.7
NAMES = ("air_temperature", "minimum_air_temperature", "maximum_air_temperature")


@season_rule(
    view="weather",
    field="air_temperature",
    severity=Severity.WARNING,
    message="{place} on {date}: {name} of {celsius} degrees C{hint}",
    flagged={"place": "A2", "date": "2031-06-24", "air_temperature": 76.0},
    passes={"place": "A2", "date": "2031-06-24", "air_temperature": 24.4, "maximum_air_temperature": 39.0},
    source="World Meteorological Organization, records of air temperature (from memory): 56.7 and -89.2 degrees C",
)
def temperature_out_of_range(weather: pd.DataFrame) -> pd.DataFrame:
    """An air temperature is out of the range of field work.

    Why it matters: a digit too many, or degrees Fahrenheit in a column of Celsius; heat limits are then judged
    wrongly.
    What to do: correct the number, or name the unit of the column in the survey file.
    """
    made = pd.DataFrame({"flag": False, "name": "", "celsius": float("nan"), "hint": ""}, index=weather.index)
    for name in NAMES:
        value = number_column(weather, name)
        out = (value > HOTTEST) | (value < COLDEST)
        made.loc[out, "flag"] = True
        made.loc[out, "name"], made.loc[out, "celsius"] = name.replace("_", " "), value[out].round(1)
    as_fahrenheit = ((made["celsius"] - 32) / 1.8).round(1)
    fits = as_fahrenheit.between(-10, 50)
    made["hint"] = ("; " + as_fahrenheit.astype(str) + " if it was Fahrenheit").where(fits, "")
    return made
