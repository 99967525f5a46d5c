"""Do the rows of an archive fit together, and does its metafile tell the truth about them?

Source: Darwin Core text guide (2023-09-13); the section stands with each rule.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags, rows_at_fault
from dwc_pipeline.check.eml_rules import check_eml
from dwc_pipeline.check.identifier_keys import NONE, Flags, KeyIndex, repeated_in
from dwc_pipeline.check.metafile.description_rules import description_form
from dwc_pipeline.check.metafile.field_rules import part_name
from dwc_pipeline.check.metafile_rules import METAFILE_CHECKS
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.terms.darwin_core import DWC, ECO, OBIS, short_name, term_by_name

GUIDE = "Darwin Core text guide"
EVENT_ID, OCCURRENCE_ID = DWC + "eventID", DWC + "occurrenceID"
MEASUREMENTS, SCOPES = OBIS + "ExtendedMeasurementOrFact", ECO + "Event"


def _records(part: ArchivePart, chosen: Flags) -> pd.Index:
    """The records of a part at some positions."""
    return part.rows.index[chosen]


def check_archive(contents: ArchiveContents) -> pd.DataFrame:
    """Findings about an archive's form: what the reader met, the metafile, the links, the description.

    What the values say (dates, names, coordinates) is not judged here.
    """
    frames = [contents.problems]
    frames += [check.findings(contents, contents.name) for check in (*METAFILE_CHECKS, *ROW_CHECKS)]
    with contextlib.suppress(UnreadableFile):  # the rule about the form of the description has said so
        if description_form(contents)[0] == "EML":
            frames.append(check_eml(contents.metadata, contents.name, contents.metadata_name))
    return join_findings(frames)


@flags(
    Rule(
        id="core-row-has-no-identifier",
        severity=Severity.ERROR,
        what="The archive has extensions, and a core row has an empty identifier.",
        why="Nothing can be tied to that row.",
        remedy="Give every row an identifier of its own that never changes.",
        source=f"{GUIDE} 2.1.2",
    )
)
def missing_id_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Core rows have identifiers."""
    core = contents.core
    if core and contents.extensions and core.id_index is not None:
        yield from rows_at_fault(core, _records(core, core.id_keys() == 0), "as identifier")


@flags(
    Rule(
        id="core-identifier-is-repeated",
        severity=Severity.ERROR,
        what="The archive has extensions, and two core rows have the same identifier.",
        why="Occurrences and effort of one of the two events end up at the other.",
        remedy="Give every row an identifier of its own.",
        source=f"{GUIDE} 2.1.2",
    )
)
def repeated_id_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Core identifiers are unique."""
    core = contents.core
    if core and contents.extensions and core.id_index is not None:
        repeated = repeated_in(core.id_keys(), core.ids_at)
        yield from rows_at_fault(core, _records(core, repeated), "identifies more than one row")


@flags(
    Rule(
        id="extension-row-has-no-core-row",
        severity=Severity.ERROR,
        what="An extension row names a core row that is not there.",
        why="The row is lost: its animals, measurements or effort belong to no event.",
        remedy="Correct the identifier, or add the missing event.",
        source=f"{GUIDE} 2.1.2",
    )
)
def orphan_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Extension rows have their core row."""
    core = contents.core
    if core is None or core.id_index is None or not core.starts:
        return
    known, has_blank = KeyIndex(core.id_keys()), bool((core.id_keys() == 0).any())
    for part in contents.extensions:
        if part.id_index is not None:
            own = part.id_keys()
            lost = known.positions(own) == NONE
            if has_blank:
                lost &= own != 0
            yield from rows_at_fault(part, _records(part, lost), "is the identifier of no core row")


@flags(
    Rule(
        id="extension-row-names-two-events",
        severity=Severity.ERROR,
        what="An extension row is tied to one event and has the eventID of another.",
        why="Readers that go by the column of the term put the animal at another event than the archive says.",
        remedy="Make eventID the same as the identifier of the core row.",
        source=f"{GUIDE} 2.2.2 (coreid) with Darwin Core list of terms, eventID",
    )
)
def two_events_check(contents: ArchiveContents) -> Iterator[Fault]:
    """eventID of an extension row repeats the coreid."""
    core = contents.core
    if core is None or core.row_type != DWC + "Event":
        return
    for part in contents.extensions:
        named, own = part.keys(EVENT_ID), part.id_keys()
        differs = (named != 0) & (named != own) & (own != 0)
        yield from rows_at_fault(part, _records(part, differs), "is not the event of the row", EVENT_ID)


@flags(
    Rule(
        id="measurement-of-an-unknown-animal",
        severity=Severity.ERROR,
        what="A measurement names an occurrence that is not in the archive, or that belongs to another event.",
        why="Lengths and masses are tied to the wrong animal, or to none.",
        remedy="Correct occurrenceID; leave it empty for a measurement of the event itself.",
        source="registered definition of the extended measurement row type, occurrenceID; same event: ours",
    )
)
def measured_animal_check(contents: ArchiveContents) -> Iterator[Fault]:
    """The second link of an event archive holds."""
    parts = contents.by_row_type()
    measurements, occurrences = parts.get(MEASUREMENTS), parts.get(DWC + "Occurrence")
    if measurements is None:
        return
    named = measurements.keys(OCCURRENCE_ID)
    known = occurrences.keys(OCCURRENCE_ID) if occurrences else np.empty(0, dtype=np.uint64)
    at = KeyIndex(known).positions(named)
    lost = (named != 0) & (at == NONE)
    yield from rows_at_fault(measurements, _records(measurements, lost), "is in no occurrence row", OCCURRENCE_ID)
    if occurrences is not None and (at != NONE).any():
        elsewhere = (at != NONE) & (occurrences.id_keys()[np.maximum(at, 0)] != measurements.id_keys())
        what = "belongs to another event"
        yield from rows_at_fault(measurements, _records(measurements, elsewhere), what, OCCURRENCE_ID)


@flags(
    Rule(
        id="occurrence-identifier-is-repeated",
        severity=Severity.ERROR,
        what="Two occurrence rows have the same occurrenceID.",
        why="Readers keep one of the two animals, or take the second for a correction of the first.",
        remedy="Give every occurrence an identifier of its own that never changes.",
        source="Darwin Core list of terms 2026-05-26, occurrenceID (identifies the occurrence)",
    )
)
def repeated_occurrence_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Occurrences have their own identifiers; for the identifiers of a core another rule has said so."""
    part = contents.by_row_type().get(DWC + "Occurrence")
    if part is None or not part.has(OCCURRENCE_ID):
        return
    is_told = part.is_core and bool(contents.extensions) and part.column_of(OCCURRENCE_ID) == part.id_index
    if not is_told:

        def texts(records: Sequence[int]) -> list[str]:
            return part.texts_at(OCCURRENCE_ID, records)

        repeated = repeated_in(part.keys(OCCURRENCE_ID), texts)
        yield from rows_at_fault(part, _records(part, repeated), "is that of more than one occurrence", OCCURRENCE_ID)


@flags(
    Rule(
        id="event-has-two-scope-rows",
        severity=Severity.WARNING,
        what="An event has more than one Humboldt row.",
        why="Readers cannot tell which scope and which effort hold.",
        remedy="Keep one row for each event.",
        source="Humboldt Extension, properties of hierarchical events 3.3 no. 3 (tied by eventID); one row: ours",
    )
)
def two_scopes_check(contents: ArchiveContents) -> Iterator[Fault]:
    """At most one Humboldt row an event."""
    part = contents.by_row_type().get(SCOPES)
    if part is not None:
        again = pd.Series(part.id_keys(), copy=False).duplicated().to_numpy()
        yield from rows_at_fault(part, _records(part, again), "has a scope row already")


@flags(
    Rule(
        id="header-is-read-as-data",
        severity=Severity.ERROR,
        what="The first record of a file holds the names of the terms: the metafile does not call it a header.",
        why="Every reader takes the header for an animal or an event.",
        remedy='Add ignoreHeaderLines="1" to the core or extension.',
        source=f"{GUIDE} 2.2.1, ignoreHeaderLines",
    )
)
def header_check(contents: ArchiveContents) -> Iterator[Fault]:
    """No record is a header."""
    for part in contents.parts:
        named = [(field.index, short_name(field.term)) for field in part.fields if field.index is not None]
        for (file, _), first in zip(part.starts, part.firsts, strict=False):
            same = sum(index < len(first) and name_in(first[index]) == name for index, name in named)
            if same * 2 > len(named):
                yield Fault(f"{file}, line 1 holds the names of the terms.", file, 1)


def name_in(header: str) -> str:
    """The name of a term in a header that may have a prefix or be a full identifier."""
    return header.strip().rsplit(":", 1)[-1].rsplit("/", 1)[-1]


@flags(
    Rule(
        id="header-differs-from-its-term",
        severity=Severity.WARNING,
        what="The header of a column is the name of another term than the metafile gives it.",
        why="The numbers of the columns may be one off, and then every value stands under a wrong term.",
        remedy="Compare the metafile with the header line and correct the one that is wrong.",
    )
)
def header_term_check(contents: ArchiveContents) -> Iterator[Fault]:
    """Headers that are terms agree with the metafile."""
    for part in contents.parts:
        header = part.headers[0] if part.headers else ()
        for field in part.fields:
            if field.index is None or field.index >= len(header):
                continue
            name = name_in(header[field.index])
            if term_by_name(name) and name != short_name(field.term):
                place = f"{part_name(part)}: column {field.index}"
                message = f"{place} is headed {name}, but mapped to {short_name(field.term)}."
                yield Fault(message, value=name)


ROW_CHECKS: tuple[Check[ArchiveContents], ...] = (
    missing_id_check, repeated_id_check, orphan_check, two_events_check, measured_animal_check,
    repeated_occurrence_check, two_scopes_check, header_check, header_term_check,
)  # fmt: skip
