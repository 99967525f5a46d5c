"""Layout "rows": one record a row, one column a field."""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.changes import changes_on_rows, join_changes
from dwc_pipeline.core.columns import blank_rows, joined, mapped, where_true
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.records import LEFTOVER_FIELDS
from dwc_pipeline.reshape.block import CELL_FIELDS, Block
from dwc_pipeline.reshape.date_parts import date_columns, dates_put_together, of_whole_dates
from dwc_pipeline.reshape.facts import Fact, sheet_facts
from dwc_pipeline.reshape.fill_down import fill_changes, fill_down
from dwc_pipeline.reshape.header_match import COLUMN_FEEDS_NOTHING, HeaderMatch, match_headers
from dwc_pipeline.reshape.marked_rows import MarkedRows, read_marks
from dwc_pipeline.settings import Table

NOTHING_MAPPED = "no value in a column that feeds a field"


def record_rows(table: RawTable, entry: Table, answers: Answers) -> Block:
    """One tidy row for each data row with at least one value in a mapped column."""
    return visit_rows(table, entry, answers).block


class Visits(NamedTuple):
    """One tidy row a sheet row. match: which column feeds what. marks: what only formatting says."""

    block: Block
    match: HeaderMatch
    marks: MarkedRows


def visit_rows(table: RawTable, entry: Table, answers: Answers, is_wide: bool = False) -> Visits:
    """The rows of a sheet with their mapped columns, facts and remarks.

    is_wide: the columns that feed nothing hold data of their own (traps, species): a row that is filled only there
    is kept, and those cells are not left over.
    """
    match = match_headers(table, entry.columns)
    facts, fact_findings = sheet_facts(table, entry)
    marks = read_marks(table, entry, answers)
    text = pd.DataFrame({field: table.text[letter] for field, letter in match.fields.items()}, index=table.text.index)
    telling = table.text.loc[:, [*match.fields.values(), *(match.not_named if is_wide else ())]]
    blank = blank_rows((telling[letter] for letter in telling), text.index)
    aside = {int(row): NOTHING_MAPPED for row in blank} | marks.aside
    stored = {field: table.stored[letter] for field, letter in match.fields.items() if letter in table.stored}
    # Before rows are set aside: a blank means the value above on the sheet, also where that row is struck through.
    text, stored, filled = fill_down(text, stored, entry)
    kept = ~text.index.isin(list(aside))
    sheet_rows = pd.Series(text.index[kept], dtype="int64")
    text = text[kept].reset_index(drop=True)
    stored = {field: series[kept].reset_index(drop=True) for field, series in stored.items()}
    changes = fill_changes(filled[kept].reset_index(drop=True), text, entry)
    text, stored, cells = add_facts(text, stored, facts)
    text = dates_put_together(text, facts)
    stored = {field: series for field, series in stored.items() if field in text}
    cells = cells[cells["field"].isin(list(text))]
    text, opened = intervals_without_end(text, entry)
    own_columns = table.text.columns.difference(list(match.not_named)) if is_wide else None
    text["cell_remarks"] = marks.of_rows(sheet_rows, own_columns)
    leftovers = leftover_cells(table, () if is_wide else match.unmapped, sheet_rows)
    if entry.unmapped_columns == "remarks" and len(leftovers):
        said = leftovers["header"].where(leftovers["header"] != "", leftovers["column"]) + ": " + leftovers["value"]
        by_row = said.groupby(leftovers["row"]).agg("; ".join)
        text["cell_remarks"] = joined(text["cell_remarks"], mapped(sheet_rows, by_row))
    findings = match.findings[match.findings["rule"] != COLUMN_FEEDS_NOTHING.id] if is_wide else match.findings
    block = Block(
        text,
        sheet_rows,
        stored,
        date_columns(dict(match.fields)),
        cells,
        aside,
        {},
        join_findings([findings, fact_findings, marks.findings]),
        join_changes([of_whole_dates(changes), opened]),
        leftovers,
        marks.answered,
    )
    return Visits(block, match, marks)


def intervals_without_end(text: pd.DataFrame, entry: Table) -> tuple[pd.DataFrame, pd.DataFrame]:
    """On a log of intervals, a row with a beginning and no end is an opening, not a check."""
    if entry.holds != "trap_log" or "end_date" not in text or "action" in text:
        return text, join_changes([])
    without = text["end_date"].str.strip() == ""
    text = text.assign(action=where_true(without, "opened"))
    note = "a row of intervals without an end says that the array was opened"
    return text, changes_on_rows(
        entry.holds, text.index[without], "end_date", "", "opened", "interval-without-end", note, term="action"
    )


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


def leftover_cells(table: RawTable, unmapped: tuple[str, ...], sheet_rows: pd.Series) -> pd.DataFrame:
    """Every cell of a column that feeds nothing, with its address."""
    if not unmapped:
        return pd.DataFrame(columns=list(LEFTOVER_FIELDS))
    wide = table.text.loc[:, list(unmapped)]
    long = wide.rename_axis(index="row", columns="column").stack().rename("value").reset_index()
    long = long[long["value"].str.strip() != ""]
    long["header"] = long["column"].map(table.header_of)
    return long.assign(file=table.file, sheet=table.sheet)[list(LEFTOVER_FIELDS)].reset_index(drop=True)
