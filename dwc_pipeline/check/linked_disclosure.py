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
from dwc_pipeline.check.hierarchy.event_tree import EventTree, build_tree
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
    yield from rows_at_fault(tree.events, tree.labels(wrong), tree.ids, what, LATITUDE)


def _says_withheld(statements: list[np.ndarray]) -> np.ndarray:
    """Rows whose statements speak of the place; each distinct pair is read once."""
    pairs = pd.Series(list(zip(*statements, strict=True)), dtype=object)
    codes, distinct = pd.factorize(pairs)
    return np.array([speaks_of_place(*pair) for pair in distinct] or [False], dtype=bool)[codes]


def occurrences_with_their_events(tree: EventTree) -> ArchivePart | None:
    """The occurrences that say something of withholding, with what their events tell of them; None if none says so.

    A term that the occurrence has itself goes before its event's.
    """
    rows = tree.occurrences
    if rows is None or not any(term in rows.rows for term in STATEMENTS):
        return None
    chosen = (tree.at >= 0) & ((rows.text(STATEMENTS[0]) != "") | (rows.text(STATEMENTS[1]) != "")).to_numpy()
    if not chosen.any():
        return None
    labels, at = rows.rows.index[chosen], tree.at[chosen]
    told = {}
    for term in TOLD_BY_EVENTS:
        own = rows.text(term)[labels]
        told[term] = own.where(own != "", pd.Series(tree.text(term)[at], index=labels))
    return replace(rows, rows=pd.DataFrame(told, index=labels))


def check_linked_disclosure(contents: ArchiveContents, today: dt.date) -> pd.DataFrame:
    """Findings about what events give away of records on them and of each other."""
    tree = build_tree(contents)
    if tree is None:
        return join_findings([])
    frames = [check.findings(tree, contents.name) for check in LINKED_CHECKS]
    joined = occurrences_with_their_events(tree)
    if joined is not None:
        found = ValueFindings(
            [check for check in DISCLOSURE_CHECKS if check not in (coarse_check, finer_check)], today
        )
        found.take(joined)
        frames.append(found.findings(contents.name))
    return join_findings(frames)


LINKED_CHECKS: tuple[Check[EventTree], ...] = (same_place_check,)
#: all that says whether an archive gives something away
DISCLOSURE_RULES = frozenset(
    [*(check.rule.id for check in DISCLOSURE_CHECKS), *(check.rule.id for check in LINKED_CHECKS)]
) - {coarse_check.rule.id}
