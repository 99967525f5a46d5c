"""Tables of a season -> the public copy, and all that it must not hold."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.columns import mapped, without_gaps
from dwc_pipeline.core.metadata import CONTACT, CREATOR, DatasetMetadata
from dwc_pipeline.core.public_copy import PublicCopy, PublicTables
from dwc_pipeline.protect.grid import AS_HELD, WITHHELD
from dwc_pipeline.protect.levels import level_names, place_keys, properties_of, ruled_ranks, sensitive_taxa
from dwc_pipeline.protect.public_metadata import public_metadata
from dwc_pipeline.protect.public_tables import (
    named_only,
    public_events,
    public_humboldt,
    public_measurements,
    public_occurrences,
)
from dwc_pipeline.protect.small_groups import with_company
from dwc_pipeline.protect.withheld import Withheld, withheld_from_public
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.sharing_settings import PublicShare
from dwc_pipeline.terms.checklist import Checklist

WITHHELD_WORDS = (
    "Exact places, hours, names of sites, verbatim values, remarks, marks and links between captures are withheld"
)


class Protected(NamedTuple):
    """copy: what may be written. withheld: what must not be found in it."""

    copy: PublicCopy
    withheld: Withheld


def protect(
    tables: Mapping[str, pd.DataFrame], metadata: DatasetMetadata, survey: SurveyFile, checklist: Checklist
) -> Protected:
    """The public copy of a season's tables.

    tables: event, occurrence, measurement, place, effort, humboldt. metadata: of the exact data set.
    Raises ValueError if the survey file has no [share.public].
    """
    share = survey.share.public
    if share is None:
        raise ValueError("the survey file has no [share.public]")
    tables = {name: without_gaps(table) for name, table in tables.items()}
    event, humboldt = tables["event"].reset_index(drop=True), tables["humboldt"]
    tables["event"] = event
    level, step = levels_and_steps(event, tables["occurrence"], humboldt, survey, share, checklist)
    told = withheld_words(survey, share)
    events = public_events(event, tables["effort"], level, step, share, told, survey.protect.reason)
    made = {
        "event": events,
        "occurrence": public_occurrences(tables["occurrence"], events, share, told),
        "measurement": public_measurements(tables["measurement"], events, share),
        "humboldt": public_humboldt(humboldt, events, share),
    }
    public = PublicTables({name: table.reset_index(drop=True) for name, table in made.items()})
    about = survey.survey
    name = f"{share.code}-{about.season}"
    area = ", ".join(part for part in (about.state, about.country) if part)
    described = public_metadata(metadata, share, public, name, area)
    copy = PublicCopy(name, public, described, statements(event, level, step, survey, share))
    return Protected(copy, withheld_from_public(survey, tables, level, public, described))


def levels_and_steps(
    event: pd.DataFrame,
    occurrence: pd.DataFrame,
    humboldt: pd.DataFrame,
    survey: SurveyFile,
    share: PublicShare,
    checklist: Checklist,
) -> tuple[pd.Series, pd.Series]:
    """Per event the level of its place and the step of its dates."""
    properties = survey.protect.property
    owner = properties_of(event, properties)
    taxa = sensitive_taxa(survey.protect, checklist)
    rank = ruled_ranks(event, occurrence, owner, properties, taxa, share.grid)
    step = pd.Series(share.dates, index=event.index, dtype=object)
    performed = humboldt.set_index("eventID")["samplingPerformedBy"] if len(humboldt) else pd.Series(dtype=object)
    observers = named_only(mapped(event["eventID"], performed), share.named)
    keys = place_keys(event)
    rank, step = with_company(event, rank, step, owner, keys, observers, properties, share.smallest_group)
    return level_names(rank), step


def withheld_words(survey: SurveyFile, share: PublicShare) -> str:
    """informationWithheld: what is kept back, and whom to ask."""
    people = [person for person in survey.people if person.name in share.named]
    whom = next((p.name for role in (CONTACT, CREATOR) for p in people if role in p.roles), share.publisher)
    return f"{WITHHELD_WORDS}; they may be asked for{' from ' + whom if whom else ''}."


def statements(
    event: pd.DataFrame, level: pd.Series, step: pd.Series, survey: SurveyFile, share: PublicShare
) -> tuple[str, ...]:
    """What was done to the copy, one sentence each."""
    placed = event["decimalLatitude"] != ""
    count = level[placed].value_counts()
    said = []
    for one, number in count.sort_index().items():
        if one == AS_HELD:
            said.append(f"{number} events show their place as it is held.")
        elif one == WITHHELD:
            said.append(f"{number} events do not show their place.")
        else:
            said.append(f"{number} events show their place on a grid of {one} degree.")
    said.append(f"{int((~placed).sum())} events have no position of their own.")
    for one, number in step.value_counts().sort_index().items():
        said.append(f"The dates of {number} events are given to the {one}; hours are left out.")
    said.append(
        "All events of a place share one grid, the coarsest that any animal found there, the ground or the "
        "small-group test asks for. The written point is the centre of the cell; its uncertainty reaches the "
        "farthest corner and includes the uncertainty of the exact position. No point was moved at random."
    )
    said.append(f"Places are generalised because {survey.protect.reason}.")
    said.append(
        f"No combination of cell, date, protocol and observer points to fewer than {share.smallest_group} private "
        "properties, as far as is known."
    )
    said.append(withheld_words(survey, share))
    said.append("Identifiers are made for this copy and stay the same in its later versions.")
    if survey.protect.review_on:
        said.append(f"These decisions are to be looked at again on {survey.protect.review_on.isoformat()}.")
    return tuple(said)
