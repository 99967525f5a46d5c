"""What the log says of the animals' safety, array by array, beside the limits written in the survey file.

Your permit and your animal-care protocol set the limits; these tables only put the log beside them.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.fate_audit import account_of
from dwc_pipeline.assemble.season_animals import IN_TRAPS
from dwc_pipeline.core.columns import number_column
from dwc_pipeline.effort.catch_rate import catch_rate_limits
from dwc_pipeline.settings import Limits

WELFARE_COLUMNS = (
    "place", "sessions", "sessions_never_closed", "checks", "checks_of_unknown_interval", "longest_interval_hours",
    "longest_interval_eventID", "limit_hours", "checks_over_the_limit", "heat_celsius", "limit_hours_in_heat",
    "checks_in_heat", "checks_over_the_limit_in_heat", "animals", "deaths", "deaths_per_100", "deaths_lower_95",
    "deaths_upper_95", "deaths_told",
)  # fmt: skip
HEAT = "maximum air temperature"


def welfare_table(
    event: pd.DataFrame,
    animals: pd.DataFrame,
    measurement: pd.DataFrame,
    closed: pd.Series,
    limits: Limits,
) -> pd.DataFrame:
    """One line an array (WELFARE_COLUMNS). Intervals in hours; a limit that is not set is missing, with its count.

    closed: whether each session was closed in the log, by eventID. deaths: every animal that died in a trap or in
    the hand, by-catch among them; deaths_told: each with date, name and words.
    """
    checks = event[event["eventType"] == "trapCheck"]
    sessions = event[event["eventType"] == "trapSession"]
    trapped = animals[animals["eventType"].isin(IN_TRAPS)]
    places = sorted({*checks["place"], *sessions["place"], *trapped["place"]} - {""})
    made = pd.DataFrame(index=pd.Index(places, name="place", dtype=object))
    made["sessions"] = sessions.groupby("place").size()
    never = ~sessions["eventID"].map(closed).astype(bool)
    made["sessions_never_closed"] = never.groupby(sessions["place"]).sum()
    made = made.join(intervals(checks, measurement, limits)).join(deaths(trapped))
    counts = ["sessions", "sessions_never_closed", "checks", "checks_of_unknown_interval", "animals", "deaths"]
    made[counts] = made[counts].fillna(0)
    texts = ["longest_interval_eventID", "deaths_told"]
    made[texts] = made[texts].astype(object).fillna("")
    return made.reset_index().reindex(columns=list(WELFARE_COLUMNS))


def intervals(checks: pd.DataFrame, measurement: pd.DataFrame, limits: Limits) -> pd.DataFrame:
    """Hours between visits of each array, and how many were over the limits."""
    hours = checks["hours"].astype("float64")
    weather = measurement[(measurement["measurementType"] == HEAT) & (measurement["occurrenceID"] == "")]
    highest = number_column(weather, "measurementValue").groupby(weather["eventID"]).max()
    warmth = checks["eventID"].map(highest).astype("float64")
    nothing = float("nan")
    usual, heat, in_heat = (
        nothing if limit is None else limit
        for limit in (limits.hours_between_checks, limits.heat_celsius, limits.hours_between_checks_in_heat)
    )
    flags = pd.DataFrame(
        {
            "place": checks["place"],
            "checks": True,
            "checks_of_unknown_interval": hours.isna(),
            "checks_over_the_limit": hours > usual,
            "checks_in_heat": warmth >= heat,
            "checks_over_the_limit_in_heat": (warmth >= heat) & (hours > in_heat),
        }
    )
    made = flags.groupby("place").sum().astype("float64")
    longest = hours.dropna().sort_values(kind="stable").groupby(checks["place"]).tail(1).index
    own = checks.loc[longest].set_index("place")
    made["longest_interval_hours"], made["longest_interval_eventID"] = own["hours"], own["eventID"]
    made["limit_hours"], made["heat_celsius"], made["limit_hours_in_heat"] = usual, heat, in_heat
    if limits.hours_between_checks is None:
        made["checks_over_the_limit"] = nothing
    if limits.heat_celsius is None:
        made["checks_in_heat"] = nothing
    if limits.heat_celsius is None or limits.hours_between_checks_in_heat is None:
        made["checks_over_the_limit_in_heat"] = nothing
    return made


def deaths(trapped: pd.DataFrame) -> pd.DataFrame:
    """Animals caught and animals that died, by array, with exact limits per 100 animals."""
    count = trapped["count"].fillna(1.0)
    died = account_of(trapped) == "died"
    made = pd.DataFrame(
        {
            "animals": count.groupby(trapped["place"]).sum(),
            "deaths": count.where(died, 0.0).groupby(trapped["place"]).sum(),
        }
    )
    made["deaths_per_100"] = 100 * made["deaths"] / made["animals"]
    limits = catch_rate_limits(made["deaths"], made["animals"])
    made["deaths_lower_95"], made["deaths_upper_95"] = limits.lower, limits.upper
    dead = trapped[died]
    name = dead["scientificName"].where(dead["scientificName"] != "", "animal not identified")
    told = dead["date"].astype(object) + " " + name + (": " + dead["remarks"]).where(dead["remarks"] != "", "")
    made["deaths_told"] = told.groupby(dead["place"]).agg(" | ".join)
    return made
