"""The engine: judge each distinct value of a column once, apply a person's answers, record what was done.

A normaliser only judges; here its verdicts become standard values, changes and findings.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import pandas as pd

from dwc_pipeline.core.answers import AS_IT_IS, LEAVE_OUT, Answer, Answers, question_id
from dwc_pipeline.core.changes import CHANGE_FIELDS, join_changes
from dwc_pipeline.core.distinct import distinct_rows, is_question
from dwc_pipeline.core.findings import READINGS_SEPARATOR, findings_on_rows, join_findings
from dwc_pipeline.core.rule import RULES, Rule, Severity, declare
from dwc_pipeline.core.verdict import Flag, Status, Verdict

Judge = Callable[[str, str], Verdict]
IsPlain = Callable[[np.ndarray], np.ndarray]
AS_TYPED = -1
BY_ANSWER = "answer"
#: Rules of changes that no normaliser names: what a cell says of another field; a text that gives its own no value.
STATED, NO_VALUE = "stated-in-the-cell", "gives-no-value"
#: Column "field/asked": "true" where the cell waits for an answer, so that later stages know it is not blank.
ASKED = "asked"
#: Terms that a cell of another field states outright; filling them is a change that must be recorded.
STATED_TERMS = frozenset(
    {"lifeStage", "sex", "individualCount", "tail_condition", "age_class", "reproductiveCondition", "vitality",
     "identificationQualifier", "organismQuantity", "preparations", "fate", "capture_status", "behavior"}
)  # fmt: skip

ANSWER_CANNOT_BE_USED = declare(
    Rule(
        "answer-cannot-be-used",
        Severity.ERROR,
        "An answer cannot be read as a value of its field.",
        "The question stays open, and the value stays out of the tables.",
        f'Answer with one of the readings offered, with "{AS_IT_IS}" or with "{LEAVE_OUT}".',
        asks=True,
    )
)


class Decided(NamedTuple):
    """The verdict on a text after the person's answers: who decided, the cause of the question, answers used."""

    text: str
    verdict: Verdict
    decided_by: str
    cause: str
    answered: tuple[str, ...]


@dataclass(frozen=True)
class ColumnReading:
    """What reading one field gave: standard columns by name, changes, findings, answered questions."""

    columns: Mapping[str, pd.Series]
    changes: pd.DataFrame
    findings: pd.DataFrame
    answered: frozenset[str] = field(default_factory=frozenset)


def read_column(
    kind: str,
    name: str,
    cells: pd.DataFrame,
    judge_of: Callable[[Hashable], Judge],
    answers: Answers,
    *,
    where: Mapping[Hashable, str] | None = None,
    keep_as_typed: bool = False,
    is_plain: IsPlain | None = None,
) -> ColumnReading:
    """Standard values of one field of the tidy table `kind`.

    cells: columns context (what the reading depends on beside the cell), text, and stored where the
    file holds dates or times in some of them; index = tidy rows.
    judge_of: the judge for one context. where: what the question about a value is bound to for each context (the
    sheet, say); one question for all contexts where left out. keep_as_typed: "as it is" keeps the text as value.
    is_plain: tells which of many texts every judge would keep as typed, with nothing to say of them.
    """
    context, contexts = pd.factorize(cells["context"])
    judges = [judge_of(one) for one in contexts]
    bound = [(where or {}).get(one, "") for one in contexts]
    text, stored = cells["text"].to_numpy(), cells["stored"].to_numpy() if "stored" in cells else None
    codes, firsts = distinct_rows(context, text, *(() if stored is None else (stored,)))
    is_kept = is_plain(text[firsts]) if is_plain is not None else np.zeros(len(firsts), dtype=bool)
    judged = firsts[~is_kept]
    decided = tuple(
        decide(
            name,
            str(text[row]),
            "" if stored is None else str(stored[row]),
            judges[context[row]],
            bound[context[row]],
            answers,
            keep_as_typed,
        )
        for row in judged
    )
    number = np.full(len(firsts), AS_TYPED)
    number[~is_kept] = np.arange(len(judged))
    reading = ReadCells(kind, name, cells["text"], decided, number[codes], cells.index)
    return ColumnReading(
        standard_columns(reading),
        changes_made(reading),
        join_findings([questions_raised(reading), flags_raised(reading)]),
        frozenset(used for one in decided for used in one.answered),
    )


def standard_columns(cells: ReadCells) -> dict[str, pd.Series]:
    """The standard values of the cells, and what they say of further terms."""
    columns = {cells.name: cells.standard()}
    for term in sorted({term for one in cells.decided for term in one.verdict.also}):
        columns[f"{cells.name}/{term}"] = cells.everywhere([one.verdict.also.get(term, "") for one in cells.decided])
    if any(is_question(one.verdict) for one in cells.decided):
        asked = ["true" if is_question(one.verdict) else "" for one in cells.decided]
        columns[f"{cells.name}/{ASKED}"] = cells.everywhere(asked)
    return columns


def decide(
    name: str, text: str, stored: str, judge: Judge, where: str, answers: Answers, keep_as_typed: bool
) -> Decided:
    """The verdict on one distinct value, with the person's answer where there is one."""
    verdict = judge(text, stored)
    cause = f"{name}\x1f{text.strip() or stored}\x1f{where}"
    answered: list[str] = []
    decided_by = "rule"
    for flag in verdict.flags if verdict.is_read else ():
        question = question_id(flag.rule, cause)
        answer = answers.get(question)
        if answer is None:
            continue
        answered.append(question)
        verdict = verdict._replace(flags=tuple(one for one in verdict.flags if one != flag))
        if answer.text != AS_IT_IS:
            verdict, decided_by = answered_verdict(text, verdict, answer, judge, keep_as_typed), answer.by
    if is_question(verdict):
        question = question_id(verdict.rule, cause)
        answer = answers.get(question)
        if answer is not None:
            answered.append(question)
            verdict, decided_by = answered_verdict(text, verdict, answer, judge, keep_as_typed), answer.by
    return Decided(text, verdict, decided_by, cause, tuple(answered))


def answered_verdict(text: str, verdict: Verdict, answer: Answer, judge: Judge, keep_as_typed: bool) -> Verdict:
    """The verdict that follows from an answer. The answer is read like a cell, so that it fills the same terms."""
    note = f"answered by {answer.by}: {answer.why}" if answer.why else f"answered by {answer.by}"
    if answer.text == LEAVE_OUT:
        return Verdict(Status.EMPTY, note=note)
    if answer.text == AS_IT_IS:
        return Verdict(Status.KEPT, text.strip() if keep_as_typed else "", note=note, also=verdict.also)
    # A reading that was offered may carry its reason in brackets; the reason is no part of the value.
    given = answer.text.split(" (")[0] if answer.text in verdict.readings else answer.text
    read = judge(given, "")
    if read.is_read:
        return Verdict(Status.CHANGED, read.value, BY_ANSWER, note, also=read.also)
    if answer.text in verdict.readings:
        return Verdict(Status.CHANGED, given, BY_ANSWER, note, also=verdict.also)
    flag = Flag(ANSWER_CANNOT_BE_USED.id, f'the answer "{answer.text}" cannot be read here', verdict.readings)
    return Verdict(Status.EMPTY, note=note, flags=(flag,))


class ReadCells(NamedTuple):
    """The cells of one field with the decisions on their distinct values.

    codes: which decision each row got; AS_TYPED where the cell is kept and there is nothing to say of it.
    """

    kind: str
    name: str
    text: pd.Series
    decided: tuple[Decided, ...]
    codes: np.ndarray
    index: pd.Index

    def rows(self, wanted: Callable[[Decided], bool]) -> np.ndarray:
        """Positions of the rows whose decision is wanted."""
        hits = np.array([*(wanted(one) for one in self.decided), False], dtype=bool)
        return np.flatnonzero(hits[self.codes])

    def spread(self, positions: np.ndarray, tell: Callable[[Decided], str]) -> pd.Series:
        """What each of some rows' decisions tells."""
        told = np.array([tell(one) for one in self.decided], dtype=object)
        return pd.Series(told[self.codes[positions]], index=self.index[positions], dtype=object)

    def typed(self, positions: np.ndarray) -> pd.Series:
        """The cells of some rows as typed."""
        return pd.Series(self.text.to_numpy()[positions], index=self.index[positions], dtype=object)

    def everywhere(self, told: list[str]) -> pd.Series:
        """One value a row from one value a decision; "" where the cell is kept as typed."""
        return pd.Series(np.array([*told, ""], dtype=object)[self.codes], index=self.index, dtype=object)

    def standard(self) -> pd.Series:
        """The standard value of each row; "" where there is none."""
        values = self.everywhere([one.verdict.value for one in self.decided])
        kept = self.codes == AS_TYPED
        return values.mask(kept, self.text) if kept.any() else values


def changes_made(cells: ReadCells) -> pd.DataFrame:
    """One line for each cell that was changed, and for each further term that a cell states."""
    parts = []
    changed = cells.rows(lambda one: one.verdict.status is Status.CHANGED)
    parts.append(change_lines(cells, changed, cells.name, lambda one: one.verdict.value))
    silent = cells.rows(leaves_blank)
    parts.append(change_lines(cells, silent, cells.name, lambda _: "", NO_VALUE))
    for term in sorted({term for one in cells.decided for term in one.verdict.also} & STATED_TERMS):
        stating = cells.rows(lambda one, term=term: bool(one.verdict.also.get(term)))  # type: ignore[misc]
        parts.append(change_lines(cells, stating, term, lambda one, term=term: one.verdict.also.get(term, "")))  # type: ignore[misc]
    return join_changes(parts)


def leaves_blank(one: Decided) -> bool:
    """True if a filled cell leaves its field blank and nobody is asked: it knows nothing, or says something else."""
    is_settled = one.verdict.status in (Status.EMPTY, Status.KEPT)
    return is_settled and not one.verdict.value and one.text.strip() != ""


def change_lines(
    cells: ReadCells, positions: np.ndarray, term: str, after: Callable[[Decided], str], otherwise: str = STATED
) -> pd.DataFrame:
    """Change lines of some rows for one term. otherwise: the rule of those whose verdict names none."""
    if not len(positions):
        return pd.DataFrame(columns=list(CHANGE_FIELDS))
    index = cells.index[positions]
    return pd.DataFrame(
        {
            "kind": cells.kind, "tidy_row": index, "field": cells.name, "term": term,
            "before": cells.typed(positions), "after": cells.spread(positions, after),
            "rule": cells.spread(positions, lambda one: one.verdict.rule or otherwise),
            "decided_by": cells.spread(positions, lambda one: one.decided_by),
            "note": cells.spread(positions, lambda one: one.verdict.note),
        },
        index=index,
    )  # fmt: skip


def questions_raised(cells: ReadCells) -> pd.DataFrame:
    """Findings for values with two readings or none."""
    parts = []
    for rule in sorted({one.verdict.rule for one in cells.decided if is_question(one.verdict)}):
        positions = cells.rows(lambda one, rule=rule: is_question(one.verdict) and one.verdict.rule == rule)  # type: ignore[misc]
        parts.append(
            findings_on_rows(
                RULES[rule],
                cells.kind,
                cells.index[positions],
                cells.name,
                value=cells.typed(positions),
                message=cells.spread(positions, lambda one: one.verdict.note),
                readings=cells.spread(positions, lambda one: READINGS_SEPARATOR.join(one.verdict.readings)),
                cause=cells.spread(positions, lambda one: one.cause),
            )
        )
    return join_findings(parts)


def flags_raised(cells: ReadCells) -> pd.DataFrame:
    """Findings about values that could be read all the same."""
    parts = []
    for rule in sorted({flag.rule for one in cells.decided for flag in one.verdict.flags}):
        own = [flags_of(one, rule) for one in cells.decided]
        notes = {id(one): "; ".join(flag.note for flag in told) for one, told in zip(cells.decided, own, strict=True)}
        offers = {
            id(one): READINGS_SEPARATOR.join(reading for flag in told for reading in flag.readings)
            for one, told in zip(cells.decided, own, strict=True)
        }
        positions = cells.rows(lambda one, notes=notes: notes[id(one)] != "")  # type: ignore[misc]
        index = cells.index[positions]
        parts.append(
            findings_on_rows(
                RULES[rule],
                cells.kind,
                index,
                cells.name,
                value=cells.typed(positions),
                message=cells.spread(positions, lambda one, notes=notes: notes[id(one)]),  # type: ignore[misc]
                readings=cells.spread(positions, lambda one, offers=offers: offers[id(one)]),  # type: ignore[misc]
                cause=cells.spread(positions, lambda one: one.cause),
            )
        )
    return join_findings(parts)


def flags_of(one: Decided, rule: str) -> list[Flag]:
    """The flags of one rule on a decision."""
    return [flag for flag in one.verdict.flags if flag.rule == rule]
