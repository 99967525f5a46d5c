"""Some rows of a part of an archive, ready for rules that judge each distinct value or combination once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.check.quality.emptiness import is_empty
from dwc_pipeline.core.archive_contents import ArchivePart

#: stands among the terms of a rule for the day that counts as today, YYYY-MM-DD
TODAY = "today"
#: stands among the terms of a rule for what a row of the part is, by its identifier
ROW_TYPE = "row type"
Codes = NDArray[np.intp]


class Block:
    """Some rows of a part, each column looked at once.

    beside: columns that the part does not have and other rows tell, such as those of the events: the number of the
    value in each row, and the distinct values.
    """

    def __init__(
        self, part: ArchivePart, today: dt.date, beside: Mapping[str, tuple[Codes, list[str]]] | None = None
    ) -> None:
        self.part = part
        self._constants = {TODAY: today.isoformat(), ROW_TYPE: part.row_type}
        self._coded: dict[str, tuple[Codes, list[str]]] = dict(beside or {})
        self._told: dict[str, tuple[Codes, list[str]]] = {}

    def has(self, term: str) -> bool:
        """True if the rows have a column or a constant for the term."""
        return term in self._constants or term in self.part.rows or term in self._coded

    def with_beside(self, beside: Mapping[str, tuple[Codes, list[str]]]) -> Block:
        """The same rows with more columns; what is known of the others stays known."""
        wider = Block(self.part, dt.date.fromisoformat(self._constants[TODAY]))
        own = {term: coded for term, coded in self._coded.items() if term in self.part.rows}
        wider._coded = {**beside, **own}
        wider._told = {term: told for term, told in self._told.items() if term in self.part.rows}
        return wider

    def coded(self, term: str) -> tuple[Codes, list[str]]:
        """Number of the value in each row, and the distinct values."""
        if term not in self._coded:
            rows = self.part.rows
            if term in rows:
                self._coded[term] = coded(rows[term].to_numpy(dtype=object))
            else:
                return np.zeros(len(rows), dtype=np.intp), [self._constants.get(term, "")]
        return self._coded[term]

    def combinations(self, terms: Sequence[str]) -> tuple[Codes, list[tuple[str, ...]]]:
        """Number of the combination of values in each row, and the distinct combinations."""
        return self._combined([self.coded(term) for term in terms])

    def emptiness(self, terms: Sequence[str]) -> tuple[Codes, list[tuple[str, ...]]]:
        """The same with one value standing for all that are not Empty (nothing but U+0000 to U+0020)."""
        return self._combined([self._filled(term) for term in terms])

    def _filled(self, term: str) -> tuple[Codes, list[str]]:
        if term not in self._told:
            self._told[term] = self._what_is_told(term)
        return self._told[term]

    def _what_is_told(self, term: str) -> tuple[Codes, list[str]]:
        codes, distinct = self.coded(term)
        # Only what begins with a character up to U+0020 can be Empty.
        empty = np.array([not text or (text[0] <= " " and is_empty(text)) for text in distinct] or [True])
        some = next((text for text, nothing in zip(distinct, empty, strict=False) if not nothing), "")
        return np.where(empty, 0, 1)[codes].astype(np.intp), ["", some] if some else [""]

    def _combined(self, columns: Sequence[tuple[Codes, list[str]]]) -> tuple[Codes, list[tuple[str, ...]]]:
        together, count = np.zeros(len(self.part.rows), dtype=np.int64), 1
        for codes, distinct in columns:
            if len(distinct) > 1:
                # Numbers are counted anew each time, so that every one below `count` is there and none overflows.
                together = pd.factorize(together * len(distinct) + codes)[0].astype(np.int64)
                count = int(together.max(initial=0)) + 1
        firsts = first_rows(together, count)
        texts = [[values[code] for code in codes[firsts]] for codes, values in columns]
        return together.astype(np.intp), list(zip(*texts, strict=True)) if texts else [()]


def coded(texts: NDArray[np.object_]) -> tuple[Codes, list[str]]:
    """Number of the text in each row, and the distinct texts in the order in which they come."""
    codes, distinct = pd.factorize(texts)
    return codes, distinct.tolist()


def first_rows(codes: NDArray[np.int64], count: int) -> Codes:
    """The first row of each code; every code from 0 to count - 1 is there."""
    firsts = np.zeros(count if len(codes) else 0, dtype=np.intp)
    firsts[codes[::-1]] = np.arange(len(codes) - 1, -1, -1)
    return firsts
