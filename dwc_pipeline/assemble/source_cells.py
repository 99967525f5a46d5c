"""Where rows stand in the raw files, in words, so that every number can be looked up on the page it came from."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.records import Records


def row_cells(records: Records, kind: str) -> pd.Series:
    """Where each tidy row stands: file, sheet and row in words."""
    if kind not in records.tidy:
        return pd.Series(dtype=object)
    origin = records.tidy[kind].origin
    source = records.sources[["file", "sheet"]].reindex(origin["source"])
    sheet = pd.Series(source["sheet"].to_numpy(), index=origin.index)
    file = pd.Series(source["file"].to_numpy(), index=origin.index)
    return file + (" " + sheet).where(sheet != "", "") + " row " + origin["row"].astype(str)


def entry_cells(records: Records, entries: pd.DataFrame) -> pd.Series:
    """Where each entry of an array stands, in words."""
    found = pd.Series("", index=entries.index, dtype=object)
    for kind, rows in entries.groupby("kind")["tidy_row"]:
        found.loc[rows.index] = row_cells(records, str(kind)).reindex(rows).to_numpy()
    return found


def visit_cells(records: Records, intervals: pd.DataFrame) -> pd.Series:
    """The log rows that begin and end each interval, and the row of a closing that was part of its check."""
    found = pd.Series("", index=intervals.index, dtype=object)
    ends = (("from ", "start_kind", "start_row"), ("to ", "kind", "tidy_row"), ("and ", "shut_kind", "shut_row"))
    for prefix, kind_column, row_column in ends:
        for kind, rows in intervals.groupby(kind_column)[row_column]:
            if kind:
                text = prefix + row_cells(records, str(kind)).reindex(rows)
                found.loc[rows.index] = (found.loc[rows.index] + " " + text.to_numpy()).str.strip()
    return found
