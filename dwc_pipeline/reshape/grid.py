"""Layout "grid": one line a date, one column a trap or an array, codes in the cells.

A cell says that the trap was looked at and empty (`0`, `none`), that it was closed (`X`, `closed`), or names
animals with their number (`2 HEPL`, `SCCO, 3 ANCO`). So a grid gives rows of the trap log and captures.
"""

from __future__ import annotations

import re

import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.columns import mapped
from dwc_pipeline.core.findings import as_findings, finding_at, join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.reshape.block import CELL_FIELDS, Block
from dwc_pipeline.reshape.facts import sheet_facts
from dwc_pipeline.reshape.header_match import match_headers
from dwc_pipeline.reshape.marked_rows import read_marks
from dwc_pipeline.reshape.record_rows import add_facts, fill_down
from dwc_pipeline.settings import Habits, Table

EMPTY_WORDS = {"none", "empty", "nothing", "no captures", "nc", "nocap"}
CLOSED_WORDS = {"x", "closed", "c", "cl", "not open", "shut", "not set"}
CHECKED = "checked"
CLOSED = "closed"
#: A grid cell speaks of the interval that ended on its day, not of what was done then.
SPEAKS_OF, THE_INTERVAL = "speaks_of", "the interval"

GRID_SIGN_UNEXPLAINED = declare(
    Rule(
        "grid-sign-without-a-meaning",
        Severity.ERROR,
        "A grid cell holds a sign, or is blank, and nobody has said what that means on this sheet.",
        "Whether the trap was checked and empty, closed or not looked at decides the effort and every rate.",
        "Say it in [table.habits] of the survey file: dash, zero, blank.",
        asks=True,
    )
)
ANIMALS = re.compile(r"(?:(?P<count>\d+)\s*[x×]?\s+)?(?P<name>[^\d,;+/][^,;+/]*?)(?:\s*[x×]\s*(?P<after>\d+))?")


def grid_rows(table: RawTable, entry: Table, answers: Answers) -> dict[str, Block]:
    """Log rows for every cell that says what was done, capture rows for every animal named."""
    match = match_headers(table, entry.columns)
    facts, fact_findings = sheet_facts(table, entry)
    marks = read_marks(table, entry, answers)
    data = table.text[~table.text.index.isin(list(marks.aside))]
    headers = dict(zip(table.text.columns, table.headers, strict=True))
    grid = data.loc[:, list(match.unmapped)].rename_axis(index="row", columns="column").stack()
    cells = grid.rename("cell").reset_index()
    cells["meaning"] = cells["cell"].map({text: cell_meaning(text, entry.habits) for text in cells["cell"].unique()})
    shared = dict(match.fields)
    base = pd.DataFrame({field: data[letter] for field, letter in shared.items()}, index=data.index)
    unexplained = cells[cells["meaning"] == "ask"]
    findings = as_findings(
        finding_at(
            GRID_SIGN_UNEXPLAINED,
            file=table.file,
            sheet=table.sheet,
            row=int(line.row),
            column=line.column,
            value=line.cell,
            cause=f"{table.file}\x1f{table.sheet}\x1f{line.cell.strip()}",
            message=f'what does "{line.cell.strip() or "a blank cell"}" mean in this grid?',
        )
        for line in unexplained.itertuples()
    )
    own = join_findings(
        [match.findings[match.findings["rule"] != "unmapped-column"], fact_findings, marks.findings, findings]
    )
    log = cells[cells["meaning"].isin([CHECKED, CLOSED, "animals"])]
    log = log.assign(action=log["meaning"].where(log["meaning"] == CLOSED, CHECKED))
    animals = named_animals(cells[cells["meaning"] == "animals"])
    blocks = {}
    for kind, lines, fields in (
        ("trap_log", log, ["action"]),
        ("capture", animals, ["verbatimIdentification", "individualCount"]),
    ):
        text = base.reindex(lines["row"]).reset_index(drop=True)
        text[entry.grid_columns] = lines["column"].map(headers).to_numpy()
        if kind == "trap_log":
            text[SPEAKS_OF] = THE_INTERVAL
        for field in fields:
            text[field] = lines[field].to_numpy()
        stored = {
            field: table.stored[letter].reindex(lines["row"]).reset_index(drop=True)
            for field, letter in shared.items()
            if letter in table.stored
        }
        text, stored, changes = fill_down(text.astype(object), stored, entry)
        text, stored, places = add_facts(text, stored, facts)
        text["cell_remarks"] = mapped(pd.Series(lines["row"].to_numpy()), marks.remarks)
        single = pd.concat(
            [
                pd.DataFrame(
                    {
                        "tidy_row": text.index,
                        "field": field,
                        "row": lines["row"].to_numpy(),
                        "column": lines["column"].to_numpy(),
                    }
                )
                for field in [*fields, entry.grid_columns]
            ],
            ignore_index=True,
        )
        blocks[kind] = Block(
            text,
            pd.Series(lines["row"].to_numpy(), dtype="int64"),
            stored,
            shared,
            pd.concat([places, single], ignore_index=True)[list(CELL_FIELDS)],
            marks.aside,
            {},
            own if kind == "trap_log" else as_findings([]),
            changes,
            answered=marks.answered,
        )
    return blocks


def cell_meaning(text: str, habits: Habits) -> str:
    """checked, closed, animals, nothing (the cell says nothing) or ask.

    >>> cell_meaning("2 HEPL", Habits()), cell_meaning("closed", Habits()), cell_meaning("-", Habits())
    ('animals', 'closed', 'ask')
    """
    word = text.strip().casefold()
    if word == "":
        return {"no animals": CHECKED, "not checked": "nothing", "not recorded": "nothing"}.get(habits.blank, "ask")
    if word in ("-", "–", "—", "--"):
        return {"closed": CLOSED, "no animals": CHECKED, "blank": "nothing", "not applicable": CLOSED}.get(
            habits.dash, "ask"
        )
    if word == "0":
        return {"no animals": CHECKED, "blank": "nothing"}.get(habits.zero, CHECKED)
    if word in EMPTY_WORDS:
        return CHECKED
    if word in CLOSED_WORDS:
        return CLOSED
    return "animals"


def named_animals(cells: pd.DataFrame) -> pd.DataFrame:
    """One line for each animal name in a cell, with its count as typed ("" where none is)."""
    split = {text: split_animals(text) for text in cells["cell"].unique()}
    long = cells.assign(part=cells["cell"].map(split)).explode("part", ignore_index=True)
    if long.empty:
        return long.assign(verbatimIdentification="", individualCount="")
    return long.assign(
        verbatimIdentification=[part[0] for part in long["part"]], individualCount=[part[1] for part in long["part"]]
    )


def split_animals(text: str) -> list[tuple[str, str]]:
    """Names and counts in one cell.

    >>> split_animals("2 HEPL, SCCO; ANCO x3")
    [('HEPL', '2'), ('SCCO', ''), ('ANCO', '3')]
    """
    found = []
    for part in re.split(r"[,;+/\n]", text):
        if part.strip():
            match = ANIMALS.fullmatch(part.strip())
            found.append(
                (match["name"].strip(), match["count"] or match["after"] or "") if match else (part.strip(), "")
            )
    return found
