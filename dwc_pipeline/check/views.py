"""The tables that rules look at, put together once from the Records.

Every view has `kind` and `tidy_row`, so that a finding leads back to the cell. Numbers are floats, missing where
unknown; texts are "" where unknown; instants are UTC.

animal   one row an animal: the occurrence terms; place, trap, trap_type, date, utc, event_type, event_date; measurements in
         mm and g under the names of the sheet fields; count, mark, capture_status, fate, tail_condition; facts of the
         checklist (adult_min_mm, adult_max_mm, record_mm, mass_min_g, mass_max_g, size_measure, months, venomous, sensitive).
visit    one row a trap check: the event terms; interval_hours, nights, trap_nights, trap_hours, traps_catching, animals,
         deaths, and of the log row traps_open, captures_typed, trap_nights_typed and temperatures.
session  one row a trap session. event: every event. Both with parent_date.
log, capture, place, run, search: the rows as read, `<field>` standard and `<field>_typed` as typed, with file, sheet,
         sheet_row; capture holds rows without an animal too.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.records import Records

LENGTHS = ("snout_vent_length", "tail_length", "total_length", "straight_carapace_length", "body_mass", "bag_mass")
CHECKLIST_NUMBERS = {
    "adultMinMm": "adult_min_mm",
    "adultMaxMm": "adult_max_mm",
    "recordMm": "record_mm",
    "massMinG": "mass_min_g",
    "massMaxG": "mass_max_g",
}
CHECKLIST_TEXTS = {
    "sizeMeasure": "size_measure",
    "months": "months",
    "venomous": "venomous",
    "sensitive": "sensitive",
}
VIEWS = ("animal", "visit", "session", "event", "log", "capture", "place", "run", "search")


def build_views(records: Records) -> dict[str, pd.DataFrame]:
    """All views by name."""
    return {
        "animal": animal_view(records),
        "visit": visit_view(records),
        "session": event_view(records, "trapSession"),
        "event": event_view(records, ""),
        "log": as_read(records, "trap_log"),
        "capture": as_read(records, "capture"),
        "place": as_read(records, "place"),
        "run": as_read(records, "road_run"),
        "search": as_read(records, "search"),
    }


def as_read(records: Records, kind: str) -> pd.DataFrame:
    """Standard rows with what was typed beside them, as `<field>_typed`."""
    rows = records.standard.get(kind, pd.DataFrame())
    if kind not in records.tidy:
        return rows.assign(kind=kind, tidy_row=rows.index)
    typed = records.tidy[kind].text.reindex(rows.index).add_suffix("_typed")
    where = records.tidy[kind].origin.reindex(rows.index)
    source = records.sources[["file", "sheet"]].reindex(where["source"])
    return pd.concat([rows, typed], axis=1).assign(
        kind=kind,
        tidy_row=rows.index,
        file=source["file"].to_numpy(),
        sheet=source["sheet"].to_numpy(),
        sheet_row=where["row"].to_numpy(),
    )


def animal_view(records: Records) -> pd.DataFrame:
    """One row an animal."""
    occurrence = records.tables["occurrence"]
    read = as_read(records, "capture").reindex(occurrence.index)
    view = occurrence.copy()
    for name in ("place", "trap", "trap_type", "mark", "capture_status", "fate"):
        view[name] = text_column(read, name)
    view["utc"] = read.get("when/utc", pd.NaT)
    for name in LENGTHS:
        view[name] = number_column(read, name)
    view["count"] = number_column(occurrence, "individualCount")
    view["tail_condition"] = text_column(read, "tail_condition").where(
        text_column(read, "tail_condition") != "", text_column(read, "tail_length/tail_condition")
    )
    typed = [column for column in read if column.endswith("_typed")]
    view = pd.concat([view, read[[*typed, "kind", "tidy_row", "file", "sheet", "sheet_row"]]], axis=1)
    event = records.tables["event"].set_index("eventID")
    view["event_type"] = view["eventID"].map(event["eventType"])
    view["event_date"] = view["eventID"].map(event["eventDate"])
    return with_checklist(view, records.reference.checklist)


def with_checklist(view: pd.DataFrame, checklist: pd.DataFrame) -> pd.DataFrame:
    """What the checklist says of each species; missing where it says nothing."""
    listed = (
        checklist.drop_duplicates("scientificName").set_index("scientificName")
        if "scientificName" in checklist
        else None
    )
    for names, numeric in ((CHECKLIST_NUMBERS, True), (CHECKLIST_TEXTS, False)):
        for column, name in names.items():
            if listed is None or column not in listed:
                view[name] = float("nan") if numeric else ""
            else:
                found = view["scientificName"].map(listed[column])
                view[name] = pd.to_numeric(found, errors="coerce") if numeric else found.fillna("")
    return view


def visit_view(records: Records) -> pd.DataFrame:
    """One row a trap check with its effort and what it caught."""
    event = records.tables["event"]
    view = event[event["eventType"] == "trapCheck"].copy()
    effort = (
        records.tables["effort"]
        .groupby("eventID")
        .agg(
            trap_nights=("trap_nights", lambda values: values.sum(skipna=False)),
            trap_hours=("trap_hours", lambda values: values.sum(skipna=False)),
            traps_catching=("traps_catching", lambda values: values.sum(skipna=False)),
            nights=("array_nights", lambda values: values.sum(skipna=False)),
        )
    )
    view = view.join(effort, on="eventID")
    animals = records.tables["occurrence"]
    count = number_column(animals, "individualCount").fillna(1)
    view["animals"] = view["eventID"].map(count.groupby(animals["eventID"]).sum()).fillna(0)
    dead = (text_column(animals, "vitality") == "dead") | text_column(
        records.standard.get("capture", pd.DataFrame()).reindex(animals.index), "fate"
    ).str.contains("died|drowned|predated", na=False)
    view["deaths"] = view["eventID"].map(count[dead].groupby(animals["eventID"]).sum()).fillna(0)
    view["interval_hours"] = view["hours"].astype("float64")
    log = records.standard.get("trap_log", pd.DataFrame())
    own = view["tidy_row"].where(view["kind"] == "trap_log")
    for name in ("maximum_air_temperature", "air_temperature", "captures_typed", "trap_nights_typed", "traps_open"):
        view[name] = own.map(number_column(log, name)) if len(log) else float("nan")
    return view


def event_view(records: Records, event_type: str) -> pd.DataFrame:
    """Events of one type, or all, with the dates of their parents."""
    event = records.tables["event"]
    view = event if not event_type else event[event["eventType"] == event_type]
    dates = event.set_index("eventID")["eventDate"]
    return view.assign(parent_date=view["parentEventID"].map(dates).fillna(""))
