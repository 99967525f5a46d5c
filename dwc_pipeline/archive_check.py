"""Checks a Darwin Core archive or a data package that anybody may have made."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TextIO

import pandas as pd

from dwc_pipeline.check.archive_report import ArchiveReport, PartCount, part_counts, ranked, uses_of
from dwc_pipeline.check.archive_rules import check_archive
from dwc_pipeline.check.event_join import EventJoin
from dwc_pipeline.check.hierarchy.event_tree import EVENT
from dwc_pipeline.check.humboldt_rules import check_humboldt
from dwc_pipeline.check.kept_columns import KeptColumns
from dwc_pipeline.check.linked_disclosure import OccurrenceDisclosure, check_linked_places
from dwc_pipeline.check.package_rules import as_archive, check_package, other_parts
from dwc_pipeline.check.part_block import Block
from dwc_pipeline.check.quality_tally import QualityTally
from dwc_pipeline.check.row_type_rules import check_row_types
from dwc_pipeline.check.value_check import ValueFindings
from dwc_pipeline.check.value_rules import VALUE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.kept_column import LookAgain
from dwc_pipeline.core.records import Records, Reference
from dwc_pipeline.core.review import review_findings
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.read.archive_parts import Blocks
from dwc_pipeline.read.archive_rows import RecordsDiffer
from dwc_pipeline.read.package_file import is_package, open_package

Tell = Callable[[str], None]


def quiet(_: str) -> None:
    """Tell nobody."""


def check_archive_file(
    path: Path, today: dt.date, responses: Path | None = None, tell: Tell = quiet
) -> ArchiveReport:
    """Findings, row counts, answers of the data-quality tests and verdicts for a Darwin Core archive (zip file,
    folder or text file) or a data package (folder, datapackage.json or packed with gzip).

    today: dates after it are in the future. responses: a file for every single answer of the data-quality tests, one
    line a row and test. tell: called with a short text before each stage.
    Raises UnreadableFile if the path can be read as neither, OutputRefused if `responses` cannot be written.
    """
    name = path.name
    if is_package(path):
        tell("reading the data package")
        with open_package(path, name) as package, _answers_to(responses) as out:
            gathered = Gathered(today, out, tell)
            contents = as_archive(package)
            for part in (*contents.parts, *other_parts(package)):
                gathered.take(part)
                gathered.done(part)
            report = gathered.report(contents, [check_package(package)])
        counts = tuple(PartCount(table.file, table.name, len(table.rows)) for table in package.tables)
        return replace(report, kind="Darwin Core data package", parts=counts)
    try:
        with _answers_to(responses) as out:
            gathered = Gathered(today, out, tell)
            tell("reading the archive")
            contents = read_archive(path, name, Blocks(gathered.take, gathered.done_in_blocks))
            return gathered.report(contents, [check_archive(contents), check_row_types(contents)])
    except RecordsDiffer:
        return check_at_once(path, today, responses, tell)


def check_at_once(path: Path, today: dt.date, responses: Path | None, tell: Tell) -> ArchiveReport:
    """The report on an archive that is held in memory as a whole."""
    with _answers_to(responses) as out:
        gathered = Gathered(today, out, tell)
        tell("reading the archive")
        contents = read_archive(path, path.name)
        for part in contents.parts:
            gathered.take(part)
            gathered.done(part)
        return gathered.report(contents, [check_archive(contents), check_row_types(contents)])


class Gathered:
    """What the rules about rows say, and what is kept of the rows, block by block: the core before the extensions."""

    def __init__(self, today: dt.date, responses: TextIO | None, tell: Tell) -> None:
        self._today, self._tell = today, tell
        self._values, self._quality = ValueFindings(VALUE_CHECKS), QualityTally(today, responses)
        self._disclosure = OccurrenceDisclosure(today)
        self._kept: KeptColumns | None = None
        self._events: EventJoin | None = None

    def take(self, part: ArchivePart) -> None:
        """Judge some rows of a part, and keep what the rules about the whole need of them."""
        if not part.count:
            return
        self._tell(f"checking the values of {part.starts[-1][0]}, row {part.rows.index[0]:,} on")
        block = Block(part, self._today)
        self._values.take(block)
        self._quality.take(block, self._events)
        if self._events is not None:
            self._disclosure.take(part, self._events)
        self._kept = self._kept or KeptColumns()
        self._kept.add(block)

    def done(self, part: ArchivePart) -> None:
        """All rows of a part have been seen."""
        self._kept = None
        if part.is_core and part.row_type == EVENT:
            self._events = EventJoin(part)

    def done_in_blocks(self, part: ArchivePart, look_again: LookAgain) -> ArchivePart:
        """The part with what was kept of it."""
        whole = self._kept.part(part, look_again) if self._kept else part
        self.done(whole)
        return whole

    def report(self, contents: ArchiveContents, found: Sequence[pd.DataFrame]) -> ArchiveReport:
        """The report: findings about the form, and what the rules about values and events add."""
        self._tell("checking the events and what hangs on them")
        found = [
            *found,
            self._values.findings(contents.name),
            check_humboldt(contents),
            check_linked_places(contents),
            self._disclosure.findings(contents.name),
        ]
        findings, _ = review_findings(Records(Reference(self._today)).with_(findings=found), (), "answers.csv")
        findings = ranked(findings)
        counts, uses = part_counts(contents), uses_of(contents, findings)
        return ArchiveReport(contents.name, "Darwin Core archive", counts, findings, uses, self._quality.table())


@contextlib.contextmanager
def _answers_to(path: Path | None) -> Iterator[TextIO | None]:
    if path is None:
        yield None
        return
    try:
        with path.open("w", encoding="utf-8", newline="") as out:
            yield out
    except OSError as error:
        raise OutputRefused(f"{path} cannot be written ({error.strerror}). Name another file.") from None
