"""Tables of a season -> the public copy, and all that it must not hold."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.columns import mapped, where_true, without_gaps
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.core.public_copy import PublicCopy, PublicTables
from dwc_pipeline.protect.grid import rank_of
from dwc_pipeline.protect.identifiers import Names
from dwc_pipeline.protect.levels import (
    animal_ranks,
    level_names,
    place_keys,
    properties_of,
    ruled_ranks,
    sensitive_taxa,
)
from dwc_pipeline.protect.public_metadata import public_metadata
from dwc_pipeline.protect.public_tables import (
    named_only,
    public_events,
    public_humboldt,
    public_measurements,
    public_occurrences,
)
from dwc_pipeline.protect.small_groups import with_company
from dwc_pipeline.protect.statements import statements, withheld_words
from dwc_pipeline.protect.twin_tables import (
    NOT_LISTED,
    SHOWN_AS,
    moved_tables,
    twin_events,
    twin_names,
    without_trace,
)
from dwc_pipeline.protect.twins import Twins, made_for_animals, shown_levels, twins_of
from dwc_pipeline.protect.withheld import Withheld, withheld_from_public
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.sharing_settings import PublicShare
from dwc_pipeline.terms.checklist import Checklist


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
    tables = {name: table.reset_index(drop=True) for name, table in tables.items()}
    taxa = sensitive_taxa(survey.protect, checklist)
    level, step = levels_and_steps(tables, survey, share, taxa)
    told, because = withheld_words(survey, share), survey.protect.reason
    event, exact = tables["event"], tables
    shown = level
    twins = None
    if share.moves_animals:
        twins = twins_of(event, tables["occurrence"], tables["effort"], level, step, taxa, share.twin_places)
        tables, shown = moved_tables(tables, twins), shown_levels(level, twins)
    names = names_for(event, exact["occurrence"], shown, twins, share)
    stay = tables["event"]
    events = public_events(stay, tables["effort"], level[stay.index], step[stay.index], names, told, because)
    humboldt = tables["humboldt"]
    if twins is not None:
        events = with_twins(events, event, exact["occurrence"], level, taxa, twins, names, told, because)
        by_event = pd.Series(level.to_numpy(), index=event["eventID"])
        humboldt = without_trace(humboldt, by_event, taxa, tables["occurrence"])
    made = {
        "event": events,
        "occurrence": public_occurrences(tables["occurrence"], events, names, share, told),
        "measurement": public_measurements(tables["measurement"], events, names, share),
        "humboldt": public_humboldt(humboldt, events, names, share),
    }
    public = PublicTables({name: table.reset_index(drop=True) for name, table in made.items()})
    about = survey.survey
    name = f"{share.code}-{about.season}"
    area = ", ".join(part for part in (about.state, about.country) if part)
    described = public_metadata(metadata, share, public, name, area)
    copy = PublicCopy(name, public, described, statements(public["event"], survey, share))
    return Protected(copy, withheld_from_public(survey, exact, shown, public, described))


def levels_and_steps(
    tables: Mapping[str, pd.DataFrame], survey: SurveyFile, share: PublicShare, sensitive: Mapping[str, str]
) -> tuple[pd.Series, pd.Series]:
    """Per event the level of its place and the step of its dates.

    sensitive: taxa with their levels; they make a place coarse unless the animals move to twin events.
    """
    taxa = {} if share.moves_animals else sensitive
    event, humboldt, properties = tables["event"], tables["humboldt"], survey.protect.property
    owner = properties_of(event, properties)
    rank = ruled_ranks(event, owner, properties, share.grid)
    rank = rank.combine(animal_ranks(event, tables["occurrence"], taxa), max)
    keys = place_keys(event)
    rank = rank.groupby(keys).transform("max")
    step = pd.Series(share.dates, index=event.index, dtype=object)
    performed = humboldt.set_index("eventID")["samplingPerformedBy"] if len(humboldt) else pd.Series(dtype=object)
    observers = named_only(mapped(event["eventID"], performed), share.named)
    lone = made_for_animals(tables, sensitive) if share.moves_animals else pd.Series(False, index=event.index)
    kept, least = ~lone, share.smallest_group
    parts = [part[kept] for part in (rank, step, owner, keys, observers)]
    found = [with_company(event[kept], parts[0], parts[1], parts[2], parts[3], parts[4], properties, least)]
    if lone.any():
        # They may vanish from the copy: company for the others they are not, and each must find its own.
        alone = with_company(event, rank, step, owner, event["eventID"], observers, properties, least)
        found.append((alone[0][lone], alone[1][lone]))
    rank, step = (pd.concat(column).reindex(event.index) for column in zip(*found, strict=True))
    return level_names(rank.astype(int)), step


def names_for(
    event: pd.DataFrame, occurrence: pd.DataFrame, shown: pd.Series, twins: Twins | None, share: PublicShare
) -> Names:
    """New names for events; in a copy with twin events all are other than in a copy without."""
    known = pd.Series(shown.to_numpy(), index=event["eventID"])
    if twins is None:
        return Names(share.code, share.key, known)
    mine = pd.Series(SHOWN_AS, index=twin_names(occurrence, twins).to_numpy(), dtype=object)
    return Names(share.code, f"{share.key}\0{SHOWN_AS}", pd.concat([known, mine]))


def with_twins(
    events: pd.DataFrame,
    event: pd.DataFrame,
    occurrence: pd.DataFrame,
    level: pd.Series,
    taxa: Mapping[str, str],
    twins: Twins,
    names: Names,
    told: str,
    because: str,
) -> pd.DataFrame:
    """Public and twin events in one order; the former say that animals may be missing, whether one is or not."""
    coarsest = max((rank_of(one) for one in taxa.values()), default=0)
    finer = events.index.isin(level.index[level.map(rank_of) < coarsest])
    more = where_true(pd.Series(finer, index=events.index), f" {NOT_LISTED}")
    events = events.assign(informationWithheld=events["informationWithheld"] + more)
    own = names.of_events(twin_names(occurrence, twins))
    both = pd.concat([events, twin_events(event, occurrence, twins, own, told, because)], ignore_index=True)
    return without_gaps(both).sort_values(["eventDate", "eventID"])
