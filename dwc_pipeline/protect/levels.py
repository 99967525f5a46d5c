"""How coarsely each place is shown: the coarsest of what its animals, its ground and its company ask for.

The level belongs to the place, never to one event: the checks of an array hang together by their dates and their
session, so that one exact check would give away its coarse neighbours.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fnmatch import fnmatchcase

import pandas as pd

from dwc_pipeline.core.columns import text_column
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
        cells = set(_cells(own, one.grid))
        found.loc[[row for row, cell in zip(loose.index, _cells(loose, one.grid), strict=True) if cell in cells]] = (
            number
        )
    return found


def _cells(event: pd.DataFrame, grid: str) -> list[tuple[str, str]]:
    return [
        (snapped(latitude, grid), snapped(longitude, grid))
        for latitude, longitude in zip(event["decimalLatitude"], event["decimalLongitude"], strict=True)
    ]


def ruled_ranks(
    event: pd.DataFrame,
    occurrence: pd.DataFrame,
    owner: pd.Series,
    properties: tuple[Property, ...],
    taxa: Mapping[str, str],
    least: str,
) -> pd.Series:
    """Per event the rank of the level of its place: the coarsest of taxon rule, place rule and the least grid."""
    keys = place_keys(event)
    of_taxa = taxon_ranks(occurrence, taxa).groupby(occurrence["eventID"]).max()
    rank = event["eventID"].map(of_taxa).fillna(0).astype(int)
    grids = {number: rank_of(one.grid) for number, one in enumerate(properties)} | {-1: 0}
    rank = rank.combine(owner.map(grids).astype(int), max).clip(lower=rank_of(least))
    return rank.groupby(keys).transform("max")


def level_names(rank: pd.Series) -> pd.Series:
    """Ranks as levels."""
    return rank.map(dict(enumerate(LEVELS))).astype(object)
