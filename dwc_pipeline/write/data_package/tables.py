"""Our tables as the tables of a Darwin Core Data Package.

Every table that others point to has a key of its own beside the Darwin Core identifier; in our packages both say the
same. Counts are organismQuantity, measurements are assertions, scope and effort are surveys with their targets.

Source: Darwin Core Data Package guide (2026-05-26) and table schemas 1.0_DEV (2026-07-07).
"""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from dwc_pipeline.core.columns import mapped, text_column, where_true
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.terms.data_package import ASSERTION_TERMS, INDIVIDUALS
from dwc_pipeline.terms.detection import DetectionWords, occurrence_status
from dwc_pipeline.terms.package_descriptors import package_fields, required_fields

ORCID = "https://orcid.org/"


def package_tables(
    tables: Mapping[str, pd.DataFrame], metadata: DatasetMetadata, words: DetectionWords
) -> dict[str, pd.DataFrame]:
    """All tables of the package that have rows, each with the columns that hold something, in published order.

    tables: event, occurrence, measurement, humboldt as written, all text.
    Raises OutputRefused if an occurrence does not say whether the taxon was detected.
    """
    event, occurrence, measurement, humboldt = (
        tables[name] for name in ("event", "occurrence", "measurement", "humboldt")
    )
    protocols = protocol_table(event)
    agents = agent_table(occurrence, humboldt, metadata)
    targets = target_tables(humboldt)
    made = {
        "protocol": protocols,
        "agent": agents,
        "event": event_table(event, humboldt, protocols),
        "event-agent-role": roles(humboldt, "eventID", "samplingPerformedBy", "event_fk", agents),
        "survey": survey_table(event, humboldt, protocols),
        **targets,
        "organism": organism_table(occurrence),
        "organism-identifier": mark_table(occurrence, measurement),
        "occurrence": occurrence_table(occurrence, words),
        "occurrence-agent-role": roles(occurrence, "occurrenceID", "recordedBy", "occurrence_fk", agents),
        "identification": identification_table(occurrence),
        "event-assertion": assertion_table(measurement[measurement["occurrenceID"] == ""], "event"),
        "occurrence-assertion": assertion_table(measurement[measurement["occurrenceID"] != ""], "occurrence"),
    }
    return {name: in_use(name, frame) for name, frame in made.items() if len(frame)}


def in_use(table: str, frame: pd.DataFrame) -> pd.DataFrame:
    """The published fields that must be filled or hold something, in the published order."""
    needed = required_fields(table)
    names = [
        name for name in package_fields(table) if name in frame and (name in needed or (frame[name] != "").any())
    ]
    return frame[names].reset_index(drop=True)


def shared_terms(table: str, frame: pd.DataFrame) -> pd.DataFrame:
    """The columns of ours that the package has under the same name."""
    return frame[[name for name in frame if name in package_fields(table)]].copy()


def event_table(event: pd.DataFrame, humboldt: pd.DataFrame, protocols: pd.DataFrame) -> pd.DataFrame:
    """Events; one that has scope and effort is of the category Survey."""
    made = shared_terms("event", event)
    made["event_pk"] = event["eventID"]
    made["parentEvent_fk"] = text_column(event, "parentEventID")
    made["eventCategory"] = where_true(event["eventID"].isin(humboldt["eventID"]), "Survey").replace("", "Event")
    made["eventProtocol_fk"] = protocol_keys(event, protocols)
    return made


def protocol_table(event: pd.DataFrame) -> pd.DataFrame:
    """Each protocol once, in the order of their names."""
    names = sorted(set(text_column(event, "samplingProtocol")) - {""})
    keys = [f"protocol-{number}" for number, _ in enumerate(names, 1)]
    return pd.DataFrame({"protocol_pk": keys, "protocolID": keys, "protocolName": names, "protocolType": "sampling"})


def protocol_keys(event: pd.DataFrame, protocols: pd.DataFrame) -> pd.Series:
    """The key of each event's protocol; "" where it has none."""
    by_name = pd.Series(protocols["protocol_pk"].to_numpy(), index=protocols["protocolName"], dtype=object)
    return mapped(text_column(event, "samplingProtocol"), by_name)


def survey_table(event: pd.DataFrame, humboldt: pd.DataFrame, protocols: pd.DataFrame) -> pd.DataFrame:
    """Scope and effort: one survey an event that has them."""
    made = shared_terms("survey", humboldt)
    made["survey_pk"] = made["surveyID"] = humboldt["eventID"] + "-survey"
    made["event_fk"] = humboldt["eventID"]
    at = event.drop_duplicates("eventID").set_index("eventID")
    for name in ("samplingProtocol", "sampleSizeValue", "sampleSizeUnit"):
        made[name] = mapped(humboldt["eventID"], text_column(at, name))
    followed = pd.Series(protocol_keys(at, protocols).to_numpy(), index=at.index, dtype=object)
    made["samplingProtocol_fk"] = mapped(humboldt["eventID"], followed)
    return made


def target_tables(humboldt: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """What the surveys looked for. A survey that does not say whether it reported all of it has no target here."""
    scope, excluded, fully = (
        text_column(humboldt, name)
        for name in ("targetTaxonomicScope", "excludedTaxonomicScope", "isTaxonomicScopeFullyReported")
    )
    told = pd.DataFrame({"eventID": humboldt["eventID"], "scope": scope, "excluded": excluded, "fully": fully})
    told = told[(told["scope"] != "") & (told["fully"] != "")]
    kinds = told[["scope", "excluded", "fully"]].drop_duplicates().sort_values(["scope", "excluded", "fully"])
    kinds["key"] = [f"target-{number}" for number in range(1, len(kinds) + 1)]
    linked = told.merge(kinds, on=["scope", "excluded", "fully"])
    lines = [
        {
            "surveyTarget_fk": key,
            "surveyTargetType": "taxon",
            "surveyTargetValue": taxon.strip(),
            "includeOrExclude": word,
        }
        for key, wanted, left_out in zip(kinds["key"], kinds["scope"], kinds["excluded"], strict=True)
        for word, names in (("include", wanted), ("exclude", left_out))
        for taxon in names.split("|")
        if taxon.strip()
    ]
    without = (", except " + kinds["excluded"]).where(kinds["excluded"] != "", "")
    return {
        "survey-target": pd.DataFrame(
            {
                "surveyTarget_pk": kinds["key"],
                "surveyTargetID": kinds["key"],
                "surveyTargetDescription": kinds["scope"] + without,
                "isSurveyTargetFullyReported": kinds["fully"],
            }
        ),
        "survey-survey-target": pd.DataFrame(
            {"survey_fk": linked["eventID"] + "-survey", "surveyTarget_fk": linked["key"]}
        ),
        "survey-target-descriptor": pd.DataFrame(lines),
    }


def occurrence_table(occurrence: pd.DataFrame, words: DetectionWords) -> pd.DataFrame:
    """Occurrences; a counted number of individuals is their organismQuantity."""
    made = shared_terms("occurrence", occurrence)
    made["occurrence_pk"], made["event_fk"] = occurrence["occurrenceID"], occurrence["eventID"]
    made["occurrenceStatus"] = occurrence_status(occurrence, words)
    count, vague = text_column(occurrence, "individualCount"), text_column(occurrence, "organismQuantity")
    made["organismQuantity"] = vague.where(vague != "", count)
    kind = text_column(occurrence, "organismQuantityType")
    made["organismQuantityType"] = kind.where(vague != "", where_true(count != "", INDIVIDUALS))
    return made


def identification_table(occurrence: pd.DataFrame) -> pd.DataFrame:
    """The name of each animal that has one, with its classification."""
    named = occurrence[
        (text_column(occurrence, "scientificName") != "") | (text_column(occurrence, "verbatimIdentification") != "")
    ]
    made = shared_terms("identification", named)
    made["identification_pk"] = made["identificationID"] = named["occurrenceID"] + "-identification"
    made["occurrence_fk"] = named["occurrenceID"]
    made["isAcceptedIdentification"] = where_true(text_column(named, "scientificName") != "", "true")
    qualifier, remarks = text_column(named, "identificationQualifier"), text_column(named, "identificationRemarks")
    doubt = ("qualifier: " + qualifier).where(qualifier != "", "")
    made["identificationRemarks"] = (doubt + where_true((doubt != "") & (remarks != ""), "; ") + remarks).astype(
        object
    )
    return made


def organism_table(occurrence: pd.DataFrame) -> pd.DataFrame:
    """Marked animals, each once."""
    known = sorted(set(text_column(occurrence, "organismID")) - {""})
    return pd.DataFrame({"organism_pk": known, "organismID": known, "organismScope": "individual"}, dtype=object)


def mark_table(occurrence: pd.DataFrame, measurement: pd.DataFrame) -> pd.DataFrame:
    """Marks and tags of the marked animals."""
    organism = pd.Series(
        text_column(occurrence, "organismID").to_numpy(), index=occurrence["occurrenceID"], dtype=object
    )
    parts = []
    for which in ("mark", "second mark"):
        marks = measurement[measurement["measurementType"] == f"{which} code"]
        kinds = measurement[measurement["measurementType"] == f"{which} type"].drop_duplicates("occurrenceID")
        kind = pd.Series(kinds["measurementValue"].to_numpy(), index=kinds["occurrenceID"], dtype=object)
        parts.append(
            pd.DataFrame(
                {
                    "organism_fk": mapped(marks["occurrenceID"], organism),
                    "identifier": marks["measurementValue"],
                    "identifierType": mapped(marks["occurrenceID"], kind),
                }
            )
        )
    made = pd.concat(parts, ignore_index=True)
    return made[made["organism_fk"] != ""].drop_duplicates(["organism_fk", "identifier"])


def assertion_table(measurement: pd.DataFrame, about: str) -> pd.DataFrame:
    """Measurements and facts about events or occurrences."""
    made = pd.DataFrame({theirs: text_column(measurement, ours) for ours, theirs in ASSERTION_TERMS.items()})
    made[f"{about}_fk"] = measurement[f"{about}ID"]
    return made


def agent_table(occurrence: pd.DataFrame, humboldt: pd.DataFrame, metadata: DatasetMetadata) -> pd.DataFrame:
    """Everybody who is named as recorder or sampler, each once."""
    cells = {*text_column(occurrence, "recordedBy"), *text_column(humboldt, "samplingPerformedBy")}
    names = sorted({name.strip() for cell in cells for name in cell.split("|")} - {""})
    orcid = {party.name: ORCID + party.orcid for party in metadata.people if party.orcid}
    keys = [f"agent-{number}" for number, _ in enumerate(names, 1)]
    return pd.DataFrame(
        {
            "agent_pk": keys,
            "agentID": [orcid.get(name, key) for name, key in zip(names, keys, strict=True)],
            "agentType": "person",
            "preferredAgentName": names,
        },
        dtype=object,
    )


def roles(frame: pd.DataFrame, identifier: str, names: str, key: str, agents: pd.DataFrame) -> pd.DataFrame:
    """Who observed at each event or recorded each occurrence, in the order in which they are named."""
    told = pd.DataFrame({key: frame[identifier], "name": text_column(frame, names).str.split("|")}).explode("name")
    told["name"] = told["name"].fillna("").str.strip()
    told = told[told["name"] != ""].drop_duplicates()
    by_name = pd.Series(agents["agent_pk"].to_numpy(), index=agents["preferredAgentName"], dtype=object)
    told["agent_fk"] = mapped(told["name"], by_name)
    told["agentRole"] = "observer" if key == "event_fk" else "recorder"
    told["agentRoleOrder"] = (told.groupby(key).cumcount() + 1).astype(str)
    return told
