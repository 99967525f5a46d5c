"""Layout "species columns": one line a visit, one column a species, counts in the cells.

A zero means looked for and not found; a blank means not recorded, unless the survey file says otherwise. Every
line is also a visit: it gives one row of the log, so that a line of zeros stays an empty check. Whether a line
without any count was a check is asked once a sheet.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.columns import text_column, where_true
from dwc_pipeline.core.findings import as_findings, finding_at, join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import SPEAKS_OF, THE_DAY
from dwc_pipeline.reshape.block import Block
from dwc_pipeline.reshape.cell_words import CHECKED, DASHES, EMPTY_WORDS
from dwc_pipeline.reshape.grid_signs import sign_meanings
from dwc_pipeline.reshape.record_rows import Visits, visit_rows
from dwc_pipeline.reshape.wide_rows import capture_block, log_block, visit_kind
from dwc_pipeline.settings import Table

TOTAL_HEADER = re.compile(
    r"(?:grand |sub ?)?totals?|sum|n|count|all(?: species)?|no\.? (?:of )?animals|# ?animals", re.I
)
NO_COUNT = frozenset({"", "0", "00", *DASHES, *EMPTY_WORDS})

TOTAL_COLUMN = declare(
    Rule(
        "total-among-the-species",
        Severity.NOTE,
        "A column between the species is a total; it was not read as a species.",
        "Read as a species it would double the catch.",
        'Write "" for it in [table.columns], or "captures_typed" to have it compared with the animals. If it is a '
        "species, give the column another header.",
    )
)


def species_rows(table: RawTable, entry: Table, answers: Answers) -> dict[str, Block]:
    """Capture rows for every count above zero; a log row for every line that was a visit."""
    visits = visit_rows(table, entry, answers, is_wide=True)
    headers = table.header_of
    totals = [letter for letter in visits.match.not_named if TOTAL_HEADER.fullmatch(headers[letter].strip())]
    species = [letter for letter in visits.match.not_named if letter not in totals]
    block = visits.block
    wide = table.text.loc[block.sheet_rows, species].reset_index(drop=True)
    captures = species_captures(table, entry, visits, wide)
    kind = visit_kind(entry)
    if kind == "trap_log" and not is_trapping(block):
        return {"capture": replace(captures, aside=block.aside, findings=block.findings, answered=block.answered)}
    log, findings, answered = visit_log(table, entry, answers, visits, wide)
    findings = join_findings([block.findings, findings, total_findings(table, totals, headers)])
    log = replace(log, aside={**block.aside, **log.aside}, findings=findings, answered=block.answered | answered)
    return {kind: log, "capture": captures}


def is_trapping(block: Block) -> bool:
    """True unless the rows themselves say that they are of another kind of event."""
    return "eventType" not in block.text or bool(block.text["eventType"].isin(["", "trapCheck"]).all())


def species_captures(table: RawTable, entry: Table, visits: Visits, wide: pd.DataFrame) -> Block:
    """One capture for each cell with a count; the name stands in the header."""
    counts = wide.rename_axis(index="visit", columns="column").stack().rename("individualCount").reset_index()
    counts = counts[~counts["individualCount"].str.strip().str.casefold().isin(NO_COUNT)].reset_index(drop=True)
    name_row = max(table.header_rows, default=0)
    names = counts["column"].map(table.header_of).astype(object)
    lines = counts.assign(verbatimIdentification=names, name_row=name_row)
    rows = visits.block.sheet_rows.iloc[lines["visit"]].reset_index(drop=True)
    return capture_block(visits.block, entry, lines, visits.marks.of_cells(rows, lines["column"]))


def visit_log(
    table: RawTable, entry: Table, answers: Answers, visits: Visits, wide: pd.DataFrame
) -> tuple[Block, pd.DataFrame, frozenset[str]]:
    """A row of the log for each line; a line whose cells are all blank needs the sheet's habit to be a check."""
    block, kind = visits.block, visit_kind(entry)
    said = (wide.apply(lambda column: column.str.strip()) != "").any(axis=1)
    acted = text_column(block.text, "action").str.strip() != ""
    doubtful = block.sheet_rows[~said & ~acted] if kind == "trap_log" else block.sheet_rows[:0]
    blank = pd.DataFrame({"row": doubtful, "column": "", "cell": ""})
    meaning, findings, answered = sign_meanings(
        table, entry, answers, blank, {"": "a line without any count"}, visits.match
    )
    is_check = meaning.get("", CHECKED) == CHECKED
    positions = np.flatnonzero((said | acted | is_check | (kind != "trap_log")).to_numpy())
    log = log_block(block, positions, kind)
    if kind == "trap_log":
        own = text_column(log.text, "action")
        is_told = own.str.strip() != ""
        speaks_of = where_true(~is_told, THE_DAY)
        log = replace(log, text=log.text.assign(action=own.where(is_told, CHECKED), **{SPEAKS_OF: speaks_of}))
    unsaid = set(doubtful) if not is_check else set()
    return replace(log, aside={int(row): "no count in any column of a species" for row in unsaid}), findings, answered


def total_findings(table: RawTable, totals: list[str], headers: dict[str, str]) -> pd.DataFrame:
    """A note for each column that was taken for a total."""
    return as_findings(
        finding_at(
            TOTAL_COLUMN,
            file=table.file,
            sheet=table.sheet,
            row=max(table.header_rows, default=0),
            column=letter,
            value=headers[letter],
            cause=headers[letter],
            message=f'column "{headers[letter]}" was taken for a total',
        )
        for letter in totals
    )
