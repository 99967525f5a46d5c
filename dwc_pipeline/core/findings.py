"""Findings as plain rows: what a rule says about one or more cells.

A frame of findings has the columns FINDING_FIELDS. A finding points at cells either by address (file,
sheet, row, column) or, before addresses are looked up, by tidy row (`kind`, `tidy_row`, `field`).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable

import pandas as pd

from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.rule import RULES, Rule

#: one line a cell. cause: what groups the cells of one fault, so that one wrong site name in 40 rows is one
#: finding with 40 cells. readings: " | " between what could be put instead, best first.
FINDING_FIELDS = (
    "rule",
    "cause",
    "kind",
    "tidy_row",
    "field",
    "file",
    "sheet",
    "row",
    "column",
    "value",
    "message",
    "readings",
)
NO_ROW = -1
#: rows named in a message; what a sheet's rows are numbered today must not name a fault
ROW_NUMBERS = re.compile(r"\b([Rr]ows?) \d+(?:(?:, | and |[-–])\d+)*")
READINGS_SEPARATOR = " | "
NO_FINDINGS = pd.DataFrame(columns=list(FINDING_FIELDS))


def findings_on_rows(
    rule: Rule,
    kind: str,
    rows: pd.Index,
    field: str,
    *,
    value: pd.Series | str = "",
    message: pd.Series | str,
    readings: pd.Series | str = "",
    cause: pd.Series | str | None = None,
) -> pd.DataFrame:
    """Findings of one rule about one field of some tidy rows.

    rows: labels of the tidy table `kind`; the Series among the other arguments are indexed by them.
    cause: groups the cells of one fault; the value and message, less the numbers of rows in it, where it is not
    given. With the rule it makes the identifier of the finding, so it must not name a row.
    """
    if rows.empty:
        return as_findings([])
    frame = pd.DataFrame({"tidy_row": rows.to_numpy()}, index=rows)
    frame["rule"], frame["kind"], frame["field"] = rule.id, kind, field
    frame["value"], frame["message"], frame["readings"] = value, message, readings
    frame["cause"] = default_cause(frame["value"], frame["message"]) if cause is None else cause
    frame["file"] = frame["sheet"] = frame["column"] = ""
    frame["row"] = 0
    return frame[list(FINDING_FIELDS)].reset_index(drop=True)


def default_cause(value: pd.Series, message: pd.Series) -> pd.Series:
    """Value and message, without the numbers of rows that the message names."""
    return value + "\x1f" + on_distinct(message, lambda texts: texts.str.replace(ROW_NUMBERS, r"\1", regex=True))


def finding_at(
    rule: Rule,
    *,
    message: str,
    file: str = "",
    sheet: str = "",
    row: int = 0,
    column: str = "",
    value: str = "",
    field: str = "",
    readings: Iterable[str] = (),
    cause: str = "",
) -> dict[str, object]:
    """One finding at a known address; row 0 or column "" where the whole sheet or file is meant."""
    return {
        "rule": rule.id,
        "cause": cause or value + "\x1f" + ROW_NUMBERS.sub(r"\1", message),
        "kind": "",
        "tidy_row": NO_ROW,
        "field": field,
        "file": file,
        "sheet": sheet,
        "row": row,
        "column": column,
        "value": value,
        "message": message,
        "readings": READINGS_SEPARATOR.join(readings),
    }


def as_findings(rows: Iterable[dict[str, object]]) -> pd.DataFrame:
    """A frame of findings from single ones."""
    given = list(rows)
    return pd.DataFrame(given, columns=list(FINDING_FIELDS)) if given else NO_FINDINGS.copy()


def join_findings(frames: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """All findings in one frame, in the order given."""
    filled = [frame for frame in frames if len(frame)]
    return pd.concat(filled, ignore_index=True) if filled else as_findings([])


def stable_id(*parts: str) -> str:
    """A short identifier that is the same in every run for the same parts.

    >>> stable_id("a", "b") == stable_id("a", "b")
    True
    """
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:10]


def severity_of(findings: pd.DataFrame) -> pd.Series:
    """The severity of each finding's rule."""
    return findings["rule"].map(lambda rule: str(RULES[rule].severity))
