"""What an archive says of the data set: from the survey file, and from the tables where they can tell."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from dwc_pipeline.core.columns import number_column
from dwc_pipeline.core.metadata import BoundingBox, CoveredTaxon, DatasetMetadata, Licence, Party
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.licence import licence

#: events that are no visit, and only hold others together
FRAMES = ("project", "fieldSeason")
TRAP_NIGHT_WORDS = {
    "midnights": "one trap that could catch through one local midnight",
    "hours/24": "one trap that could catch for 24 hours",
    "night share": "one trap that could catch from sunset to sunrise, parts of a night in proportion",
}
OUT_OF_ORDER_WORDS = {"half interval": "for half of the time since it was last checked", "none": "for none of it"}
EDITIONS = (
    "Terms by the Darwin Core List of Terms and the Humboldt Extension, both of 2026-05-26; "
    "occurrenceStatus in the words {words}."
)


def dataset_metadata(survey: SurveyFile, tables: Mapping[str, pd.DataFrame]) -> DatasetMetadata:
    """The metadata of the season's archive; coverage and sampling effort are computed from the tables."""
    about, dataset = survey.survey, survey.dataset
    event = tables["event"]
    words, chosen = survey.output.detection_words, licence(dataset.license)
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
        licence=Licence(chosen.name, chosen.url, chosen.identifier) if chosen else None,
        rights_holder=dataset.rights_holder,
        publisher=dataset.publisher,
        doi=dataset.doi,
        citation=dataset.citation,
        notes=(EDITIONS.format(words=words),),
        box=bounding_box(event, ", ".join(part for part in (about.county, about.state, about.country) if part)),
        date_range=days_covered(event) or (about.starts.isoformat(), about.ends.isoformat()),
        taxa=covered_taxa(tables["occurrence"]),
        method_steps=dataset.methods or computed_steps(survey, event),
        sampling_description=sampling_description(survey, tables),
        study_extent=dataset.study_extent or computed_extent(survey, event),
        quality_control=dataset.quality_control,
        project_title=about.title,
        maintenance=dataset.maintenance,
        update_frequency=dataset.update_frequency,
    )


def bounding_box(event: pd.DataFrame, description: str) -> BoundingBox | None:
    """The box round all events with a position; None if none has one."""
    latitude = number_column(event, "decimalLatitude").dropna()
    longitude = number_column(event, "decimalLongitude").dropna()
    if latitude.empty:
        return None
    return BoundingBox(longitude.min(), latitude.min(), longitude.max(), latitude.max(), description or "survey area")


def days_covered(event: pd.DataFrame) -> tuple[str, str] | None:
    """First and last day of all events below season and project; None if none has a date."""
    own = event.loc[~event["eventType"].isin(FRAMES), "eventDate"]
    days = own[own != ""].str.split("/").explode().str.slice(0, len("2031-01-01"))
    days = days[days.str.len() == len("2031-01-01")]
    return (days.min(), days.max()) if len(days) else None


def computed_steps(survey: SurveyFile, event: pd.DataFrame) -> tuple[str, ...]:
    """What was done, from the protocol and the kinds of events, where the person has not described it."""
    protocol, kinds = survey.protocol, set(event["eventType"])
    night, out = TRAP_NIGHT_WORDS[protocol.trap_night], OUT_OF_ORDER_WORDS[protocol.out_of_order]
    traps = f"{protocol.name}: a trap-night is {night}; a trap found out of order at an unknown time counts {out}."
    told = [
        ("trapCheck", traps),
        ("roadSurvey", f"{protocol.road_name}: effort is the distance driven and the hours of all observers."),
        ("coverSearch", f"{protocol.search_name}: effort is people times hours, handling taken out."),
        ("incidental", "Animals found by chance were written down without effort."),
    ]
    steps = [f"{text[0].upper()}{text[1:]}" for kind, text in told if kind in kinds]
    if steps and protocol.target_taxa:
        fully = {True: "all that were seen were recorded", False: "not all that were seen were recorded"}
        known = fully.get(protocol.scope_fully_reported) if protocol.scope_fully_reported is not None else None
        steps.append(f"Target taxa: {', '.join(protocol.target_taxa)}{f'; {known}' if known else ''}.")
    return tuple(steps)


def computed_extent(survey: SurveyFile, event: pd.DataFrame) -> str:
    """Area and time in words, where the person has not described them; "" where no event has a place."""
    about, places, days = survey.survey, event.loc[event["place"] != "", "place"].nunique(), days_covered(event)
    area = ", ".join(part for part in (about.county, about.state, about.country) if part)
    if not places:
        return ""
    sites = "1 site" if places == 1 else f"{places} sites"
    return f"{sites}{f' in {area}' if area else ''}{f', {days[0]} to {days[1]}' if days else ''}."


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
        by_check = effort.groupby("eventID")[["trap_nights", "trap_hours"]].sum(skipna=False)
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
