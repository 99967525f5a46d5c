"""The tables of a public copy: only columns that cannot name a place, with new identifiers and a new order.

Columns are let through by name. What a person typed freely never passes: remarks, habitat, site names, field
numbers, marks, verbatim values. So a new column of the tables stays at home until somebody adds it here.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import as_text, mapped, number_column, text_column, where_true
from dwc_pipeline.core.local_time import calendar_parts
from dwc_pipeline.protect.dates import coarse_dates
from dwc_pipeline.protect.grid import AS_HELD, WITHHELD, generalised_positions, rank_of
from dwc_pipeline.protect.identifiers import Names
from dwc_pipeline.sharing_settings import PublicShare

EVENT_COLUMNS = (
    "eventCategory", "eventType", "samplingProtocol", "country", "countryCode", "stateProvince", "county",
    "geodeticDatum",
)  # fmt: skip
OCCURRENCE_COLUMNS = (
    "basisOfRecord", "detected", "individualCount", "organismQuantity", "organismQuantityType", "sex", "lifeStage",
    "vitality", "establishmentMeans", "degreeOfEstablishment", "identificationQualifier",
    "identificationVerificationStatus", "scientificName", "scientificNameAuthorship", "acceptedNameUsage", "kingdom",
    "phylum", "class", "order", "family", "genus", "specificEpithet", "infraspecificEpithet", "taxonRank",
    "vernacularName", "taxonomicStatus",
)  # fmt: skip
HUMBOLDT_COLUMNS = (
    "targetTaxonomicScope", "excludedTaxonomicScope", "taxonCompletenessReported",
    "taxonCompletenessProtocols", "isTaxonomicScopeFullyReported",
    "isAbsenceReported", "absentTaxa", "hasNonTargetTaxa", "nonTargetTaxa", "areNonTargetTaxaFullyReported",
    "inventoryTypes", "protocolNames", "isAbundanceReported", "isAbundanceCapReported",
    "isVegetationCoverReported", "isLeastSpecificTargetCategoryQuantityInclusive", "isSamplingEffortReported",
    "samplingEffortProtocol", "samplingEffortUnit",
)  # fmt: skip
#: sizes and masses of animals; anything else that is measured (a distance to water, the weather) may tell a place.
MEASUREMENT_TYPES = (
    "snout-vent length", "tail length", "total length", "body mass", "straight carapace length",
    "curved carapace length", "plastron length",
)  # fmt: skip
MEASUREMENT_COLUMNS = ("measurementType", "measurementValue", "measurementAccuracy", "measurementUnit")
#: from this grid on the county is left out: with it, a cell that lies across a border would be narrowed.
COUNTY_LIMIT = "0.1"


def public_events(
    event: pd.DataFrame,
    effort: pd.DataFrame,
    level: pd.Series,
    step: pd.Series,
    names: Names,
    told: str,
    because: str,
) -> pd.DataFrame:
    """The events, each with the place and date that it may show.

    level, step: per event. told: informationWithheld. because: the reason, after the word `because`.
    """
    made = pd.DataFrame({name: text_column(event, name) for name in EVENT_COLUMNS}, index=event.index)
    made["eventID"], made["parentEventID"] = (
        names.of_events(event["eventID"]),
        names.of_events(event["parentEventID"]),
    )
    made["eventDate"] = coarse_dates(event["eventDate"], step)
    made = made.join(calendar_parts(made["eventDate"]))
    position = generalised_positions(event, level)
    made[list(position)] = position
    placed = position["decimalLatitude"] != ""
    made["geodeticDatum"] = made["geodeticDatum"].where(placed, "")
    rank = level.map(rank_of)
    of_a_place = (text_column(event, "place") != "") | (event["decimalLatitude"] != "")
    made["county"] = made["county"].where((rank < rank_of(COUNTY_LIMIT)) & of_a_place, "")
    made["dataGeneralizations"] = generalisations(level, step, event["decimalLatitude"] != "", because)
    made["informationWithheld"] = told
    made["samplingEffort"] = effort_in_words(event, effort)
    return made.sort_values(["eventDate", "eventID"])


def generalisations(level: pd.Series, step: pd.Series, had_position: pd.Series, because: str) -> pd.Series:
    """What was done to each event, in words."""
    words = {AS_HELD: "", WITHHELD: f"Coordinates not given because {because}. "}
    grids = {one: f"Coordinates rounded to {one} degree because {because}. " for one in level.unique()}
    of_place = level.map(grids | words).where(had_position, "")
    return (of_place + step.map(lambda one: f"Dates given to the {one}.")).astype(object)


def effort_in_words(event: pd.DataFrame, effort: pd.DataFrame) -> pd.Series:
    """samplingEffort from the numbers alone: the words of the log may name a trap or a place."""
    columns = ["trap_nights", "person_hours", "distance_km"]
    sums = pd.DataFrame({name: number_column(effort, name) for name in columns}).groupby(effort["eventID"])
    total = sums.sum(skipna=False).reindex(event["eventID"]).set_axis(event.index)
    words = pd.Series("", index=event.index, dtype=object)
    for name, digits, unit in (
        ("trap_nights", 1, "trap-nights"),
        ("person_hours", 0, "person-hours"),
        ("distance_km", 0, "km"),
    ):
        text = as_text(total[name], digits)
        both = where_true((words != "") & (text != ""), "; ")
        words = words + both + text + where_true(text != "", " " + unit)
    counted = event["eventType"].isin(["trapCheck", "roadSurvey", "coverSearch"])
    return words.where((words != "") | ~counted, "effort not known")


def public_occurrences(
    occurrence: pd.DataFrame, events: pd.DataFrame, names: Names, share: PublicShare, told: str
) -> pd.DataFrame:
    """The animals on their new events, in an order that says nothing of the sheets."""
    made = pd.DataFrame({name: text_column(occurrence, name) for name in OCCURRENCE_COLUMNS}, index=occurrence.index)
    made["occurrenceID"] = names.of_animals(occurrence["occurrenceID"], occurrence["eventID"], "occurrence")
    made["eventID"] = names.of_events(occurrence["eventID"])
    made["recordedBy"] = named_only(text_column(occurrence, "recordedBy"), share.named)
    done = events.set_index("eventID")["dataGeneralizations"]
    made["dataGeneralizations"] = mapped(made["eventID"], done)
    made["informationWithheld"] = told
    return in_order_of(made, events, "occurrenceID")


def public_measurements(
    measurement: pd.DataFrame, events: pd.DataFrame, names: Names, share: PublicShare
) -> pd.DataFrame:
    """Sizes and masses of the animals; nothing else that was measured."""
    kept = measurement[
        measurement["measurementType"].isin(MEASUREMENT_TYPES)
        & (measurement["occurrenceID"] != "")
        & share.measurements
    ]
    made = pd.DataFrame({name: text_column(kept, name) for name in MEASUREMENT_COLUMNS}, index=kept.index)
    made["eventID"] = names.of_events(kept["eventID"])
    for column, kind in (("measurementID", "measurement"), ("occurrenceID", "occurrence")):
        made[column] = names.of_animals(kept[column], kept["eventID"], kind)
    return in_order_of(made, events, "measurementID")


def public_humboldt(humboldt: pd.DataFrame, events: pd.DataFrame, names: Names, share: PublicShare) -> pd.DataFrame:
    """Scope and effort; hours are whole, since minutes would tie an event to other copies."""
    made = pd.DataFrame({name: text_column(humboldt, name) for name in HUMBOLDT_COLUMNS}, index=humboldt.index)
    made["eventID"] = names.of_events(humboldt["eventID"])
    made["samplingEffortValue"] = as_text(number_column(humboldt, "samplingEffortValue"), 0)
    made["samplingPerformedBy"] = named_only(text_column(humboldt, "samplingPerformedBy"), share.named)
    return in_order_of(made, events, "eventID")


def in_order_of(rows: pd.DataFrame, events: pd.DataFrame, identifier: str) -> pd.DataFrame:
    """Rows in the order of their events, then of their own keyed identifiers."""
    position = pd.Series(range(len(events)), index=events["eventID"].to_numpy())
    return rows.assign(at=rows["eventID"].map(position)).sort_values(["at", identifier]).drop(columns="at")


def named_only(names: pd.Series, allowed: tuple[str, ...]) -> pd.Series:
    """Of each list of people those who may be named."""
    words = {
        text: " | ".join(name for name in (part.strip() for part in text.split("|")) if name in allowed)
        for text in names.unique()
    }
    return names.map(words).astype(object)
