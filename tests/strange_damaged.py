"""Archives that are damaged or break the Darwin Core text guide (2023-09-13), with what must be said."""

from __future__ import annotations

import zipfile

from strange_archives import (
    DWC,
    EML,
    EVENT_META,
    EVENTS,
    IMAGE_TERMS,
    IMAGES,
    LATIN,
    MEDIA,
    ROWS,
    TAB,
    TERMS,
    Files,
    Strange,
    extension,
    fields,
    meta,
    one,
    text,
    zipped,
)

BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE archive [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">'
    b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]><archive xmlns="http://rs.tdwg.org/dwc/text/">&c;</archive>'
)
OUTSIDE = (
    b'<?xml version="1.0"?><!DOCTYPE archive [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
    b'<archive xmlns="http://rs.tdwg.org/dwc/text/">&x;</archive>'
)
WHOLE = zipped(one(text() * 400))
BAD_SUM = bytearray(zipped(one(text()), zipfile.ZIP_STORED))
BAD_SUM[BAD_SUM.find(b"Anaxyrus")] ^= 0xFF
RAGGED = text(rows=(ROWS[0], (*ROWS[1], "one too many"), ("o3", "HumanObservation")))


def wrong(files: Files | bytes, *errors: str, **more: object) -> Strange:
    """A damaged archive that can be read as far as it goes: exit status 1."""
    return Strange(files, frozenset(errors), status=1, **more)  # type: ignore[arg-type]


def stops(files: Files | bytes, words: str, **more: object) -> Strange:
    """A damaged archive that cannot be read: exit status 2 and a sentence."""
    return Strange(files, status=2, words=words, rows=None, **more)  # type: ignore[arg-type]


DAMAGED: dict[str, Strange] = {
    "a zip file cut short": stops(WHOLE[: len(WHOLE) // 2], "", zipped=True),
    "a zip file with a wrong checksum": stops(bytes(BAD_SUM), "damaged", zipped=True),
    "an empty file": stops(b"", "", zipped=True),
    "binary garbage called zip": stops(bytes(range(256)) * 40, "", zipped=True),
    "an empty folder": stops({}, "neither"),
    "a metafile that is no XML": stops({**one(text()), "meta.xml": b"<archive"}, "not well-formed"),
    "an empty metafile": stops({**one(text()), "meta.xml": b""}, "XML"),
    "a metafile of entities": stops({**one(text()), "meta.xml": BOMB}, "DOCTYPE"),
    "a metafile that opens other files": stops({**one(text()), "meta.xml": OUTSIDE}, "DOCTYPE"),
    "a description of entities": wrong({**one(text()), "eml.xml": BOMB}, "archive-description-is-not-xml"),
    "a description that is no XML": wrong({**one(text()), "eml.xml": b"<eml"}, "archive-description-is-not-xml"),
    "a file that is not there": wrong(
        {"meta.xml": meta(), "eml.xml": EML.encode()}, "archive-file-is-not-there", rows=0
    ),
    "a file in other letters": wrong(
        {"meta.xml": meta(), "Occurrence.TXT": text().encode(), "eml.xml": EML.encode()},
        "archive-file-is-not-there",
        rows=0,
    ),
    "a path out of the archive": wrong(
        {**one(text()), "meta.xml": meta(files=("../../etc/passwd",))}, "archive-file-is-not-there", rows=0
    ),
    "an absolute path": wrong(
        {**one(text()), "meta.xml": meta(files=("/etc/passwd",))}, "archive-file-is-not-there", rows=0
    ),
    "a file on the disk": wrong(
        {**one(text()), "meta.xml": meta(files=("file:///etc/passwd",))}, "archive-file-is-not-there", rows=0
    ),
    "a broken web address": wrong(
        {**one(text()), "meta.xml": meta(files=("http://[",))}, "archive-file-is-not-there", rows=0
    ),
    "a description that is not there": wrong(
        {k: v for k, v in one(text()).items() if k != "eml.xml"}, "archive-description-is-not-there"
    ),
    "names that lead out of the zip file": wrong(
        zipped({**one(text()), "../occurrence.txt": b"x", "meta.xml": meta(files=("../occurrence.txt",))}),
        "archive-file-is-not-there",
        rows=0,
        zipped=True,
    ),
    "Latin-1 called UTF-8": wrong(one(LATIN), "archive-text-is-not-in-the-declared-encoding"),
    "UTF-8 called Latin-1": wrong(
        one(text(), 'encoding="ISO-8859-1" ignoreHeaderLines="1"'), "archive-text-is-not-in-the-declared-encoding"
    ),
    "UTF-16 called UTF-8": wrong(one(text().encode("utf-16")), "archive-text-is-not-in-the-declared-encoding"),
    "UTF-16 of an odd number of bytes": wrong(
        one(text().encode("utf-16") + b"x", 'encoding="UTF-16" ignoreHeaderLines="1"'),
        "archive-row-has-another-number-of-cells",
        "archive-text-is-not-in-the-declared-encoding",
        rows=None,
    ),
    "an encoding that does not exist": wrong(
        one(text(), 'encoding="UTF-9" ignoreHeaderLines="1"'), "archive-file-form-is-unknown"
    ),
    "an encoding that is none of text": wrong(
        one(text(), 'encoding="base64" ignoreHeaderLines="1"'), "archive-file-form-is-unknown"
    ),
    "rows of other widths": wrong(one(RAGGED), "archive-row-has-another-number-of-cells", rows=3),
    "a quotation mark that is never closed": wrong(
        one(text().replace('east"', "east")), "archive-row-has-another-number-of-cells", rows=None
    ),
    "commas in a tab file": wrong(one(text(), TAB), "column-number-is-beyond-the-last", rows=None),
    "two characters as quotation mark": wrong(
        one(text(), 'fieldsEnclosedBy="((" ignoreHeaderLines="1"'), "archive-file-form-is-unknown", rows=0
    ),
    "no separator": wrong(
        one(text(), 'fieldsTerminatedBy="" ignoreHeaderLines="1"'), "archive-file-form-is-unknown", rows=0
    ),
    "a header read as data": wrong(one(text(), ""), "header-is-read-as-data", rows=3),
    "a column beyond the last": wrong(
        one(text(), inside=fields() + f'<field index="9" term="{DWC}sex"/>'), "column-number-is-beyond-the-last"
    ),
    "a column number that is none": wrong(
        one(text(), inside=fields() + f'<field index="x" term="{DWC}sex"/>'), "field-has-neither-column-nor-default"
    ),
    "a negative column number": wrong(
        one(text(), inside=fields() + f'<field index="-1" term="{DWC}sex"/>'), "field-has-neither-column-nor-default"
    ),
    "a column number beyond all numbers": wrong(
        one(text(), inside=fields() + f'<field index="{"9" * 30}" term="{DWC}sex"/>'),
        "column-number-is-beyond-the-last",
    ),
    "a term twice": wrong(
        one(text(), inside=fields() + f'<field index="4" term="{DWC}eventDate"/>'), "term-is-mapped-twice"
    ),
    "a class as field": wrong(one(text(), inside=fields((*TERMS[:4], "Occurrence"))), "class-is-used-as-a-field"),
    "a misspelt term": Strange(
        one(text(), inside=fields((*TERMS[:4], "localty"))), said=frozenset({"field-term-is-unknown"})
    ),
    "a term without identifier": wrong(
        one(text(), inside=fields(TERMS[:4]) + '<field index="4" term="locality"/>'), "field-term-is-no-identifier"
    ),
    "no row type": wrong(
        {**one(text()), "meta.xml": meta().replace(f'rowType="{DWC}Occurrence"'.encode(), b"")},
        "row-type-is-no-identifier",
    ),
    "no core": wrong(
        {**one(text()), "meta.xml": b'<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml"/>'},
        "metafile-needs-exactly-one-core",
        rows=None,
    ),
    "two cores": wrong(
        {**one(text()), "meta.xml": meta().replace(b"</archive>", meta()[meta().index(b"<core") :])},
        "metafile-needs-exactly-one-core",
    ),
    "no files": wrong({**one(text()), "meta.xml": meta(files=())}, "metafile-part-is-incomplete", rows=0),
    "no fields": wrong(one(text(), inside=""), "metafile-part-is-incomplete"),
    "another root": wrong(
        {**one(text()), "meta.xml": b"<dwca/>"},
        "metafile-has-another-root",
        "metafile-names-something-unknown",
        "metafile-needs-exactly-one-core",
        rows=None,
    ),
    "extensions and no identifier": wrong(
        {
            **one(text(), identifier="", extensions=extension("images.txt", IMAGE_TERMS, MEDIA)),
            "images.txt": IMAGES.encode(),
        },
        "core-identifier-is-not-declared",
    ),
    "an extension without its column": wrong(
        {
            **one(text(), extensions=extension("images.txt", IMAGE_TERMS, MEDIA, "<coreid/>")),
            "images.txt": IMAGES.encode(),
        },
        "extension-does-not-name-its-core-column",
    ),
    "an extension row without core row": wrong(
        {
            **one(text(), extensions=extension("images.txt", IMAGE_TERMS, MEDIA)),
            "images.txt": IMAGES.replace("\no1", "\no9", 1).encode(),
        },
        "extension-row-has-no-core-row",
    ),
    "an identifier twice": wrong(
        {
            **one(text(rows=(ROWS[0], *ROWS)), extensions=extension("images.txt", IMAGE_TERMS, MEDIA)),
            "images.txt": IMAGES.encode(),
        },
        "core-identifier-is-repeated",
        rows=3,
    ),
    "an occurrence twice": wrong(one(text(rows=(ROWS[0], *ROWS))), "occurrence-identifier-is-repeated", rows=3),
    "binary garbage as rows": wrong(one(bytes(range(256)) * 30), rows=None),
    "zeros as rows": wrong(one(b"\0" * 4000), rows=None),
    "zeros inside a cell": Strange(one(text().replace("ditch", "dit\0ch")), rows=2, status=0),
    "an event that is its own parent": wrong(
        one(EVENTS.replace("s,,", "s,v1,"), **EVENT_META), "event-is-its-own-ancestor"
    ),
    "a survey without a parent": wrong(
        one(EVENTS.replace("v1,s", "v1,x"), **EVENT_META), "parent-event-is-not-there"
    ),
    "no metafile": wrong({"occurrence.txt": text().encode()}, "archive-has-no-metafile"),
    "a text file alone": wrong(text().encode(), "archive-has-no-metafile"),
    "a metafile in capital letters": wrong(
        {"META.XML": meta(), **{k: v for k, v in one(text()).items() if k != "meta.xml"}}, "archive-has-no-metafile"
    ),
    "a text of other things": stops(b"dear all,\nplease find attached\n", "no Darwin Core archive"),
}
