"""All raw tables -> one tidy table a kind, and what became of every raw row."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from dwc_pipeline.core.columns import without_gaps
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import RawTable, RowRole
from dwc_pipeline.core.records import ROW_FIELDS, Outcome, Records
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.reshape.block import CELL_FIELDS, Block
from dwc_pipeline.reshape.captures_in_cell import holds_captures, visits_with_captures
from dwc_pipeline.reshape.grid import grid_rows
from dwc_pipeline.reshape.log_sentence import sentences_taken_apart
from dwc_pipeline.reshape.record_rows import record_rows
from dwc_pipeline.reshape.several_places import arrays_of, spread_over_places
from dwc_pipeline.reshape.species_columns import species_rows
from dwc_pipeline.settings import SurveyFile, Table
from dwc_pipeline.terms.sheet import SHEET_KINDS

ROLE_REASON = {
    str(RowRole.TOTAL): "total or average at the foot or between the rows",
    str(RowRole.REPEATED_HEADER): "header repeated between the rows",
    str(RowRole.NOTE): "note between or below the rows",
    str(RowRole.OUTSIDE): "outside the tables that were found",
}
USED_ROLES = (str(RowRole.HEADER), str(RowRole.TITLE))

NO_ROWS_AT_ALL = declare(
    Rule(
        "table-gives-no-rows",
        Severity.ERROR,
        "A sheet has rows, and none of them gave a record.",
        "Everything on those sheets is missing from the tables, the effort and the archive.",
        "Look at the sheet names, the header rows and [table.columns] of this table in the survey file.",
    )
)


def reshape(records: Records, survey: SurveyFile) -> Records:
    """Tidy tables by kind; row accounting for every sheet that was read."""
    blocks: dict[str, list[tuple[int, Block]]] = {kind: [] for kind in SHEET_KINDS}
    accounts, answered = [], records.answered
    entries = {source: survey.table[int(entry)] for source, entry in records.sources["entry"].items()}
    shaped = {source: reshape_table(table, entries[source], records) for source, table in records.raw.items()}
    arrays = arrays_of([made["place"] for made in shaped.values() if "place" in made])
    for source, table in records.raw.items():
        entry, made = entries[source], shaped[source]
        if "trap_log" in made:
            made["trap_log"] = spread_over_places(
                table, sentences_taken_apart(table, made["trap_log"], arrays), arrays
            )
        accounts.append(account_rows(table, entry, made))
        for kind, block in made.items():
            blocks[kind].append((source, block))
            answered = answered | block.answered
    every = [block for made in blocks.values() for _, block in made]
    tidy = {kind: put_together(kind, made) for kind, made in blocks.items() if made}
    return records.with_(
        findings=[*(block.findings for block in every), tables_without_rows(records, entries, shaped)],
        changes=[block.changes for block in renumbered(blocks)],
        tidy=tidy,
        # What became of a row here says more than where it stands on its sheet, so it comes first.
        rows=pd.concat([*accounts, records.rows], ignore_index=True),
        leftovers=pd.concat([records.leftovers, *(block.leftovers for block in every)], ignore_index=True),
        answered=answered,
    )


def tables_without_rows(
    records: Records, entries: dict[int, Table], shaped: dict[int, dict[str, Block]]
) -> pd.DataFrame:
    """A finding for each table of which no row could be used, although its sheet has rows."""
    return as_findings(
        finding_at(
            NO_ROWS_AT_ALL,
            file=table.file,
            sheet=table.sheet,
            row=max(table.header_rows, default=0),
            value=entries[source].name,
            cause=f"{entries[source].name}\x1f{table.file}\x1f{table.sheet}",
            message=f'none of the {len(table.text)} rows of table "{entries[source].name}" gave a record',
        )
        for source, table in records.raw.items()
        if len(table.text) and not any(len(block.text) for block in shaped[source].values())
    )


def reshape_table(table: RawTable, entry: Table, records: Records) -> dict[str, Block]:
    """The blocks of one raw table by kind; a grid gives log rows and captures."""
    answers = records.reference.answers
    if entry.layout == "grid":
        return grid_rows(table, entry, answers)
    if entry.layout == "species columns":
        return species_rows(table, entry, answers)
    if holds_captures(entry):
        return visits_with_captures(table, entry, answers)
    return {entry.holds: record_rows(table, entry, answers)}


def account_rows(table: RawTable, entry: Table, made: dict[str, Block]) -> pd.DataFrame:
    """One line for each row of the table's part of the sheet that is not blank."""
    placed: dict[int, str] = {}
    aside: dict[int, str] = {}
    used: dict[int, str] = {}
    for kind in sorted(made, key=lambda kind: kind == "capture"):  # a row with animals counts as theirs
        placed |= dict.fromkeys(made[kind].sheet_rows, kind)
        aside |= made[kind].aside
        used |= made[kind].used
    holder = table.roles.index.map(placed)
    is_placed = (table.roles["role"] == RowRole.DATA).to_numpy() & holder.notna()
    settled = {"outcome": Outcome.PLACED, "table": holder, "reason": ""}
    frame = pd.DataFrame(settled, index=pd.RangeIndex(len(holder)), dtype=object)
    others = table.roles.loc[~is_placed, ["role", "reason"]].itertuples(name=None)
    told = [outcome_of(row, role, why, entry, used, aside) for row, role, why in others]
    if told:
        frame.loc[~is_placed, ["outcome", "table", "reason"]] = told
    return frame.assign(row=table.roles.index, file=table.file, sheet=table.sheet)[list(ROW_FIELDS)]


def outcome_of(
    row: int, role: str, why: str, entry: Table, used: dict[int, str], aside: dict[int, str]
) -> tuple[str, str, str]:
    """What became of a row that gave no record: outcome, table, reason."""
    if role == RowRole.DATA:
        if row in used:
            return Outcome.USED, entry.holds, used[row]
        return Outcome.ASIDE, "", aside.get(row, "no record could be made of it")
    if role in USED_ROLES:
        return Outcome.USED, "", str(role)
    return Outcome.ASIDE, "", ROLE_REASON.get(str(role), str(role)) + (f" ({why})" if why else "")


def renumbered(blocks: dict[str, list[tuple[int, Block]]]) -> Iterable[Block]:
    """The blocks with the tidy rows of their changes counted within the whole table of their kind."""
    for made in blocks.values():
        start = 0
        for _, block in made:
            changes = block.changes.assign(tidy_row=block.changes["tidy_row"] + start)
            yield Block(block.text, block.sheet_rows, changes=changes)
            start += len(block.text)


def put_together(kind: str, made: list[tuple[int, Block]]) -> TidyTable:
    """One tidy table from the blocks of all sheets, in the order read."""
    text = without_gaps(pd.concat([block.text for _, block in made], ignore_index=True))
    origin = pd.DataFrame(
        {
            "source": [source for source, block in made for _ in range(len(block.text))],
            "row": pd.concat([block.sheet_rows for _, block in made], ignore_index=True),
        },
        index=text.index,
    )
    fields = sorted({field for _, block in made for field in block.stored})
    stored = {
        field: pd.concat(
            [block.stored.get(field, pd.Series("", index=block.text.index, dtype=object)) for _, block in made],
            ignore_index=True,
        ).astype(object)
        for field in fields
    }
    columns = {(source, field): letter for source, block in made for field, letter in block.columns.items()}
    cells, start = [], 0
    for _, block in made:
        if len(block.cells):
            cells.append(block.cells.assign(tidy_row=block.cells["tidy_row"] + start))
        start += len(block.text)
    places = pd.concat(cells, ignore_index=True) if cells else pd.DataFrame(columns=list(CELL_FIELDS))
    return TidyTable(kind, text, origin, stored, columns, places)
