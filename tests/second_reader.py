"""Reads archives, data packages and workbooks by the published standards alone: nothing of the package under test.

Sources: Darwin Core text guide (2023-09-13); Darwin Core Data Package guide (2026-05-26); Office Open XML,
ECMA-376 part 1, for the workbook: shared strings 18.4, cells 18.3.1.4, dates counted from 1899-12-30 (18.17.4.1).
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import tarfile
import zipfile
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from lxml import etree

Row = dict[str, str]
Tables = dict[str, list[Row]]
TEXT = "{http://rs.tdwg.org/dwc/text/}"
CELLS = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
ESCAPES = {"\\t": "\t", "\\n": "\n", "\\r\\n": "\r\n", "\\r": "\r"}
CORE_ID = "id of the core"


class Animal(NamedTuple):
    """One record: identifier, name, date as written, position and count; "" where not given."""

    identifier: str
    name: str
    date: str
    latitude: str
    longitude: str
    count: str


def number(text: str) -> str:
    """A number in one spelling."""
    return f"{float(text):.9g}" if text else ""


def archive_tables(path: Path) -> Tables:
    """The rows of each part, by the last word of its row type, with the last words of the terms as names."""
    with zipfile.ZipFile(path) as packed:
        meta = etree.fromstring(packed.read("meta.xml"))
        return {
            part.get("rowType").rpartition("/")[2] + ("" if part.tag == f"{TEXT}core" else " of the core"): _part(
                part, packed
            )
            for part in meta
        }


def _part(part: etree._Element, packed: zipfile.ZipFile) -> list[Row]:
    separator = part.get("fieldsTerminatedBy", ",")
    rows: list[Row] = []
    for location in part.findall(f"{TEXT}files/{TEXT}location"):
        text = packed.read(location.text).decode(part.get("encoding", "UTF-8"))
        lines = csv.reader(
            io.StringIO(text, newline=""),
            delimiter=ESCAPES.get(separator, separator),
            quotechar=part.get("fieldsEnclosedBy", '"'),
        )
        for line in list(lines)[int(part.get("ignoreHeaderLines", "0")) :]:
            link = part.find(f"{TEXT}id") if part.tag == f"{TEXT}core" else part.find(f"{TEXT}coreid")
            row = {CORE_ID: line[int(link.get("index"))]}
            for field in part.findall(f"{TEXT}field"):
                value = line[int(field.get("index"))] if field.get("index") else ""
                row[field.get("term").rpartition("/")[2]] = value or field.get("default", "")
            rows.append(row)
    return rows


def archive_animals(tables: Tables) -> set[Animal]:
    """Every occurrence with the date and place of the event that it hangs on."""
    events = {row[CORE_ID]: row for row in tables["Event"]}
    return {
        Animal(
            row["occurrenceID"],
            row.get("scientificName", ""),
            events[row[CORE_ID]].get("eventDate", ""),
            number(events[row[CORE_ID]].get("decimalLatitude", "")),
            number(events[row[CORE_ID]].get("decimalLongitude", "")),
            row.get("individualCount", ""),
        )
        for row in tables.get("Occurrence of the core", [])
    }


def package_file(path: Path) -> Callable[[str], bytes]:
    """Reads a file of a package that is a folder or a tar file packed with gzip; the descriptor is at its root."""
    if path.is_dir():
        return lambda name: (path / name).read_bytes()
    with tarfile.open(path, "r:gz") as packed:
        held = {
            PurePosixPath(member.name).as_posix(): handle.read()
            for member in packed
            if (handle := packed.extractfile(member))
        }
    return held.__getitem__


def package_tables(path: Path) -> Tables:
    """The rows of each table of a data package, by the names that its descriptor gives."""
    read = package_file(path)
    made = {}
    for resource in json.loads(read("datapackage.json"))["resources"]:
        text = read(resource["path"]).decode(resource.get("encoding", "utf-8"))
        names = [field["name"] for field in resource["schema"]["fields"]]
        lines = list(csv.reader(io.StringIO(text, newline="")))
        assert lines[0] == names
        made[resource["name"]] = [dict(zip(names, line, strict=True)) for line in lines[1:]]
    return made


def package_animals(tables: Tables) -> set[Animal]:
    """Every occurrence by its strong keys: its event, and its accepted or only identification."""
    events = {row["event_pk"]: row for row in tables["event"]}
    names = {row["occurrence_fk"]: row.get("scientificName", "") for row in tables.get("identification", [])}
    made = set()
    for row in tables.get("occurrence", []):
        event = events[row["event_fk"]]
        counted = row.get("organismQuantityType", "") == "individuals"
        made.add(
            Animal(
                row["occurrenceID"],
                names.get(row["occurrence_pk"], ""),
                event.get("eventDate", ""),
                number(event.get("decimalLatitude", "")),
                number(event.get("decimalLongitude", "")),
                row["organismQuantity"] if counted else "",
            )
        )
    return made


def workbook_sheets(path: Path) -> dict[str, list[list[str]]]:
    """The cells of each sheet as text, by its name; numbers, dates too, as they are stored."""
    with zipfile.ZipFile(path) as packed:
        book = etree.fromstring(packed.read("xl/workbook.xml"))
        links = etree.fromstring(packed.read("xl/_rels/workbook.xml.rels"))
        targets = {link.get("Id"): link.get("Target").lstrip("/").removeprefix("xl/") for link in links}
        strings: list[str] = []
        if "xl/sharedStrings.xml" in packed.namelist():
            shared = etree.fromstring(packed.read("xl/sharedStrings.xml"))
            strings = ["".join(text.text or "" for text in one.iter(f"{CELLS}t")) for one in shared]
        return {
            sheet.get("name"): _cells(etree.fromstring(packed.read(f"xl/{targets[sheet.get(LINK)]}")), strings)
            for sheet in book.find(f"{CELLS}sheets")
        }


def _cells(sheet: etree._Element, strings: list[str]) -> list[list[str]]:
    rows: list[list[str]] = []
    for row in sheet.iter(f"{CELLS}row"):
        at = int(row.get("r"))
        rows += [[] for _ in range(at - len(rows))]
        for cell in row.iter(f"{CELLS}c"):
            column = 0
            for letter in "".join(sign for sign in cell.get("r") if sign.isalpha()):
                column = column * 26 + ord(letter) - 64
            value = cell.findtext(f"{CELLS}v") or "".join(text.text or "" for text in cell.iter(f"{CELLS}t"))
            own = rows[at - 1]
            own += [""] * (column - len(own))
            own[column - 1] = strings[int(value)] if cell.get("t") == "s" else value
    return rows


def sheet_rows(cells: list[list[str]], header_row: int = 3) -> list[Row]:
    """The rows below the header, blank cells at their end filled up."""
    header = cells[header_row - 1]
    return [dict(zip(header, [*row, *[""] * len(header)], strict=False)) for row in cells[header_row:]]


def day_of(serial: str) -> str:
    """The day that a stored number means; text that is no number as it is."""
    try:
        return (dt.date(1899, 12, 30) + dt.timedelta(days=int(float(serial)))).isoformat()
    except ValueError:
        return serial


def workbook_animals(sheets: dict[str, list[list[str]]]) -> set[Animal]:
    """Every row of the sheet Captures; the date is the day on which the animal was found."""
    return {
        Animal(
            row["Identifier"],
            row["Scientific name"],
            day_of(row["Date"]),
            number(row["Latitude [degrees]"]),
            number(row["Longitude [degrees]"]),
            row["Number"],
        )
        for row in sheet_rows(sheets["Captures"])
    }
