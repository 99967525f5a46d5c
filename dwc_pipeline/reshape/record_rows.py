"""Layout "rows": one record a row, one column a field."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.changes import CHANGE_FIELDS
from dwc_pipeline.core.columns import mapped, where_true
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.records import LEFTOVER_FIELDS
from dwc_pipeline.reshape.block import CELL_FIELDS, Block
from dwc_pipeline.reshape.facts import Fact, sheet_facts
from dwc_pipeline.reshape.header_match import HeaderMatch, match_headers
from dwc_pipeline.reshape.marked_rows import read_marks
from dwc_pipeline.settings import Table

NOTHING_MAPPED = "no value in a column that feeds a field"


def record_rows(table: RawTable, entry: Table, answers: Answers) -> Block:
    """One tidy row for each data row with at least one value in a mapped column."""
    match = match_headers(table, entry.columns)
    facts, fact_findings = sheet_facts(table, entry)
    marks = read_marks(table, entry, answers)
    text = pd.DataFrame({field: table.text[letter] for field, letter in match.fields.items()}, index=table.text.index)
    blank = ~(text.apply(lambda column: column.str.strip()) != "").any(axis=1)
    aside = {int(row): NOTHING_MAPPED for row in text.index[blank]} | marks.aside
    text = text[~text.index.isin(list(aside))]
    sheet_rows = pd.Series(text.index, dtype="int64")
    stored = {
        field: table.stored.loc[text.index, letter].reset_index(drop=True)
        for field, letter in match.fields.items()
        if letter in table.stored
    }
    text = text.reset_index(drop=True)
    text, stored, changes = fill_down(text, stored, entry)
    text, stored, cells = add_facts(text, stored, facts)
    text["cell_remarks"] = mapped(sheet_rows, marks.remarks)
    leftovers = leftover_cells(table, match, sheet_rows)
    if entry.unmapped_columns == "remarks" and len(leftovers):
        said = leftovers["header"].where(leftovers["header"] != "", leftovers["column"]) + ": " + leftovers["value"]
        joined = said.groupby(leftovers["row"]).agg("; ".join)
        extra = mapped(sheet_rows, joined)
        both = (text["cell_remarks"] != "") & (extra != "")
        text["cell_remarks"] = text["cell_remarks"] + where_true(both, "; ") + extra
    return Block(
        text,
        sheet_rows,
        stored,
        dict(match.fields),
        cells,
        aside,
        {},
        join_findings([match.findings, fact_findings, marks.findings]),
        changes,
        leftovers,
        marks.answered,
    )


def fill_down(
    text: pd.DataFrame, stored: dict[str, pd.Series], entry: Table
) -> tuple[pd.DataFrame, dict[str, pd.Series], pd.DataFrame]:
    """Blank cells of the fields that the survey file names take the value above; each one is a change."""
    changes = []
    text, stored = text.copy(), dict(stored)
    for field in entry.fill_down:
        if field not in text:
            continue
        blank = text[field].str.strip() == ""
        filled = text[field].where(~blank, None).ffill().astype(object).where(lambda told: told.notna(), "")
        if field in stored:
            stored[field] = (
                stored[field].where(~blank, None).ffill().astype(object).where(lambda told: told.notna(), "")
            )
        hit = blank & (filled != "")
        text[field] = filled.where(hit, text[field])
        changes.append(
            pd.DataFrame(
                {
                    "kind": entry.holds,
                    "tidy_row": text.index[hit],
                    "field": field,
                    "term": field,
                    "before": "",
                    "after": filled[hit],
                    "rule": "filled-down",
                    "decided_by": "rule",
                    "note": "the survey file says that a blank repeats the value above",
                },
            )
        )
    frame = pd.concat(changes, ignore_index=True) if changes else pd.DataFrame(columns=list(CHANGE_FIELDS))
    return text, stored, frame


def carried_down(values: pd.Series, blank: pd.Series) -> pd.Series:
    """The values with blank ones replaced by the last one above that is not; "" where there is none."""
    carried = values.where(~blank, None).ffill().astype(object)
    return carried.where(carried.notna(), "")


def add_facts(
    text: pd.DataFrame, stored: dict[str, pd.Series], facts: list[Fact]
) -> tuple[pd.DataFrame, dict[str, pd.Series], pd.DataFrame]:
    """Facts fill fields that no column feeds, and the blank cells of those that one does."""
    cells = []
    text, stored = text.copy(), dict(stored)
    for fact in facts:
        blank = text[fact.field].str.strip() == "" if fact.field in text else pd.Series(True, index=text.index)
        text[fact.field] = text[fact.field].mask(blank, fact.text) if fact.field in text else fact.text
        if fact.stored:
            base = stored.get(fact.field, pd.Series("", index=text.index, dtype=object))
            stored[fact.field] = base.mask(blank, fact.stored)
        rows = text.index[blank]
        cells.append(
            pd.DataFrame({"tidy_row": rows, "field": fact.field, "row": fact.row, "column": fact.column}, index=rows)
        )
    frame = pd.concat(cells, ignore_index=True) if cells else pd.DataFrame(columns=list(CELL_FIELDS))
    return text, stored, frame


def leftover_cells(table: RawTable, match: HeaderMatch, sheet_rows: pd.Series) -> pd.DataFrame:
    """Every cell of a column that feeds nothing, with its address."""
    if not match.unmapped:
        return pd.DataFrame(columns=list(LEFTOVER_FIELDS))
    headers = dict(zip(table.text.columns, table.headers, strict=True))
    wide = table.text.loc[:, list(match.unmapped)]
    long = wide.rename_axis(index="row", columns="column").stack().rename("value").reset_index()
    long = long[long["value"].str.strip() != ""]
    long["header"] = long["column"].map(headers)
    return long.assign(file=table.file, sheet=table.sheet)[list(LEFTOVER_FIELDS)].reset_index(drop=True)
