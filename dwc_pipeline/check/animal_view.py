"""One row an animal: the occurrence terms with what the sheet, the log and the checklist say of it.

Of the sheet: place, trap, trap_type, date, utc, mark, second_mark (a cell with two marks gives both; where only the
second was read it is the mark), capture_status, fate, tail_condition, measurements in mm and g
under the names of the sheet fields, mass_method (such as a bag taken off), count,
animals_told (the count as text, or a vague one in words),
own_latitude, own_longitude, `<field>_typed`, kind, tidy_row, file, sheet, sheet_row, entry, where.
Of the event: event_type, event_date, latitude, longitude, trap_shut (what the log says of the trap at that check,
where it was closed or missing), shut_by ("check" if the same log row says so, "log" if an earlier row does) and
shut_where (the row of the log that says so).
Of the checklist: adult_min_mm, adult_max_mm, record_mm, mass_min_g, mass_max_g, size_measure, months, venomous,
sensitive. group: snake, lizard, turtle, frog, salamander or "". size_mm: the length that size_measure names.
older_seasons: whether the project began before this season, so that marks may come from sheets not read here.
"""

from __future__ import annotations

import json

import pandas as pd

from dwc_pipeline.check.animal_groups import animal_group
from dwc_pipeline.check.sheet_rows import as_read
from dwc_pipeline.core.columns import first_filled, mapped, number_column, text_column
from dwc_pipeline.core.marks import marks_apart
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile

#: what is measured of an animal
MEASURES = ("snout_vent_length", "tail_length", "total_length", "straight_carapace_length", "body_mass")
PLAIN = ("place", "trap", "trap_type", "capture_status", "cell_remarks")
ADDRESS = ("kind", "tidy_row", "file", "sheet", "sheet_row", "entry", "where")
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


def animal_view(records: Records, capture: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """One row an animal. capture: the view of that name."""
    occurrence = records.tables["occurrence"]
    read = capture.reindex(occurrence.index)
    view = occurrence.copy()
    for name in PLAIN:
        view[name] = text_column(read, name)
    first, second = marks_apart(read.assign(individualCount=text_column(occurrence, "individualCount")))
    view["mark"], view["second_mark"] = first_filled(first, second), second.where(first != "", "")
    view["fate"] = first_filled(text_column(read, "fate"), text_column(read, "vitality/fate"))
    view["tail_condition"] = first_filled(
        text_column(read, "tail_condition"), text_column(read, "tail_length/tail_condition")
    )
    view["mass_method"] = text_column(read, "body_mass/measurementMethod")
    view["mass_remarks"] = text_column(read, "body_mass/measurementRemarks")
    view["utc"] = read.get("when/utc", pd.Series(pd.NaT, index=read.index))
    for name in (*MEASURES, "bag_mass"):
        view[name] = number_column(read, name)
    view["count"] = number_column(occurrence, "individualCount")
    view["animals_told"] = first_filled(
        *(text_column(occurrence, one) for one in ("individualCount", "organismQuantity"))
    )
    typed = [column for column in read if column.endswith("_typed")]
    view = pd.concat([view, read[[*typed, *(name for name in ADDRESS if name in read)]]], axis=1)
    event = records.tables["event"].drop_duplicates("eventID").set_index("eventID")
    view["event_type"] = mapped(view["eventID"], event["eventType"])
    view["event_date"] = mapped(view["eventID"], event["eventDate"])
    view["latitude"] = view["eventID"].map(number_column(event, "decimalLatitude"))
    view["longitude"] = view["eventID"].map(number_column(event, "decimalLongitude"))
    view["own_latitude"] = number_column(read, "position/decimalLatitude")
    view["own_longitude"] = number_column(read, "position/decimalLongitude")
    view = with_shut_traps(view, records)
    view = with_checklist(view, records.reference.checklist)
    view["group"] = animal_group(view, records.reference.checklist)
    view["size_mm"] = measured_size(view)
    began = survey.survey.project_starts
    view["older_seasons"] = began is not None and began < survey.survey.starts
    return view


def with_checklist(view: pd.DataFrame, checklist: pd.DataFrame) -> pd.DataFrame:
    """What the checklist says of each species; missing where it says nothing."""
    known = checklist if "scientificName" in checklist else pd.DataFrame({"scientificName": []})
    listed = known.drop_duplicates("scientificName").set_index("scientificName")
    for column, name in CHECKLIST_NUMBERS.items():
        view[name] = view["scientificName"].map(number_column(listed, column)).astype("float64")
    for column, name in CHECKLIST_TEXTS.items():
        view[name] = mapped(view["scientificName"], text_column(listed, column))
    return view


def measured_size(view: pd.DataFrame) -> pd.Series:
    """The length that the checklist's sizes are about, in mm; an unbroken tail is added where only SVL was taken."""
    measure = view["size_measure"].str.casefold()
    whole = view["total_length"].fillna(view["snout_vent_length"] + view["tail_length"])
    size = pd.Series(float("nan"), index=view.index)
    for words, length in (
        (("svl", "snout-vent length"), view["snout_vent_length"]),
        (("total length", "total"), whole),
        (("scl", "straight carapace length", "carapace length"), view["straight_carapace_length"]),
    ):
        size = size.where(~measure.isin(words), length)
    return size


def with_shut_traps(view: pd.DataFrame, records: Records) -> pd.DataFrame:
    """What the log says of the traps that could not catch in the interval that ended with the check."""
    effort = records.tables["effort"]
    said = effort[["eventID", "excluded"]].assign(line=text_column(effort, "excluded").str.split(" | ", regex=False))
    said = said.explode("line")
    said = said[said["line"].fillna("") != ""]
    said["trap"] = said["line"].str.split(" ", n=1).str[0]
    said["words"] = said["line"].str.split(" ", n=1).str[1].fillna("")
    event = records.tables["event"].set_index("eventID")
    said["tidy_row"] = said["eventID"].map(event["tidy_row"]).where(said["eventID"].map(event["kind"]) == "trap_log")
    closed = states_without_effort(records)
    said = said.merge(closed, on=["tidy_row", "trap"], how="left")
    said["by"] = said["by"].fillna("").mask(said["by"].isna() & (said["words"] == "closed"), "log")
    said = said[said["by"] != ""].drop_duplicates(["eventID", "trap"]).set_index(["eventID", "trap"])
    key = pd.MultiIndex.from_frame(view[["eventID", "trap"]])
    view = view.assign(
        trap_shut=said["words"].reindex(key).fillna("").to_numpy(),
        shut_by=said["by"].reindex(key).fillna("").to_numpy(),
    )
    return view.assign(shut_where=shutting_rows(view, records))


def shutting_rows(view: pd.DataFrame, records: Records) -> pd.Series:
    """The latest row of the log up to each animal's check that says its trap is closed or missing, in words."""
    log = as_read(records, "trap_log")
    closed = states_without_effort(records)[["tidy_row", "trap"]]
    turned = log[(text_column(log, "trap") != "") & (text_column(log, "action") == "closed")]
    by_row = turned["trap"].str.split(" | ", regex=False).explode() if len(turned) else pd.Series(dtype=object)
    closed = pd.concat([closed, pd.DataFrame({"tidy_row": by_row.index.astype(float), "trap": by_row.to_numpy()})])
    told = pd.DataFrame({name: text_column(log, name) for name in ("place", "when/date", "where")})
    shut = closed.astype({"tidy_row": float}).merge(told.assign(tidy_row=log.index.astype(float)), on="tidy_row")
    wanted = view.loc[view["shut_by"] != "", ["place", "trap", "event_date"]]
    wanted["day"] = wanted.pop("event_date").str.split("/").str[-1].str[:10]
    met = wanted.rename_axis("animal").reset_index().merge(shut, on=["place", "trap"])
    met = met[met["when/date"] <= met["day"]].sort_values("when/date", kind="stable")
    return met.drop_duplicates("animal", keep="last").set_index("animal")["where"].reindex(view.index).fillna("")


def states_without_effort(records: Records) -> pd.DataFrame:
    """Traps that a log row names as closed, missing or not checked: tidy_row, trap, by = "check"."""
    log = records.standard.get("trap_log", pd.DataFrame())
    column = text_column(log, "trap_state/states")
    lines = [
        (float(row), label)
        for row, text in column[column != ""].items()
        for state in json.loads(text)
        for label in state["labels"]
        if state["state"] and state["effort"] in ("none", "unknown") and not state.get("time")
    ]
    return pd.DataFrame(lines, columns=["tidy_row", "trap"]).drop_duplicates().assign(by="check")
