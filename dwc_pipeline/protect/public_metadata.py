"""The description of a public copy, rebuilt from its own tables and from what was written for it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pandas as pd

from dwc_pipeline.core.columns import as_text, number_column
from dwc_pipeline.core.metadata import CONTACT, CREATOR, BoundingBox, CoveredTaxon, DatasetMetadata, Party
from dwc_pipeline.sharing_settings import PublicShare


def public_metadata(
    metadata: DatasetMetadata, share: PublicShare, tables: Mapping[str, pd.DataFrame], name: str, area: str
) -> DatasetMetadata:
    """The description: nothing is taken over that could name a place, except texts that the scan reads again.

    metadata: of the exact data set. tables: the public ones. area: words for the area, such as the state.
    """
    people = tuple(party for party in metadata.people if party.name in share.named)
    if share.publisher:
        present = {role for party in people for role in party.roles}
        lacking = tuple(role for role in (CREATOR, CONTACT) if role not in present)
        people += (Party(organisation=share.publisher, roles=lacking),) if lacking else ()
    event = tables["event"]
    return DatasetMetadata(
        title=share.title,
        package_id=name,
        people=people,
        version=metadata.version,
        abstract=share.abstract,
        pub_date=metadata.pub_date,
        language=metadata.language,
        keywords=metadata.keywords,
        licence=metadata.licence,
        notes=metadata.notes,
        box=box_of_cells(event, area),
        date_range=period(event, share.dates),
        taxa=covered(tables["occurrence"]),
        method_steps=metadata.method_steps,
        sampling_description=effort_told(event, tables["humboldt"]),
        quality_control=metadata.quality_control,
        publisher=share.publisher,
        update_frequency=metadata.update_frequency,
        project_title=share.title,
        maintenance=metadata.maintenance,
    )


def period(event: pd.DataFrame, step: str) -> tuple[str, str] | None:
    """First and last day of the public events, or years where dates are coarser than a day; None without dates."""
    own = event.loc[~event["eventType"].isin(["project", "fieldSeason"]), "eventDate"]
    texts = own[own != ""].str.split("/").explode()
    whole = len("2031-01-01") if step == "day" and (texts.str.len() >= len("2031-01-01")).all() else len("2031")
    days = texts.str.slice(0, whole)
    return (days.min(), days.max()) if len(days) else None


def box_of_cells(event: pd.DataFrame, area: str) -> BoundingBox | None:
    """The box round all cells, their edges and not their centres; None if no event shows a place."""
    placed = event[event["decimalLatitude"] != ""].drop_duplicates(
        ["decimalLatitude", "decimalLongitude", "coordinatePrecision"]
    )
    if placed.empty:
        return None
    half = [Decimal(one or "0") / 2 for one in placed["coordinatePrecision"]]
    latitude = [Decimal(one) for one in placed["decimalLatitude"]]
    longitude = [Decimal(one) for one in placed["decimalLongitude"]]
    return BoundingBox(
        float(min(at - by for at, by in zip(longitude, half, strict=True))),
        float(max(Decimal(-90), min(at - by for at, by in zip(latitude, half, strict=True)))),
        float(max(at + by for at, by in zip(longitude, half, strict=True))),
        float(min(Decimal(90), max(at + by for at, by in zip(latitude, half, strict=True)))),
        area or "survey area, generalised",
    )


def covered(occurrence: pd.DataFrame) -> tuple[CoveredTaxon, ...]:
    """The taxa of the public animals."""
    named = occurrence[occurrence["scientificName"] != ""].drop_duplicates("scientificName")
    named = named.sort_values("scientificName")
    return tuple(
        CoveredTaxon(*row)
        for row in zip(named["taxonRank"], named["scientificName"], named["vernacularName"], strict=True)
    )


def effort_told(event: pd.DataFrame, humboldt: pd.DataFrame) -> str:
    """Numbers of events and their effort in words, from the public tables alone."""
    value = number_column(humboldt, "samplingEffortValue").set_axis(humboldt["eventID"])
    said = []
    for kind, unit in (("trapCheck", "trap-hours"), ("roadSurvey", "person-hours"), ("coverSearch", "person-hours")):
        own = event[event["eventType"] == kind]
        if len(own):
            known = value.reindex(own["eventID"])
            total = as_text(pd.Series([known.sum()]), 0)[0]
            unknown = int(known.isna().sum())
            more = f"; the effort of {unknown} is not known" if unknown else ""
            said.append(f"{own['samplingProtocol'].iloc[0]}: {len(own)} events, {total} {unit}{more}.")
    return " ".join(said)
