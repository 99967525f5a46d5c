"""What only formatting says about a row: struck through, coloured, commented."""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.answers import LEAVE_OUT, Answers, question_id
from dwc_pipeline.core.findings import as_findings, finding_at, stable_id
from dwc_pipeline.core.raw import RawTable, column_letter, column_number
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.settings import Table

ROW_STRUCK = declare(
    Rule(
        "row-struck-through",
        Severity.WARNING,
        "A row with data is struck through.",
        "Somebody may have withdrawn the record, or only marked it as copied; counting it may count an animal that "
        "never was, and dropping it may lose one.",
        'Answer the question with "as it is" to keep the row or "leave out" to drop it, or set struck_rows in the '
        "survey file. Until then the row is set aside.",
        asks=True,
    )
)
COLOUR_UNEXPLAINED = declare(
    Rule(
        "colour-without-a-meaning",
        Severity.WARNING,
        "Cells with data have a colour that the survey file does not explain.",
        "Colours often mean something that no column says: a doubtful value, a scale that was not calibrated.",
        'Say what it means in [table.colours] of the survey file, such as "FFFF00" = "mass doubtful".',
        asks=True,
    )
)


class MarkedRows(NamedTuple):
    """remarks: text to add to each sheet row. aside: sheet row -> reason. findings, answered questions."""

    remarks: dict[int, str]
    aside: dict[int, str]
    findings: pd.DataFrame
    answered: frozenset[str]


def read_marks(table: RawTable, entry: Table, answers: Answers) -> MarkedRows:
    """Comments and explained colours as remarks, struck rows and unexplained colours as questions."""
    rows = set(table.text.index)
    first, last = column_number(table.text.columns[0]), column_number(table.text.columns[-1])
    remarks: dict[int, list[str]] = {}
    for (row, column), comment in sorted(table.raw.comments.items()):
        if row in rows and first <= column <= last:
            said = " ".join(comment.split())
            remarks.setdefault(row, []).append(f"cell comment at {column_letter(column)}{row}: {said}")
    findings = colour_findings(table, entry, remarks, rows, first, last)
    aside, struck, answered = struck_rows(table, entry, answers, rows, first, last)
    return MarkedRows(
        {row: "; ".join(texts) for row, texts in remarks.items()}, aside, as_findings([*findings, *struck]), answered
    )


def colour_findings(
    table: RawTable, entry: Table, remarks: dict[int, list[str]], rows: set[int], first: int, last: int
) -> list[dict[str, object]]:
    """Explained colours go to `remarks`; one finding a cell for each colour that is not explained."""
    findings = []
    for (row, column), colour in sorted(table.raw.fills.items()):
        if row not in rows or not first <= column <= last or not table.raw.text(row, column).strip():
            continue
        meaning = entry.colours.get(colour)
        if meaning:
            said = f"{column_letter(column)} coloured: {meaning}"
            if said not in remarks.setdefault(row, []):
                remarks[row].append(said)
        elif meaning is None:
            findings.append(
                finding_at(
                    COLOUR_UNEXPLAINED,
                    message=f"a cell is coloured {colour}",
                    file=table.file,
                    sheet=table.sheet,
                    row=row,
                    column=column_letter(column),
                    value=colour,
                    cause=f"{table.file}\x1f{table.sheet}\x1f{colour}",
                )
            )
    return findings


def struck_rows(
    table: RawTable, entry: Table, answers: Answers, rows: set[int], first: int, last: int
) -> tuple[dict[int, str], list[dict[str, object]], frozenset[str]]:
    """Rows to set aside because most of their cells are struck through; the question where nobody has said."""
    aside: dict[int, str] = {}
    findings: list[dict[str, object]] = []
    answered: set[str] = set()
    by_row: dict[int, list[int]] = {}
    for row, column in table.raw.struck:
        if row in rows and first <= column <= last:
            by_row.setdefault(row, []).append(column)
    for row, columns in sorted(by_row.items()):
        texts = table.text.loc[row]
        if len(columns) * 2 < int((texts.str.strip() != "").sum()):
            continue
        cause = stable_id(table.file, table.sheet, *texts)
        question = question_id(ROW_STRUCK.id, cause)
        answer = answers.get(question)
        if answer:
            answered.add(question)
        if entry.struck_rows == "keep" or (answer and answer.text != LEAVE_OUT):
            continue
        reason = "struck through on the sheet"
        if entry.struck_rows == "" and not answer:
            reason += ", waiting for an answer"
            shown = " · ".join(text for text in texts if text.strip())
            findings.append(
                finding_at(
                    ROW_STRUCK,
                    message="the row is struck through: does it count?",
                    file=table.file,
                    sheet=table.sheet,
                    row=row,
                    column=column_letter(min(columns)),
                    value=shown,
                    cause=cause,
                    readings=("as it is", "leave out"),
                )
            )
        aside[row] = reason
    return aside, findings, frozenset(answered)
