"""Rows that count animals by sex or age (`2 M, 1 F`, `3 (1 juv)`) -> one row a part, their counts adding up.

A row that also has a mark or a measure stays whole: nobody can tell to which of its animals they belong.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from dwc_pipeline.core.changes import CHANGE_FIELDS
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.terms.sheet import sheet_fields

#: the words in which a count cell tells its parts apart
PARTS = "individualCount/parts"
FACTS = ("sex", "lifeStage")


def with_animals_apart(records: Records) -> Records:
    """The records with a capture row for each part of a count; the first part keeps the row, the others follow."""
    rows = records.standard.get("capture")
    if rows is None or PARTS not in rows:
        return records
    parts = {row: json.loads(text) for row, text in rows[PARTS].items() if text}
    parts = {row: several for row, several in parts.items() if len(several) > 1}
    parts = {row: several for row, several in parts.items() if can_be_split(rows.loc[row], several)}
    if not parts:
        return records
    first_new = int(rows.index.max()) + 1
    extra = [row for row, several in parts.items() for _ in several[1:]]
    added = pd.RangeIndex(first_new, first_new + len(extra))
    standard = pd.concat([rows, rows.loc[extra].set_axis(added)])
    where = [*parts, *added]
    told = [several[0] for several in parts.values()] + [one for several in parts.values() for one in several[1:]]
    standard.loc[where, "individualCount"] = [str(one["count"]) for one in told]
    for term in FACTS:
        said = pd.Series([one.get(term, "") for one in told], index=where, dtype=object)
        if (said != "").any():
            own = text_column(standard, term)
            standard[term] = own.where(~own.index.isin(said[said != ""].index), said.reindex(own.index))
    tidy = with_rows_again(records.tidy["capture"], np.array(extra, dtype=np.intp))
    return records.with_(
        changes=[split_changes(tidy, where, told)],
        standard={**records.standard, "capture": standard},
        tidy={**records.tidy, "capture": tidy},
    )


def can_be_split(row: pd.Series, parts: list[Mapping[str, object]]) -> bool:
    """True if nothing on the row belongs to one animal alone, and no other column says another sex or age."""
    single = [name for name, field in sheet_fields("capture").items() if field.reading in ("measure", "mark")]
    if any(row.get(name, "") for name in single if name not in ("gps_accuracy",)):
        return False
    if any(row[name] for name in row.index if name.startswith("measurement:") and "/" not in name):
        return False
    return all(not row.get(term, "") or {one.get(term, "") for one in parts} <= {row[term], ""} for term in FACTS)


def with_rows_again(tidy: TidyTable, rows: np.ndarray) -> TidyTable:
    """The tidy rows with some of them once more at the end, each with the cells it came from."""
    start = len(tidy.text)
    again = pd.DataFrame({"tidy_row": rows, "line": np.arange(start, start + len(rows))})
    cells = tidy.cells.merge(again, on="tidy_row")
    cells = cells.assign(tidy_row=cells["line"])[list(tidy.cells.columns)]
    return replace(
        tidy,
        text=pd.concat([tidy.text, tidy.text.loc[rows]], ignore_index=True),
        origin=pd.concat([tidy.origin, tidy.origin.loc[rows]], ignore_index=True),
        stored={
            name: pd.concat([series, series.loc[rows]], ignore_index=True) for name, series in tidy.stored.items()
        },
        cells=pd.concat([tidy.cells, cells], ignore_index=True) if len(cells) else tidy.cells,
    )


def split_changes(tidy: TidyTable, rows: list[int], told: list[Mapping[str, object]]) -> pd.DataFrame:
    """A change for the count of each part, and for the sex or age that it states."""
    verbatim = tidy.verbatim("individualCount")
    lines = [
        ("capture", row, "individualCount", term, verbatim[row], str(value))
        for row, one in zip(rows, told, strict=True)
        for term, value in {"individualCount": one["count"], **{t: one[t] for t in FACTS if t in one}}.items()
    ]
    frame = pd.DataFrame(lines, columns=["kind", "tidy_row", "field", "term", "before", "after"])
    note = "the cell counts animals of different sex or age; each part is a record of its own"
    return frame.assign(rule="animals-taken-apart", decided_by="rule", note=note)[list(CHANGE_FIELDS)]
