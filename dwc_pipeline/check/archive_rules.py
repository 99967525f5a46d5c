"""Do the rows of an archive fit together, and does its metafile tell the truth about them?

Source: Darwin Core text guide (2023-09-13); the section stands with each rule.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags, rows_at_fault
from dwc_pipeline.check.eml_rules import check_eml
from dwc_pipeline.check.metafile_rules import METAFILE_CHECKS, description_form, part_name
from dwc_pipeline.core.archive_contents import ArchiveContents
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.terms.darwin_core import DWC, ECO, OBIS, short_name, term_by_name

GUIDE = "Darwin Core text guide"
EVENT_ID, OCCURRENCE_ID = DWC + "eventID", DWC + "occurrenceID"
MEASUREMENTS, SCOPES = OBIS + "ExtendedMeasurementOrFact", ECO + "Event"


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
        yield from rows_at_fault(core, core.ids.index[core.ids == ""], core.ids, "as identifier")


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
        repeated = core.ids.duplicated(keep=False) & (core.ids != "")
        yield from rows_at_fault(core, core.ids.index[repeated], core.ids, "identifies more than one row")


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
    for part in contents.extensions:
        if part.id_index is not None:
            lost = part.ids.index[~part.ids.isin(core.ids)]
            yield from rows_at_fault(part, lost, part.ids, "is the identifier of no core row")


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
        named = part.text(EVENT_ID)
        differs = (named != "") & (named != part.ids) & (part.ids != "")
        yield from rows_at_fault(part, named.index[differs], named, "is not the event of the row", EVENT_ID)


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
    named = measurements.text(OCCURRENCE_ID)
    known = occurrences.text(OCCURRENCE_ID) if occurrences else pd.Series(dtype=object)
    lost = named.index[(named != "") & ~named.isin(known)]
    yield from rows_at_fault(measurements, lost, named, "is in no occurrence row", OCCURRENCE_ID)
    if occurrences is not None:
        first = ~known.duplicated()
        event = named.map(pd.Series(occurrences.ids[first].to_numpy(), index=known[first].to_numpy()))
        elsewhere = named.index[(named != "") & event.notna() & (event != measurements.ids)]
        yield from rows_at_fault(measurements, elsewhere, named, "belongs to another event", OCCURRENCE_ID)


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
        yield from rows_at_fault(part, part.ids.index[part.ids.duplicated()], part.ids, "has a scope row already")


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
        for file, record in part.starts:
            if record in part.rows.index:
                first = part.rows.loc[record]
                names = [short_name(term) for term in part.rows.columns]
                same = sum(cell.rsplit(":", 1)[-1] == name for cell, name in zip(first, names, strict=True))
                if same * 2 > len(names):
                    yield Fault(f"{file}, line 1 holds the names of the terms.", file, 1)


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
            name = header[field.index].strip().rsplit(":", 1)[-1].rsplit("/", 1)[-1]
            if term_by_name(name) and name != short_name(field.term):
                place = f"{part_name(part)}: column {field.index}"
                message = f"{place} is headed {name}, but mapped to {short_name(field.term)}."
                yield Fault(message, value=name)


ROW_CHECKS: tuple[Check[ArchiveContents], ...] = (
    missing_id_check, repeated_id_check, orphan_check, two_events_check, measured_animal_check, two_scopes_check,
    header_check, header_term_check,
)  # fmt: skip
