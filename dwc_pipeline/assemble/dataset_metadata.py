"""What an archive says of the data set: from the survey file, and from the tables where they can tell."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.metadata import BoundingBox, CoveredTaxon, DatasetMetadata, Licence, Party
from dwc_pipeline.settings import SurveyFile

LICENCES = {
    "CC0-1.0": Licence(
        "Creative Commons Zero v1.0 Universal",
        "https://creativecommons.org/publicdomain/zero/1.0/legalcode",
        "CC0-1.0",
    ),
    "CC-BY-4.0": Licence(
        "Creative Commons Attribution 4.0 International",
        "https://creativecommons.org/licenses/by/4.0/legalcode",
        "CC-BY-4.0",
    ),
    "CC-BY-NC-4.0": Licence(
        "Creative Commons Attribution Non Commercial 4.0 International",
        "https://creativecommons.org/licenses/by-nc/4.0/legalcode",
        "CC-BY-NC-4.0",
    ),
}
EDITIONS = (
    "Terms by the Darwin Core List of Terms and the Humboldt Extension, both of 2026-05-26; "
    "occurrenceStatus in the words {words}."
)


def dataset_metadata(survey: SurveyFile, tables: Mapping[str, pd.DataFrame]) -> DatasetMetadata:
    """The metadata of the season's archive; coverage and sampling effort are computed from the tables."""
    about, dataset = survey.survey, survey.dataset
    event = tables["event"]
    words = survey.output.detection_words
    return DatasetMetadata(
        title=about.title,
        package_id=f"{about.code}-{about.season}",
        people=tuple(
            Party(
                name=person.name,
                organisation=person.organisation,
                email=person.email,
                orcid=person.orcid,
                roles=person.roles,
            )
            for person in survey.people
        ),
        version=dataset.version,
        abstract=dataset.abstract,
        purpose=dataset.purpose,
        pub_date=dataset.published.isoformat() if dataset.published else "",
        language=dataset.language,
        keywords=dataset.keywords,
        licence=LICENCES.get(dataset.license),
        citation=dataset.citation,
        notes=(EDITIONS.format(words=words),),
        box=bounding_box(event, ", ".join(part for part in (about.county, about.state, about.country) if part)),
        date_range=(about.starts.isoformat(), about.ends.isoformat()),
        taxa=covered_taxa(tables["occurrence"]),
        method_steps=dataset.methods,
        sampling_description=sampling_description(survey, tables),
        study_extent=dataset.study_extent,
        quality_control=dataset.quality_control,
        project_title=about.title,
        maintenance=dataset.maintenance,
    )


def bounding_box(event: pd.DataFrame, description: str) -> BoundingBox | None:
    """The box round all events with a position; None if none has one."""
    latitude = number_column(event, "decimalLatitude").dropna()
    longitude = number_column(event, "decimalLongitude").dropna()
    if latitude.empty:
        return None
    return BoundingBox(longitude.min(), latitude.min(), longitude.max(), latitude.max(), description or "survey area")


def covered_taxa(occurrence: pd.DataFrame) -> tuple[CoveredTaxon, ...]:
    """Every taxon among the occurrences, in the order of their names."""
    named = occurrence[occurrence["scientificName"] != ""]
    distinct = named.drop_duplicates("scientificName").sort_values("scientificName")
    return tuple(
        CoveredTaxon(rank, name, common)
        for rank, name, common in zip(
            distinct["taxonRank"], distinct["scientificName"], distinct["vernacularName"], strict=True
        )
    )


def sampling_description(survey: SurveyFile, tables: Mapping[str, pd.DataFrame]) -> str:
    """Protocols and total effort in words, from the events and the effort table."""
    event, effort = tables["event"], tables["effort"]
    said = []
    checks = event[event["eventType"] == "trapCheck"]
    if len(checks):
        by_check = effort.groupby("eventID")[["trap_nights", "trap_hours"]].agg(lambda part: part.sum(skipna=False))
        by_check = by_check.reindex(checks["eventID"])
        known = by_check["trap_nights"].notna()
        said.append(
            f"{survey.protocol.name}: {checks['place'].nunique()} arrays, {len(checks)} checks, "
            f"{by_check.loc[known, 'trap_nights'].sum():g} trap-nights ({survey.protocol.trap_night})"
            + (f"; the effort of {int((~known).sum())} checks is not known" if (~known).any() else "")
            + "."
        )
    for kind, name, column, unit in (
        ("roadSurvey", survey.protocol.road_name, "distance_km", "km"),
        ("coverSearch", survey.protocol.search_name, "person_hours", "person-hours"),
    ):
        runs = event[event["eventType"] == kind]
        if len(runs):
            total = effort.loc[effort["eventID"].isin(runs["eventID"]), column].sum()
            said.append(f"{name}: {len(runs)} events, {total:.2f} {unit}.")
    return " ".join(said)
