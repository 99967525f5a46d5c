"""Rules about the values of one row: judged once for each distinct combination, block by block.

A rule is a function of texts that says what is wrong with them, or "" if nothing is. Blocks of a large archive are
given one after the other, so that only what is wrong stays in memory.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.check.quality.emptiness import is_empty
from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.core.rule import Rule, declare
from dwc_pipeline.terms.darwin_core import short_name

#: stands among the terms of a rule for the day that counts as today, YYYY-MM-DD
TODAY = "today"
#: stands among the terms of a rule for what a row of the part is, by its identifier
ROW_TYPE = "row type"
#: distinct faulty values of one rule, file and term that are told one by one; each says how many there are
MOST_VALUES = 20
#: verdicts kept between blocks
MOST_REMEMBERED = 50_000
#: distinct values of a block beyond which they are not remembered
MOST_LIKELY_AGAIN = 5_000
LONGEST_SHOWN = 80
Codes = NDArray[np.intp]


class Block:
    """Some rows of a part, each column looked at once."""

    def __init__(self, part: ArchivePart, today: dt.date) -> None:
        self.part = part
        self._constants = {TODAY: today.isoformat(), ROW_TYPE: part.row_type}
        self._coded: dict[str, tuple[Codes, list[str]]] = {}
        self._told: dict[str, tuple[Codes, list[str]]] = {}

    def has(self, term: str) -> bool:
        """True if the part has a column or a constant for the term."""
        return term in self._constants or term in self.part.rows

    def coded(self, term: str) -> tuple[Codes, list[str]]:
        """Number of the value in each row, and the distinct values."""
        if term not in self._coded:
            rows = self.part.rows
            if term in rows:
                codes, distinct = pd.factorize(rows[term].to_numpy(dtype=object))
                self._coded[term] = codes, distinct.tolist()
            else:
                self._coded[term] = np.zeros(len(rows), dtype=np.intp), [self._constants.get(term, "")]
        return self._coded[term]

    def combinations(self, terms: Sequence[str]) -> tuple[Codes, list[tuple[str, ...]]]:
        """Number of the combination of values in each row, and the distinct combinations."""
        return self._combined([self.coded(term) for term in terms])

    def emptiness(self, terms: Sequence[str]) -> tuple[Codes, list[tuple[str, ...]]]:
        """The same with one value standing for all that are not Empty (nothing but U+0000 to U+0020)."""
        return self._combined([self._filled(term) for term in terms])

    def _filled(self, term: str) -> tuple[Codes, list[str]]:
        if term not in self._told:
            self._told[term] = self._what_is_told(term)
        return self._told[term]

    def _what_is_told(self, term: str) -> tuple[Codes, list[str]]:
        codes, distinct = self.coded(term)
        # Only what begins with a character up to U+0020 can be Empty.
        empty = np.array([not text or (text[0] <= " " and is_empty(text)) for text in distinct] or [True])
        some = next((text for text, nothing in zip(distinct, empty, strict=False) if not nothing), "")
        return np.where(empty, 0, 1)[codes].astype(np.intp), ["", some] if some else [""]

    def _combined(self, columns: Sequence[tuple[Codes, list[str]]]) -> tuple[Codes, list[tuple[str, ...]]]:
        together, count = np.zeros(len(self.part.rows), dtype=np.int64), 1
        for codes, distinct in columns:
            if len(distinct) > 1:
                # Numbers are counted anew each time, so that every one below `count` is there and none overflows.
                together = pd.factorize(together * len(distinct) + codes)[0].astype(np.int64)
                count = int(together.max(initial=0)) + 1
        firsts = first_rows(together, count)
        texts = [[values[code] for code in codes[firsts]] for codes, values in columns]
        return together.astype(np.intp), list(zip(*texts, strict=True)) if texts else [()]


def first_rows(codes: NDArray[np.int64], count: int) -> Codes:
    """The first row of each code; every code from 0 to count - 1 is there."""
    firsts = np.zeros(count if len(codes) else 0, dtype=np.intp)
    firsts[codes[::-1]] = np.arange(len(codes) - 1, -1, -1)
    return firsts


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

    def __init__(self, checks: Sequence[ValueCheck | EachTermCheck], today: dt.date) -> None:
        self._checks, self._today = checks, today
        self._verdicts: dict[tuple[int, tuple[str, ...]], str] = {}
        self._faulty: dict[tuple[str, str, str], FaultyValues] = {}

    def take(self, part: ArchivePart) -> None:
        """Judge some rows of a part."""
        if part.rows.empty:
            return
        block = Block(part, self._today)
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
        shown = check.points_at or next((term for term in check.terms if term in part.rows), check.terms[0])
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
