"""The answers of the published data-quality tests on an archive, counted block by block.

Each test runs where its terms live: tests of events and places on the events, all others on the occurrences with what
their event says of them. The tests are those of a draft (2026-06-03): their answers are reported, nothing is claimed.
"""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import TextIO

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.check.event_join import EventJoin
from dwc_pipeline.check.hierarchy.event_tree import EVENT, OCCURRENCE
from dwc_pipeline.check.part_block import Block, first_rows
from dwc_pipeline.check.quality.registry import QualityTest, quality_tests, read_facts
from dwc_pipeline.check.quality.response import Response, ResponseStatus
from dwc_pipeline.check.quality.run import COUNTS, answerer
from dwc_pipeline.check.value_check import MOST_LIKELY_AGAIN
from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.terms.darwin_core import DCTERMS, DWC, term_by_iri

NAMESPACES = {
    "dwc": DWC,
    "dcterms": DCTERMS,
    "dc": "http://purl.org/dc/elements/1.1/",
    "oa": "http://www.w3.org/ns/oa#",
}
#: the date of an event matters to its occurrences only where they say when they were identified
EVENT_DATE, IDENTIFIED_ON = DWC + "eventDate", DWC + "dateIdentified"
OF_EVENTS = frozenset({"Event", "Location", "GeologicalContext"})
#: different answers of one test that are kept word for word; further ones are only counted
MOST_DIFFERENT = 500
#: answers kept between blocks
MOST_REMEMBERED = 50_000
#: tests that look at a value, though others of their kind only ask whether there is one
LOOKS_AT_VALUES = frozenset({"VALIDATION_COUNTRY_NOTEMPTY", "VALIDATION_COORDINATESSTATEPROVINCE_CONSISTENT"})
RESPONSE_COLUMNS = ("file", "line", "id", "test", "guid", "status", "result", "comment", "qualifier")
TALLY_COLUMNS = (
    "dimension",
    "type",
    "test",
    "guid",
    "status",
    "result",
    "comment",
    "qualifier",
    "rows",
    "file",
    "line",
)


@cache
def dimensions() -> dict[str, str]:
    """Label of a test -> its data-quality dimension."""
    return {row["label"]: row["dimension"] for row in read_facts("dimensions")}


def identifier_of(term: str) -> str:
    """The identifier of a term with a prefix.

    >>> identifier_of("dwc:eventDate")
    'http://rs.tdwg.org/dwc/terms/eventDate'
    """
    prefix, _, name = term.partition(":")
    return NAMESPACES[prefix] + name


@cache
def is_about_events(label: str) -> bool:
    """True for a test that acts upon terms of events and places only."""
    terms = [term_by_iri(identifier_of(one)) for one in quality_tests()[label].acted_upon if ":" in one]
    return bool(terms) and all(term is not None and term.organised_in in OF_EVENTS for term in terms)


def asks_only_for_emptiness(test: QualityTest) -> bool:
    """True if the answer depends on nothing but which terms are empty: also where an authority is not at hand."""
    of_the_kind = test.label.endswith("_NOTEMPTY") or test.needs == "network"
    return of_the_kind and test.label not in LOOKS_AT_VALUES


@dataclass
class Answered:
    """How many rows got an answer, and where the first of them stands."""

    rows: int
    file: str
    line: int


@dataclass
class QualityTally:
    """Counts answers over the blocks of an archive, the core before its extensions.

    responses: where every single answer is written as a line of RESPONSE_COLUMNS, or None.
    """

    today: dt.date
    responses: TextIO | None = None
    answered: dict[tuple[str, Response], Answered] = field(default_factory=dict)
    _known: dict[tuple[str, tuple[str, ...]], Response] = field(default_factory=dict)
    _different: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.responses is not None:
            csv.writer(self.responses, lineterminator="\n").writerow(RESPONSE_COLUMNS)

    def take(self, block: Block, events: EventJoin | None = None) -> None:
        """Answer the tests that belong to the rows of a part.

        events: the events that the rows hang on, if the archive has an event core.
        """
        part = block.part
        if part.rows.empty:
            return
        if part.is_core and part.row_type == EVENT:
            self._run(block, [one for one in quality_tests() if is_about_events(one) or one in COUNTS])
        elif part.is_core:
            self._run(block, list(quality_tests()))
        elif part.row_type == OCCURRENCE and events is not None:
            told = [term for term in terms_of_occurrences() if events.events.has(term) and term not in part.rows]
            if IDENTIFIED_ON not in part.rows:
                told = [term for term in told if term != EVENT_DATE]
            wider = block.with_beside(events.beside(told, events.at(part)))
            self._run(wider, [one for one in quality_tests() if not is_about_events(one)])

    def _run(self, block: Block, labels: Iterable[str]) -> None:
        part = block.part
        lines = part.lines[part.rows.index].to_numpy() if len(part.lines) else np.zeros(len(part.rows), dtype=np.intp)
        counted = {measure: np.zeros(len(part.rows), dtype=np.int64) for measure in COUNTS}
        for label in labels:
            if label not in COUNTS:
                test = quality_tests()[label]
                codes, answers = self._answers(test, block)
                self._note(test, codes, answers, part, lines)
                for measure, (kind, statuses, result) in COUNTS.items():
                    if test.type == kind:
                        hits = [one.status in statuses and result in ("", one.result) for one in answers]
                        counted[measure] += np.array(hits, dtype=np.int64)[codes]
        for measure, total in counted.items():
            numbers, codes = np.unique(total, return_inverse=True)
            told = f"tests of type {COUNTS[measure][0]} on this row"
            answers = [Response(ResponseStatus.RUN_HAS_RESULT, str(number), told) for number in numbers]
            self._note(quality_tests()[measure], codes, answers, part, lines)

    def _answers(self, test: QualityTest, block: Block) -> tuple[NDArray[np.intp], list[Response]]:
        terms = [term for term in test.terms if block.has(identifier_of(term))]
        columns = [identifier_of(term) for term in terms]
        if asks_only_for_emptiness(test):
            codes, combinations = block.emptiness(columns)
        else:
            codes, combinations = block.combinations(columns)
        answer = answerer(test, terms, self.today)
        if len(combinations) > MOST_LIKELY_AGAIN:
            return codes, [answer(texts) for texts in combinations]
        return codes, [self._remembered(test.label, texts, answer) for texts in combinations]

    def _remembered(
        self, label: str, texts: tuple[str, ...], answer: Callable[[tuple[str, ...]], Response]
    ) -> Response:
        key = label, texts
        if key not in self._known:
            if len(self._known) > MOST_REMEMBERED:
                self._known.clear()
            self._known[key] = answer(texts)
        return self._known[key]

    def _note(
        self,
        test: QualityTest,
        codes: NDArray[np.intp],
        answers: list[Response],
        part: ArchivePart,
        lines: np.ndarray,
    ) -> None:
        counts = np.bincount(codes, minlength=len(answers))
        firsts = first_rows(codes.astype(np.int64), len(answers))
        for code, answer in enumerate(answers):
            key = test.label, answer
            if key not in self.answered:
                if self._different.get(test.label, 0) >= MOST_DIFFERENT:
                    key = test.label, Response(answer.status, "", "further answers")
                self._different[test.label] = self._different.get(test.label, 0) + 1
                file = part.place(int(part.rows.index[firsts[code]]))[0]
                self.answered.setdefault(key, Answered(0, file, int(lines[firsts[code]])))
            self.answered[key].rows += int(counts[code])
        if self.responses is not None:
            self._write(self.responses, test, codes, answers, part, lines)

    def _write(
        self, out: TextIO, test: QualityTest, codes: NDArray[np.intp], answers: list[Response], part: ArchivePart,
        lines: np.ndarray,
    ) -> None:  # fmt: skip
        told = pd.DataFrame(
            [(str(one.status), one.result, one.comment, one.qualifier) for one in answers],
            columns=["status", "result", "comment", "qualifier"],
        ).iloc[codes]
        ids = part.text(DWC + "occurrenceID") if part.row_type == OCCURRENCE else part.ids.reindex(part.rows.index)
        file = part.place(int(part.rows.index[0]))[0]
        head = pd.DataFrame(
            {"file": file, "line": lines, "id": ids.to_numpy(), "test": test.label, "guid": test.guid}
        ).reset_index(drop=True)
        pd.concat([head, told.reset_index(drop=True)], axis=1).to_csv(
            out, header=False, index=False, lineterminator="\n"
        )

    def table(self) -> pd.DataFrame:
        """The different answers of each test (TALLY_COLUMNS), with the number of rows and the first of them."""
        tests = quality_tests()
        rows = [
            (dimensions()[label], tests[label].type, label, tests[label].guid, str(one.status), one.result,
             one.comment, one.qualifier, found.rows, found.file, found.line)
            for (label, one), found in self.answered.items()
        ]  # fmt: skip
        return pd.DataFrame(rows, columns=list(TALLY_COLUMNS)).sort_values(
            ["dimension", "type", "test", "status", "result"], kind="stable", ignore_index=True
        )


@cache
def terms_of_occurrences() -> tuple[str, ...]:
    """Identifiers of the terms that the tests of occurrences look at: what their events may tell of them."""
    chosen = [test for label, test in quality_tests().items() if not is_about_events(label)]
    return tuple(dict.fromkeys(identifier_of(term) for test in chosen for term in test.terms))


def by_dimension(table: pd.DataFrame) -> pd.DataFrame:
    """Answers of validations, issues and amendments counted by dimension.

    Columns: dimension, compliant, not_compliant, not_run (rows of validations), issues, proposals.
    """
    validations = table["type"] == "Validation"
    ran = table["status"] == "RUN_HAS_RESULT"
    kinds = {
        "compliant": validations & ran & (table["result"] == "COMPLIANT"),
        "not_compliant": validations & ran & (table["result"] == "NOT_COMPLIANT"),
        "not_run": validations & ~ran,
        "issues": (table["type"] == "Issue") & table["result"].isin(["POTENTIAL_ISSUE", "IS_ISSUE"]),
        "proposals": (table["type"] == "Amendment") & table["status"].isin(["AMENDED", "FILLED_IN"]),
    }
    counted = {
        kind: table["rows"].where(chosen, 0).groupby(table["dimension"]).sum() for kind, chosen in kinds.items()
    }
    return pd.DataFrame(counted).astype(int).reset_index()
