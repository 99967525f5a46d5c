"""The parts of an xlsx or xlsm file that say how cells look: sheets, styles, struck texts, comments.

Source: ECMA-376 part 1 (SpreadsheetML) and part 2 (packages).
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from dwc_pipeline.core.raw import column_number
from dwc_pipeline.read.file_guard import damaged, parse_xml, read_part
from dwc_pipeline.read.number_format import BUILT_IN, writer_for

Place = tuple[int, int]

_OFF = ("0", "false", "off")
#: the palette that `indexed` colours 8 to 63 refer to (ECMA-376, 18.8.27); 0 to 7 repeat 8 to 15.
_PALETTE = re.findall(
    "[0-9A-F]{6}",
    "000000 FFFFFF FF0000 00FF00 0000FF FFFF00 FF00FF 00FFFF 800000 008000 000080 808000 800080 008080 C0C0C0 808080 "
    "9999FF 993366 FFFFCC CCFFFF 660066 FF8080 0066CC CCCCFF 000080 FF00FF FFFF00 00FFFF 800080 800000 008080 0000FF "
    "00CCFF CCFFFF CCFFCC FFFF99 99CCFF FF99CC CC99FF FFCC99 3366FF 33CCCC 99CC00 FFCC00 FF9900 FF6600 666699 969696 "
    "003366 339966 003300 333300 993300 993366 333399 333333",
)
NO_COLOUR = ("", "FFFFFF", "theme0")


def local(element: Element) -> str:
    """The element's name without its namespace."""
    return element.tag.rsplit("}", 1)[-1]


def children(element: Element | None, name: str) -> Iterator[Element]:
    """The direct children of that name, in any namespace."""
    return (child for child in (element if element is not None else ()) if local(child) == name)


def child(element: Element | None, name: str) -> Element | None:
    """The first direct child of that name, in any namespace."""
    return next(children(element, name), None)


@dataclass(frozen=True)
class Styles:
    """What the cell style numbers stand for, where it matters here.

    struck: style numbers in struck type. fills: style number -> colour. codes: style number -> number format.
    """

    struck: frozenset[int] = frozenset()
    fills: Mapping[int, str] = field(default_factory=dict)
    codes: Mapping[int, str] = field(default_factory=dict)

    @property
    def telling(self) -> frozenset[int]:
        """Style numbers that say something about a cell."""
        return self.struck | self.fills.keys() | self.codes.keys()


@dataclass(frozen=True)
class SheetPart:
    """One worksheet of the package."""

    name: str
    part: str
    is_hidden: bool


@dataclass(frozen=True)
class StruckText:
    """Numbers of shared texts that are struck whole, and of those struck in part, with the struck part in [ ]."""

    whole: frozenset[int] = frozenset()
    partly: Mapping[int, str] = field(default_factory=dict)


class XlsxPackage:
    """An opened xlsx or xlsm file."""

    def __init__(self, package: zipfile.ZipFile, name: str) -> None:
        self.package, self.name = package, name
        self._parts = {part.filename.lower(): part.filename for part in package.infolist()}
        self.workbook_part = self._first_target("", "officeDocument") or "xl/workbook.xml"
        self.workbook = self.xml(self.workbook_part)
        if self.workbook is None:
            raise damaged(name, self.workbook_part)

    def bytes_of(self, part: str) -> bytes:
        """The bytes of a part, b"" if there is none."""
        return read_part(self.package, self._parts.get(part.lower(), part), self.name)

    def xml(self, part: str) -> Element | None:
        """The root of an XML part, None if there is none."""
        content = self.bytes_of(part)
        return parse_xml(content, part, self.name) if content else None

    def relations(self, part: str) -> dict[str, tuple[str, str]]:
        """Relation identifier -> (kind, target part) for a part."""
        folder, base = posixpath.split(part)
        root = self.xml(posixpath.join(folder, "_rels", base + ".rels"))
        found = {}
        for relation in children(root, "Relationship"):
            target = relation.get("Target", "")
            whole = (
                target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
            )
            found[relation.get("Id", "")] = (relation.get("Type", "").rsplit("/", 1)[-1], whole)
        return found

    def _first_target(self, part: str, kind: str) -> str:
        return next((target for found, target in self.relations(part).values() if found == kind), "")

    @property
    def sheets(self) -> list[SheetPart]:
        """The worksheets in their order; charts and dialogs are no worksheets."""
        targets = self.relations(self.workbook_part)
        found = []
        for sheet in children(child(self.workbook, "sheets"), "sheet"):
            identifier = next((value for key, value in sheet.attrib.items() if key.endswith("}id")), "")
            kind, target = targets.get(identifier, ("", ""))
            if kind == "worksheet":
                found.append(SheetPart(sheet.get("name", ""), target, sheet.get("state", "visible") != "visible"))
        return found

    @property
    def counts_from_1904(self) -> bool:
        """True if dates count from 1904, as old workbooks made on a Mac do."""
        properties = child(self.workbook, "workbookPr")
        return properties is not None and properties.get("date1904", "0").lower() not in _OFF

    @property
    def awaits_calculation(self) -> bool:
        """True if the program that wrote the file left the calculation to whoever opens it."""
        calculation = child(self.workbook, "calcPr")
        return calculation is not None and calculation.get("fullCalcOnLoad", "0").lower() not in _OFF

    def styles(self) -> Styles:
        """What style numbers mean."""
        root = self.xml(self._first_target(self.workbook_part, "styles") or "xl/styles.xml")
        if root is None:
            return Styles()
        fonts = [_is_struck(font) for font in children(child(root, "fonts"), "font")]
        fills = [_fill_colour(fill) for fill in children(child(root, "fills"), "fill")]
        codes = dict(BUILT_IN)
        for each in children(child(root, "numFmts"), "numFmt"):
            codes[int(each.get("numFmtId", "0"))] = each.get("formatCode", "")
        struck, coloured, written = set(), {}, {}
        for number, style in enumerate(children(child(root, "cellXfs"), "xf")):
            font, fill = int(style.get("fontId", "0")), int(style.get("fillId", "0"))
            code = codes.get(int(style.get("numFmtId", "0")), "General")
            if font < len(fonts) and fonts[font]:
                struck.add(number)
            if fill < len(fills) and fills[fill] not in NO_COLOUR:
                coloured[number] = fills[fill]
            if writer_for(code):
                written[number] = code
        return Styles(frozenset(struck), coloured, written)

    def shared_texts(self) -> list[str]:
        """The texts that cells refer to by number."""
        root = self.xml(self._first_target(self.workbook_part, "sharedStrings") or "xl/sharedStrings.xml")
        return [
            "".join(node.text or "" for node in item.iter() if local(node) == "t") for item in children(root, "si")
        ]

    def struck_texts(self) -> StruckText:
        """Shared texts with struck characters in them."""
        part = self._first_target(self.workbook_part, "sharedStrings") or "xl/sharedStrings.xml"
        content = self.bytes_of(part)
        if b"strike" not in content:
            return StruckText()
        whole, partly = set(), {}
        for number, item in enumerate(children(parse_xml(content, part, self.name), "si")):
            marked = marked_runs(item)
            if marked == "":
                whole.add(number)
            elif marked:
                partly[number] = marked
        return StruckText(frozenset(whole), partly)

    def comments(self, part: str) -> dict[Place, str]:
        """Comments of a sheet, as typed; a conversation is joined line by line."""
        found: dict[Place, str] = {}
        threads: dict[Place, list[str]] = {}
        for kind, target in self.relations(part).values():
            root = self.xml(target) if kind in ("comments", "threadedComment") else None
            for each in root.iter() if root is not None else ():
                if local(each) == "comment":
                    texts = (node.text or "" for node in each.iter() if local(node) == "t")
                    found[place_of(each.get("ref", "A1"))] = "".join(texts)
                elif local(each) == "threadedComment":
                    words = child(each, "text")
                    threads.setdefault(place_of(each.get("ref", "A1")), []).append(
                        (words.text or "") if words is not None else ""
                    )
        return found | {place: "\n".join(lines) for place, lines in threads.items()}


def place_of(reference: str) -> Place:
    """Row and column of an address such as B12.

    >>> place_of("$AB$12")
    (12, 28)
    """
    found = re.fullmatch(r"\$?([A-Za-z]{1,3})\$?(\d{1,7})", reference.split(":")[0])
    if found is None:
        raise ValueError(f"{reference!r} is no address of a cell")
    return int(found[2]), column_number(found[1])


def marked_runs(item: Element) -> str | None:
    """Rich text with struck characters in [ ]; "" if all of it is struck, None if nothing is."""
    runs = [(_is_struck(child(run, "rPr")), (text.text or "") if (text := child(run, "t")) is not None else "")
            for run in children(item, "r")]  # fmt: skip
    if not any(struck and text.strip() for struck, text in runs):
        return None
    if all(struck or not text.strip() for struck, text in runs):
        return ""
    return "".join(f"[{text}]" if struck and text.strip() else text for struck, text in runs)


def _is_struck(font: Element | None) -> bool:
    strike = child(font, "strike")
    return strike is not None and strike.get("val", "1").lower() not in _OFF


def _fill_colour(fill: Element) -> str:
    pattern = child(fill, "patternFill")
    if pattern is None or pattern.get("patternType", "none") == "none":
        return ""
    colour = child(pattern, "fgColor")
    if pattern.get("patternType") != "solid":
        return ""
    if colour is None:
        return ""
    if "rgb" in colour.attrib:
        return colour.get("rgb", "")[-6:].upper()
    if "theme" in colour.attrib:
        tint = round(float(colour.get("tint", "0")), 2)
        return f"theme{colour.get('theme')}" + (f"{tint:+g}" if tint else "")
    number = int(colour.get("indexed", "64"))
    return palette_colour(number)


def palette_colour(number: int) -> str:
    """The colour of a palette number; "" for those that follow the reader's window colours."""
    place = number if number < 8 else number - 8
    return _PALETTE[place] if place < len(_PALETTE) else ""
