"""One way to write a rule about an archive: a Rule, and a function that yields what is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeVar

import pandas as pd

from dwc_pipeline.core.archive_contents import METAFILE, ArchivePart
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.core.rule import Rule, declare

#: how many rows of one fault are shown one by one; the message says how many there are
MOST_EXAMPLES = 20
LONGEST_SHOWN = 80
Subject = TypeVar("Subject")


class Fault(NamedTuple):
    """What is wrong in one place. file: name in the archive. line: from 1, 0 for the whole file.

    column: letter of the column; cause: what groups places with the same fault, the message where left out.
    """

    message: str
    file: str = METAFILE
    line: int = 0
    column: str = ""
    value: str = ""
    field: str = ""
    cause: str = ""


@dataclass(frozen=True)
class Check(Generic[Subject]):
    """A rule and the function that finds where it is broken."""

    rule: Rule
    test: Callable[[Subject], Iterator[Fault]]

    def findings(self, subject: Subject, name: str) -> pd.DataFrame:
        """What the rule says of an archive or document that the person knows as `name`."""
        return as_findings(
            finding_at(self.rule, message=f"{name}: {fault.message}", file=name, sheet=fault.file, row=fault.line,
                       column=fault.column, value=fault.value, field=fault.field, cause=fault.cause)
            for fault in self.test(subject)
        )  # fmt: skip


def flags(rule: Rule) -> Callable[[Callable[[Subject], Iterator[Fault]]], Check[Subject]]:
    """Declare the rule that a function checks."""
    declare(rule)
    return lambda test: Check(rule, test)


def rows_at_fault(
    part: ArchivePart,
    records: Iterable[int],
    what: str,
    term: str = "",
    shown: Callable[[Sequence[int]], list[str]] | None = None,
) -> Iterator[Fault]:
    """Faults of some records of a part: `what` with their number, and the first of them one by one.

    records: labels of the part's rows. term: the term at fault; the identifier of the core record where left out.
    shown: gives what stands for a few records in the messages, if that is not the value of the term.
    """
    labels = list(records)
    first = labels[:MOST_EXAMPLES]
    index = part.column_of(term) if term else part.id_index
    values = shown(first) if shown else part.texts_at(term, first) if term else part.ids_at(first)
    for record, value in zip(first, values, strict=True):
        file, line = part.place(record)
        message = f"{file}, line {line}: {shortened(value)!r} {what} ({len(labels)} such rows)."
        column = "" if index is None else column_letter(index + 1)
        yield Fault(message, file, line, column, shortened(value), term.rsplit("/", 1)[-1], cause=f"{file} {what}")


def shortened(value: str) -> str:
    """A value as it fits into a message."""
    return value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 1] + "…"
