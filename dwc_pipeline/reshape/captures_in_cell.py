"""A visit a row with its captures in one cell, in words: `2 HEPL, SCCO (1 juv)`."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.columns import joined, text_column
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.reshape.block import Block
from dwc_pipeline.reshape.cell_words import ANIMALS, cell_meaning, states_in
from dwc_pipeline.reshape.record_rows import record_rows
from dwc_pipeline.reshape.wide_rows import animals_named, capture_block
from dwc_pipeline.settings import Table

#: the field of a visit whose cells name animals
CAPTURES = "captures"


def holds_captures(entry: Table) -> bool:
    """True if a column of the visits names animals."""
    return CAPTURES in entry.columns.values()


def visits_with_captures(table: RawTable, entry: Table, answers: Answers) -> dict[str, Block]:
    """The visits, and a capture for each animal that their cells name. Statements about traps go to the log."""
    block = record_rows(table, entry, answers)
    if CAPTURES not in block.text:
        return {entry.holds: block}
    told = block.text[CAPTURES]
    meaning = {text: cell_meaning(text, entry.habits) for text in told.unique()}
    named = told[told.map(meaning) == ANIMALS]
    cells = pd.DataFrame({"visit": named.index, "cell": named.to_numpy(), "column": block.columns[CAPTURES]})
    lines = animals_named(cells)
    silent = pd.Series("", index=lines.index, dtype=object)
    captures = capture_block(block, entry, lines, silent)
    text = block.text.drop(columns=CAPTURES)
    columns = {name: letter for name, letter in block.columns.items() if name != CAPTURES}
    if entry.holds == "trap_log":
        states = told.map({text: states_in(text) for text in told.unique()}).astype(object)
        if (states != "").any():
            columns.setdefault("trap_state", block.columns[CAPTURES])
            text = text.assign(trap_state=joined(text_column(text, "trap_state"), states))
    return {entry.holds: replace(block, text=text, columns=columns), "capture": captures}
