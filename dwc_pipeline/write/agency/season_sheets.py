"""The sheets that sum the season up: summary, species, effort, methods, open questions, dictionary."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd

from dwc_pipeline.core.columns import as_text, mapped, number_column, text_column
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.write.agency.captures import KIND_OF_EVENT, NOT_NAMED, POSITION
from dwc_pipeline.write.agency.sheet import KIND_OF_ROW, Column, Sheet
from dwc_pipeline.write.figures.place_map import PlaceMap

FATES = {
    "released": ("Released", "Released, where caught or elsewhere"),
    "left_in_place": ("Left in place", "Seen and not handled"),
    "removed": ("Removed", "Vouchers, salvaged and transferred animals"),
    "died": ("Died", "Died in a trap, in hand, by predation in a trap, or euthanised"),
    "escaped": ("Escaped", "Got away before or after it was measured"),
    "dead_on_road": ("Dead on road", "Found dead on a road survey"),
    "unknown_fate": ("Fate not told", "The field sheet does not say what became of it"),
}
EFFORT_UNITS = ("trap_nights", "trap_hours", "person_hours", "distance_km")
#: the unit without which the effort of an event counts as unknown
UNIT_OF = {"trapCheck": "trap_nights", "roadSurvey": "distance_km", "coverSearch": "person_hours"}
SEVERAL = {"trap check": "Trap checks", "road survey": "Road surveys", "cover search": "Cover searches"}
NOT_SAID = "not stated"


def species_sheet(account: pd.DataFrame, occurrence: pd.DataFrame) -> Sheet:
    """One row a species: how many were caught and what became of them; each row adds up."""
    common = occurrence.drop_duplicates("scientificName").set_index("scientificName")
    made = pd.DataFrame({"scientificName": account["scientificName"]})
    made["vernacularName"] = mapped(made["scientificName"], text_column(common, "vernacularName"))
    for name in ("animals", "new", "recaptures", *FATES, "localities"):
        made[name] = as_text(account[name].astype(float), 2)
    for name in ("first_date", "last_date"):
        made[name] = account[name].astype(str)
    made["scientificName"] = made["scientificName"].where(made["scientificName"] != "", NOT_NAMED)
    columns = (
        Column("scientificName", "Scientific name", "Accepted name in the survey's checklist", "text", 28),
        Column("vernacularName", "Common name", "Common name in the survey's checklist", "text", 26),
        Column(
            "animals", "Captured", "Animals met: the sum of the columns from Released to Fate not told", "number", 10
        ),
        *(Column(name, header, meaning, "number", 10) for name, (header, meaning) in FATES.items()),
        Column("new", "New", "Marked for the first time", "number", 8),
        Column("recaptures", "Recaptures", "Marked before", "number", 10),
        Column("first_date", "First date", "First day of the season on which it was met", "date", 11),
        Column("last_date", "Last date", "Last day of the season on which it was met", "date", 11),
        Column("localities", "Sites", "Number of sites at which it was met", "number", 8),
    )
    return Sheet("Species", "Species and what became of the animals", columns, made)


def effort_sheet(event: pd.DataFrame, effort: pd.DataFrame) -> Sheet:
    """One row a site and kind of event: how often, and with what effort."""
    kinds = event[event["eventType"].isin(["trapCheck", "roadSurvey", "coverSearch"])]
    traps = pd.DataFrame({name: number_column(effort, name) for name in EFFORT_UNITS})
    by_event = text_column(effort, "eventID")
    totals = traps.groupby(by_event).sum(min_count=1).where(~traps.isna().groupby(by_event).any())
    totals = totals.reindex(kinds["eventID"]).set_axis(kinds.index)
    rows = pd.concat([kinds[["place", "eventType", "eventDate"]], totals], axis=1)
    rows["unknown"] = False
    for kind, unit in UNIT_OF.items():
        rows["unknown"] |= (rows["eventType"] == kind) & rows[unit].isna()
    day = rows["eventDate"].where(rows["eventDate"] != "")
    rows["first"], rows["last"] = day.str.slice(0, 10), day.str.split("/").str[-1].str.slice(0, 10)
    grouped = rows.groupby(["eventType", "place"], sort=True)
    made = pd.DataFrame(
        {
            "events": grouped.size().astype(str),
            "first": grouped["first"].min().fillna(""),
            "last": grouped["last"].max().fillna(""),
            "unknown": grouped["unknown"].sum().astype(int).astype(str),
        }
    )
    for name in EFFORT_UNITS:
        made[name] = as_text(grouped[name].sum(min_count=1), 2)
    made = made.reset_index()
    made["eventType"] = made["eventType"].map(KIND_OF_EVENT)
    columns = (
        Column("eventType", "Kind of event", "Trap checks, road surveys or cover searches", "text", 14),
        Column("place", "Site", "Code of the site, array or route", "text", 10),
        Column("events", "Events", "Checks, runs or searches, those without animals among them", "number", 9),
        Column("first", "From", "First day", "date", 11),
        Column("last", "To", "Last day", "date", 11),
        Column("trap_nights", "Effort [trap-nights]", "Closed, missing and disturbed traps taken out", "number", 12),
        Column("trap_hours", "Effort [trap-hours]", "Hours of all traps that could catch", "number", 12),
        Column("person_hours", "Effort [person-hours]", "People times hours, handling taken out", "number", 12),
        Column("distance_km", "Distance [km]", "Distance driven", "number", 11),
        Column("unknown", "Effort unknown", "Events whose effort is not known and not in the sums", "number", 10),
    )
    return Sheet("Effort", "Sampling effort", columns, made, stay=2)


def summary_sheet(survey: SurveyFile, species: Sheet, effort: Sheet, questions: int) -> Sheet:
    """Who, under which permit, where, when, with what effort, and what was found."""
    lines = [*about_lines(survey), *effort_lines(effort.frame), *animal_lines(species.frame)]
    lines.append(("Open questions", f"{questions} not yet answered (see the sheet)" if questions else "none", "text"))
    lines.append(("Positions", "decimal degrees; the datum stands beside each (EPSG:4326 is WGS 84)", "text"))
    frame = pd.DataFrame(lines, columns=["what", "value", KIND_OF_ROW])
    columns = (
        Column("what", "What", "What the line tells, its unit in brackets", "text", 28),
        Column("value", "Value", "The answer", "by row", 90),
    )
    return Sheet("Summary", survey.survey.title, columns, frame)


def about_lines(survey: SurveyFile) -> list[tuple[str, str, str]]:
    """Who, under which permit, where and when: (what, value, kind of the value)."""
    about, share = survey.survey, survey.share.agency
    assert share is not None
    area = ", ".join(part for part in (about.county, about.state, about.country) if part)
    said = [
        ("Report", about.title), ("Version", survey.dataset.version), ("Agency", share.agency),
        ("Permit number", share.permit), ("Permit holder", share.holder), ("Area", area),
    ]  # fmt: skip
    lines = [(what, value or NOT_SAID, "text") for what, value in said]
    lines += [("From", about.starts.isoformat(), "date"), ("To", about.ends.isoformat(), "date")]
    people = [("Observer" if "observer" in person.roles else "Person", person) for person in survey.people]
    return [*lines, *((what, f"{person.name} ({', '.join(person.roles)})", "text") for what, person in people)]


def effort_lines(table: pd.DataFrame) -> list[tuple[str, str, str]]:
    """How often and with what effort, as the effort sheet has it."""
    lines = []
    for kind in table["eventType"].unique():
        own = table[table["eventType"] == kind]
        lines.append((SEVERAL.get(kind, kind), f"{number_column(own, 'events').sum():.0f}", "number"))
    for name, label in zip(EFFORT_UNITS, ("trap-nights", "trap-hours", "person-hours", "km"), strict=True):
        total = number_column(table, name).sum(min_count=1)
        lines += [(f"Effort [{label}]", f"{total:.2f}", "number")] if pd.notna(total) else []
    unknown = number_column(table, "unknown").sum()
    return [*lines, ("Events of unknown effort, not in the sums", f"{unknown:.0f}", "number")] if unknown else lines


def animal_lines(species: pd.DataFrame) -> list[tuple[str, str, str]]:
    """How many taxa and animals, and what became of them, as the species sheet has it."""
    named = species[species["scientificName"] != NOT_NAMED]
    counts = [("Taxa", float(len(named))), ("Animals captured", number_column(species, "animals").sum())]
    counts += [(f"  {header}", number_column(species, name).sum()) for name, (header, _) in FATES.items()]
    return [(what, f"{count:.0f}", "number") for what, count in counts]


def site_sheets(place: pd.DataFrame, drawn: PlaceMap | None) -> list[Sheet]:
    """Every site with its exact position; and the map, if any site has one."""
    columns = (
        Column("place", "Site", "Code of the site or array", "text", 14),
        Column("name", "Name", "Name of the site", "text", 24),
        Column("kind", "Kind", "Array, route, search site or other place", "text", 14),
        Column("county", "County", "County"),
        Column("decimalLatitude", "Latitude [degrees]", f"{POSITION}; north is positive", "number", 12),
        Column("decimalLongitude", "Longitude [degrees]", f"{POSITION}; east is positive", "number", 12),
        Column("geodeticDatum", "Datum", "Reference system of the position: EPSG:4326 is WGS 84"),
        Column("coordinateUncertaintyInMeters", "Uncertainty [m]", "Radius that holds the true place", "number", 11),
        Column("habitat", "Habitat", "Habitat", "text", 30),
        Column("locationRemarks", "Remarks", "Remarks of the site list", "text", 30),
    )
    frame = pd.DataFrame({one.name: text_column(place, one.name).astype(str) for one in columns})
    sites = Sheet("Sites", "Sites, and where they lie", columns, frame.reset_index(drop=True))
    if drawn is None:
        return [sites]
    far = f" (too far away to draw: {', '.join(drawn.far)}; is the position right?)" if drawn.far else ""
    return [sites, Sheet("Map", f"Map of the sites, north up{far}", (), pd.DataFrame(), map=drawn)]


def methods_sheet(survey: SurveyFile, metadata: DatasetMetadata) -> Sheet:
    """What was done and how effort is counted, in words."""
    protocol, share = survey.protocol, survey.share.agency
    assert share is not None
    lines = [("Step", step) for step in metadata.method_steps]
    lines += [
        ("Trapping", protocol.name), ("Roads", protocol.road_name), ("Searches", protocol.search_name),
        ("A trap-night is", protocol.trap_night), ("A trap found out of order counts", protocol.out_of_order),
        ("Effort", metadata.sampling_description), ("Quality control", metadata.quality_control),
        ("Deviations from the permit", share.deviations or "none stated"),
    ]  # fmt: skip
    frame = pd.DataFrame([line for line in lines if line[1]], columns=["what", "value"])
    columns = (
        Column("what", "What", "Part of the method", "text", 28),
        Column("value", "In words", "How it was done", "text", 100),
    )
    return Sheet("Methods", "Methods", columns, frame)


def question_sheet(questions: pd.DataFrame) -> Sheet:
    """What the field sheets leave open, so that a reviewer knows what may still change."""
    columns = (
        Column("what", "Question", "What is not clear on the field sheets", "text", 70),
        Column("value", "As written", "What the sheet says", "text", 24),
        Column("suggestions", "Suggestions", "What it may mean", "text", 30),
        Column("where", "Where", "File, sheet and cell", "text", 40),
    )
    frame = pd.DataFrame({one.name: text_column(questions, one.name).astype(str) for one in columns})
    return Sheet("Open questions", "Questions that are not yet answered", columns, frame.reset_index(drop=True))


def dictionary_sheet(sheets: Sequence[Sheet], headers: Mapping[str, str]) -> Sheet:
    """What every column of every sheet means."""
    lines = [(sheet.name, column.header, column.meaning) for sheet in sheets for column in sheet.columns]
    columns = (
        Column("sheet", headers.get("Sheet", "Sheet"), "Name of the sheet", "text", 24),
        Column("column", headers.get("Column", "Column"), "Header of the column, its unit in brackets", "text", 28),
        Column("meaning", headers.get("Meaning", "Meaning"), "What it holds", "text", 80),
    )
    return Sheet(
        "Data dictionary",
        "What the columns mean",
        columns,
        pd.DataFrame(lines, columns=["sheet", "column", "meaning"]),
    )
