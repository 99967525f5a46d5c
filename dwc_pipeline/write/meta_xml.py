"""The metafile of an archive: which file holds which rows, and which column is which term.

Source: Darwin Core text guide (2023-09-13), section 2.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lxml import etree

from dwc_pipeline.terms.schema import row_type, term_iri

NAMESPACE = "http://rs.tdwg.org/dwc/text/"
CORE_TABLE = "event"
ID_COLUMN = "eventID"


def archive_columns(table: str, used: Sequence[str]) -> list[str]:
    """The columns of a table that an archive holds: the identifier of the event first, then published terms only."""
    return [ID_COLUMN, *(column for column in used if column != ID_COLUMN and term_iri(column, table))]


def metafile(columns: Mapping[str, Sequence[str]], metadata: str = "eml.xml") -> bytes:
    """The bytes of meta.xml.

    columns: for each table its columns as written, the event's identifier first; the event table is the core
    and the others are extensions. metadata: name of the file that describes the data set.
    """
    archive = etree.Element(f"{{{NAMESPACE}}}archive", nsmap={None: NAMESPACE}, metadata=metadata)
    _describe(archive, "core", CORE_TABLE, columns[CORE_TABLE])
    for table, names in columns.items():
        if table != CORE_TABLE:
            _describe(archive, "extension", table, names)
    written: bytes = etree.tostring(archive, xml_declaration=True, encoding="UTF-8", pretty_print=True)
    return written


def file_name(table: str) -> str:
    """The name of a table's file inside the archive."""
    return f"{table}.txt"


def _describe(archive: Any, kind: str, table: str, columns: Sequence[str]) -> None:
    entity = _add(
        archive,
        kind,
        rowType=row_type(table),
        encoding="UTF-8",
        fieldsTerminatedBy=",",
        linesTerminatedBy="\\n",
        fieldsEnclosedBy='"',
        ignoreHeaderLines="1",
    )
    _add(_add(entity, "files"), "location").text = file_name(table)
    _add(entity, "id" if kind == "core" else "coreid", index=str(columns.index(ID_COLUMN)))
    for index, column in enumerate(columns):
        _add(entity, "field", index=str(index), term=term_iri(column, table))


def _add(parent: Any, name: str, **attributes: str) -> Any:
    return etree.SubElement(parent, f"{{{NAMESPACE}}}{name}", attributes)
