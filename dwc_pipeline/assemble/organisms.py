"""Marked animals: one organismID for each animal, within species and project.

The mark alone never makes the identifier: marks are reused and misread. Two captures are one animal where mark
and accepted species agree.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.identifiers import Assigned, assign_identifiers


def organisms(
    occurrence: pd.DataFrame, mark: pd.Series, code: str, register: pd.DataFrame
) -> tuple[pd.Series, Assigned]:
    """organismID per occurrence ("" for unmarked animals), and the register of organisms.

    occurrence: with scientificName, indexed like mark. mark: standard mark, "" where none.
    """
    name = occurrence["scientificName"]
    marked = (mark != "") & (name != "")
    animals = pd.DataFrame({"species": name[marked], "mark": mark[marked]}).drop_duplicates()
    stem = code + "-animal-" + animals["species"].str.replace(" ", "-")
    given = assign_identifiers("organism", stem, animals, register)
    key = pd.MultiIndex.from_frame(animals)
    by_animal = pd.Series(given.identifiers.to_numpy(), index=key)
    found = pd.Series("", index=occurrence.index, dtype=object)
    pairs = pd.MultiIndex.from_arrays([name[marked], mark[marked]])
    found[marked] = by_animal.reindex(pairs).to_numpy()
    return found, given
