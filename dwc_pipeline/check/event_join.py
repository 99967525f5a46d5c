"""What the events of an archive tell of the rows that hang on them, for one block of rows after the other."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.check.hierarchy.event_tree import event_keys, row_event_keys
from dwc_pipeline.check.identifier_keys import KeyIndex
from dwc_pipeline.check.part_block import Codes, coded
from dwc_pipeline.core.archive_contents import ArchivePart


class EventJoin:
    """The events of a core, found by their identifiers."""

    def __init__(self, events: ArchivePart) -> None:
        self.events = events
        self._index = KeyIndex(event_keys(events))
        self._coded: dict[str, tuple[Codes, NDArray[np.object_]]] = {}

    def at(self, part: ArchivePart) -> Codes:
        """Position of the event of each row, NONE where it has none."""
        return self._index.positions(row_event_keys(part))

    def texts(self, term: str, at: Codes) -> NDArray[np.object_]:
        """A term of the events at some positions; "" where there is none."""
        codes, distinct = self._of_events(term)
        return distinct[np.where(at >= 0, codes[at], len(distinct) - 1)]

    def beside(self, terms: Iterable[str], at: Codes) -> dict[str, tuple[Codes, list[str]]]:
        """Terms of the events of some rows: number of the value in each row, and the distinct values."""
        found = {}
        for term in terms:
            codes, distinct = self._of_events(term)
            numbers, which = pd.factorize(np.where(at >= 0, codes[at], len(distinct) - 1))
            found[term] = numbers, distinct[which].tolist()
        return found

    def _of_events(self, term: str) -> tuple[Codes, NDArray[np.object_]]:
        """The number of each event's value, and the distinct values with "" at the end."""
        if term not in self._coded:
            codes, distinct = coded(self.events.text(term).to_numpy(dtype=object))
            small = codes.astype(np.min_scalar_type(max(len(distinct), 1)))
            self._coded[term] = small, np.array([*distinct, ""], dtype=object)
        return self._coded[term]
