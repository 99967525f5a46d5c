"""One row an animal: what it was, where exactly, when, how large, how marked, and what became of it."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.write.agency.sheet import Column, Sheet

POSITION = "Position, decimal degrees of the datum named"
CAPTURE_COLUMNS = (
    Column("date", "Date", "Day on which the animal was found", "date", 11),
    Column("time", "Time", "Local time of the check or find", "time", 8),
    Column("place", "Site", "Code of the site or array", "text", 12),
    Column("scientificName", "Scientific name", "Accepted name in the survey's checklist", "text", 26),
    Column("event_type", "Kind of event", "Trap check, road survey, cover search or find by chance", "text", 13),
    Column("locality", "Locality", "Name of the place"),
    Column("county", "County", "County"),
    Column("vernacularName", "Common name", "Common name in the survey's checklist", "text", 24),
    Column("qualifier", "Doubt about the name", "cf., ? or sp. as written by the observer"),
    Column("individualCount", "Number", "Animals of this row", "number", 8),
    Column("sex", "Sex", "Sex"),
    Column("lifeStage", "Life stage", "Life stage"),
    Column("fate", "Fate", "What became of the animal, as written by the observer", "text", 20),
    Column("vitality", "Alive or dead", "State in which it was found"),
    Column("mark code", "Mark", "Code of the mark or tag", "text", 18),
    Column("mark type", "Kind of mark", "Clip, tag or other mark"),
    Column("capture status", "New or recapture", "Whether it had been marked before"),
    Column("snout-vent length", "SVL [mm]", "Snout-vent length", "number", 9),
    Column("tail length", "Tail [mm]", "Length of the tail", "number", 9),
    Column("total length", "Total length [mm]", "Snout to tip of the tail", "number", 9),
    Column("straight carapace length", "Carapace [mm]", "Straight length of the carapace", "number", 9),
    Column("body mass", "Mass [g]", "Body mass", "number", 9),
    Column("trap type", "Trap type", "Kind of trap"),
    Column("trap number", "Trap", "Label of the trap"),
    Column("decimalLatitude", "Latitude [degrees]", f"{POSITION}; north is positive", "number", 12),
    Column("decimalLongitude", "Longitude [degrees]", f"{POSITION}; east is positive", "number", 12),
    Column("geodeticDatum", "Datum", "Reference system of the position: EPSG:4326 is WGS 84"),
    Column("coordinateUncertaintyInMeters", "Uncertainty [m]", "Radius that holds the true place", "number", 11),
    Column("catalogNumber", "Catalogue number", "Number of the voucher"),
    Column("recordedBy", "Observers", "Who recorded it", "text", 20),
    Column("recordNumber", "Record number", "Number on the field sheet"),
    Column("occurrenceRemarks", "Remarks", "Remarks of the field sheet", "text", 40),
    Column("occurrenceID", "Identifier", "Identifier of the record, the same in the archive", "text", 30),
    Column("organismID", "Animal", "Identifier of a marked animal, the same at every capture", "text", 30),
)
MEASURED = (
    "mark code", "mark type", "capture status", "fate", "trap type", "trap number", "snout-vent length",
    "tail length", "total length", "straight carapace length", "body mass",
)  # fmt: skip
EVENT_TERMS = (
    "place", "locality", "county", "decimalLatitude", "decimalLongitude", "geodeticDatum",
    "coordinateUncertaintyInMeters",
)  # fmt: skip
KIND_OF_EVENT = {
    "trapCheck": "trap check", "trapSession": "trap session", "roadSurvey": "road survey",
    "coverSearch": "cover search", "incidental": "by chance",
}  # fmt: skip
#: date, time, site and name say which animal a row is about
IDENTIFYING = 4
NOT_NAMED = "(not named)"
#: fates after which nothing more is to be reported of an animal
ORDINARY = ("", "released at capture", "left in place")


def capture_rows(event: pd.DataFrame, occurrence: pd.DataFrame, measurement: pd.DataFrame) -> pd.DataFrame:
    """One row an occurrence, with the columns that CAPTURE_COLUMNS name, in the order of time and place. All text."""
    made = occurrence.copy()
    at = event.drop_duplicates("eventID").set_index("eventID")
    for term in EVENT_TERMS:
        made[term] = mapped(made["eventID"], text_column(at, term))
    made["event_type"] = mapped(mapped(made["eventID"], at["eventType"]), KIND_OF_EVENT)
    when = mapped(made["eventID"], at["eventDate"])
    session = made["event_type"].isin(["trap session", ""])
    # A check finds what came since the check before: its day is the day of the visit.
    ends = when.str.split("/").str[-1].where(made["event_type"] == "trap check", when.str.split("/").str[0])
    measured = mapped(made["occurrenceID"], determined_on(measurement))
    made["date"] = ends.str.slice(0, 10).where(~session, measured)
    made["time"] = ends.str.slice(11, 16).where(~session, "")
    made["qualifier"] = text_column(made, "identificationQualifier")
    facts = measurement[measurement["measurementType"].isin(MEASURED) & (measurement["occurrenceID"] != "")]
    facts = facts.drop_duplicates(["occurrenceID", "measurementType"])
    wide = facts.pivot(index="occurrenceID", columns="measurementType", values="measurementValue")
    for name in MEASURED:
        made[name] = mapped(made["occurrenceID"], wide[name].dropna()) if name in wide else ""
    for column in CAPTURE_COLUMNS:
        made[column.name] = text_column(made, column.name)
    made["undated"] = made["date"] == ""  # those without a date come last
    return made.sort_values(["undated", "date", "place", "time", "occurrenceID"], kind="stable").reset_index(
        drop=True
    )


def determined_on(measurement: pd.DataFrame) -> pd.Series:
    """The day on which an animal was measured, by occurrenceID."""
    known = measurement[text_column(measurement, "measurementDeterminedDate") != ""]
    known = known.drop_duplicates("occurrenceID")
    return pd.Series(text_column(known, "measurementDeterminedDate").to_numpy(), index=known["occurrenceID"])


def capture_sheet(rows: pd.DataFrame) -> Sheet:
    """Every animal, with every column."""
    return Sheet("Captures", "Every animal, with its exact place", CAPTURE_COLUMNS, rows, stay=IDENTIFYING)


def unusual_sheet(rows: pd.DataFrame) -> Sheet:
    """Animals that died, were taken, moved or got away, and those found dead."""
    hit = (rows["vitality"] == "dead") | ~rows["fate"].isin(ORDINARY)
    names = (
        "date", "time", "place", "scientificName", "individualCount", "fate", "vitality", "trap type", "trap number",
        "decimalLatitude", "decimalLongitude", "geodeticDatum", "recordedBy", "occurrenceRemarks", "occurrenceID",
    )  # fmt: skip
    columns = [one for one in CAPTURE_COLUMNS if one.name in names]
    return Sheet(
        "Mortalities and unusual",
        "Animals that died, were taken, moved or got away",
        columns,
        rows[hit],
        stay=IDENTIFYING,
    )


def mark_sheet(rows: pd.DataFrame) -> Sheet:
    """One row a marked animal, with its captures."""
    marked = rows[(rows["organismID"] != "") | (rows["mark code"] != "")]
    animal = marked["organismID"].where(marked["organismID"] != "", marked["occurrenceID"])
    grouped = marked.groupby(animal, sort=True)
    made = pd.DataFrame(
        {
            "scientificName": grouped["scientificName"].first().replace("", NOT_NAMED),
            "mark code": grouped["mark code"].first(),
            "mark type": grouped["mark type"].first(),
            "captures": grouped.size().astype(str),
            "first": grouped["date"].min(),
            "last": grouped["date"].max(),
            "places": grouped["place"].agg(lambda codes: ", ".join(sorted({code for code in codes if code}))),
        }
    ).rename_axis("organism")
    columns = (
        Column("scientificName", "Scientific name", "Accepted name", "text", 26),
        Column("mark code", "Mark", "Code of the mark or tag, as first written", "text", 20),
        Column("mark type", "Kind of mark", "Clip, tag or other mark"),
        Column("captures", "Captures", "How often the animal was caught this season", "number", 9),
        Column("first", "First date", "Day of its first capture this season", "date", 11),
        Column("last", "Last date", "Day of its last capture this season", "date", 11),
        Column("places", "Sites", "Where it was caught", "text", 20),
        Column("organism", "Animal", "Identifier of the animal", "text", 34),
    )
    made = made.reset_index().sort_values(["scientificName", "organism"]).reset_index(drop=True)
    return Sheet("Marks", "Marked animals", columns, made, stay=2)
