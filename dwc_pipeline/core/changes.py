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


def changes_on_rows(
    kind: str,
    rows: pd.Index,
    field: str,
    before: object,
    after: object,
    rule: str,
    note: str | pd.Series,
    term: str = "",
) -> pd.DataFrame:
    """Changes of one field by one rule: one line a row. before, after, note: a text, or a Series by row."""
    made = pd.DataFrame({"tidy_row": rows}, index=rows)
    made["kind"], made["field"], made["term"] = kind, field, term or field
    made["before"], made["after"] = before, after
    made["rule"], made["decided_by"], made["note"] = rule, "rule", note
    return made[list(CHANGE_FIELDS)].reset_index(drop=True)
