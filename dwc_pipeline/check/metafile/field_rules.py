"""The fields of a metafile: terms, row types, defaults and hints.

Source: Darwin Core text guide (2023-09-13); the section stands with each rule.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import CLOSED_NAMESPACES, short_name, term_by_iri

GUIDE = "Darwin Core text guide"
IDENTIFIER = re.compile(r"(https?|urn|info):\S+")
DATE_FORMAT = re.compile(r"(YYYY|MM|DD)([-/]?(YYYY|MM|DD))*")


def part_name(part: ArchivePart) -> str:
    """How a message names a part."""
    kind = "the core" if part.is_core else "the extension"
    return f"{kind} {part.locations[0] if part.locations else part.row_type or 'without file'}"


@flags(
    Rule(
        id="row-type-is-no-identifier",
        severity=Severity.ERROR,
        what="A core or extension does not say by the full identifier of a class what its rows are.",
        why="Readers pass over rows whose type they do not know.",
        remedy="Write rowType as a full identifier, such as http://rs.tdwg.org/dwc/terms/Event.",
        source=f"{GUIDE} 2.2.1, rowType",
    )
)
def row_type_check(contents: ArchiveContents) -> Iterator[Fault]:
    """rowType is there and an IRI."""
    for part in contents.parts:
        if not IDENTIFIER.fullmatch(part.row_type):
            yield Fault(f"{part_name(part)} has the row type {part.row_type!r}.", value=part.row_type)


@flags(
    Rule(
        id="field-term-is-no-identifier",
        severity=Severity.ERROR,
        what="A field does not name its term by a full identifier.",
        why="A short name can belong to several lists; readers leave the column out.",
        remedy="Write the full identifier, such as http://rs.tdwg.org/dwc/terms/eventDate.",
        source=f"{GUIDE} 2.4.1, term",
    )
)
def term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """term is there and an IRI."""
    for part in contents.parts:
        for field in part.fields:
            if not IDENTIFIER.fullmatch(field.term):
                yield Fault(f"{part_name(part)} has a field with the term {field.term!r}.", value=field.term)


@flags(
    Rule(
        id="field-term-is-unknown",
        severity=Severity.WARNING,
        what="A term is in none of the lists of terms of the standard that its identifier belongs to, or is a class.",
        why="It is misspelt or made up, so readers leave the column out.",
        remedy="Correct the spelling; capital letters count. Facts that have no term go into dynamicProperties.",
        source="Darwin Core and Humboldt Extension lists of terms 2026-05-26; Simple Darwin Core 5 for classes",
    )
)
def unknown_term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Terms of the closed namespaces exist and are properties."""
    for part in contents.parts:
        for field in part.fields:
            known = term_by_iri(field.term)
            if (known is None and field.term.startswith(CLOSED_NAMESPACES)) or (known and known.kind == "class"):
                yield Fault(f"{part_name(part)} has a field with the term {field.term}.", value=field.term)


@flags(
    Rule(
        id="field-term-is-deprecated",
        severity=Severity.NOTE,
        what="A term is no longer recommended.",
        why="Newer readers may not know it.",
        remedy="Use the term that replaced it.",
        source="Darwin Core list of terms 2026-05-26, deprecated terms",
    )
)
def deprecated_check(contents: ArchiveContents) -> Iterator[Fault]:
    """No deprecated terms; row types of others use terms of Dublin Core as these are defined there."""
    for part in contents.parts:
        is_ours = part.row_type.startswith(CLOSED_NAMESPACES)
        for field in part.fields:
            known = term_by_iri(field.term)
            if known and known.is_deprecated and (is_ours or field.term.startswith(CLOSED_NAMESPACES)):
                instead = f"; use {known.replaced_by}" if known.replaced_by else ""
                yield Fault(f"{part_name(part)} uses the deprecated term {field.term}{instead}.", value=field.term)


@flags(
    Rule(
        id="field-has-neither-column-nor-default",
        severity=Severity.ERROR,
        what="A field names neither a column nor a constant, or the column is not a whole number from 0 up.",
        why="The term has no value anywhere.",
        remedy="Give the field the number of its column, counted from 0, or a default.",
        source=f"{GUIDE} 2.4.1, index and default",
    )
)
def pointless_field_check(contents: ArchiveContents) -> Iterator[Fault]:
    """A field has an index or a default."""
    for part in contents.parts:
        for field in part.fields:
            if field.index is None and field.default is None:
                message = f"{part_name(part)} has no column and no default for {short_name(field.term)}."
                yield Fault(message, value=field.term)


@flags(
    Rule(
        id="term-is-mapped-twice",
        severity=Severity.ERROR,
        what="A core or extension has two fields for one term.",
        why="Readers keep one of the two columns, and not all the same one.",
        remedy='Put both into one column, separated by " | ".',
        source=f"{GUIDE} 2.4 (one field for every term) and Simple Darwin Core 5 (no repeated field)",
    )
)
def repeated_term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """One field a term."""
    for part in contents.parts:
        for term, count in Counter(field.term for field in part.fields).items():
            if count > 1:
                yield Fault(f"{part_name(part)} has {count} fields for {short_name(term)}.", value=term)


@flags(
    Rule(
        id="field-vocabulary-is-no-identifier",
        severity=Severity.WARNING,
        what="The vocabulary of a field is not named by a full identifier.",
        why="Nobody can look up what the words mean.",
        remedy="Write the address of the list, or leave the attribute out.",
        source=f"{GUIDE} 2.4.1, vocabulary",
    )
)
def vocabulary_check(contents: ArchiveContents) -> Iterator[Fault]:
    """A vocabulary is an IRI."""
    for part in contents.parts:
        for field in part.fields:
            if field.vocabulary and not IDENTIFIER.fullmatch(field.vocabulary):
                message = f"{part_name(part)} names the vocabulary {field.vocabulary!r} for {short_name(field.term)}."
                yield Fault(message, value=field.vocabulary)


@flags(
    Rule(
        id="date-format-hint-is-unknown",
        severity=Severity.WARNING,
        what="The hint about dates is not made of YYYY, MM and DD.",
        why="Readers that follow the hint read the dates wrongly.",
        remedy="Write dates in ISO form and leave the hint out.",
        source=f"{GUIDE} 2.2.1, dateFormat",
    )
)
def date_format_check(contents: ArchiveContents) -> Iterator[Fault]:
    """dateFormat has the form asked for."""
    for part in contents.parts:
        if not DATE_FORMAT.fullmatch(part.form.date_format):
            message = f"{part_name(part)} has the date format {part.form.date_format!r}."
            yield Fault(message, value=part.form.date_format)


FIELD_CHECKS: tuple[Check[ArchiveContents], ...] = (
    row_type_check, term_check, unknown_term_check, deprecated_check, pointless_field_check,
    repeated_term_check, vocabulary_check, date_format_check,
)  # fmt: skip
