"""The animals of the season in one frame, as the summaries count them: each row with its event, trap and fate."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.places import trap_type_of
from dwc_pipeline.core.columns import mapped, number_column

IN_TRAPS = ("trapCheck", "trapSession")
RECAPTURE = "recapture"
#: What follows genus and species does not make another species.
SPECIES_RANKS = ("species", "subspecies", "variety", "form")


def season_animals(event: pd.DataFrame, occurrence: pd.DataFrame, measurement: pd.DataFrame) -> pd.DataFrame:
    """One row an occurrence, a fresh index.

    Columns: occurrenceID, eventID, eventType, place, habitat, session (eventID of the array session; "" outside one),
    scientificName, species (genus and species; "" where the name does not go so deep or is qualified), order,
    in_scope, date, vitality, remarks, count [animals; missing where it is written in words], first (count less
    recaptures), status (capture status), fate, trap_type.
    """
    at = event.set_index("eventID")
    made = pd.DataFrame({"occurrenceID": occurrence["occurrenceID"].to_numpy()})
    made["eventID"] = occurrence["eventID"].astype(object).fillna("").to_numpy()
    for term in ("eventType", "place", "habitat"):
        made[term] = mapped(made["eventID"], at[term])
    made["session"] = mapped(made["eventID"], sessions_of(event))
    for term in ("scientificName", "order", "in_scope", "date", "vitality"):
        made[term] = occurrence[term].astype(object).fillna("").to_numpy()
    made["remarks"] = occurrence["occurrenceRemarks"].to_numpy()
    made["species"] = species_names(occurrence).to_numpy()
    made["count"] = number_column(occurrence, "individualCount").to_numpy()
    for name, kind in (("status", "capture status"), ("fate", "fate")):
        made[name] = mapped(made["occurrenceID"], fact(measurement, kind))
    made["first"] = made["count"].where(made["status"] != RECAPTURE, 0.0)
    made["trap_type"] = trap_types(made["occurrenceID"], measurement)
    return made


def sessions_of(event: pd.DataFrame) -> pd.Series:
    """eventID of the array session that each event belongs to, by eventID; events outside one are left out."""
    sessions = event.loc[event["eventType"] == "trapSession", "eventID"]
    inside = event[event["parentEventID"].isin(sessions)]
    own = pd.Series(sessions.to_numpy(), index=sessions.to_numpy(), dtype=object)
    return pd.concat([own, pd.Series(inside["parentEventID"].to_numpy(), index=inside["eventID"], dtype=object)])


def species_names(occurrence: pd.DataFrame) -> pd.Series:
    """Genus and species of each occurrence; "" for higher taxa and for names with a qualifier such as cf."""
    name = occurrence["genus"].astype(object) + " " + occurrence["specificEpithet"]
    named = occurrence["taxonRank"].isin(SPECIES_RANKS) & (occurrence["specificEpithet"] != "")
    return name.where(named & (occurrence["identificationQualifier"] == ""), "")


def fact(measurement: pd.DataFrame, kind: str) -> pd.Series:
    """Values of one measurementType of animals, by occurrenceID."""
    rows = measurement[(measurement["measurementType"] == kind) & (measurement["occurrenceID"] != "")]
    rows = rows.drop_duplicates("occurrenceID")
    return pd.Series(rows["measurementValue"].to_numpy(), index=rows["occurrenceID"], dtype=object)


def trap_types(occurrences: pd.Series, measurement: pd.DataFrame) -> pd.Series:
    """The trap type of each animal, as written or by the label of its trap; "" if neither says it."""
    written = mapped(occurrences, fact(measurement, "trap type"))
    label = mapped(occurrences, fact(measurement, "trap number"))
    by_label = mapped(label, {one: trap_type_of(one) for one in label.unique() if one and " | " not in one})
    return written.where(written != "", by_label)
