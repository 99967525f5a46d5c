"""Checks a Darwin Core archive or a data package that anybody may have made."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TextIO

import pandas as pd

from dwc_pipeline.check.archive_report import ArchiveReport, PartCount, part_counts, uses_of
from dwc_pipeline.check.archive_rules import check_archive
from dwc_pipeline.check.humboldt_rules import check_humboldt
from dwc_pipeline.check.kept_terms import is_kept
from dwc_pipeline.check.linked_disclosure import check_linked_disclosure
from dwc_pipeline.check.package_rules import as_archive, check_package, other_parts
from dwc_pipeline.check.quality_tally import QualityTally
from dwc_pipeline.check.row_type_rules import check_row_types
from dwc_pipeline.check.value_check import ValueFindings
from dwc_pipeline.check.value_rules import VALUE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.records import Records, Reference
from dwc_pipeline.core.review import review_findings
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.read.archive_file import Blocks, read_archive
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
            values, quality = ValueFindings(VALUE_CHECKS, today), QualityTally(today, out)
            contents = as_archive(package)
            for part in (*contents.parts, *other_parts(package)):
                values.take(part)
                quality.take(part)
            report = _report(contents, [check_package(package)], values, quality, today)
        counts = tuple(PartCount(table.file, table.name, len(table.rows)) for table in package.tables)
        return replace(report, kind="Darwin Core data package", parts=counts)
    try:
        return _check_archive(path, today, responses, tell, in_blocks=True)
    except RecordsDiffer:
        return _check_archive(path, today, responses, tell, in_blocks=False)


def _check_archive(
    path: Path, today: dt.date, responses: Path | None, tell: Tell, *, in_blocks: bool
) -> ArchiveReport:
    """The report on an archive: rules about values and tests as the blocks come, the rest at the end."""
    with _answers_to(responses) as out:
        values, quality = ValueFindings(VALUE_CHECKS, today), QualityTally(today, out)

        def take(part: ArchivePart) -> None:
            tell(f"checking the values of {part.starts[-1][0]}, row {part.rows.index[0]:,} on")
            values.take(part)
            quality.take(part)

        tell("reading the archive")
        contents = read_archive(path, path.name, Blocks(take, is_kept) if in_blocks else None)
        for part in contents.parts if not in_blocks else ():
            take(part)
    tell("checking the events and what hangs on them")
    return _report(contents, [check_archive(contents), check_row_types(contents)], values, quality, today)


def _report(
    contents: ArchiveContents,
    found: list[pd.DataFrame],
    values: ValueFindings,
    quality: QualityTally,
    today: dt.date,
) -> ArchiveReport:
    """What the rules about values and events add to findings about the form."""
    found = [
        *found,
        values.findings(contents.name),
        check_humboldt(contents),
        check_linked_disclosure(contents, today),
    ]
    findings, _ = review_findings(Records(Reference(today)).with_(findings=found), (), "answers.csv")
    counts, uses = part_counts(contents), uses_of(contents, findings)
    return ArchiveReport(contents.name, "Darwin Core archive", counts, findings, uses, quality.table())


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
