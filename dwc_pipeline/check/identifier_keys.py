"""Identifiers compared by their keys of eight bytes: which are repeated, which row one leads to."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.core.kept_column import Keys

NONE = -1
#: keys that are looked up in one go, so that little memory is taken
AT_ONCE = 200_000
#: identifiers with equal keys that are compared as texts
MOST_LOOKED_AT_AGAIN = 10_000
Positions = NDArray[np.intp]
Flags = NDArray[np.bool_]


class KeyIndex:
    """Finds identifiers by their keys; of several that are equal, the first."""

    def __init__(self, keys: Keys) -> None:
        series = pd.Series(keys, copy=False)
        self._firsts = np.flatnonzero(~series.duplicated().to_numpy() & (keys != 0))
        self._index = pd.Index(keys[self._firsts])

    def positions(self, wanted: Keys) -> Positions:
        """Position of each wanted identifier; NONE for "" or one that is not there."""
        if not len(self._firsts):
            return np.full(len(wanted), NONE, dtype=np.intp)
        positions = np.empty(len(wanted), dtype=np.intp)
        for start in range(0, len(wanted), AT_ONCE):
            found = self._index.get_indexer(pd.Index(wanted[start : start + AT_ONCE]))
            positions[start : start + AT_ONCE] = np.where(found >= 0, self._firsts[found], NONE)
        return positions


def repeated_in(keys: Keys, texts_at: Callable[[Sequence[int]], list[str]]) -> Flags:
    """Rows whose identifier stands in another row too.

    keys: as of `keys_of`. Where few keys are shared, the texts are looked at once more: two texts may share one.
    """
    ordered = np.sort(keys)
    shared = np.unique(ordered[1:][ordered[1:] == ordered[:-1]])
    repeated = np.zeros(len(keys), dtype=bool)
    for start in range(0, len(keys) if len(shared) else 0, AT_ONCE):
        repeated[start : start + AT_ONCE] = np.isin(keys[start : start + AT_ONCE], shared)
    repeated &= keys != 0
    suspects = np.flatnonzero(repeated)
    if 0 < len(suspects) <= MOST_LOOKED_AT_AGAIN:
        texts = pd.Series(texts_at([int(position) + 1 for position in suspects]))
        repeated[suspects] = texts.duplicated(keep=False).to_numpy()
    return repeated
