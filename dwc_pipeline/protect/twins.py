"""Sensitive animals on twin events: a coarse place of their own, while the event of the capture stays as it is.

A stranger who lays a twin beside the exact events asks where, by its date, cell and kind of sampling, it can have
come from. So a twin says as much of its date and place as leaves enough places, each in a finer cell of its own; and
the same places for every date that a twin of that cell can have, so that many twins together leave as many as one.
What is said is a function of the exact events alone: were the animal caught at another of those places, no byte would
change.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.protect.dates import STEPS, coarse_dates
from dwc_pipeline.protect.grid import LEVELS, WITHHELD, generalised_positions, half_diagonal, rank_of
from dwc_pipeline.protect.levels import cells_of, level_names, taxon_ranks

TWIN_TYPE = "generalisedFind"
#: kinds of event with effort, at which an animal can have been caught
SAMPLING = ("trapCheck", "trapSession", "roadSurvey", "coverSearch")
WHOLES = ("project", "fieldSeason", "trapSession")
#: places count once in a cell of this grid, for a twin on each level
FINER = {"0.001": "0.0001", "0.01": "0.001", "0.1": "0.01", "1": "0.1", WITHHELD: "0.1"}
AREA = ("countryCode", "stateProvince")
PLAN = ("level", "step", "latitude", "longitude", "uncertainty")


@dataclass(frozen=True)
class Twins:
    """What becomes of the sensitive animals.

    animals: one line for each animal that moves, indexed like the occurrences: event (row of its capture), eventDate
    and the columns PLAN.
    left_out: per occurrence, True if no twin is vague enough. emptied: per event, True if it was made for the animals
    that moved and must not stay behind. finest: per event, the rank that the animals of an emptied event ask for.
    """

    animals: pd.DataFrame
    left_out: pd.Series
    emptied: pd.Series
    finest: pd.Series


def twins_of(
    event: pd.DataFrame,
    occurrence: pd.DataFrame,
    effort: pd.DataFrame,
    level: pd.Series,
    step: pd.Series,
    taxa: Mapping[str, str],
    places: int,
) -> Twins:
    """The twins of a season. level, step: of the events, without regard to animals. places: at the least."""
    asked = taxon_ranks(occurrence, taxa)
    row = pd.Series(event.index, index=event["eventID"]).reindex(occurrence["eventID"]).set_axis(occurrence.index)
    known = row.notna()
    rank = level.map(rank_of)
    placed = (event["decimalLatitude"] != "") & (event["decimalLongitude"] != "")
    own = row.fillna(0).astype(int)
    moves = known & (asked > own.map(rank)) & own.map(placed).astype(bool)
    stays = row[known & ~moves]
    emptied = _without_effort(event, effort) & event.index.isin(row[moves]) & ~event.index.isin(stays)
    shown = generalised_positions(event, level)
    parts, lost = [], pd.Series(False, index=occurrence.index)
    for number in sorted(asked[moves].unique()):
        plans = plans_of(event, effort, shown, level, step, int(number), places)
        here = moves & (asked == number)
        found, gone = _animals(event, row[here].astype(int), emptied, plans, LEVELS[int(number)], step)
        parts.append(found)
        lost |= gone.reindex(lost.index, fill_value=False)
    finest = asked[moves].groupby(row[moves].astype(int)).max().reindex(event.index, fill_value=0)
    animals = pd.concat(parts) if parts else pd.DataFrame(columns=["event", "eventDate", *PLAN])
    return Twins(animals, lost, emptied, finest.where(emptied, 0))


def made_for_animals(tables: Mapping[str, pd.DataFrame], taxa: Mapping[str, str]) -> pd.Series:
    """True for events without an effort of their own at which nothing but sensitive animals was found."""
    event, occurrence = tables["event"], tables["occurrence"]
    sensitive = taxon_ranks(occurrence, taxa) > 0
    others = set(occurrence.loc[~sensitive, "eventID"])
    theirs = set(occurrence.loc[sensitive, "eventID"]) - others
    return _without_effort(event, tables["effort"]) & event["eventID"].isin(theirs)


def _without_effort(event: pd.DataFrame, effort: pd.DataFrame) -> pd.Series:
    """Chance finds, and checks and runs that are known only from their animals."""
    return ~event["eventID"].isin(effort["eventID"]) & ~event["eventType"].isin(WHOLES)


def plans_of(
    event: pd.DataFrame,
    effort: pd.DataFrame,
    shown: pd.DataFrame,
    level: pd.Series,
    step: pd.Series,
    rank: int,
    places: int,
) -> pd.DataFrame:
    """What a twin of each finer event may say: columns PLAN, indexed by event; events without a line allow none.

    shown: positions of the events as the copy has them. rank: what the taxon asks for.
    """
    open_events = _finer_events(event, effort, shown, level, rank)
    kind = _joined(event[["eventType", *(name for name in AREA if name in event)]])
    made = []
    for wanted in LEVELS[rank:]:
        frame = pd.DataFrame(
            {
                "key": cells_of(shown, wanted) + "\x1f" + kind,
                "place": cells_of(shown, FINER[wanted]),
                "step": step.map(STEPS.index),
                "uncertainty": number_column(shown, "coordinateUncertaintyInMeters"),
            }
        ).loc[open_events]
        frame["coarsest"] = frame.groupby("key")["step"].transform("max")
        for number, name in enumerate(STEPS):
            left = frame[(frame["coarsest"] <= number) & frame.index.isin(open_events)]
            steps = pd.Series(name, index=left.index, dtype=object)
            left = left.assign(date=coarse_dates(dates_of_finds(event.loc[left.index]), steps))
            planned = left[left["key"].isin(_keys_with_enough(left, places))]
            made.append(_plan(planned, wanted, name))
            open_events = open_events.difference(planned.index)
    return pd.concat(made)


def dates_of_finds(event: pd.DataFrame) -> pd.Series:
    """When the animals of each event were found: at the end of a check, else in the whole of its time."""
    date = event["eventDate"]
    return date.where(event["eventType"] != "trapCheck", date.str.split("/").str[-1]).astype(object)


def _finer_events(
    event: pd.DataFrame, effort: pd.DataFrame, shown: pd.DataFrame, level: pd.Series, rank: int
) -> pd.Index:
    """Events at which an animal can have been caught, and that are shown finer than it asks for."""
    nights = pd.DataFrame({name: number_column(effort, name) for name in ("trap_nights", "person_hours")})
    nothing = (nights.sum(axis=1, min_count=1) == 0).groupby(effort["eventID"]).all()
    idle = event["eventID"].map(nothing).fillna(False).astype(bool)
    has_effort = event["eventID"].isin(effort["eventID"]) | (event["eventType"] == "trapSession")
    is_open = event["eventType"].isin(SAMPLING) & has_effort & ~idle & (level.map(rank_of) < rank)
    return event.index[is_open & (shown["decimalLatitude"] != "")]


def _keys_with_enough(left: pd.DataFrame, places: int) -> pd.Index:
    """Keys in which enough places have an event at every date."""
    dates = left.groupby("key")["date"].nunique()
    seen = left.drop_duplicates(["key", "place", "date"]).groupby(["key", "place"]).size()
    always = seen[seen == dates.reindex(seen.index.get_level_values("key")).to_numpy()]
    count = always.groupby("key").size()
    return count.index[count >= places]


def _plan(events: pd.DataFrame, level: str, step: str) -> pd.DataFrame:
    cells = events["key"].str.split("\x1f").str[0].str.split(" ")
    # One uncertainty for the whole cell: that of the event's own place would tell which one it was.
    unknown = events["uncertainty"].isna().groupby(events["key"]).transform("any")
    widest = events.groupby("key")["uncertainty"].transform("max").where(~unknown)
    made = pd.DataFrame({"level": level, "step": step}, index=events.index, dtype=object)
    made["latitude"] = cells.str[0] if level != WITHHELD else ""
    made["longitude"] = cells.str[1] if level != WITHHELD else ""
    made["uncertainty"] = [
        "" if level == WITHHELD or np.isnan(old) else str(int(np.ceil(half_diagonal(latitude, level) + old)))
        for latitude, old in zip(made["latitude"], widest, strict=True)
    ]
    return made


def _animals(
    event: pd.DataFrame, row: pd.Series, emptied: pd.Series, plans: pd.DataFrame, level: str, step: pd.Series
) -> tuple[pd.DataFrame, pd.Series]:
    """The lines of the animals of one level, and which of them no plan fits. row: event of each animal."""
    spot = _joined(event[["place", "decimalLatitude", "decimalLongitude"]])
    sampled = event["eventType"].isin(SAMPLING) & (event["place"] != "") & ~emptied
    # A find that leaves no event behind follows the plan of its place; one in the open needs none.
    loose = row.map(emptied & ~spot.isin(spot[sampled])).astype(bool)
    first = spot[sampled & event.index.isin(plans.index)].drop_duplicates()
    at_spot = spot.map(pd.Series(first.index, index=first))
    source = row.where(~row.map(emptied).astype(bool), row.map(at_spot))
    planned = plans.reindex(source).set_axis(row.index).astype(object)
    free = row[loose]
    cells = generalised_positions(event.loc[free], pd.Series(level, index=free.to_numpy(), dtype=object))
    for name, column in zip(PLAN[2:], cells, strict=False):
        planned.loc[free.index, name] = cells[column].to_numpy()
    planned.loc[free.index, "level"] = level
    planned.loc[free.index, "step"] = step.loc[free].to_numpy()
    gone = planned["level"].isna()
    kept = planned[~gone].assign(event=row[~gone])
    own = step.loc[kept["event"]].set_axis(kept.index)
    steps = kept["step"].combine(own, lambda one, other: max(one, other, key=STEPS.index)).astype(object)
    kept = kept.assign(step=steps)
    found = dates_of_finds(event).loc[kept["event"]].set_axis(kept.index)
    return kept.assign(eventDate=coarse_dates(found, steps)), gone


def _joined(columns: pd.DataFrame) -> pd.Series:
    texts = [text_column(columns, name).astype(object) for name in columns]
    said = texts[0]
    for text in texts[1:]:
        said = said + "\x1f" + text
    return said


def shown_levels(level: pd.Series, twins: Twins) -> pd.Series:
    """Levels of the events, those that do not stay behind as coarse as their animals ask for."""
    return level_names(level.map(rank_of).combine(twins.finest, max))
