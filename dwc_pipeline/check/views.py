"""The tables that rules look at, put together once from the Records.

Every view has `kind` and `tidy_row`, so that a finding leads back to the cell; where `kind` is "", the row names its
cell itself by file, sheet, sheet_row and column. Numbers are floats, missing where unknown; texts are "" where
unknown; instants are UTC.

animal   one row an animal: see animal_view.py.
visit    one row a trap check with its effort and what it caught: see visit_view.py.
session  one row a trap session. event: every event. Both with parent_date, parent_place, parent_type, has_parent.
site     one row a place of the place lists, as assembled, with latitude, longitude and uncertainty as numbers.
log, capture, place, run, search: the rows as read, `<field>` standard and `<field>_typed` as typed, with file, sheet,
         sheet_row, entry (of the survey file); capture holds rows without an animal too.
weather  rows of log, runs and searches with their temperatures in degrees C.
presence one row a person and log row, run or search with a time: person, place, moment (local), from_utc, until_utc.
position rows of places, captures and searches with a latitude and a longitude in cells of their own, as typed.
total    one row a number at the foot of a sheet: see total_view.py.
scope    one row an event with Humboldt terms, with parentEventID.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.animal_view import animal_view
from dwc_pipeline.check.sheet_rows import as_read
from dwc_pipeline.check.total_view import total_view
from dwc_pipeline.check.visit_view import visit_view
from dwc_pipeline.core.columns import mapped, number_column, text_column, without_gaps
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile

TEMPERATURES = ("air_temperature", "minimum_air_temperature", "maximum_air_temperature")
AS_READ = {"log": "trap_log", "capture": "capture", "place": "place", "run": "road_run", "search": "search"}
VIEWS = ("animal", "visit", "session", "event", "site", *AS_READ, "weather", "presence", "position", "total", "scope")


def build_views(records: Records, survey: SurveyFile) -> dict[str, pd.DataFrame]:
    """All views by name."""
    rows = {name: as_read(records, kind) for name, kind in AS_READ.items()}
    animal = animal_view(records, rows["capture"], survey)
    views = rows | {
        "animal": animal,
        "visit": visit_view(records, animal),
        "session": event_view(records, "trapSession"),
        "event": event_view(records, ""),
        "site": site_view(records),
        "weather": weather_view([rows["log"], rows["run"], rows["search"]]),
        "presence": presence_view([rows["log"], rows["run"], rows["search"]]),
        "position": position_view([rows["place"], rows["capture"], rows["search"]]),
        "total": total_view(records),
        "scope": scope_view(records),
    }
    return {name: with_plain_texts(view) for name, view in views.items()}


def with_plain_texts(view: pd.DataFrame) -> pd.DataFrame:
    """The view with its texts as plain objects where none is missing: they are compared many times, and so faster."""
    texts = [name for name, kind in view.dtypes.items() if kind == "str" and not view[name].hasnans]
    return view.astype(dict.fromkeys(texts, object)).copy()  # in one block, not one a column


def event_view(records: Records, event_type: str) -> pd.DataFrame:
    """Events of one type, or all, with dates and places of their parents."""
    event = records.tables["event"]
    view = event if not event_type else event[event["eventType"] == event_type]
    by_id = event.set_index("eventID")
    parent = view["parentEventID"]
    return view.assign(
        parent_date=mapped(parent, by_id["eventDate"]),
        parent_place=mapped(parent, by_id["place"]),
        parent_type=mapped(parent, by_id["eventType"]),
        has_parent=parent.isin(by_id.index) | ((parent == "") & (view["eventType"] == "project")),
    )


def site_view(records: Records) -> pd.DataFrame:
    """Places with the row that named them first."""
    site = records.tables["place"]
    link = records.links["place"].drop_duplicates("id").set_index("id")
    return site.assign(
        kind_of_place=text_column(site, "kind"),
        kind="place",
        tidy_row=text_column(site, "place").map(link["tidy_row"]) if len(site) else pd.Series(dtype="int64"),
        latitude=number_column(site, "decimalLatitude"),
        longitude=number_column(site, "decimalLongitude"),
        uncertainty=number_column(site, "coordinateUncertaintyInMeters"),
    )


def weather_view(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """Rows with a temperature."""
    made = []
    for part in parts:
        typed = [f"{name}_typed" for name in TEMPERATURES if f"{name}_typed" in part]
        view = part[["kind", "tidy_row", *typed]].copy()
        for name in TEMPERATURES:
            view[name] = number_column(part, name)
        view["place"], view["date"] = text_column(part, "place"), text_column(part, "when/date")
        made.append(view[view[list(TEMPERATURES)].notna().any(axis=1)])
    return pd.concat(made, ignore_index=True)


def presence_view(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """Who was where at which time of the clock; a check counts as one moment."""
    made = []
    for part in parts:
        if part.empty or "when/utc" not in part:
            continue
        view = pd.DataFrame(
            {
                "person": text_column(part, "recordedBy").str.split(" | ", regex=False),
                "place": text_column(part, "place"),
                "from_utc": part["when/utc"],
                "until_utc": part.get("until/utc", pd.NaT),
                "moment": (text_column(part, "when/date") + " " + text_column(part, "when/time")).str.strip(),
                "recordedBy_typed": text_column(part, "recordedBy_typed"),
                "kind": part["kind"],
                "tidy_row": part["tidy_row"],
            }
        )
        is_log = view["kind"] == "trap_log"
        # A log row with an end is a whole session, not a visit: only its beginning and end are moments.
        view["until_utc"] = view["until_utc"].where(~is_log & view["until_utc"].notna(), view["from_utc"])
        made.append(view[view["from_utc"].notna() & (view["place"] != "")].explode("person"))
    if not made:
        return pd.DataFrame(columns=["person", "place", "from_utc", "until_utc", "kind", "tidy_row"])
    every = pd.concat(made, ignore_index=True)
    return every[every["person"].fillna("") != ""].reset_index(drop=True)


def position_view(parts: list[pd.DataFrame]) -> pd.DataFrame:
    """Rows with a typed latitude and longitude."""
    wanted = ["verbatimLatitude_typed", "verbatimLongitude_typed", "file", "sheet", "kind", "tidy_row"]
    made = [part.reindex(columns=wanted) for part in parts if len(part)]
    every = pd.concat(made, ignore_index=True) if made else pd.DataFrame(columns=wanted)
    typed = (without_gaps(every[wanted[:2]]) != "").all(axis=1)
    return every[typed].reset_index(drop=True)


def scope_view(records: Records) -> pd.DataFrame:
    """Humboldt rows with the event's parent and its row."""
    scope = records.tables["humboldt"]
    event = records.tables["event"].set_index("eventID")
    return scope.assign(**{name: scope["eventID"].map(event[name]) for name in ("parentEventID", "kind", "tidy_row")})
