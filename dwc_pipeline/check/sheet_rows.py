"""Rows of the field sheets with what was typed beside what was read."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.records import Records


def as_read(records: Records, kind: str) -> pd.DataFrame:
    """Standard rows with what was typed beside them, as `<field>_typed`, and where they stand.

    Adds kind, tidy_row, file, sheet, sheet_row, entry (table of the survey file, from 0) and `where`, the address in
    words.
    """
    rows = records.standard.get(kind, pd.DataFrame())
    if kind not in records.tidy:
        return rows.assign(kind=kind, tidy_row=rows.index)
    typed = records.tidy[kind].text.reindex(rows.index).add_suffix("_typed")
    origin = records.tidy[kind].origin.reindex(rows.index)
    source = records.sources[["file", "sheet", "entry"]].reindex(origin["source"])
    placed = pd.concat([rows, typed], axis=1).assign(
        kind=kind,
        tidy_row=rows.index,
        file=source["file"].to_numpy(),
        sheet=source["sheet"].to_numpy(),
        entry=source["entry"].to_numpy(),
        sheet_row=origin["row"].to_numpy(),
    )
    sheet = (', sheet "' + placed["sheet"] + '"').where(placed["sheet"] != "", "")
    return placed.assign(where=placed["file"] + sheet + ", row " + placed["sheet_row"].astype(str))
