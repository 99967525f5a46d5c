"""Every altered cell: what was typed, what stands now, which rule or person decided, and why."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from dwc_pipeline.core.distinct import Judged
from dwc_pipeline.core.verdict import Status

#: one line a cell and term. decided_by: "rule" or the name that signed the answer.
CHANGE_FIELDS = ("kind", "tidy_row", "field", "term", "before", "after", "rule", "decided_by", "note")


def changes_of(judged: Judged, verbatim: pd.Series, kind: str, field: str, term: str) -> pd.DataFrame:
    """The changes that the verdicts made to one field, `verbatim` indexed like the judged rows."""
    rows = judged.rows_where(lambda verdict: verdict.status is Status.CHANGED)
    frame = pd.DataFrame({"tidy_row": rows.to_numpy()}, index=rows)
    frame["kind"], frame["field"], frame["term"] = kind, field, term
    frame["before"] = verbatim.reindex(rows)
    frame["after"] = judged.value.reindex(rows)
    frame["rule"] = judged.spread([verdict.rule for verdict in judged.verdicts]).reindex(rows)
    frame["note"] = judged.spread([verdict.note for verdict in judged.verdicts]).reindex(rows)
    frame["decided_by"] = "rule"
    return frame[list(CHANGE_FIELDS)].reset_index(drop=True)


def join_changes(frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """All changes in one frame, in the order given."""
    filled = [frame for frame in frames if len(frame)]
    return pd.concat(filled, ignore_index=True) if filled else pd.DataFrame(columns=list(CHANGE_FIELDS))
