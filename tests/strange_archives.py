"""How strange and damaged archives are made from text, each with what must be said of it."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field

DWC, ECO = "http://rs.tdwg.org/dwc/terms/", "http://rs.tdwg.org/eco/terms/"
MEDIA = "http://rs.gbif.org/terms/1.0/Multimedia"
EML = (
    '<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="a" system="b"><dataset><title>T</title>'
    "<creator><organizationName>O</organizationName></creator><contact><organizationName>O</organizationName></contact>"
    "</dataset></eml:eml>"
)
TERMS = ("occurrenceID", "basisOfRecord", "scientificName", "eventDate", "locality")
ROWS = (
    ("o1", "HumanObservation", "Spea bombifrons", "2025-05-06", "Río Seco, east"),
    ("o2", "HumanObservation", "Anaxyrus cognatus", "2025-05-07", "ditch"),
)
Files = Mapping[str, bytes]


@dataclass(frozen=True)
class Strange:
    """One archive and what must be said of it.

    files: its files, or the bytes of a single file. errors: rules at error level, exactly these. said: further rules
    that must speak. rows: of the core. status: of the command. words: in the message of a command that could not run.
    """

    files: Files | bytes
    errors: frozenset[str] = frozenset()
    said: frozenset[str] = frozenset()
    rows: int | None = 2
    status: int = 0
    words: str = ""
    zipped: bool = False
    options: Mapping[str, object] = field(default_factory=dict)


def text(
    separator: str = ",", quote: str = '"', end: str = "\n", header: int = 1, rows: tuple[tuple[str, ...], ...] = ROWS
) -> str:
    """The rows as a text file; cells that hold the separator are enclosed where there is a quotation mark."""

    def cell(value: str) -> str:
        held = [sign for sign in (separator, quote, end, "\n") if sign and sign in value]
        return f"{quote}{value.replace(quote, quote * 2)}{quote}" if quote and held else value

    lines = [separator.join(map(cell, row)) for row in (*[TERMS] * header, *rows)]
    return "".join(line + end for line in lines)


def fields(terms: tuple[str, ...] = TERMS, first: int = 0) -> str:
    """Fields in the order of the columns."""
    return "".join(
        f'<field index="{n}" term="{t if ":" in t else DWC + t}"/>' for n, t in enumerate(terms, first) if t
    )


def meta(
    form: str = 'ignoreHeaderLines="1"',
    inside: str | None = None,
    *,
    files: tuple[str, ...] = ("occurrence.txt",),
    row_type: str = DWC + "Occurrence",
    extensions: str = "",
    metadata: str = ' metadata="eml.xml"',
    identifier: str = '<id index="0"/>',
) -> bytes:
    """A metafile with one core."""
    places = "".join(f"<location>{name}</location>" for name in files)
    core = f"<files>{places}</files>{identifier}{fields() if inside is None else inside}"
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><archive xmlns="http://rs.tdwg.org/dwc/text/"{metadata}>'
        f'<core rowType="{row_type}" {form}>{core}</core>{extensions}</archive>'
    ).encode()


def extension(
    file: str, terms: tuple[str, ...], row_type: str, coreid: str = '<coreid index="0"/>', form: str = ""
) -> str:
    """An extension whose first column is the identifier of the core row."""
    form = form or 'ignoreHeaderLines="1"'
    return (
        f'<extension rowType="{row_type}" {form}><files><location>{file}</location></files>{coreid}'
        f"{fields(terms, 1)}</extension>"
    )


def one(content: bytes | str, form: str = 'ignoreHeaderLines="1"', inside: str | None = None, **more: str) -> Files:
    """An archive of one core file."""
    encoded = content.encode() if isinstance(content, str) else content
    return {"meta.xml": meta(form, inside, **more), "occurrence.txt": encoded, "eml.xml": EML.encode()}  # type: ignore[arg-type]


def zipped(files: Files, method: int = zipfile.ZIP_DEFLATED, prefix: str = "") -> bytes:
    """The files as a zip file."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", method) as archive:
        for name, content in files.items():
            archive.writestr(prefix + name, content)
    return held.getvalue()


TAB = r'fieldsTerminatedBy="\t" fieldsEnclosedBy="" ignoreHeaderLines="1"'
EVENTS = "eventID,parentEventID,eventDate\ns,,2025-05-01/2025-05-31\nv1,s,2025-05-06\n"
EVENT_META = {"row_type": DWC + "Event", "inside": fields(("eventID", "parentEventID", "eventDate"))}
IMAGES = (
    "occurrenceID,identifier,type\no1,https://example.org/1.jpg,StillImage\no1,https://example.org/2.jpg,StillImage\n"
)
IMAGE_TERMS = ("http://purl.org/dc/terms/identifier", "http://purl.org/dc/terms/type")
LATIN = text().encode("latin-1")
