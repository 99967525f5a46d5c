"""Rules about the values of one row: judged once for each distinct combination, block by block.

A rule is a function of texts that says what is wrong with them, or "" if nothing is. Blocks of a large archive are
given one after the other, so that only what is wrong stays in memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np
import pandas as pd

from dwc_pipeline.check.part_block import Block, first_rows
from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.core.rule import Rule, declare
from dwc_pipeline.terms.darwin_core import short_name

#: distinct faulty values of one rule, file and term that are told one by one; each says how many there are
MOST_VALUES = 20
#: verdicts kept between blocks
MOST_REMEMBERED = 50_000
#: distinct values of a block beyond which they are not remembered
MOST_LIKELY_AGAIN = 5_000
LONGEST_SHOWN = 80


@dataclass(frozen=True)
class ValueCheck:
    """A rule about the values of one row.

    terms: identifiers of what it looks at; a finding points at the first. judge: texts of the terms -> what is
    wrong, "" for nothing. only_filled: rows in which the first term is empty are passed over. points_at: the term
    that a finding points at instead. is_secret: a finding does not repeat the value.
    """

    rule: Rule
    terms: tuple[str, ...]
    judge: Callable[..., str]
    only_filled: bool = True
    points_at: str = ""
    is_secret: bool = False

    def applies(self, block: Block) -> bool:
        """True if the part has what the rule looks at."""
        needed = self.points_at or (self.terms[0] if self.only_filled else "")
        return block.has(needed) if needed else any(term in block.part.rows for term in self.terms)


@dataclass(frozen=True)
class EachTermCheck:
    """A rule about single values of every term that `chosen` says yes to.

    suspects: the only values that can be at fault; empty if any can.
    """

    rule: Rule
    chosen: Callable[[str], bool]
    judge: Callable[[str], str]
    suspects: frozenset[str] = frozenset()

    def of(self, block: Block) -> Iterable[ValueCheck]:
        """The rule for each such term of the rows that has something to judge."""
        return (
            ValueCheck(self.rule, (term,), self.judge)
            for term in block.part.rows.columns
            if self.chosen(term) and (not self.suspects or not self.suspects.isdisjoint(block.coded(term)[1]))
        )


def on_every(
    rule: Rule, chosen: Callable[[str], bool], suspects: frozenset[str] = frozenset()
) -> Callable[[Callable[[str], str]], EachTermCheck]:
    """Declare the rule that a function checks on each value of all terms that `chosen` says yes to."""
    declare(rule)
    return lambda judge: EachTermCheck(rule, chosen, judge, suspects)


def on_values(rule: Rule, *terms: str, only_filled: bool = True) -> Callable[[Callable[..., str]], ValueCheck]:
    """Declare the rule that a function of the texts of some terms checks."""
    declare(rule)
    return lambda judge: ValueCheck(rule, terms, judge, only_filled)


def on_each(rule: Rule, terms: Iterable[str], *beside: str) -> Callable[[Callable[..., str]], tuple[ValueCheck, ...]]:
    """Declare one rule that holds for each of several terms, looked at together with the terms `beside`."""
    declare(rule)
    each = tuple(terms)
    return lambda judge: tuple(ValueCheck(rule, (term, *beside), judge) for term in each)


@dataclass
class FaultyValue:
    """One value: the line where it first stands, what is wrong with it, in how many rows."""

    line: int
    what: str
    rows: int


@dataclass
class FaultyValues:
    """Faults of one rule in one file and term; `distinct` counts also the values that are not kept."""

    rule: Rule
    term: str
    column: str
    is_secret: bool
    rows: int = 0
    distinct: int = 0
    values: dict[tuple[str, ...], FaultyValue] = field(default_factory=dict)

    def add(self, texts: tuple[str, ...], line: int, what: str, rows: int) -> None:
        """Count the rows with a faulty value; the first values are kept."""
        self.rows += rows
        known = self.values.get(texts)
        if known is not None:
            known.rows += rows
            return
        self.distinct += 1
        if len(self.values) < MOST_VALUES:
            self.values[texts] = FaultyValue(line, what, rows)


class ValueFindings:
    """Gathers what is wrong over all blocks of an archive."""

    def __init__(self, checks: Sequence[ValueCheck | EachTermCheck]) -> None:
        self._checks = checks
        self._verdicts: dict[tuple[int, tuple[str, ...]], str] = {}
        self._faulty: dict[tuple[str, str, str], FaultyValues] = {}

    def take(self, block: Block) -> None:
        """Judge some rows of a part."""
        if block.part.rows.empty:
            return
        for number, check in enumerate(self._checks):
            for one in check.of(block) if isinstance(check, EachTermCheck) else (check,):
                if one.applies(block):
                    self._judge(number, one, block)

    def _judge(self, number: int, check: ValueCheck, block: Block) -> None:
        codes, combinations = block.combinations(check.terms)
        # Identifiers and the like are new in every block: remembering them would cost more than judging them.
        verdict = check.judge if len(combinations) > MOST_LIKELY_AGAIN else partial(self._verdict, number, check)
        wrong = {
            code: what
            for code, texts in enumerate(combinations)
            if (texts[0] or not check.only_filled) and (what := verdict(*texts))
        }
        if not wrong:
            return
        counts = np.bincount(codes, minlength=len(combinations))
        firsts = first_rows(codes.astype(np.int64), len(combinations))
        for code in sorted(wrong, key=lambda code: int(firsts[code])):
            self._note(check, block.part, combinations[code], int(firsts[code]), wrong[code], int(counts[code]))

    def _verdict(self, number: int, check: ValueCheck, *texts: str) -> str:
        key = number, texts
        if key not in self._verdicts:
            if len(self._verdicts) > MOST_REMEMBERED:
                self._verdicts.clear()
            self._verdicts[key] = check.judge(*texts)
        return self._verdicts[key]

    def _note(
        self, check: ValueCheck, part: ArchivePart, texts: tuple[str, ...], position: int, what: str, rows: int
    ) -> None:
        file, line = part.place(int(part.rows.index[position]))
        there = [
            term
            for term, text in zip(check.terms, texts, strict=True)
            if term in part.rows and (text or not check.is_secret)
        ]
        shown = check.points_at or next(iter(there), check.terms[0])
        index = part.column_of(shown)
        column = "" if index is None else column_letter(index + 1)
        key = check.rule.id, file, shown
        self._faulty.setdefault(key, FaultyValues(check.rule, shown, column, check.is_secret)).add(
            texts, line, what, rows
        )

    def findings(self, name: str) -> pd.DataFrame:
        """What was wrong in the archive that the person knows as `name`: one line a distinct faulty value."""
        return as_findings(
            one for (_, file, _), faulty in self._faulty.items() for one in _findings_of(faulty, file, name)
        )


def _findings_of(faulty: FaultyValues, file: str, name: str) -> Iterable[dict[str, object]]:
    term = short_name(faulty.term)
    for texts, found in faulty.values.items():
        value = "" if faulty.is_secret else texts[0]
        value = value if len(value) <= LONGEST_SHOWN else texts[0][: LONGEST_SHOWN - 1] + "…"
        told = f"{found.rows} rows" if found.rows != 1 else "1 row"
        if faulty.distinct > 1:
            told += f"; {faulty.rows} rows and {faulty.distinct} values in all"
        said = f"{value!r} {found.what}" if value else found.what
        message = f"{name}: {file}, line {found.line}, {term}: {said} ({told})."
        yield finding_at(
            faulty.rule, message=message, file=name, sheet=file, row=found.line, column=faulty.column, value=value,
            field=term,
            cause=f"{file}\x1f{term}\x1f{faulty.rule.id}",
        )  # fmt: skip
