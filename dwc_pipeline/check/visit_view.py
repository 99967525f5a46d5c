"""One row a trap check: the event terms, its effort, what it caught, and what its log row says.

place, checked_on, since_on (local days of the visit and of the one before), midnights (between them, missing where no
visit was before), interval_hours, nights (array-nights), trap_nights, trap_hours, traps_catching, animals, deaths.
Of the log row: traps_open, captures_typed, trap_nights_typed, air_temperature, maximum_air_temperature.
is_logged: whether the log has checks of the array at all, or only times from an opening to a closing.
Of the array's whole day: day_animals and day_in_scope (all and target animals on the sheets), day_is_vague (a count
in words among them), day_typed (the captures that the log gives).
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import mapped, number_column, text_column
from dwc_pipeline.core.records import Records

LOG_NUMBERS = ("maximum_air_temperature", "air_temperature", "captures_typed", "trap_nights_typed", "traps_open")
EFFORT = {
    "trap_nights": "trap_nights",
    "trap_hours": "trap_hours",
    "traps_catching": "traps_catching",
    "nights": "array_nights",
}
DIED = "died|drowned|predated"


def visit_view(records: Records, animal: pd.DataFrame) -> pd.DataFrame:
    """One row a trap check with its effort and what it caught."""
    event = records.tables["event"]
    view = event[event["eventType"] == "trapCheck"].copy()
    effort = records.tables["effort"]
    summed = effort.groupby("eventID")[list(EFFORT.values())].sum(skipna=False)
    view = view.join(summed.rename(columns={old: new for new, old in EFFORT.items()}), on="eventID")
    view["interval_hours"] = view["hours"].astype("float64")
    view = with_days(view)
    log = records.standard.get("trap_log", pd.DataFrame())
    own = view["tidy_row"].where(view["kind"] == "trap_log")
    for name in LOG_NUMBERS:
        view[name] = own.map(number_column(log, name)) if len(log) else float("nan")
    for name in ("captures_typed", "trap_nights_typed"):
        typed = records.tidy["trap_log"].verbatim(name) if "trap_log" in records.tidy else pd.Series(dtype=object)
        view[f"{name}_typed"] = mapped(own, typed)
    view["is_logged"] = view["place"].isin(places_with_checks(log))
    return with_catch(view, animal)


def places_with_checks(log: pd.DataFrame) -> set[str]:
    """Arrays of which the log has single checks, not only times from an opening to a closing."""
    action = text_column(log, "action")
    single = (text_column(log, "until/date") == "") & ((action == "") | action.str.contains("checked"))
    return set(text_column(log, "place")[single & (action != "not checked")])


def with_days(view: pd.DataFrame) -> pd.DataFrame:
    """Local days of the visit and of the visit before it."""
    ends = view["eventDate"].str.split("/").str[-1].str.slice(0, 10)
    starts = view["eventDate"].where(view["eventDate"].str.contains("/"), "").str.slice(0, 10)
    days = pd.to_datetime(ends, errors="coerce") - pd.to_datetime(starts, errors="coerce")
    return view.assign(checked_on=ends.fillna(""), since_on=starts.fillna(""), midnights=days.dt.days)


def with_catch(view: pd.DataFrame, animal: pd.DataFrame) -> pd.DataFrame:
    """Animals and deaths of each check and of each day."""
    trapped = animal[animal["event_type"].isin(["trapCheck", "trapSession"])]
    count = trapped["count"].fillna(1)
    dead = (text_column(trapped, "vitality") == "dead") | trapped["fate"].str.contains(DIED, na=False)
    view["animals"] = view["eventID"].map(count.groupby(trapped["eventID"]).sum()).fillna(0)
    view["deaths"] = view["eventID"].map(count[dead].groupby(trapped["eventID"]).sum()).fillna(0)
    day = pd.MultiIndex.from_frame(view[["place", "checked_on"]])
    keys = [trapped["place"], trapped["date"]]
    for name, values in {
        "day_animals": count,
        "day_in_scope": count.where(trapped["in_scope"] == "true", 0),
        "day_is_vague": trapped["count"].isna().astype(float),
    }.items():
        view[name] = values.groupby(keys).sum().reindex(day).fillna(0).to_numpy()
    view["day_is_vague"] = view["day_is_vague"] > 0
    by_day = view.groupby(["place", "checked_on"])["captures_typed"]
    view["day_typed"] = by_day.transform("sum", skipna=False)
    return view
