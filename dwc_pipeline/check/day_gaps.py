"""What a day's sheets do not say: arrays open and not checked, traps not closed, animals not measured."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from dwc_pipeline.check.animal_groups import animal_group
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile

NEVER_CLOSED = "session-never-closed"
#: field -> what a person calls it, and the groups of animals of which it is not taken
WANTED = {
    "body_mass": ("body mass", ()),
    "snout_vent_length": ("snout-vent length", ("turtle",)),
    "trap": ("trap", ()),
}
HANDLED = ("trapCheck", "trapSession", "coverSearch")
Gap = dict[str, object]


def gaps_of(records: Records, survey: SurveyFile, day: str) -> list[Gap]:
    """The gaps of one day (ISO), each with what is missing, file, sheet, row and column ("" for none)."""
    return [*_arrays(records, survey, day), *_effort(records, day), *_animals(records, day)]


def _arrays(records: Records, survey: SurveyFile, day: str) -> Iterator[Gap]:
    """Arrays open on the day without a check, and sessions that nobody has closed."""
    event = records.tables["event"]
    checks = event[event["eventType"] == "trapCheck"]
    checked = set(checks.loc[_end(checks) == day, "place"])
    sessions = event[event["eventType"] == "trapSession"]
    found = records.findings[records.findings["rule"] == NEVER_CLOSED]
    never = set(zip(found["kind"], found["tidy_row"], strict=True))
    newest = sessions.assign(start=_start(sessions)).groupby("place")["start"].transform("max") == _start(sessions)
    for row, start, end, is_newest in zip(
        sessions.to_dict("records"), _start(sessions), _end(sessions), newest, strict=True
    ):
        place, is_open = row["place"], (row["kind"], row["tidy_row"]) in never
        if not start or start > day:
            continue
        stood_open = end >= day or (is_open and is_newest)
        is_missed = start < day and stood_open and place not in checked and survey.protocol.checked_daily
        if not is_missed and not (is_open and end <= day):
            continue
        where = _address(records, str(row["kind"]), int(row["tidy_row"]), "eventDate")
        if is_missed:
            yield {"what": f"{place} stood open on {day} and the log has no check of it", **where}
        if is_open and end <= day:
            last = f"last visited on {end}" if end > start else "not visited since"
            ask = "are its traps closed, or still open and to be checked?" if is_newest else "when was it closed?"
            yield {"what": f"{place}, opened on {start}, is not closed in the log ({last}): {ask}", **where}


def _effort(records: Records, day: str) -> Iterator[Gap]:
    """Events of the day whose effort cannot be told, each with the reasons."""
    event = records.tables["event"].drop_duplicates("eventID").set_index("eventID")
    effort = records.tables["effort"]
    unknown = effort[(text_column(effort, "unknown") != "") & effort["eventID"].isin(event.index)]
    own = event.loc[unknown["eventID"]]
    of_day = unknown[(_end(own) == day).to_numpy()]
    for identifier, block in of_day.groupby("eventID", sort=False):
        row = event.loc[str(identifier)]
        why = "; ".join(dict.fromkeys(block["unknown"]))
        what = f"the effort at {row['place'] or 'an event'} on {day} cannot be told: {why}"
        yield {"what": what, **_address(records, str(row["kind"]), int(row["tidy_row"]), "eventDate")}


def _animals(records: Records, day: str) -> Iterator[Gap]:
    """Animals of the day that were in hand and lack what the sheet has a column for."""
    occurrence = records.tables["occurrence"]
    if "capture" not in records.tidy or occurrence.empty:
        return
    event = records.tables["event"].drop_duplicates("eventID").set_index("eventID")["eventType"]
    read = records.standard["capture"].reindex(occurrence.index)
    in_hand = (occurrence["date"] == day) & occurrence["eventID"].map(event).isin(HANDLED)
    in_hand &= (occurrence["in_scope"] == "true") & occurrence["individualCount"].isin(["", "1"])
    in_hand &= ~text_column(read, "fate").str.contains("escaped", na=False)
    view = occurrence[in_hand]
    if view.empty:
        return
    group = animal_group(view, records.reference.checklist)
    tidy = records.tidy["capture"]
    source = tidy.origin["source"].reindex(view.index)
    for field, (name, not_of) in WANTED.items():
        has_column = source.map(lambda one, field=field: (int(one), field) in tidy.columns)
        blank = (tidy.verbatim(field).reindex(view.index) == "") & (
            text_column(read, field).reindex(view.index) == ""
        )
        for row in view.index[has_column & blank & ~group.isin(not_of)]:
            animal = view.loc[row]
            called = animal["scientificName"] or animal["verbatimIdentification"]
            at = read.at[row, "place"] if "place" in read else ""
            trap = f", trap {read.at[row, 'trap']}" if "trap" in read and read.at[row, "trap"] else ""
            yield {
                "what": f"no {name} of the {called} at {at}{trap}",
                **_address(records, "capture", int(row), field),
            }


def _address(records: Records, kind: str, row: int, field: str) -> Gap:
    if kind not in records.tidy:
        return {"file": "", "sheet": "", "row": 0, "column": ""}
    found = records.located(pd.DataFrame([{"kind": kind, "tidy_row": row, "field": field}])).iloc[0]
    return {name: found[name] for name in ("file", "sheet", "column")} | {"row": int(found["row"])}


def _start(event: pd.DataFrame) -> pd.Series:
    return event["eventDate"].fillna("").str.split("/").str[0].str.slice(0, 10)


def _end(event: pd.DataFrame) -> pd.Series:
    return event["eventDate"].fillna("").str.split("/").str[-1].str.slice(0, 10)
