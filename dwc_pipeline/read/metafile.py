"""What a metafile says, read as far as it goes; whether it says it rightly is not judged here.

Source: Darwin Core text guide (2023-09-13), sections 2.1 to 2.4.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from dwc_pipeline.core.archive_contents import ArchiveField, ArchivePart, TextForm
from dwc_pipeline.core.safe_xml import local_name, parse_xml

#: two-character texts that stand for one character; common practice, no source in the guide.
ESCAPES = {"\\t": "\t", "\\n": "\n", "\\r": "\r", "\\\\": "\\"}


@dataclass(frozen=True)
class Metafile:
    """metadata: where the description of the data set is; "" if the metafile does not say."""

    metadata: str
    parts: tuple[ArchivePart, ...]


def read_metafile(document: bytes, name: str) -> Metafile:
    """The parts that a metafile describes, without their rows. Raises UnreadableFile if it is not XML."""
    root = parse_xml(document, name)
    kinds = ((element, local_name(element)) for element in root)
    parts = tuple(_part(element, kind == "core") for element, kind in kinds if kind in ("core", "extension"))
    return Metafile(root.get("metadata", "").strip(), parts)


def _part(element: Any, is_core: bool) -> ArchivePart:
    identifier = next(_children(element, "id" if is_core else "coreid"), None)
    locations = (location for files in _children(element, "files") for location in _children(files, "location"))
    return ArchivePart(
        is_core,
        element.get("rowType", "").strip(),
        _form(element),
        tuple((location.text or "").strip() for location in locations),
        tuple(_field(one) for one in _children(element, "field")),
        None if identifier is None else _whole_number(identifier.get("index")),
    )


def _form(element: Any) -> TextForm:
    usual = TextForm()
    header_lines = _whole_number(element.get("ignoreHeaderLines"))
    return TextForm(
        delimiter=_unescaped(element.get("fieldsTerminatedBy", usual.delimiter)),
        line_end=_unescaped(element.get("linesTerminatedBy", usual.line_end)),
        quote=_unescaped(element.get("fieldsEnclosedBy", usual.quote)),
        encoding=element.get("encoding", usual.encoding).strip() or usual.encoding,
        header_lines=usual.header_lines if header_lines is None else header_lines,
        date_format=element.get("dateFormat", usual.date_format),
    )


def _field(element: Any) -> ArchiveField:
    return ArchiveField(
        element.get("term", "").strip(),
        _whole_number(element.get("index")),
        element.get("default"),
        element.get("vocabulary", "").strip(),
        _unescaped(element.get("delimitedBy", "")),
    )


def _children(element: Any, name: str) -> Iterator[Any]:
    return (child for child in element if local_name(child) == name)


def _unescaped(text: str) -> str:
    for written, meant in ESCAPES.items():
        text = text.replace(written, meant)
    return text


def _whole_number(text: str | None) -> int | None:
    """A number from 0 up; None where there is none or something else."""
    cleaned = (text or "").strip()
    return int(cleaned) if cleaned.isascii() and cleaned.isdigit() else None
