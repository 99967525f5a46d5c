"""Archives that look strange and are valid by the Darwin Core text guide (2023-09-13)."""

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
    Strange,
    extension,
    fields,
    meta,
    one,
    text,
    zipped,
)

TAXA = "taxonID,scientificName,taxonRank,parentNameUsageID\nt1,Spea,genus,\nt2,Spea bombifrons,species,t1\n"
HUGE = ("o3", "HumanObservation", "Spea bombifrons", "2025-05-08", "x" * 3_000_000)
DEFAULTS = fields(("occurrenceID", "", "scientificName", "eventDate", "locality")) + (
    f'<field term="{DWC}basisOfRecord" default="HumanObservation"/><field term="{DWC}countryCode" default="US"/>'
)

VALID: dict[str, Strange] = {
    "comma, quoted": Strange(one(text())),
    "tab without quotation marks": Strange(one(text("\t", ""), TAB)),
    "semicolon": Strange(one(text(";"), 'fieldsTerminatedBy=";" ignoreHeaderLines="1"')),
    "vertical bar": Strange(one(text("|"), 'fieldsTerminatedBy="|" ignoreHeaderLines="1"')),
    "caret": Strange(one(text("^"), 'fieldsTerminatedBy="^" ignoreHeaderLines="1"')),
    "two characters between cells": Strange(
        one(text("||", ""), 'fieldsTerminatedBy="||" fieldsEnclosedBy="" ignoreHeaderLines="1"')
    ),
    "unit separator": Strange(one(text("§", ""), 'fieldsTerminatedBy="§" fieldsEnclosedBy="" ignoreHeaderLines="1"')),
    "apostrophe as quotation mark": Strange(one(text(quote="'"), 'fieldsEnclosedBy="\'" ignoreHeaderLines="1"')),
    "apostrophe in words of a tab file": Strange(
        one(
            text(
                "\t", "", rows=(*ROWS, ("o3", "HumanObservation", "Spea bombifrons", "2025-05-08", 'O\'Neil "draw"'))
            ),
            TAB,
        ),
        rows=3,
    ),
    "line ends CR LF declared": Strange(one(text(end="\r\n"), r'linesTerminatedBy="\r\n" ignoreHeaderLines="1"')),
    "line ends CR LF not declared": Strange(one(text(end="\r\n"))),
    "line ends CR": Strange(one(text(end="\r"), r'linesTerminatedBy="\r" ignoreHeaderLines="1"')),
    "line ends of its own": Strange(
        one(
            text("\t", "", "@@"),
            r'fieldsTerminatedBy="\t" fieldsEnclosedBy="" linesTerminatedBy="@@" ignoreHeaderLines="1"',
        )
    ),
    "no line end at the end": Strange(one(text().rstrip("\n"))),
    "blank lines at the end": Strange(one(text() + "\n\n")),
    "blank line between": Strange(one(text().replace("\no2", "\n\no2"))),
    "UTF-8 with mark": Strange(one(b"\xef\xbb\xbf" + text().encode())),
    "UTF-16 with mark": Strange(one(text().encode("utf-16"), 'encoding="UTF-16" ignoreHeaderLines="1"')),
    "UTF-16 little-endian": Strange(one(text().encode("utf-16-le"), 'encoding="UTF-16LE" ignoreHeaderLines="1"')),
    "UTF-32": Strange(one(text().encode("utf-32"), 'encoding="UTF-32" ignoreHeaderLines="1"')),
    "Latin-1": Strange(one(LATIN, 'encoding="ISO-8859-1" ignoreHeaderLines="1"')),
    "Windows code page": Strange(one(LATIN, 'encoding="windows-1252" ignoreHeaderLines="1"')),
    "encoding in small letters": Strange(one(text(), 'encoding="utf8" ignoreHeaderLines="1"')),
    "no header": Strange(one(text(header=0), "")),
    "two header lines": Strange(one(text(header=2), 'ignoreHeaderLines="2"')),
    "headers that are no terms": Strange(one(text().replace("occurrenceID,basis", "Id,Basis of record of the"))),
    "headers with prefix": Strange(one(text().replace("occurrenceID,basis", "dwc:occurrenceID,dwc:basis"))),
    "fields out of order": Strange(
        one(text(), inside="".join(reversed([f'<field index="{n}" term="{DWC}{t}"/>' for n, t in enumerate(TERMS)])))
    ),
    "defaults and constants": Strange(
        one(
            text(rows=tuple((r[0], "", *r[2:]) for r in ROWS)),
            inside=DEFAULTS + f'<field index="1" term="{DWC}recordedBy" default="crew"/>',
        )
    ),
    "column that is not mapped": Strange(
        one(text(), inside=fields(TERMS[:4])), said=frozenset({"column-is-not-mapped"})
    ),
    "identifier column without a term": Strange(
        one(text(), inside=fields(TERMS[1:], 1)), said=frozenset({"identifier-column-has-no-term"})
    ),
    "several files of one core": Strange(
        {
            "meta.xml": meta(files=("a.txt", "b.txt")),
            "a.txt": text().encode(),
            "b.txt": text(rows=(("o3", *ROWS[0][1:]),)).encode(),
            "eml.xml": EML.encode(),
        },
        rows=3,
    ),
    "several files in several line ends": Strange(
        {
            "meta.xml": meta(files=("a.txt", "b.txt")),
            "a.txt": text(end="\r\n").encode(),
            "b.txt": text(rows=(("o3", *ROWS[0][1:]),)).encode(),
            "eml.xml": EML.encode(),
        },
        rows=3,
    ),
    "a file in a folder": Strange(
        {
            "meta.xml": meta(files=("data/occurrence.txt",)),
            "data/occurrence.txt": text().encode(),
            "eml.xml": EML.encode(),
        }
    ),
    "a location with a point before it": Strange(
        {"meta.xml": meta(files=("./occurrence.txt",)), "occurrence.txt": text().encode(), "eml.xml": EML.encode()}
    ),
    "a zip file": Strange(zipped(one(text())), zipped=True),
    "a stored zip file": Strange(zipped(one(text()), zipfile.ZIP_STORED), zipped=True),
    "a zip file packed with bzip2": Strange(zipped(one(text()), zipfile.ZIP_BZIP2), zipped=True),
    "a zip file packed with lzma": Strange(zipped(one(text()), zipfile.ZIP_LZMA), zipped=True),
    "a folder inside the zip file": Strange(zipped(one(text()), prefix="download/"), zipped=True),
    "two folders inside each other": Strange(zipped(one(text()), prefix="download/archive/"), zipped=True),
    "a zip file with a comment before it": Strange(b"#!/bin/sh\n" + zipped(one(text())), zipped=True),
    "no attribute metadata": Strange(
        one(text(), metadata=""), said=frozenset({"archive-does-not-name-its-description"})
    ),
    "metadata on the web": Strange(one(text(), metadata=' metadata="https://example.org/eml.xml"')),
    "an empty core": Strange(one(text(rows=())), rows=0),
    "a huge cell": Strange(one(text(rows=(*ROWS, HUGE))), rows=3),
    "a line break inside a cell": Strange(
        one(
            text(rows=(*ROWS, ("o3", *ROWS[0][1:4], "two\nlines"))),
        ),
        rows=3,
    ),
    "a blank line inside a cell": Strange(
        one(
            text(rows=(*ROWS, ("o3", *ROWS[0][1:4], "two\n\nlines"))),
        ),
        rows=3,
    ),
    "a quotation mark inside a cell": Strange(
        one(
            text(rows=(*ROWS, ("o3", *ROWS[0][1:4], 'the "draw", east'))),
        ),
        rows=3,
    ),
    "a term of nobody's list": Strange(one(text(), inside=fields((*TERMS[:4], "https://example.org/terms/fence")))),
    "a deprecated term": Strange(
        one(text(), inside=fields((*TERMS[:4], DWC + "individualID"))), said=frozenset({"field-term-is-deprecated"})
    ),
    "one column for two terms": Strange(
        one(text(), inside=fields() + f'<field index="4" term="{DWC}verbatimLocality"/>'),
        said=frozenset({"column-feeds-two-terms"}),
    ),
    "a constant alone": Strange(
        one(text(), identifier="", inside=f'<field term="{DWC}basisOfRecord" default="HumanObservation"/>')
    ),
    "taxa as core": Strange(
        one(
            TAXA,
            inside=fields(("taxonID", "scientificName", "taxonRank", "parentNameUsageID")),
            row_type=DWC + "Taxon",
        )
    ),
    "events as core": Strange(one(EVENTS, **EVENT_META)),
    "events with a constant parent": Strange(
        one("eventID,eventDate\ns,2025\n", row_type=DWC + "Event", inside=fields(("eventID", "eventDate"))), rows=1
    ),
    "events with occurrences": Strange(
        {
            **one(EVENTS, **EVENT_META, extensions=extension("o.txt", TERMS, DWC + "Occurrence")),
            "o.txt": text(rows=()).replace("occurrenceID", "eventID,occurrenceID").encode()
            + b"v1,o1,HumanObservation,Spea bombifrons,2025-05-06,ditch\n",
        }
    ),
    "images as extension": Strange(
        {**one(text(), extensions=extension("images.txt", IMAGE_TERMS, MEDIA)), "images.txt": IMAGES.encode()}
    ),
    "an extension in another form than the core": Strange(
        {
            **one(text(), extensions=extension("images.txt", IMAGE_TERMS, MEDIA, form=TAB)),
            "images.txt": IMAGES.replace(",", "\t").encode("utf-8-sig"),
        }
    ),
    "an empty extension": Strange(
        {
            **one(text(), extensions=extension("images.txt", IMAGE_TERMS, MEDIA)),
            "images.txt": IMAGES.split("\n")[0].encode() + b"\n",
        }
    ),
    "an extension with its own row type": Strange(
        {
            **one(
                text(),
                extensions=extension("own.txt", ("https://example.org/terms/x",), "https://example.org/terms/Thing"),
            ),
            "own.txt": b"id,x\no1,1\n",
        }
    ),
    "files that nobody names": Strange({**one(text()), "README.txt": b"thanks", "extra/citations.txt": b"a,b\n"}),
    "spaces round the numbers of the metafile": Strange(one(text(), ' ignoreHeaderLines=" 1 "')),
    "a date hint": Strange(one(text(), 'dateFormat="YYYY-MM-DD" ignoreHeaderLines="1"')),
    "a list in a cell declared": Strange(
        one(text(), inside=fields(TERMS[:4]) + f'<field index="4" term="{DWC}recordedBy" delimitedBy=" | "/>')
    ),
    "comments in the metafile": Strange(
        {**one(text()), "meta.xml": meta().replace(b"<core", b"<!-- written by hand --><core")}
    ),
    "a metafile in UTF-16": Strange(
        {**one(text()), "meta.xml": meta().decode().replace("UTF-8", "UTF-16").encode("utf-16")}
    ),
}
