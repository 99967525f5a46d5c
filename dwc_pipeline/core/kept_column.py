"""A column of a large archive in little memory: as numbers of distinct texts, as packed texts, or as hashes only."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Texts = NDArray[np.object_]
Keys = NDArray[np.uint64]
#: column and records of a part, counted from 0 -> their cells, looked up in the files
LookAgain = Callable[[int, Sequence[int]], list[str]]
#: stands between packed texts; a text that has it is not packed
SEPARATOR = "\x1f"


def keys_of(texts: Any) -> Keys:
    """A number of 64 bits for each text, 0 for "".

    Different numbers mean different texts. That two different texts share a number by accident happens once in
    10^19 pairs: among a million identifiers with odds of one to thirty million.
    """
    values = np.asarray(texts, dtype=object)
    if not len(values):
        return np.empty(0, dtype=np.uint64)
    keys: Keys = pd.util.hash_array(values, categorize=False)
    keys[keys == 0] = 1
    keys[(values == "").astype(bool)] = 0
    return keys


class KeptColumn(Protocol):
    """What is left of a column once its blocks are gone. Positions count the rows of the part from 0."""

    def texts(self) -> Texts:
        """All texts."""

    def texts_at(self, positions: Sequence[int]) -> list[str]:
        """The texts of some rows."""

    def blocks(self) -> Iterator[Texts]:
        """All texts, block by block as they were added."""

    def keys(self) -> Keys:
        """A number a row, equal for equal texts; 0 for ""."""


@dataclass
class KeptTexts:
    """A column that is needed as text: blocks of few different texts as numbers, others as one packed text."""

    _known: dict[str, int] = field(default_factory=dict)
    _pieces: list[NDArray[Any] | bytes] = field(default_factory=list)
    _ends: list[int] = field(default_factory=list)

    def add(self, codes: NDArray[np.intp], distinct: Sequence[str]) -> None:
        """Keep the rows of a block: the number of the text in each row, and the texts."""
        piece: NDArray[Any] | bytes
        if len(distinct) * 2 > len(codes) and not any(SEPARATOR in text for text in distinct):
            piece = SEPARATOR.join(np.array(distinct, dtype=object)[codes]).encode("utf-8", "surrogatepass")
        else:
            known = self._known
            numbers = np.array([known.setdefault(text, len(known)) for text in distinct] or [0], dtype=np.int64)
            piece = numbers.astype(np.min_scalar_type(max(int(numbers.max()), 0)))[codes]
        self._pieces.append(piece)
        self._ends.append((self._ends[-1] if self._ends else 0) + len(codes))

    def _texts_of(self, piece: NDArray[Any] | bytes, known: Texts) -> Texts:
        if isinstance(piece, bytes):
            return np.array(piece.decode("utf-8", "surrogatepass").split(SEPARATOR), dtype=object)
        return known[piece]

    def texts(self) -> Texts:
        """All texts; equal ones of the same block are one object."""
        return np.concatenate([np.empty(0, dtype=object), *self.blocks()])

    def blocks(self) -> Iterator[Texts]:
        """All texts, block by block as they were added."""
        known = np.array([*self._known, ""], dtype=object)
        for piece in self._pieces:
            yield self._texts_of(piece, known)

    def texts_at(self, positions: Sequence[int]) -> list[str]:
        """The texts of some rows."""
        known = np.array([*self._known, ""], dtype=object)
        opened: dict[int, Texts] = {}
        found = []
        for position in positions:
            number = int(np.searchsorted(self._ends, position, side="right"))
            if number not in opened:
                opened = {number: self._texts_of(self._pieces[number], known)}
            found.append(str(opened[number][position - (self._ends[number - 1] if number else 0)]))
        return found

    def keys(self) -> Keys:
        """A number a row."""
        known = keys_of([*self._known, ""])
        pieces = [
            keys_of(self._texts_of(piece, np.empty(0, dtype=object))) if isinstance(piece, bytes) else known[piece]
            for piece in self._pieces
        ]
        return np.concatenate([np.empty(0, dtype=np.uint64), *pieces])


@dataclass
class KeptKeys:
    """A column that only has to be compared, such as identifiers: eight bytes a row.

    look_again: fetches the texts of some rows from the file.
    """

    look_again: Callable[[Sequence[int]], list[str]]
    _pieces: list[Keys] = field(default_factory=list)

    def add(self, codes: NDArray[np.intp], distinct: Sequence[str]) -> None:
        """Keep the rows of a block."""
        self._pieces.append(keys_of(distinct)[codes] if len(distinct) else np.zeros(len(codes), dtype=np.uint64))

    def texts(self) -> Texts:
        """All texts, from the file."""
        return np.array(self.look_again(range(sum(map(len, self._pieces)))), dtype=object)

    def blocks(self) -> Iterator[Texts]:
        """All texts in one block, from the file."""
        yield self.texts()

    def texts_at(self, positions: Sequence[int]) -> list[str]:
        """The texts of some rows, from the file."""
        return self.look_again(positions) if len(positions) else []

    def keys(self) -> Keys:
        """A number a row."""
        if len(self._pieces) > 1:
            self._pieces = [np.concatenate(self._pieces)]
        return self._pieces[0] if self._pieces else np.empty(0, dtype=np.uint64)
