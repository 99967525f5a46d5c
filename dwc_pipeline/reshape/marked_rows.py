"""What only formatting says about a row: struck through, coloured, commented."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.answers import AS_IT_IS, LEAVE_OUT, Answers, question_id
from dwc_pipeline.core.columns import mapped
from dwc_pipeline.core.findings import as_findings, finding_at, stable_id
from dwc_pipeline.core.raw import RawTable, colour_cause, column_letter, column_number
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
#: Rules of reading by which the meaning of a colour is asked; the answers are applied here.
COLOUR_QUESTIONS = ("coloured-row", "coloured-cell")


class MarkedRows(NamedTuple):
    """remarks: what comments and colours say, one line a statement (row, column, said).

    aside: sheet row -> reason. findings, answered questions.
    """

    remarks: pd.DataFrame
    aside: dict[int, str]
    findings: pd.DataFrame
    answered: frozenset[str]

    def of_rows(self, rows: pd.Series, columns: Collection[str] | None = None) -> pd.Series:
        """The remarks of each sheet row as one text; only those of some columns where they are named."""
        said = self.remarks if columns is None else self.remarks[self.remarks["column"].isin(list(columns))]
        return mapped(rows, said.drop_duplicates(["row", "said"]).groupby("row")["said"].agg("; ".join))

    def of_cells(self, rows: pd.Series, columns: pd.Series) -> pd.Series:
        """The remarks of single cells."""
        joined = self.remarks.groupby(["row", "column"])["said"].agg("; ".join)
        found = joined.reindex(pd.MultiIndex.from_arrays([rows, columns])).to_numpy()
        return pd.Series(found, index=rows.index, dtype=object).where(lambda told: told.notna(), "")


def read_marks(table: RawTable, entry: Table, answers: Answers) -> MarkedRows:
    """Comments and explained colours as remarks, struck rows as questions."""
    rows = set(table.text.index)
    if not len(table.text.columns):
        return MarkedRows(pd.DataFrame(columns=["row", "column", "said"]), {}, as_findings([]), frozenset())
    first, last = column_number(table.text.columns[0]), column_number(table.text.columns[-1])
    said: list[tuple[int, str, str]] = []
    for (row, column), comment in sorted(table.raw.comments.items()):
        if row in rows and first <= column <= last:
            letter = column_letter(column)
            said.append((row, letter, f"cell comment at {letter}{row}: {' '.join(comment.split())}"))
    coloured, explained = colour_remarks(table, entry, answers, rows, first, last)
    aside, struck, answered = struck_rows(table, entry, answers, rows, first, last)
    remarks = pd.DataFrame([*said, *coloured], columns=["row", "column", "said"])
    return MarkedRows(remarks, aside, as_findings(struck), answered | explained)


def colour_remarks(
    table: RawTable, entry: Table, answers: Answers, rows: set[int], first: int, last: int
) -> tuple[list[tuple[int, str, str]], frozenset[str]]:
    """What coloured cells mean by the survey file or by an answer; the questions that an answer settled."""
    found: list[tuple[int, str, str]] = []
    answered: set[str] = set()
    by_answer: dict[str, str] = {}
    for colour in sorted(set(table.raw.fills.values()) - set(entry.colours)):
        for rule in COLOUR_QUESTIONS:
            question = question_id(rule, colour_cause(table.file, table.sheet, colour))
            answer = answers.get(question)
            if answer is not None:
                answered.add(question)
                by_answer[colour] = "" if answer.text in (AS_IT_IS, LEAVE_OUT) else answer.text
    for (row, column), colour in sorted(table.raw.fills.items()):
        meaning = entry.colours.get(colour, by_answer.get(colour, ""))
        if meaning and row in rows and first <= column <= last and table.raw.text(row, column).strip():
            letter = column_letter(column)
            found.append((row, letter, f"{letter} coloured: {meaning}"))
    return found, frozenset(answered)


def struck_rows(
    table: RawTable, entry: Table, answers: Answers, rows: set[int], first: int, last: int
) -> tuple[dict[int, str], list[dict[str, object]], frozenset[str]]:
    """Rows to set aside because all their cells are struck through; the question where nobody has said."""
    aside: dict[int, str] = {}
    findings: list[dict[str, object]] = []
    answered: set[str] = set()
    by_row: dict[int, list[int]] = {}
    for row, column in table.raw.struck:
        if row in rows and first <= column <= last:
            by_row.setdefault(row, []).append(column)
    for row, columns in sorted(by_row.items()):
        texts = table.text.loc[row]
        # Only cells with something of their own count, not those that a merged cell was spread over.
        filled = {column for column in range(first, last + 1) if table.raw.text(row, column).strip()}
        if not filled or not filled <= set(columns):
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
