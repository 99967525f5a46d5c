"""Which animals are snakes, lizards, turtles, frogs or salamanders: by the checklist's own parents, else by family.

Source: orders of amphibians and reptiles; the families of snakes from memory, for checklists that give no parents.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import text_column

SNAKE_FAMILIES = frozenset({
    "Acrochordidae", "Aniliidae", "Anomalepididae", "Atractaspididae", "Boidae", "Bolyeriidae", "Charinidae",
    "Colubridae", "Cylindrophiidae", "Dipsadidae", "Elapidae", "Gerrhopilidae", "Homalopsidae", "Hydrophiidae",
    "Lamprophiidae", "Leptotyphlopidae", "Loxocemidae", "Natricidae", "Pareidae", "Pythonidae", "Tropidophiidae",
    "Typhlopidae", "Uropeltidae", "Viperidae", "Xenodermatidae", "Xenodontidae", "Xenopeltidae",
})  # fmt: skip
SNAKES = "Serpentes"
GROUP_OF_ORDER = {
    "Squamata": "lizard",
    "Testudines": "turtle",
    "Anura": "frog",
    "Caudata": "salamander",
    "Urodela": "salamander",
}


def animal_group(view: pd.DataFrame, checklist: pd.DataFrame) -> pd.Series:
    """The group of each animal; "" where it is none of these or not known so far, as a squamate without a family.

    view: with scientificName, order, family.
    """
    family, name = text_column(view, "family"), text_column(view, "scientificName")
    snakes = SNAKE_FAMILIES | below(SNAKES, checklist)
    is_snake = family.isin(snakes) | name.isin(snakes | {SNAKES})
    group = text_column(view, "order").map(GROUP_OF_ORDER).fillna("")
    unsure = (group == "lizard") & (family == "") & ~is_snake
    return group.mask(is_snake, "snake").mask(unsure, "")


def below(taxon: str, checklist: pd.DataFrame) -> frozenset[str]:
    """Every name that the checklist puts under a taxon."""
    name, parent = text_column(checklist, "scientificName"), text_column(checklist, "parentNameUsage")
    found: set[str] = set()
    fresh = {taxon}
    while fresh:
        fresh = set(name[parent.isin(fresh)]) - found - {taxon}
        found |= fresh
    return frozenset(found)
