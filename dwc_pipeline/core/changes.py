"""Every altered cell: what was typed, what stands now, which rule or person decided, and why."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

#: one line a cell and term. decided_by: "rule" or the name that signed the answer.
CHANGE_FIELDS = ("kind", "tidy_row", "field", "term", "before", "after", "rule", "decided_by", "note")


def join_changes(frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """All changes in one frame, in the order given."""
    filled = [frame for frame in frames if len(frame)]
    if not filled:
        return pd.DataFrame(columns=list(CHANGE_FIELDS))
    return pd.concat(filled, ignore_index=True)[list(CHANGE_FIELDS)]
