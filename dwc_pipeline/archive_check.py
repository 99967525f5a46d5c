"""Checks a Darwin Core archive or a data package that anybody may have made."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TextIO

import pandas as pd

from dwc_pipeline.check.archive_report import ArchiveReport, PartCount, part_counts, uses_of
from dwc_pipeline.check.archive_rules import check_archive
from dwc_pipeline.check.humboldt_rules import check_humboldt
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
from dwc_pipeline.read.archive_file import read_archive
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
    if not is_package(path):
        tell("reading the archive")
        contents = read_archive(path, name)
        return _report(contents, (), [check_archive(contents), check_row_types(contents)], today, responses, tell)
    tell("reading the data package")
    with open_package(path, name) as package:
        found = [check_package(package)]
        report = _report(as_archive(package), other_parts(package), found, today, responses, tell)
    counts = tuple(PartCount(table.file, table.name, len(table.rows)) for table in package.tables)
    return replace(report, kind="Darwin Core data package", parts=counts)


def _report(
    contents: ArchiveContents,
    beside: Sequence[ArchivePart],
    found: list[pd.DataFrame],
    today: dt.date,
    responses: Path | None,
    tell: Tell,
) -> ArchiveReport:
    """What the rules about values and events add to findings about the form; `beside`: parts with values only."""
    values = ValueFindings(VALUE_CHECKS, today)
    with _opened(responses) as out:
        quality = QualityTally(today, out)
        for part in (*contents.parts, *beside):
            tell(f"checking the values of {', '.join(part.locations)}")
            values.take(part)
            quality.take(part)
    tell("checking the events and what hangs on them")
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
def _opened(path: Path | None) -> Iterator[TextIO | None]:
    if path is None:
        yield None
        return
    try:
        with path.open("w", encoding="utf-8", newline="") as out:
            yield out
    except OSError as error:
        raise OutputRefused(f"{path} cannot be written ({error.strerror}). Name another file.") from None
