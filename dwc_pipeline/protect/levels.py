"""How coarsely each place is shown: the coarsest of what its animals, its ground and its company ask for.

The level belongs to the place, never to one event: the checks of an array hang together by their dates and their
session, so that one exact check would give away its coarse neighbours. Nor is a place exact in a cell that stands
for a sensitive animal: the gap in a row of exact arrays would say where the coarse one lies.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fnmatch import fnmatchcase

import pandas as pd

from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.protect.grid import LEVEL_OF_CATEGORY, LEVELS, WITHHELD, rank_of, snapped
from dwc_pipeline.sharing_settings import Property, Protect
from dwc_pipeline.terms.checklist import Checklist

TAXON_COLUMNS = ("scientificName", "genus", "family", "order", "class", "phylum", "kingdom")
#: a sensitive taxon for which the checklist names no category counts as highly sensitive.
CATEGORY_IF_NOT_SAID = 2


def sensitive_taxa(protect: Protect, checklist: Checklist) -> dict[str, str]:
    """Name -> level; what the survey file says of a taxon rules over the checklist."""
    found: dict[str, str] = {}
    if protect.use_checklist:
        for name, taxon in checklist.taxa.items():
            if taxon.sensitive:
                found[name] = LEVEL_OF_CATEGORY[_category(taxon.sensitive)]
    return found | {name: LEVEL_OF_CATEGORY[category] for name, category in protect.taxa.items()}


def _category(words: str) -> int | str:
    if WITHHELD in words.lower():
        return WITHHELD
    number = re.search(r"\b[1-4]\b", words)
    return int(number.group()) if number else CATEGORY_IF_NOT_SAID


def taxon_ranks(occurrence: pd.DataFrame, taxa: Mapping[str, str]) -> pd.Series:
    """Per occurrence the rank of the level its taxon asks for.

    An animal known only to its genus counts as any sensitive species of the genus: it may be one.
    """
    rank = pd.Series(0, index=occurrence.index)
    by_name = {name: rank_of(level) for name, level in taxa.items()}
    by_genus: dict[str, int] = {}
    for name, level in by_name.items():
        genus = name.split()[0]
        by_genus[genus] = max(level, by_genus.get(genus, 0))
    species = text_column(occurrence, "genus") + " " + text_column(occurrence, "specificEpithet")
    accepted = text_column(occurrence, "acceptedNameUsage").str.split().str[:2].str.join(" ").fillna("")
    for column in (*(text_column(occurrence, name) for name in TAXON_COLUMNS), species, accepted):
        rank = rank.combine(column.map(by_name).fillna(0).astype(int), max)
    only_genus = text_column(occurrence, "specificEpithet") == ""
    name = text_column(occurrence, "scientificName").str.split().str[0].fillna("")
    to_genus = name.map(by_genus).fillna(0).astype(int).where(only_genus, 0)
    return rank.combine(to_genus, max)


def place_keys(event: pd.DataFrame) -> pd.Series:
    """What shares one level: the events of a place; an event without a place stands alone."""
    return ("place " + event["place"]).where(event["place"] != "", "event " + event["eventID"])


def properties_of(event: pd.DataFrame, properties: tuple[Property, ...]) -> pd.Series:
    """Number of the private property of each event; -1 where it lies on none.

    A find without a place, in a cell that holds a place of a property, may lie on it and counts as on it.
    """
    place = event["place"]
    number_of_place = {
        code: next((n for n, one in enumerate(properties) if any(fnmatchcase(code, p) for p in one.places)), -1)
        for code in place.unique()
    }
    found = place.map(number_of_place).astype(int)
    placed = (event["decimalLatitude"] != "") & (event["decimalLongitude"] != "")
    for number, one in enumerate(properties):
        if one.grid == WITHHELD:
            continue
        own = event[placed & (found == number)]
        loose = event[placed & (found == -1) & (place == "")]
        found.loc[loose.index[cells_of(loose, one.grid).isin(cells_of(own, one.grid))]] = number
    return found


def cells_of(position: pd.DataFrame, grid: str) -> pd.Series:
    """The cell of each position as text; "" where there is none, and everywhere if no grid is shown."""
    if grid == WITHHELD:
        return pd.Series("", index=position.index, dtype=object)

    def of_pairs(pairs: pd.DataFrame) -> pd.Series:
        every = pairs.itertuples(index=False, name=None)
        cells = [" ".join(snapped(degrees, grid) for degrees in pair) if all(pair) else "" for pair in every]
        return pd.Series(cells, dtype=object)

    return on_distinct_rows(position[["decimalLatitude", "decimalLongitude"]], of_pairs)


def ruled_ranks(event: pd.DataFrame, owner: pd.Series, properties: tuple[Property, ...], least: str) -> pd.Series:
    """Per event the rank of the level of its place: the coarser of place rule and least grid."""
    grids = {number: rank_of(one.grid) for number, one in enumerate(properties)} | {-1: 0}
    rank = owner.map(grids).astype(int).clip(lower=rank_of(least))
    return rank.groupby(place_keys(event)).transform("max")


def animal_ranks(event: pd.DataFrame, occurrence: pd.DataFrame, taxa: Mapping[str, str]) -> pd.Series:
    """Per event the rank that animals ask for: those of its place, and those of places in the same cell."""
    of_taxa = taxon_ranks(occurrence, taxa).groupby(occurrence["eventID"]).max()
    rank = event["eventID"].map(of_taxa).fillna(0).astype(int)
    keys = place_keys(event)
    cells = {grid: cells_of(event, grid) for grid in map(_grid_of, LEVELS[1:])}
    while True:
        spread = with_neighbours(rank.groupby(keys).transform("max"), cells)
        if spread.equals(rank):
            return rank
        rank = spread


def with_neighbours(rank: pd.Series, cells: Mapping[str, pd.Series]) -> pd.Series:
    """Ranks after which no event in the cell of a coarse one is finer. cells: of the events, by grid."""
    for level in LEVELS[1:]:
        grid = _grid_of(level)
        hit = cells[grid].isin(set(cells[grid][rank == rank_of(level)]) - {""})
        rank = rank.where(~hit, rank.clip(lower=rank_of(grid)))
    return rank


def _grid_of(level: str) -> str:
    """The grid whose cells stand for a level: its own; round withheld places the coarsest one."""
    return LEVELS[-2] if level == WITHHELD else level


def level_names(rank: pd.Series) -> pd.Series:
    """Ranks as levels."""
    return rank.map(dict(enumerate(LEVELS))).astype(object)
