"""What the layouts share in which one sheet row is a visit and holds several captures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import joined, where_true
from dwc_pipeline.core.tidy import SPEAKS_OF, THE_END
from dwc_pipeline.reshape.block import CELL_FIELDS, Block
from dwc_pipeline.reshape.cell_words import animals_in
from dwc_pipeline.settings import Table
from dwc_pipeline.terms.sheet import sheet_fields

EVENT_OF_KIND = {"trap_log": "trapCheck", "road_run": "roadSurvey", "search": "coverSearch"}


def visit_kind(entry: Table) -> str:
    """What the rows of the sheet are as visits: as the survey file says, checks of traps if it speaks of captures."""
    return entry.holds if entry.holds in EVENT_OF_KIND else "trap_log"


def animals_named(cells: pd.DataFrame) -> pd.DataFrame:
    """One line for each animal that cells name, with verbatimIdentification, individualCount and name_row of
    `capture_block`. cells: `cell` as typed, and what else its lines are to hold.
    """
    by_text = {text: animals_in(text) for text in cells["cell"].unique()}
    long = cells.assign(animal=cells["cell"].map(by_text)).explode("animal", ignore_index=True)
    long = long[long["animal"].notna()].reset_index(drop=True)
    return long.assign(
        verbatimIdentification=[animal.name for animal in long["animal"]],
        individualCount=[animal.number for animal in long["animal"]],
        name_row=0,
    )


def capture_block(visits: Block, entry: Table, lines: pd.DataFrame, remarks: pd.Series) -> Block:
    """Captures of some visits.

    lines: visit (position in `visits`), column (letter of the cell), name_row (sheet row in which the name stands;
    the row of the visit where 0), verbatimIdentification and individualCount as typed. remarks: of single cells.
    """
    taken = visits.taken(lines["visit"].to_numpy(dtype=np.intp))
    ends = pd.Series(False, index=taken.text.index)
    if visit_kind(entry) == "trap_log" and "end_date" in taken.text:
        ends = taken.text["end_date"].str.strip() != ""
        taken = at_their_end(taken, ends)
    captures = taken.limited(set(sheet_fields("capture")))
    text = captures.text.copy()
    if ends.any():
        text[SPEAKS_OF] = where_true(ends, THE_END)
    for field in ("verbatimIdentification", "individualCount"):
        told = lines[field].astype(object).reset_index(drop=True)
        text[field] = told if field not in text else told.where(told != "", text[field])
    if "eventType" not in text:
        text["eventType"] = EVENT_OF_KIND[visit_kind(entry)]
    text["cell_remarks"] = joined(text["cell_remarks"], remarks.reset_index(drop=True))
    rows = captures.sheet_rows
    name_rows = lines["name_row"].reset_index(drop=True)
    name_rows = name_rows.where(name_rows > 0, rows)
    places = [
        pd.DataFrame({"tidy_row": text.index, "field": field, "row": row, "column": lines["column"].to_numpy()})
        for field, row in (("individualCount", rows), ("verbatimIdentification", name_rows))
    ]
    cells = pd.concat([*places, captures.cells], ignore_index=True)[list(CELL_FIELDS)]
    return replace(captures, text=text, cells=cells, changes=captures.changes.assign(kind="capture"))


def at_their_end(visits: Block, ends: pd.Series) -> Block:
    """The visits with date and time of their end, where a row is an interval: then the animals were found."""
    silent = pd.Series("", index=visits.text.index, dtype=object)
    text, stored, columns = visits.text.copy(), dict(visits.stored), dict(visits.columns)
    cells = visits.cells
    for end, field in (("end_date", "eventDate"), ("end_time", "eventTime")):
        text[field] = text.get(field, silent).mask(ends, text.get(end, silent))
        if end in stored or field in stored:
            stored[field] = stored.get(field, silent).mask(ends, stored.get(end, silent))
        if end in columns:
            rows = text.index[ends]
            own = pd.DataFrame(
                {"tidy_row": rows, "field": field, "row": visits.sheet_rows[ends], "column": columns[end]}
            )
            cells = pd.concat([own, cells], ignore_index=True)[list(CELL_FIELDS)]
            columns.setdefault(field, columns[end])
    return replace(visits, text=text, stored=stored, columns=columns, cells=cells)


def log_block(visits: Block, positions: np.ndarray, kind: str) -> Block:
    """The visits themselves, without what only a capture can have."""
    log = visits.taken(positions).limited(set(sheet_fields(kind)))
    return replace(log, changes=log.changes.assign(kind=kind))


def with_cells(block: Block, field: str, rows: pd.Series, columns: pd.Series) -> Block:
    """The block with the places of a field that is fed by another cell in each row."""
    own = pd.DataFrame(
        {"tidy_row": block.text.index, "field": field, "row": rows.to_numpy(), "column": columns.to_numpy()}
    )
    return replace(block, cells=pd.concat([own, block.cells], ignore_index=True)[list(CELL_FIELDS)])
