"""A Darwin Core archive: events as core; occurrences, measurements and the Humboldt Extension hang on them.

Source: Darwin Core text guide (2023-09-13).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

import pandas as pd

from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.terms.detection import DetectionWords, occurrence_status
from dwc_pipeline.terms.schema import columns_in_use
from dwc_pipeline.write.eml import eml_document
from dwc_pipeline.write.meta_xml import CORE_TABLE, ID_COLUMN, archive_columns, file_name, metafile
from dwc_pipeline.write.tables import table_bytes
from dwc_pipeline.write.zip_bytes import write_zip

EXTENSION_TABLES = ("occurrence", "measurement", "humboldt")


def write_archive(
    tables: Mapping[str, pd.DataFrame], metadata: DatasetMetadata, path: Path, words: DetectionWords
) -> Path:
    """Write the archive as a zip file, whole or not at all.

    tables: event, and whichever of occurrence, measurement and humboldt there are; text columns as declared in
    schemas/. Only published terms leave, and of those the columns that hold something. words: what
    the target reads in occurrenceStatus.
    Raises OutputRefused if there is no event, two events share an identifier, a row points to an event or an
    occurrence that is not there, or an occurrence does not say whether the taxon was detected.
    """
    _refuse_broken_links(tables)
    ready = {CORE_TABLE: tables[CORE_TABLE]}
    ready |= {name: tables[name] for name in EXTENSION_TABLES if name in tables and len(tables[name])}
    if "occurrence" in ready:
        status = occurrence_status(ready["occurrence"], words)
        ready["occurrence"] = ready["occurrence"].assign(occurrenceStatus=status)
    columns = {name: archive_columns(name, columns_in_use(name, frame)) for name, frame in ready.items()}
    members: dict[str, Iterable[bytes]] = {
        file_name(name): table_bytes(frame, columns[name]) for name, frame in ready.items()
    }
    members["meta.xml"] = [metafile(columns)]
    members["eml.xml"] = [eml_document(metadata)]
    return write_zip(path, members)


def _refuse_broken_links(tables: Mapping[str, pd.DataFrame]) -> None:
    """Refuse what no reader could put together again (text guide 2.1.2)."""
    if CORE_TABLE not in tables or tables[CORE_TABLE].empty:
        raise OutputRefused("There is no event, so there is nothing to archive. Look for the rows in rows.csv.")
    events = tables[CORE_TABLE][ID_COLUMN]
    _refuse(events[events.eq("") | events.isna()], "events have no eventID")
    _refuse(events[events.duplicated()], "events have the eventID of another event")
    for name in EXTENSION_TABLES:
        if name in tables:
            linked = tables[name][ID_COLUMN]
            _refuse(linked[~linked.isin(events)], f"{name} rows belong to an event that is not in the event table")
    if "measurement" in tables and "occurrenceID" in tables["measurement"]:
        measured = tables["measurement"]["occurrenceID"]
        known = tables["occurrence"]["occurrenceID"] if "occurrence" in tables else []
        _refuse(
            measured[measured.ne("") & measured.notna() & ~measured.isin(known)],
            "measurement rows belong to an animal that is not in the occurrence table",
        )


def _refuse(wrong: pd.Series, what: str) -> None:
    if len(wrong):
        shown = ", ".join(repr(str(value)) for value in wrong.drop_duplicates().head(5))
        raise OutputRefused(
            f"{len(wrong)} {what} ({shown}). No archive was written: its tables would not fit together."
        )
