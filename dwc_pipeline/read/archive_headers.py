"""Darwin Core text files that have no metafile: their header lines tell the terms, their names the row type.

Source: Simple Darwin Core (2023-09-13), section 5, for term names as headers; the rest common practice, no source.
"""

from __future__ import annotations

import io
from pathlib import PurePosixPath

from dwc_pipeline.core.archive_contents import ArchiveField, ArchivePart, TextForm
from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.archive_rows import read_rows
from dwc_pipeline.read.archive_store import Store
from dwc_pipeline.terms.darwin_core import DWC, IDENTIFIERS, term_by_name

NO_METAFILE = declare(
    Rule(
        id="archive-has-no-metafile",
        severity=Severity.ERROR,
        what="The archive has no file called meta.xml.",
        why="No reader is told which file holds which rows and which column is which term; here they were told by "
        "the headers.",
        remedy="Add a metafile called meta.xml, in small letters.",
        source="Darwin Core text guide 2",
    )
)
TEXT_SUFFIXES = (".txt", ".csv", ".tsv")
SEPARATORS = ("\t", ",", ";", "|")


def parts_by_headers(store: Store, name: str) -> tuple[tuple[ArchivePart, ...], list[dict[str, object]]]:
    """The parts that header lines give away, and the finding that there is no metafile.

    Raises UnreadableFile if no text file has the names of Darwin Core terms in its first line.
    """
    found = [part for file in store.names if file.lower().endswith(TEXT_SUFFIXES) and (part := _part(store, file))]
    if not found:
        raise UnreadableFile(
            f"{name} has neither a file meta.xml nor a text file with the names of Darwin Core terms in its first "
            f"line: it is no Darwin Core archive. Name the archive, or the survey file."
        )
    ranked = sorted(found, key=lambda part: _rank(part.row_type))
    core, others = ranked[0], ranked[1:]
    identifier = IDENTIFIERS.get(core.row_type.removeprefix(DWC), "")
    parts = [_linked(core, identifier, is_core=True), *(_linked(part, identifier, is_core=False) for part in others)]
    message = f"{name} has no meta.xml; its files were read by their header lines."
    return tuple(parts), [finding_at(NO_METAFILE, message=message, file=name)]


def _part(store: Store, file: str) -> ArchivePart | None:
    first = _first_line(store, file)
    delimiter = max(SEPARATORS, key=first.count)
    form = TextForm(delimiter=delimiter, header_lines=1)
    headers = [header.strip() for header in next(iter(read_rows(store, file, form, []).headers), ())]
    terms = [term_by_name(header.rsplit(":", 1)[-1]) for header in headers]
    known = [term for term in terms if term is not None and term.kind == "property"]
    if len(known) * 2 < len(headers) or not known:
        return None
    fields = tuple(ArchiveField(term.iri, index) for index, term in enumerate(terms) if term is not None)
    return ArchivePart(False, _row_type(file, {term.name for term in known}), form, (file,), fields)


def _first_line(store: Store, file: str) -> str:
    with store.open(file) as stream:
        line = io.BytesIO(stream.read(1 << 16)).readline()
    return line.decode("utf-8-sig", errors="western-bytes")


def _row_type(file: str, names: set[str]) -> str:
    """What a row is: by the file's name, else by the identifier among the headers."""
    stem = PurePosixPath(file).stem.casefold()
    for kind in IDENTIFIERS:
        if stem.startswith(kind.casefold()):
            return DWC + kind
    if {"measurementType", "measurementValue"} & names:
        return DWC + "MeasurementOrFact"
    for kind in ("Occurrence", "Event", "Taxon"):
        if IDENTIFIERS[kind] in names:
            return DWC + kind
    return DWC + "Occurrence"


def _rank(row_type: str) -> int:
    kinds = [DWC + kind for kind in IDENTIFIERS]
    return kinds.index(row_type) if row_type in kinds else len(kinds)


def _linked(part: ArchivePart, identifier: str, *, is_core: bool) -> ArchivePart:
    index = part.column_of(DWC + identifier)
    return ArchivePart(is_core, part.row_type, part.form, part.locations, part.fields, index)
