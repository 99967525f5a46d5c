"""Findings as a person gets them: located, numbered, waived where somebody gave a reason, and asked as questions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.answers import AS_IT_IS, question_id
from dwc_pipeline.core.columns import mapped
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.rule import RULES, Severity

FINDING_COLUMNS = (
    "finding", "severity", "rule", "file", "sheet", "row", "column", "field", "value", "message", "suggestions",
    "remedy", "waived",
)  # fmt: skip
QUESTION_COLUMNS = (
    "question", "severity", "rule", "field", "value", "what", "suggestions", "cells", "where", "answer", "by", "date",
    "why",
)  # fmt: skip
CHANGE_COLUMNS = (
    "file", "sheet", "row", "column", "field", "term", "before", "after", "rule", "decided_by", "note",
)  # fmt: skip
RANK = {str(Severity.ERROR): 0, str(Severity.WARNING): 1, str(Severity.NOTE): 2}
#: How many addresses a question shows; the rest is in findings.csv.
MOST_ADDRESSES = 10


class Waived(NamedTuple):
    """One waiver of the survey file: rule, file and value ("" for any), reason."""

    rule: str
    file: str
    value: str
    reason: str


def review_findings(
    records: Records, waivers: Sequence[Waived], answers_file: str
) -> tuple[pd.DataFrame, frozenset[str]]:
    """The findings table (FINDING_COLUMNS), errors first, and the questions that answers settled.

    Findings of one fault share the identifier `finding`; it is the same in every run.
    """
    located = records.located(records.findings)
    located["finding"] = question_ids(located)
    answered = records.answered | {
        one
        for one in located["finding"].unique()
        if (answer := records.reference.answers.get(one)) and answer.text == AS_IT_IS
    }
    lost = records.reference.answers.unmatched(answered | frozenset(located["finding"]), answers_file)
    lost["finding"] = question_ids(lost)
    table = join_findings([located, lost])
    if table.empty:
        return pd.DataFrame(columns=list(FINDING_COLUMNS)), answered
    table = one_line_a_cell(table)
    rules = {rule: RULES[rule] for rule in table["rule"].unique()}
    table["severity"] = table["rule"].map({name: str(rule.severity) for name, rule in rules.items()})
    table["remedy"] = table["rule"].map({name: rule.remedy for name, rule in rules.items()})
    table["suggestions"] = table["readings"]
    table["waived"] = reasons(table, records, waivers)
    table["rank"] = table["severity"].map(RANK)
    table = table.sort_values(["rank", "rule", "file", "sheet", "row", "column"], kind="stable")
    return table[list(FINDING_COLUMNS)].reset_index(drop=True), answered


def one_line_a_cell(table: pd.DataFrame) -> pd.DataFrame:
    """The findings with each cell once for one fault, also where its row became several records."""
    cell = ["finding", "file", "sheet", "row", "column", "field"]
    return table[~(table.duplicated(cell) & (table["row"].astype(int) > 0))].copy()


def question_ids(findings: pd.DataFrame) -> pd.Series:
    """The identifier of the question that each finding asks; made once for each fault."""

    def made(faults: pd.DataFrame) -> pd.Series:
        pairs = zip(faults["rule"], faults["cause"], strict=True)
        return pd.Series([question_id(rule, cause) for rule, cause in pairs], dtype=object)

    return on_distinct_rows(findings[["rule", "cause"]], made)


def reasons(table: pd.DataFrame, records: Records, waivers: Sequence[Waived]) -> pd.Series:
    """Why a finding does not count: the answer "as it is" with its reason, or a waiver of the survey file."""
    given = {
        one: f"{answer.by}: {answer.why or AS_IT_IS}"
        for one in table["finding"].unique()
        if (answer := records.reference.answers.get(one)) and answer.text == AS_IT_IS
    }
    reason = mapped(table["finding"], given)
    for waiver in waivers:
        hit = (table["rule"] == waiver.rule) & (reason == "")
        if waiver.file:
            hit &= table["file"] == waiver.file
        if waiver.value:
            hit &= table["value"] == waiver.value
        reason = reason.mask(hit, waiver.reason)
    return reason


def open_questions(findings: pd.DataFrame) -> pd.DataFrame:
    """The questions (QUESTION_COLUMNS) that a person has to answer, those that touch most cells first."""
    asked = findings[findings["rule"].map(lambda rule: RULES[rule].asks) & (findings["waived"] == "")]
    if asked.empty:
        return pd.DataFrame(columns=list(QUESTION_COLUMNS))
    sheet = asked["sheet"].where(asked["sheet"] == "", asked["sheet"] + " ")
    place = (
        asked["file"]
        + " "
        + sheet
        + asked["column"]
        + asked["row"].astype(str).where(asked["row"].astype(int) > 0, "")
    )
    grouped = asked.assign(where=place).groupby("finding", sort=False)
    made = grouped.agg(
        severity=("severity", "first"),
        rule=("rule", "first"),
        field=("field", "first"),
        value=("value", "first"),
        what=("message", "first"),
        suggestions=("suggestions", "first"),
        cells=("where", "size"),
        where=("where", addresses),
    )
    made = made.reset_index().rename(columns={"finding": "question"})
    made["rank"] = made["severity"].map(RANK)
    made = made.sort_values(["rank", "cells", "question"], ascending=[True, False, True], kind="stable")
    for blank in ("answer", "by", "date", "why"):
        made[blank] = ""
    return made[list(QUESTION_COLUMNS)].reset_index(drop=True)


def addresses(places: pd.Series) -> str:
    """The first addresses, and how many more there are."""
    shown = "; ".join(places.iloc[:MOST_ADDRESSES])
    more = len(places) - MOST_ADDRESSES
    return shown + (f"; and {more} more" if more > 0 else "")


def located_changes(records: Records) -> pd.DataFrame:
    """The changes table (CHANGE_COLUMNS) in the order of the sheets."""
    return records.located(records.changes)[list(CHANGE_COLUMNS)].reset_index(drop=True)
