"""The tables of a season with sensitive animals on twin events, and the exact events without a trace of them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.core.local_time import calendar_parts
from dwc_pipeline.protect.grid import WITHHELD, rank_of
from dwc_pipeline.protect.twins import TWIN_TYPE, Twins

TWIN_WORDS = "It stands for one animal taken from the event of its capture, which is not named. "
NOT_LISTED = (
    "Animals of protected taxa are not listed with this event; those that may be shown stand on events of their own."
)
AREA_COLUMNS = ("country", "countryCode", "stateProvince")
SHOWN_AS = "twin"


def moved_tables(tables: Mapping[str, pd.DataFrame], twins: Twins) -> dict[str, pd.DataFrame]:
    """The exact tables with the animals on twin events; events made for them alone and animals left out are gone.

    The new events are not in the table of events: what they say is in `twin_events`.
    """
    event, occurrence, measured = tables["event"], tables["occurrence"], tables["measurement"]
    twin = twin_names(occurrence, twins)
    kept = occurrence[~twins.left_out]
    moved = kept.assign(recordedBy=text_column(kept, "recordedBy"))
    moved.loc[twin.index, "eventID"] = twin
    moved.loc[twin.index, "recordedBy"] = ""
    of_animal = moved.set_index("occurrenceID")["eventID"]
    on_animal = measured["occurrenceID"] != ""
    measured = measured[~on_animal | measured["occurrenceID"].isin(of_animal.index)]
    new = mapped(measured["occurrenceID"], of_animal)
    gone = set(event.loc[twins.emptied, "eventID"])
    return {
        **tables,
        "event": event[~twins.emptied],
        "occurrence": moved,
        "measurement": measured.assign(eventID=new.where(new != "", measured["eventID"])),
        "humboldt": tables["humboldt"][~tables["humboldt"]["eventID"].isin(gone)],
    }


def twin_names(occurrence: pd.DataFrame, twins: Twins) -> pd.Series:
    """Our name for the twin event of each animal that moves."""
    return (SHOWN_AS + "\x1f" + occurrence.loc[twins.animals.index, "occurrenceID"]).astype(object)


def twin_events(
    event: pd.DataFrame, occurrence: pd.DataFrame, twins: Twins, names: pd.Series, told: str, because: str
) -> pd.DataFrame:
    """The public lines of the twin events. names: public eventID by our name for them."""
    animals = twins.animals
    source = event.loc[animals["event"]].set_index(animals.index)
    made = pd.DataFrame({name: text_column(source, name) for name in AREA_COLUMNS}, index=animals.index)
    made["eventID"] = names.to_numpy()
    made["parentEventID"] = ""
    made["eventCategory"], made["eventType"] = "Event", TWIN_TYPE
    made["eventDate"] = animals["eventDate"]
    made = made.join(calendar_parts(made["eventDate"]))
    made["decimalLatitude"], made["decimalLongitude"] = animals["latitude"], animals["longitude"]
    made["coordinateUncertaintyInMeters"] = animals["uncertainty"]
    gridded = animals["latitude"] != ""
    made["coordinatePrecision"] = animals["level"].where(gridded, "")
    made["geodeticDatum"] = np.where(gridded, text_column(source, "geodeticDatum"), "")
    words = {one: f"Coordinates rounded to {one} degree because {because}. " for one in animals["level"].unique()}
    words[WITHHELD] = f"Coordinates not given because {because}. "
    dated = animals["step"].map(lambda one: f"Dates given to the {one}.")
    made["dataGeneralizations"] = (TWIN_WORDS + animals["level"].map(words) + dated).astype(object)
    made["informationWithheld"] = told
    return made


def without_trace(
    humboldt: pd.DataFrame, level: pd.Series, taxa: Mapping[str, str], occurrence: pd.DataFrame
) -> pd.DataFrame:
    """Humboldt rows in which nothing depends on an animal that may have moved.

    level: by eventID. occurrence: the animals that stayed. The protected taxa are named as
    outside the scope of every event that is shown finer than they ask for, whether one was caught there or not.
    """
    rank = humboldt["eventID"].map(level.map(rank_of)).fillna(0).astype(int)
    asked = sorted({rank_of(one) for one in taxa.values()})
    lists = {
        own: " | ".join(sorted(name for name, one in taxa.items() if rank_of(one) > own))
        for own in range(max(asked, default=0))
    }
    out = mapped(rank, lists)
    touched = out != ""
    scoped = touched & (text_column(humboldt, "targetTaxonomicScope") != "")
    left = text_column(humboldt, "excludedTaxonomicScope")
    made = humboldt.assign(excludedTaxonomicScope=left.where(~scoped, out))
    by_event = occurrence.groupby("eventID")["scientificName"].agg(set)
    told = [
        " | ".join(name for name in text.split(" | ") if name and name in by_event.get(event, set()))
        for text, event in zip(text_column(made, "nonTargetTaxa"), made["eventID"], strict=True)
    ]
    stays = pd.Series(told, index=made.index, dtype=object)
    made["nonTargetTaxa"] = text_column(made, "nonTargetTaxa").where(~touched, stays)
    has = made["nonTargetTaxa"] != ""
    for name, if_some in (("hasNonTargetTaxa", "true"), ("areNonTargetTaxaFullyReported", "false")):
        made[name] = text_column(made, name).where(~touched, np.where(has, if_some, ""))
    for name in ("absentTaxa", "samplingPerformedBy"):
        made[name] = text_column(made, name).where(~touched, "")
    return made
