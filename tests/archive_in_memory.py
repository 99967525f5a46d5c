"""Archives made in memory for tests of the rules: rows given as mappings of term names to texts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import pandas as pd

from dwc_pipeline.check.value_rules import check_values
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchiveField, ArchivePart
from dwc_pipeline.terms.darwin_core import DWC, ECO, term_by_name

TODAY = dt.date(2026, 11, 25)
Row = Mapping[str, str]
IDENTIFIERS = {"Event": "eventID", "Occurrence": "occurrenceID"}


def iri(name: str) -> str:
    """The identifier of a term by its name; an identifier stays as it is."""
    found = None if ":" in name else term_by_name(name)
    return found.iri if found else name


def part(rows: Sequence[Row], row_type: str, file: str, *, is_core: bool) -> ArchivePart:
    """A part whose rows are tied by eventID, or by occurrenceID in a core of occurrences."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    index = pd.RangeIndex(1, len(rows) + 1, name="record")
    texts = {iri(name): pd.Series([row.get(name, "") for row in rows], index=index, dtype=object) for name in names}
    frame = pd.DataFrame(texts, index=index)
    identifier = "occurrenceID" if is_core and row_type == DWC + "Occurrence" else "eventID"
    ids = frame[iri(identifier)] if identifier in names else pd.Series("", index=index, dtype=object)
    lines = pd.Series(range(2, len(rows) + 2), index=index)
    return ArchivePart(
        is_core, row_type, locations=(file,), rows=frame, ids=ids, lines=lines,
        fields=tuple(ArchiveField(iri(name), column) for column, name in enumerate(names)),
        id_index=names.index(identifier) if identifier in names else None, starts=((file, 1),), width=len(names),
    )  # fmt: skip


def archive(
    events: Sequence[Row] = (), occurrences: Sequence[Row] = (), humboldt: Sequence[Row] = ()
) -> ArchiveContents:
    """An archive of an event core with occurrences and Humboldt rows."""
    extensions = [
        part(rows, row_type, file, is_core=False)
        for rows, row_type, file in (
            (occurrences, DWC + "Occurrence", "occurrence.txt"),
            (humboldt, ECO + "Event", "humboldt.txt"),
        )
        if rows
    ]
    return ArchiveContents(
        "archive", core=part(events, DWC + "Event", "event.txt", is_core=True), extensions=extensions
    )


def value_rules_of(row: Row, row_type: str = DWC + "Event") -> set[str]:
    """The rules about values that one row breaks."""
    only = part([row], row_type, "event.txt", is_core=True)
    return set(check_values(ArchiveContents("archive", core=only), TODAY)["rule"])
