"""The effort of each check as a person adds it up by hand from one page of the log, with sums by session and season.

A line a check: since when, how long, which traps could catch, the rows of the log that say so, trap-nights, animals.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.season_animals import sessions_of
from dwc_pipeline.core.columns import as_text, mapped

CHECK, SESSION, SEASON = "check", "session", "season"
BY_CHECK_COLUMNS = (
    "level", "place", "session", "eventID", "from", "to", "hours", "traps_catching", "not_catching", "trap_nights",
    "trap_nights_uncorrected", "trap_hours", "animals", "checks", "checks_of_unknown_effort", "unknown", "log_rows",
)  # fmt: skip
SUMMED = ("trap_nights", "trap_nights_uncorrected", "trap_hours")


def effort_by_check(event: pd.DataFrame, effort: pd.DataFrame, animals: pd.DataFrame) -> pd.DataFrame:
    """Lines of checks in order of place and time, each session followed by its sum, the season's sum last.

    effort: the effort table. animals: from `season_animals`. A sum holds the checks of known effort and says how many
    it leaves out; animals written in words only are not in `animals`. [trap_nights, trap_hours: of all traps; hours]
    """
    checks = check_lines(event, effort, animals)
    if checks.empty:
        return pd.DataFrame(columns=list(BY_CHECK_COLUMNS))
    parts = []
    for (place, session), own in checks.groupby(["place", "session"], sort=True):
        parts += [own, sum_line(own, SESSION, place=place, session=session)]
    parts.append(sum_line(checks, SEASON))
    return pd.concat(parts, ignore_index=True)[list(BY_CHECK_COLUMNS)]


def check_lines(event: pd.DataFrame, effort: pd.DataFrame, animals: pd.DataFrame) -> pd.DataFrame:
    """One line a trap check."""
    own = event[event["eventType"] == "trapCheck"]
    ends = own["eventDate"].str.split("/")
    made = pd.DataFrame({"level": CHECK, "place": own["place"], "eventID": own["eventID"]})
    made["session"] = mapped(own["eventID"], sessions_of(event))
    made["from"] = ends.str[0].where(ends.str.len() == 2, "").str.slice(0, 16).str.replace("T", " ")
    made["to"] = ends.str[-1].str.slice(0, 16).str.replace("T", " ")
    made["hours"] = pd.to_numeric(own["sampleSizeValue"], errors="coerce")
    lines = effort.assign(
        of_type=effort["trap_type"]
        + " "
        + as_text(effort["traps_catching"].astype("float64"), 2).replace("", "?")
        + " of "
        + as_text(effort["traps_total"].astype("float64"), 0).replace("", "?")
    )
    told = lines.groupby("eventID", sort=False)
    for column, source in (
        ("traps_catching", "of_type"), ("not_catching", "excluded"), ("unknown", "unknown"),
        ("log_rows", "source_cells"),
    ):  # fmt: skip
        joined = told[source].agg(lambda texts: "; ".join(dict.fromkeys(text for text in texts if text)))
        made[column] = mapped(made["eventID"], joined.str.replace(" | ", ", "))
    for name in SUMMED:
        whole = effort[name].astype("float64").groupby(effort["eventID"]).sum(skipna=False)
        made[name] = made["eventID"].map(whole).astype("float64")
    caught = animals.groupby("eventID")["count"].sum()
    made["animals"] = made["eventID"].map(caught).fillna(0.0)
    made["checks"], made["checks_of_unknown_effort"] = 1, made["trap_nights"].isna().astype(int)
    return made.sort_values(["place", "session", "to"], kind="stable")


def sum_line(lines: pd.DataFrame, level: str, place: object = "", session: object = "") -> pd.DataFrame:
    """The sum of some checks; those of unknown effort are left out of the efforts, and counted."""
    unknown = int(lines["checks_of_unknown_effort"].sum())
    starts = [start for start in lines["from"] if start]
    made: dict[str, object] = dict.fromkeys(BY_CHECK_COLUMNS, "")
    made |= {"level": level, "place": place, "session": session, "from": min(starts, default="")}
    made |= {"to": lines["to"].max(), "hours": float("nan"), "animals": lines["animals"].sum(), "checks": len(lines)}
    made |= {name: lines[name].sum(min_count=1) for name in SUMMED}
    made["checks_of_unknown_effort"] = unknown
    made["unknown"] = f"{unknown} checks of unknown effort are not in the sum" if unknown else ""
    return pd.DataFrame([made])
