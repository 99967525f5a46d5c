"""Humboldt Extension rows: what each inventory looked for, how, and how much.

Scope terms are filled from the survey file for sessions, checks, runs and searches, never inferred from the
animals; finds by chance have no scope. Numbers stand on the event that had the effort and are never summed upward
(Properties of hierarchical events in the Humboldt Extension, 3.2.3 and 3.2.4).
"""

from __future__ import annotations

import json

import numpy as np
import pandas as pd

from dwc_pipeline.assemble.effort_table import AS_TYPED
from dwc_pipeline.core.columns import as_text, mapped, text_column
from dwc_pipeline.settings import SurveyFile

WEATHER_FIELDS = {
    "air_temperature": "air temperature (°C)",
    "minimum_air_temperature": "minimum air temperature (°C)",
    "maximum_air_temperature": "maximum air temperature (°C)",
    "rain": "rain (mm)",
    "wind": "wind speed (m/s)",
    "humidity": "relative humidity (%)",
    "sky": "sky",
}
INVENTORY = {
    "trapCheck": "restrictedSearch",
    "trapSession": "restrictedSearch",
    "roadSurvey": "restrictedSearch",
    "coverSearch": "restrictedSearch",
    "incidental": "adventitious",
}
PROTOCOLS = {"roadSurvey": "roadCruising", "coverSearch": "coverSearch"}
TRAP_PROTOCOLS = {"box trap": "boxTrapping", "funnel trap": "funnelTrapping", "pitfall trap": "pitfallTrapping"}

#: How completeness was assessed, by what the survey file declares. A term that says so is wanted beside the
#: statement itself. Source: Humboldt Extension, comment of taxonCompletenessReported.
COMPLETENESS_PROTOCOL = {
    True: "declared by the survey: every animal of the target taxa that was seen was written down",
    False: "declared by the survey: not every animal of the target taxa that was seen was written down",
}


def humboldt_rows(
    events: pd.DataFrame, effort: pd.DataFrame, occurrence: pd.DataFrame, weather: pd.Series, survey: SurveyFile
) -> pd.DataFrame:
    """One row for each session, check, run, search and find.

    events: the event table with eventID, key, eventType, hours. effort: lines by `eventID`.
    occurrence: with eventID, in_scope, scientificName, individualCount. weather: key:value text by eventID.
    """
    rows = events[events["eventType"].isin(list(INVENTORY))].copy()
    made = pd.DataFrame(index=rows.index)
    event = made["eventID"] = rows["eventID"]
    kind = rows["eventType"]
    has_scope = (kind != "incidental") & bool(survey.protocol.target_taxa)
    fully = survey.protocol.scope_fully_reported
    made["targetTaxonomicScope"] = np.where(has_scope, " | ".join(survey.protocol.target_taxa), "")
    if fully is not None:
        made["isTaxonomicScopeFullyReported"] = np.where(has_scope, truth(fully), "")
        made["taxonCompletenessReported"] = np.where(
            has_scope, "reportedComplete" if fully else "reportedIncomplete", ""
        )
        made["taxonCompletenessProtocols"] = np.where(has_scope, COMPLETENESS_PROTOCOL[fully], "")
    made["inventoryTypes"] = kind.map(INVENTORY)
    made["protocolNames"] = protocol_names(rows, effort)
    holds_animals = kind != "trapSession"
    made["isAbsenceReported"] = np.where(holds_animals, "false", "")
    made["isAbundanceReported"] = np.where(holds_animals, "true", "")
    made["isAbundanceCapReported"] = np.where(holds_animals, "false", "")
    made["isLeastSpecificTargetCategoryQuantityInclusive"] = np.where(holds_animals, "false", "")
    made["isVegetationCoverReported"] = np.where(holds_animals, "false", "")
    made["reportedWeather"] = mapped(event, weather)
    add_non_target(made, occurrence, has_scope & holds_animals, survey)
    vouchers = distinct_by_event(occurrence[occurrence["catalogNumber"] != ""], "institutionCode")
    made["hasVouchers"] = np.where(holds_animals, event.isin(vouchers.index).map(truth), "")
    made["voucherInstitutions"] = mapped(event, vouchers)
    people = distinct_by_event(occurrence[occurrence["recordedBy"] != ""], "recordedBy")
    performed = text_column(rows, "recordedBy")
    made["samplingPerformedBy"] = performed.where(performed != "", mapped(event, people))
    add_effort(made, rows, effort, survey)
    return made.reset_index(drop=True)


def truth(value: bool) -> str:
    """A boolean in the words of delimited text."""
    return "true" if value else "false"


def distinct(texts: pd.Series) -> str:
    """The distinct texts in order, " | " between."""
    return " | ".join(dict.fromkeys(text for text in texts if text))


def distinct_by_event(rows: pd.DataFrame, column: str) -> pd.Series:
    """The distinct texts of a column for each eventID, in order, " | " between."""
    pairs = rows[["eventID", column]].drop_duplicates()
    alone = ~pairs["eventID"].duplicated(keep=False)
    several = pairs[~alone].groupby("eventID")[column].agg(distinct)
    return pd.concat([pairs[alone].set_index("eventID")[column], several])


def protocol_names(rows: pd.DataFrame, effort: pd.DataFrame) -> pd.Series:
    """Names of the protocols of each event: the trap types of its array, else the kind of event."""
    types = effort[effort["trap_type"].isin(list(TRAP_PROTOCOLS))]
    named = distinct_by_event(types.assign(name=types["trap_type"].map(TRAP_PROTOCOLS)), "name")
    trapping = rows["eventType"].isin(["trapCheck"])
    return mapped(rows["eventID"], named).where(trapping, mapped(rows["eventType"], PROTOCOLS))


def add_non_target(made: pd.DataFrame, occurrence: pd.DataFrame, applies: pd.Series, survey: SurveyFile) -> None:
    """By-catch: true exactly where an animal of the event lies outside the scope."""
    outside = occurrence[(occurrence["in_scope"] == "false") & (occurrence["scientificName"] != "")]
    names = outside.groupby("eventID")["scientificName"].agg(lambda taxa: distinct(taxa.sort_values()))
    has = made["eventID"].isin(names.index)
    if survey.protocol.by_catch_recorded:
        made["hasNonTargetTaxa"] = np.where(applies, has.map(truth), "")
    made["nonTargetTaxa"] = np.where(applies & has, mapped(made["eventID"], names), "")
    made["areNonTargetTaxaFullyReported"] = np.where(
        applies & has, truth(survey.protocol.by_catch_fully_reported), ""
    )


def add_effort(made: pd.DataFrame, rows: pd.DataFrame, effort: pd.DataFrame, survey: SurveyFile) -> None:
    """Value, unit and protocol of the effort on the events that had one."""
    grouped = effort.groupby("eventID")
    trap_hours = grouped["trap_hours"].sum(skipna=False)
    people_hours = grouped["person_hours"].sum(skipna=False)
    event, kind = rows["eventID"], rows["eventType"]
    by_traps = kind == "trapCheck"
    typed_nights = effort[effort["convention"] == AS_TYPED].groupby("eventID")["trap_nights"].first()
    is_typed = by_traps & event.isin(typed_nights.index)
    value = event.map(trap_hours).where(by_traps, event.map(people_hours)).astype("float64")
    value = value.mask(is_typed, event.map(typed_nights).astype("float64"))
    counted = kind.isin(["trapCheck", "roadSurvey", "coverSearch"])
    value = value.where(counted)
    made["samplingEffortValue"] = as_text(value, 4)
    unit = np.where(is_typed, "trapNights", np.where(by_traps, "trapHours", "personHours"))
    made["samplingEffortUnit"] = np.where(value.notna(), unit, "")
    out = "half the interval" if survey.protocol.out_of_order == "half interval" else "nothing"
    made["samplingEffortProtocol"] = np.where(
        value.notna(),
        np.where(
            by_traps,
            "elapsed hours of every trap that could catch; closed and missing traps count nothing, a trap "
            f"found out of order at an unknown time counts {out}",
            "searchers times the hours from start to end, less the time spent handling animals",
        ),
        "",
    )
    made["samplingEffortProtocol"] = made["samplingEffortProtocol"].mask(
        is_typed & value.notna(), f"trap-nights {AS_TYPED}, not computed from the times of the traps"
    )
    made["isSamplingEffortReported"] = np.where(counted, value.notna().map(truth), "")
    hours = rows["hours"].astype("float64")
    made["eventDurationValue"] = as_text(hours, 4)
    made["eventDurationUnit"] = np.where(hours.notna(), "hours", "")


def weather_text(rows: pd.DataFrame) -> pd.Series:
    """Weather of log rows as JSON key:value text; "" where nothing was written."""
    said = {label: text_column(rows, field) for field, label in WEATHER_FIELDS.items()}
    records = pd.DataFrame(said).to_dict("records")
    texts = [json.dumps({k: v for k, v in record.items() if v}, ensure_ascii=False) for record in records]
    return pd.Series(texts, index=rows.index, dtype=object).replace("{}", "")
