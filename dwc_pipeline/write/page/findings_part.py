"""Findings as the page shows them: by severity, then by rule, then by cause with all the cells it touches."""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.findings import READINGS_SEPARATOR
from dwc_pipeline.core.rule import RULES

SEVERITIES = ("error", "warning", "note")
#: Cells and causes shown in full; findings.csv holds every one.
MOST_CELLS, MOST_CAUSES = 60, 40


class Cell(NamedTuple):
    """Where a value stands, as a spreadsheet names it; row 0 and column "" where the whole sheet is meant."""

    file: str
    sheet: str
    column: str
    row: int


class Cause(NamedTuple):
    """One fault with all its cells. more: cells not listed."""

    finding: str
    value: str
    message: str
    suggestions: list[str]
    first: Cell
    cells: list[Cell]
    number: int
    more: int
    waived: str


class RuleGroup(NamedTuple):
    """All faults of one rule. asks: a person's answer settles it. more: causes not listed."""

    rule: str
    severity: str
    what: str
    why: str
    remedy: str
    asks: bool
    causes: list[Cause]
    number: int
    cells: int
    more: int


class SeverityPart(NamedTuple):
    """The rules of one severity, those that touch most cells first."""

    severity: str
    groups: list[RuleGroup]
    number: int
    cells: int


def finding_parts(findings: pd.DataFrame) -> list[SeverityPart]:
    """What stands, by severity; waived findings are left out."""
    standing = findings[findings["waived"] == ""]
    parts = []
    for severity in SEVERITIES:
        own = standing[standing["severity"] == severity]
        groups = [rule_group(str(rule), block) for rule, block in own.groupby("rule", sort=True)]
        groups.sort(key=lambda group: (-group.cells, group.rule))
        parts.append(SeverityPart(severity, groups, own["finding"].nunique(), len(own)))
    return parts


def waived_causes(findings: pd.DataFrame) -> list[Cause]:
    """Findings that somebody gave a reason for."""
    waived = findings[findings["waived"] != ""]
    return [cause_of(block) for _, block in waived.groupby(["finding", "waived"], sort=False)]


def question_causes(questions: pd.DataFrame, findings: pd.DataFrame) -> list[tuple[Cause, str]]:
    """Each open question with its cells, in the order of the questions, and its severity."""
    blocks = dict(tuple(findings[findings["finding"].isin(questions["question"])].groupby("finding", sort=False)))
    return [
        (cause_of(blocks[one]), str(severity))
        for one, severity in zip(questions["question"], questions["severity"], strict=True)
    ]


def rule_group(rule: str, block: pd.DataFrame) -> RuleGroup:
    """The faults of one rule, those with most cells first."""
    about = RULES[rule]
    sizes = block.groupby("finding", sort=False).size().sort_values(ascending=False, kind="stable")
    shown = block[block["finding"].isin(sizes.index[:MOST_CAUSES])]
    causes = [cause_of(own) for _, own in shown.groupby("finding", sort=False)]
    causes.sort(key=lambda cause: -cause.number)
    more = len(sizes) - len(causes)
    return RuleGroup(
        rule, str(about.severity), about.what, about.why, about.remedy, about.asks,
        causes, len(sizes), len(block), more,
    )  # fmt: skip


def cause_of(block: pd.DataFrame) -> Cause:
    """One fault: its words once, and its cells."""
    first = block.iloc[0]
    shown = block.iloc[:MOST_CELLS]
    cells = [
        Cell(str(file), str(sheet), str(column), int(row))
        for file, sheet, column, row in zip(shown["file"], shown["sheet"], shown["column"], shown["row"], strict=True)
    ]
    suggestions = [one for one in str(first["suggestions"]).split(READINGS_SEPARATOR) if one]
    return Cause(
        str(first["finding"]), str(first["value"]), str(first["message"]), suggestions, cells[0], cells[1:],
        len(block), len(block) - len(shown), str(first["waived"]),
    )  # fmt: skip
