"""Layout "grid": one line a date, one column a trap or an array, codes in the cells.

A cell says that the trap was looked at and empty (`0`, `none`), that it was closed (`closed`, `not set`), in which
state it was found (`flooded`), or names animals with their number (`2 HEPL`, `SCCO, 3 ANCO`). So a grid gives rows
of the trap log and captures. A closed cell tells of the interval before its line: the array then stood closed. In a
grid by trap each line is one visit of the array, with the states of its traps in words.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.columns import first_filled, joined, mapped, text_column, where_true
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.tidy import SPEAKS_OF, STOOD_CLOSED, THE_INTERVAL
from dwc_pipeline.reshape.block import Block
from dwc_pipeline.reshape.cell_words import (
    ANIMALS,
    ASK,
    CHECKED,
    CLOSED,
    NOTHING,
    OPENED,
    STATE,
    states_in,
)
from dwc_pipeline.reshape.grid_signs import sign_meanings
from dwc_pipeline.reshape.record_rows import Visits, visit_rows
from dwc_pipeline.reshape.wide_rows import animals_named, capture_block, log_block, with_cells
from dwc_pipeline.settings import Table

ACTION_OF_MEANING = {CLOSED: STOOD_CLOSED, OPENED: "opened"}
#: what the log says of a trap whose cell says nothing, or a sign that waits for its meaning: its effort is unknown.
NOT_CHECKED = "not checked"
WORDS_OF_MEANING = {CLOSED: "closed", NOTHING: NOT_CHECKED, ASK: NOT_CHECKED}


def grid_rows(table: RawTable, entry: Table, answers: Answers) -> dict[str, Block]:
    """Log rows for every cell (or line, in a grid by trap) that says what was done, capture rows for every animal."""
    visits = visit_rows(table, entry, answers, is_wide=True)
    cells = grid_cells(table, visits)
    meanings, questions, answered = sign_meanings(table, entry, answers, cells, {}, visits.match)
    cells["meaning"] = cells["cell"].map(meanings).astype(object)
    made = log_by_trap(visits, cells) if entry.grid_columns == "trap" else log_by_place(visits, cells)
    aside = {**visits.block.aside, **silent_rows(cells)}
    log = replace(
        made,
        text=made.text.assign(**{SPEAKS_OF: THE_INTERVAL}),
        aside=aside,
        findings=join_findings([visits.block.findings, questions]),
        answered=visits.block.answered | answered,
    )
    return {"trap_log": log, "capture": grid_captures(entry, visits, cells)}


def grid_cells(table: RawTable, visits: Visits) -> pd.DataFrame:
    """One line a cell of the grid: visit (position of its line), row, column, header, cell."""
    wide = table.text.loc[visits.block.sheet_rows, list(visits.match.not_named)].reset_index(drop=True)
    cells = wide.rename_axis(index="visit", columns="column").stack().rename("cell").reset_index()
    cells["header"] = cells["column"].map(table.header_of).astype(object)
    cells["row"] = visits.block.sheet_rows.iloc[cells["visit"]].to_numpy()
    return cells


def silent_rows(cells: pd.DataFrame) -> dict[int, str]:
    """Why the lines give no record of which no cell says anything."""
    spoke = set(cells.loc[~cells["meaning"].isin([NOTHING, ASK]), "row"])
    waits = set(cells.loc[cells["meaning"] == ASK, "row"])
    silent = "no cell of the grid says that a trap was checked"
    return {
        int(row): "its signs wait for an answer" if row in waits else silent
        for row in cells["row"].unique()
        if row not in spoke
    }


def cell_states(cells: pd.DataFrame) -> pd.Series:
    """What each cell says of traps that could not catch; "" where it names neither animals nor a state."""
    speaks = cells["meaning"].isin([ANIMALS, STATE])
    return on_distinct(cells["cell"].where(speaks, ""), lambda texts: texts.map(states_in).astype(object))


def log_by_place(visits: Visits, cells: pd.DataFrame) -> Block:
    """One row of the log for each cell: the array of its column.

    Where a sign before it waits for its meaning, the array may have stood closed: the effort of the interval is
    unknown until somebody answers, and the state in the log comes from the cell of the sign.
    """
    waiting = cells.assign(sign_row=cells["row"].where(cells["meaning"] == ASK))
    spoke = ~cells["meaning"].isin([NOTHING, ASK])
    since = spoke.groupby(cells["column"]).cumsum() - spoke.astype(int)
    waiting["sign_row"] = waiting["sign_row"].groupby([cells["column"], since]).transform("max")
    said = waiting[spoke].reset_index(drop=True)
    log = log_block(visits.block, said["visit"].to_numpy(dtype=np.intp), "trap_log")
    action = said["meaning"].map(ACTION_OF_MEANING).astype(object)
    action = action.where(action.notna(), CHECKED)
    is_unsure = said["sign_row"].notna() & (action == CHECKED)
    states = joined(cell_states(said), where_true(is_unsure, NOT_CHECKED))
    text = log.text.assign(
        place=said["header"], action=action, trap_state=joined(text_column(log.text, "trap_state"), states)
    )
    text["cell_remarks"] = joined(text["cell_remarks"], visits.marks.of_cells(said["row"], said["column"]))
    made = replace(log, text=text)
    for field in ("place", "action"):
        made = with_cells(made, field, said["row"], said["column"])
    return with_cells(made, "trap_state", said["sign_row"].where(is_unsure, said["row"]).astype(int), said["column"])


def log_by_trap(visits: Visits, cells: pd.DataFrame) -> Block:
    """One row of the log for each line, with its traps that could not catch in words; rows of traps set anew."""
    told = cells.assign(words=first_filled(cell_states(cells), mapped(cells["meaning"], WORDS_OF_MEANING)))
    fields = told[["visit", "header", "column", "meaning", "words", "row"]].itertuples(index=False)
    lines = [
        line for _, own in itertools.groupby(fields, key=lambda cell: cell.visit) for line in lines_of_visit(own)
    ]
    found = pd.DataFrame(lines, columns=["visit", "trap", "action", "trap_state", "row", "column"])
    log = log_block(visits.block, found["visit"].to_numpy(dtype=np.intp), "trap_log")
    text = log.text.assign(
        trap=found["trap"].astype(object),
        action=found["action"].astype(object),
        trap_state=joined(text_column(log.text, "trap_state"), found["trap_state"].astype(object)),
    )
    made = replace(log, text=text)
    for field in ("trap", "action", "trap_state"):
        made = with_cells(made, field, found["row"], found["column"])
    return made


def lines_of_visit(cells: Iterable[Any]) -> list[tuple[object, ...]]:
    """The log rows of one line of a grid by trap: visit, trap, action, trap_state, row, column.

    cells: of the line, each with visit, header, column, meaning, words (state of its trap, "" for none) and row.
    """
    every = list(cells)
    said = [cell for cell in every if cell.meaning not in (NOTHING, ASK)]
    if not said:
        return []
    first, meanings = said[0], {cell.meaning for cell in said}
    if len(meanings) == 1 and meanings <= set(ACTION_OF_MEANING) and len(said) == len(every):
        return [(first.visit, "", ACTION_OF_MEANING[first.meaning], "", first.row, first.column)]
    made: list[tuple[object, ...]] = []
    if meanings != {OPENED}:
        faults = [cell for cell in every if cell.words]
        states = "; ".join(f"{cell.header} {cell.words}" for cell in faults)
        made.append((first.visit, "", CHECKED, states, first.row, (faults or said)[0].column))
    opened = [cell for cell in said if cell.meaning == OPENED]
    made.extend((cell.visit, cell.header, "opened", "", cell.row, cell.column) for cell in opened)
    return made


def grid_captures(entry: Table, visits: Visits, cells: pd.DataFrame) -> Block:
    """One capture for each animal named in a cell; trap or array is that of the column."""
    named = cells[cells["meaning"] == ANIMALS]
    lines = animals_named(named)
    captures = capture_block(visits.block, entry, lines, visits.marks.of_cells(lines["row"], lines["column"]))
    text = captures.text.assign(**{entry.grid_columns: lines["header"].astype(object)})
    return with_cells(replace(captures, text=text), entry.grid_columns, lines["row"], lines["column"])
