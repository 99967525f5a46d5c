"""Do the fields of a part suit its row type?

Sources: Simple Darwin Core (2023-09-13), section 5; registered definitions of the row types (Event, Occurrence and
Humboldt 2025-07-10, Measurement or Fact 2025-07-10, Extended Measurement or Fact 2023-08-28), kept in
schemas/row_type_terms.csv. The registry is not part of Darwin Core, so what it says is only noted.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from functools import cache

import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.check.metafile.field_rules import part_name
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC, short_name, term_by_iri
from dwc_pipeline.terms.schema import schemas_folder

STATUS = DWC + "occurrenceStatus"
EDITIONS = {
    "present": "the edition before 2026-05-26",
    "absent": "the edition before 2026-05-26",
    "detected": "the edition of 2026-05-26",
    "notDetected": "the edition of 2026-05-26",
}


@cache
def registered_terms() -> dict[str, dict[str, bool]]:
    """Row type -> its registered terms by identifier -> is it required there?"""
    path = schemas_folder() / "row_type_terms.csv"
    found: dict[str, dict[str, bool]] = {}
    with path.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(line for line in lines if not line.startswith("#")):
            found.setdefault(row["row_type"], {})[row["iri"]] = row["required"] == "true"
    return found


@flags(
    Rule(
        id="class-is-used-as-a-field",
        severity=Severity.ERROR,
        what="A field is mapped to the name of a class, such as Occurrence.",
        why="A class is a kind of thing and has no value; readers drop the column.",
        remedy="Map the column to a property, such as occurrenceID.",
        source="Simple Darwin Core (2023-09-13), section 5 (MUST NOT)",
    )
)
def class_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Fields are properties."""
    for part in contents.parts:
        for field in part.fields:
            term = term_by_iri(field.term)
            if term is not None and term.kind == "class":
                yield Fault(f"{part_name(part)} maps a field to the class {term.name}.", value=field.term)


@flags(
    Rule(
        id="term-is-not-registered-for-its-row-type",
        severity=Severity.NOTE,
        what="A field is mapped to a term that is not in the registered list of its row type.",
        why="It is legal, but readers that go by the registry pass over the column.",
        remedy="Leave it, and do not rely on it being read; what matters should also stand in a registered term.",
        source="registered definitions of the row types; that it is legal: Darwin Core text guide 2.4.1",
    )
)
def registered_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Terms are in the list of their row type; terms that are unknown or deprecated are told by other rules."""
    for part in contents.parts:
        known = registered_terms().get(part.row_type)
        for field in part.fields if known else ():
            term = term_by_iri(field.term)
            repeats_the_link = not part.is_core and field.index is not None and field.index == part.id_index
            if known and field.term not in known and term and not term.is_deprecated and not repeats_the_link:
                kind = short_name(part.row_type)
                message = f"{part_name(part)}: {term.name} is not in the registered list for rows of {kind}."
                yield Fault(message, value=field.term, field=term.name, cause=f"{part_name(part)} {term.name}")


@flags(
    Rule(
        id="registry-asks-for-a-term",
        severity=Severity.NOTE,
        what="A term that the registry requires for a row type is not mapped, or empty in some row.",
        why="Darwin Core has no mandatory field, but readers that go by the registry may refuse the rows.",
        remedy="Fill the term: basisOfRecord for occurrences, measurementType for measurements.",
        source="registered definitions of the row types; no mandatory field: Simple Darwin Core, section 4",
    )
)
def required_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Terms that the registry requires are there."""
    for part in contents.parts:
        for term, required in registered_terms().get(part.row_type, {}).items():
            if not required or not part.count:
                continue
            empty = int((part.text(term) == "").sum())
            if empty:
                name = short_name(term)
                message = f"{part_name(part)}: {name} is empty in {empty} of {part.count} rows."
                yield Fault(message, part.starts[0][0] if part.starts else "", field=name)


@flags(
    Rule(
        id="occurrence-status-follows-an-edition",
        severity=Severity.NOTE,
        what="occurrenceStatus uses the words of one edition of Darwin Core.",
        why="Since 2026-05-26 detected and notDetected are recommended; registries and the draft data-quality "
        "tests still read present and absent. A reader that knows one pair only may take notDetected for a find.",
        remedy="Ask the repository which pair it reads before you send non-detections.",
        source="Darwin Core list of terms 2026-05-26, comment of occurrenceStatus, and the edition before it",
    )
)
def edition_check(contents: ArchiveContents) -> Iterator[Fault]:
    """The edition is told where there are non-detections."""
    for part in contents.parts:
        words = set(part.text(STATUS).unique()) & set(EDITIONS)
        if words & {"absent", "notDetected"} and len({EDITIONS[word] for word in words}) == 1:
            told = " and ".join(sorted(words))
            edition = EDITIONS[next(iter(words))]
            message = f"{part_name(part)}: occurrenceStatus says {told}: the words of {edition}."
            yield Fault(message, part.starts[0][0] if part.starts else "", field="occurrenceStatus")


@flags(
    Rule(
        id="occurrence-status-mixes-editions",
        severity=Severity.WARNING,
        what="occurrenceStatus uses words of two editions of Darwin Core in one file.",
        why="No reader is sure to know both pairs: some empty checks will be read as finds.",
        remedy="Use one pair throughout: present and absent, or detected and notDetected.",
        source="Darwin Core list of terms 2026-05-26, comment of occurrenceStatus; one pair: ours",
    )
)
def mixed_check(contents: ArchiveContents) -> Iterator[Fault]:
    """One pair of words."""
    for part in contents.parts:
        words = set(part.text(STATUS).unique()) & set(EDITIONS)
        if len({EDITIONS[word] for word in words}) > 1:
            message = f"{part_name(part)}: occurrenceStatus says {', '.join(sorted(words))}."
            yield Fault(message, part.starts[0][0] if part.starts else "", field="occurrenceStatus")


ROW_TYPE_CHECKS: tuple[Check[ArchiveContents], ...] = (
    class_check, registered_check, required_check, edition_check, mixed_check,
)  # fmt: skip


def check_row_types(contents: ArchiveContents) -> pd.DataFrame:
    """Findings about the fields of an archive and its row types."""
    return join_findings(check.findings(contents, contents.name) for check in ROW_TYPE_CHECKS)
