"""The events of an archive as a tree, with the Humboldt row and the occurrences of each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.check.identifier_keys import NONE, Flags, KeyIndex, Positions
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.kept_column import Keys
from dwc_pipeline.terms.darwin_core import DWC, ECO
from dwc_pipeline.terms.detection import read_status

EVENT, OCCURRENCE, HUMBOLDT = DWC + "Event", DWC + "Occurrence", ECO + "Event"
EVENT_ID, PARENT = DWC + "eventID", DWC + "parentEventID"
LOST = -2
#: ancestors beyond this are left out of account
MOST_LEVELS = 50


@dataclass(frozen=True)
class EventTree:
    """Events by position 0, 1, 2 ... in the core.

    parent: position of the parent of each; NONE without parentEventID, LOST if it names no event.
    humboldt: the Humboldt part, or None. own: position of each Humboldt row's event, NONE if it has none.
    occurrences: the occurrence part, or None; at: position of each occurrence's event, NONE if it has none.
    """

    contents: ArchiveContents
    events: ArchivePart
    parent: Positions
    humboldt: ArchivePart | None
    own: Positions
    occurrences: ArchivePart | None
    at: Positions
    _computed: dict[str, pd.DataFrame] = field(default_factory=dict)

    def once(self, name: str, compute: Callable[[], pd.DataFrame]) -> pd.DataFrame:
        """What several rules need, computed by the first of them."""
        if name not in self._computed:
            self._computed[name] = compute()
        return self._computed[name]

    def ids_at(self, records: Sequence[int]) -> list[str]:
        """The identifiers of the events of some records of the core."""
        has_ids = bool(self.events.id_keys().any())
        return self.events.ids_at(records) if has_ids else self.events.texts_at(EVENT_ID, records)

    def labels(self, positions: Positions | Flags) -> pd.Index:
        """Labels of the events at some positions in the rows of the core."""
        return self.events.rows.index[positions]

    def text(self, term: str) -> NDArray[np.object_]:
        """A term of each event."""
        return self.events.text(term).to_numpy(dtype=object)

    def eco(self, name: str) -> NDArray[np.object_]:
        """A Humboldt term of each event, "" where it has none; of two rows of an event the first counts."""
        term = ECO + name
        values = self.text(term).copy()
        if self.humboldt is not None and self.humboldt.has(term):
            given = self.humboldt.text(term).to_numpy(dtype=object)
            known = np.flatnonzero(self.own >= 0)[::-1]
            values[self.own[known]] = given[known]
        return values

    def has_eco(self, name: str) -> bool:
        """True if the archive has that Humboldt term."""
        return self.events.has(ECO + name) or (self.humboldt is not None and self.humboldt.has(ECO + name))

    @cached_property
    def is_child(self) -> Flags:
        """Events whose parent is in the archive."""
        return self.parent >= 0

    @cached_property
    def is_parent(self) -> Flags:
        """Events that some other event names as its parent."""
        return np.bincount(self.parent[self.is_child], minlength=len(self.parent)).astype(bool)

    @cached_property
    def own_occurrences(self) -> NDArray[np.intp]:
        """Number of occurrence rows of each event."""
        return np.bincount(self.at[self.at >= 0], minlength=len(self.parent))

    @cached_property
    def in_cycle(self) -> Flags:
        """Events that are their own ancestors: where climbing as many steps as there are events still leads."""
        top = len(self.parent)
        above = np.append(np.where(self.is_child, self.parent, top), top)
        for _ in range(max(top, 1).bit_length()):
            above = above[above]
        return np.isin(np.arange(top), above[above < top])

    @cached_property
    def ancestry(self) -> tuple[Positions, Positions]:
        """Pairs of (event, ancestor), each event paired with itself too; cycles are left out."""
        here = np.arange(len(self.parent))
        start, above = [here], [here]
        current, origin = self.parent.copy(), here
        current[self.in_cycle] = NONE
        for _ in range(MOST_LEVELS):
            if not (current >= 0).any():
                break
            origin, current = origin[current >= 0], current[current >= 0]
            start.append(origin)
            above.append(current)
            current = np.where(self.in_cycle[current], NONE, self.parent[current])
        return np.concatenate(start), np.concatenate(above)


def judged(values: pd.Series, judge: Callable[[str], bool]) -> Flags:
    """What `judge` says of each value, asked once for each distinct one."""
    codes, distinct = pd.factorize(values.to_numpy(dtype=object))
    return np.array([judge(text) for text in distinct] or [False], dtype=bool)[codes]


def is_non_detection(word: str) -> bool:
    """True for a word of occurrenceStatus that says absent or not detected."""
    return read_status(word) == "false"


def build_tree(contents: ArchiveContents) -> EventTree | None:
    """The tree of an archive with an event core; None for any other."""
    core = contents.core
    if core is None or core.row_type != EVENT:
        return None
    parts = contents.by_row_type()
    humboldt, occurrences = parts.get(HUMBOLDT), parts.get(OCCURRENCE)
    index, named = KeyIndex(event_keys(core)), core.keys(PARENT)
    parent = index.positions(named)
    parent = np.where(named == 0, NONE, np.where(parent == NONE, LOST, parent))
    no_rows = np.empty(0, dtype=np.intp)
    return EventTree(
        contents,
        core,
        parent,
        humboldt,
        no_rows if humboldt is None else index.positions(row_event_keys(humboldt)),
        occurrences,
        no_rows if occurrences is None else index.positions(row_event_keys(occurrences)),
    )


def event_keys(events: ArchivePart) -> Keys:
    """A number for the identifier of each event of a core; 0 for ""."""
    keys = events.id_keys()
    return keys if keys.any() else events.keys(EVENT_ID)


def row_event_keys(part: ArchivePart) -> Keys:
    """A number for the identifier of the event of each row of an extension; 0 for ""."""
    return part.keys(EVENT_ID) if part.id_index is None else part.id_keys()
