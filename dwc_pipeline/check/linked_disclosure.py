"""Does another row give away what a record says it withholds?

A record that is generalised hangs on an event, and other events may be at the same place. Source: Simple Darwin Core
(2023-09-13), section 5; that linked rows count is common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags, rows_at_fault
from dwc_pipeline.check.event_join import EventJoin
from dwc_pipeline.check.hierarchy.event_tree import OCCURRENCE, EventTree, build_tree
from dwc_pipeline.check.part_block import Block
from dwc_pipeline.check.value_check import ValueFindings
from dwc_pipeline.check.values.disclosure_rules import (
    DISCLOSURE_CHECKS,
    LATITUDE,
    LONGITUDE,
    PEOPLE,
    PRECISION,
    STATEMENTS,
    UNCERTAINTY,
    VERBATIM_PLACES,
    WORDY_PLACES,
    coarse_check,
    finer_check,
    is_precise,
    speaks_of_place,
)
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC

#: what an event can tell of a record on it
TOLD_BY_EVENTS = (LATITUDE, LONGITUDE, UNCERTAINTY, PRECISION, *VERBATIM_PLACES, *WORDY_PLACES, *PEOPLE, *STATEMENTS)
LOCATION_ID = DWC + "locationID"


@flags(
    Rule(
        id="withheld-place-is-precise-in-another-event",
        severity=Severity.ERROR,
        what="An event says that its place is withheld or generalised, and another with the same locationID, "
        "or its parent or child, has precise coordinates.",
        why="The identifier leads from one to the other: whoever looks it up has the exact point.",
        remedy="Generalise all events at that place and those above and below it, or unlink the sensitive ones.",
        source="Simple Darwin Core (2023-09-13), section 5 (dataGeneralizations); linked rows: ours",
    )
)
def same_place_check(tree: EventTree) -> Iterator[Fault]:
    """Places are coarse in all their events, or in none; parents and children count too."""
    places = tree.text(LOCATION_ID)
    withheld = _says_withheld([tree.text(term) for term in STATEMENTS])
    if not withheld.any():
        return
    linked = np.isin(places, np.unique(places[withheld & (places != "")]))
    children = np.flatnonzero(tree.is_child)
    linked[tree.parent[children[withheld[children]]]] = True
    linked[children[withheld[tree.parent[children]]]] = True
    candidates = np.flatnonzero(linked & ~withheld)
    point = [tree.text(term)[candidates] for term in (LATITUDE, LONGITUDE, UNCERTAINTY)]
    wrong = candidates[[is_precise(*texts) for texts in zip(*point, strict=True)]]
    what = "is precise, and an event at the same place, or its parent or child, is withheld"
    yield from rows_at_fault(tree.events, tree.labels(wrong), what, LATITUDE, tree.ids_at)


def _says_withheld(statements: list[np.ndarray]) -> np.ndarray:
    """Rows whose statements speak of the place; each distinct pair is read once."""
    pairs = pd.Series(list(zip(*statements, strict=True)), dtype=object)
    codes, distinct = pd.factorize(pairs)
    return np.array([speaks_of_place(*pair) for pair in distinct] or [False], dtype=bool)[codes]


class OccurrenceDisclosure:
    """Gathers what events give away of occurrences that say something of withholding, block by block."""

    def __init__(self, today: dt.date) -> None:
        self._today = today
        self._found = ValueFindings([one for one in DISCLOSURE_CHECKS if one not in (coarse_check, finer_check)])

    def take(self, part: ArchivePart, events: EventJoin) -> None:
        """Judge some occurrences with what their events tell; a term of their own goes before the event's."""
        if part.row_type != OCCURRENCE or not any(term in part.rows for term in STATEMENTS):
            return
        at = events.at(part)
        chosen = (at >= 0) & ((part.text(STATEMENTS[0]) != "") | (part.text(STATEMENTS[1]) != "")).to_numpy()
        if not chosen.any():
            return
        labels = part.rows.index[chosen]
        told = {}
        for term in TOLD_BY_EVENTS:
            own = part.text(term)[labels]
            told[term] = own.where(own != "", pd.Series(events.texts(term, at[chosen]), index=labels))
        self._found.take(Block(replace(part, rows=pd.DataFrame(told, index=labels)), self._today))

    def findings(self, name: str) -> pd.DataFrame:
        """What was given away in the archive that the person knows as `name`."""
        return self._found.findings(name)


def check_linked_places(contents: ArchiveContents) -> pd.DataFrame:
    """Findings about what events give away of each other."""
    tree = build_tree(contents)
    if tree is None:
        return join_findings([])
    return join_findings(check.findings(tree, contents.name) for check in LINKED_CHECKS)


LINKED_CHECKS: tuple[Check[EventTree], ...] = (same_place_check,)
#: all that says whether an archive gives something away
DISCLOSURE_RULES = frozenset(
    [*(check.rule.id for check in DISCLOSURE_CHECKS), *(check.rule.id for check in LINKED_CHECKS)]
) - {coarse_check.rule.id}
