"""Layout "species columns": one line a visit, one column a species, counts in the cells.

A zero means looked for and not found; a blank means not recorded, unless the survey file says otherwise. Every
line is also a visit: it gives one log row, so that a line of zeros stays an empty check.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.reshape.block import CELL_FIELDS, Block
from dwc_pipeline.reshape.header_match import match_headers
from dwc_pipeline.reshape.record_rows import record_rows
from dwc_pipeline.settings import Table
from dwc_pipeline.terms.sheet import sheet_fields

NOTHING = {"", "0", "-", "–", "—", "--", "none"}


def species_rows(table: RawTable, entry: Table, answers: Answers) -> dict[str, Block]:
    """Capture rows for every count above zero; a log row for every line where traps were checked."""
    match = match_headers(table, entry.columns)
    visits = record_rows(table, entry, answers)
    headers = dict(zip(table.text.columns, table.headers, strict=True))
    wide = table.text.loc[visits.sheet_rows, list(match.unmapped)].reset_index(drop=True)
    counts = wide.rename_axis(index="visit", columns="column").stack().rename("individualCount").reset_index()
    counts = counts[~counts["individualCount"].str.strip().str.casefold().isin(NOTHING)].reset_index(drop=True)
    text = visits.text.loc[counts["visit"]].reset_index(drop=True)
    text["verbatimIdentification"] = counts["column"].map(headers).astype(object)
    text["individualCount"] = counts["individualCount"].astype(object)
    rows = visits.sheet_rows.loc[counts["visit"]].reset_index(drop=True)
    header_row = max(table.header_rows, default=0)
    places = pd.concat(
        [
            pd.DataFrame(
                {"tidy_row": text.index, "field": "individualCount", "row": rows, "column": counts["column"]}
            ),
            pd.DataFrame(
                {
                    "tidy_row": text.index,
                    "field": "verbatimIdentification",
                    "row": header_row,
                    "column": counts["column"],
                }
            ),
        ],
        ignore_index=True,
    )
    findings = visits.findings[visits.findings["rule"] != "unmapped-column"]
    stored = {field: series.loc[counts["visit"]].reset_index(drop=True) for field, series in visits.stored.items()}
    captures = Block(
        text,
        rows,
        stored,
        visits.columns,
        places[list(CELL_FIELDS)],
        visits.aside,
        {},
        join_findings([findings]),
        answered=visits.answered,
    )
    log_fields = set(sheet_fields("trap_log"))
    kept = [field for field in visits.text if field in log_fields or field == "cell_remarks"]
    log_text = visits.text[kept].assign(action="checked")
    log = Block(
        log_text,
        visits.sheet_rows,
        {f: s for f, s in visits.stored.items() if f in log_fields},
        {f: letter for f, letter in visits.columns.items() if f in log_fields},
        visits.cells,
        {},
        {},
    )
    if "eventType" in visits.text and not visits.text["eventType"].isin(["", "trapCheck"]).all():
        return {"capture": captures}
    return {"trap_log": log, "capture": captures}
