"""Marks of every sheet of an OpenDocument spreadsheet (ods), from its content.xml and styles.xml.

Source: OpenDocument 1.3 part 3: table:table-cell, office:annotation, style:text-properties. The text that a person
sees stands in the file itself (text:p), so number formats need not be worked out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from dwc_pipeline.core.raw import CellRange, column_letter
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.file_guard import damaged, open_package, parse_xml, read_part, with_parts
from dwc_pipeline.read.sheet_marks import FAR_COLUMNS, FAR_ROWS, LARGEST_AREA, Marks, Place, far_away
from dwc_pipeline.read.xlsx_package import NO_COLOUR, local
from dwc_pipeline.read.xlsx_sheet import parse_all, safe_parser

_ERROR_TEXT = re.compile(r"#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!)|Err:\d+|#[A-Z/0-9]+[!?]")
#: white space between the elements of a table, which says nothing.
_SPACE_BETWEEN = re.compile(rb"(</?(?:table|office):[^>]*>)\s+(?=<)")


@dataclass
class _Look:
    """What the named styles of the file say, by name."""

    struck: set[str] = field(default_factory=set)
    fills: dict[str, str] = field(default_factory=dict)
    hidden_tables: set[str] = field(default_factory=set)
    parents: dict[str, str] = field(default_factory=dict)


def read_ods_marks(content: bytes, name: str) -> tuple[bytes, list[Marks]]:
    """The bytes that the reader of values may have, and the marks of each sheet."""
    with open_package(content, name) as package:
        manifest = read_part(package, "META-INF/manifest.xml", name)
        if b"encryption-data" in manifest:
            raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.")
        body = read_part(package, "content.xml", name)
        named = read_part(package, "styles.xml", name)
        if not body:
            raise damaged(name, "content.xml")
        if _SPACE_BETWEEN.search(body):  # the reader of values stumbles over it
            body = _SPACE_BETWEEN.sub(rb"\1", body)
            content = with_parts(package, {"content.xml": body}, name)
    look = _Look()
    if named:
        _take_styles(parse_xml(named, "styles.xml", name), look)
    walk = _Walk(look, name)
    parser = safe_parser(name)
    parser.StartElementHandler, parser.EndElementHandler = walk.start, walk.end
    parser.CharacterDataHandler = walk.text
    parse_all(parser, body, "content.xml", name)
    return content, walk.sheets


def _take_styles(root: Element, look: _Look) -> None:
    for style in root.iter():
        if local(style) == "style":
            attributes = {key.rsplit("}", 1)[-1]: value for key, value in style.attrib.items()}
            _Walk.take_style(look, attributes)
            for part in style:
                properties = {key.rsplit("}", 1)[-1]: value for key, value in part.attrib.items()}
                _Walk.take_properties(look, attributes.get("name", ""), local(part), properties)


class _Walk:
    """Handlers that follow the sheets, rows and cells of content.xml."""

    def __init__(self, look: _Look, name: str) -> None:
        self.look, self.name = look, name
        self.sheets: list[Marks] = []
        self.style = ""
        self.row = self.column = 0
        self.row_repeats = self.cell_repeats = 1
        self.row_default = ""
        self.column_defaults: dict[int, str] = {}
        self.columns_seen = 0
        self.cell: dict[str, str] = {}
        self.in_note = 0
        self.in_paragraph = 0
        self.lines: list[str] = []
        self.note_lines: list[str] = []
        self.spans: list[str] = []
        self.runs: list[tuple[bool, str]] = []
        self.extent = (0, 0)
        self.merged: list[CellRange] = []
        self.depth = 0

    @staticmethod
    def take_style(look: _Look, attributes: dict[str, str]) -> None:
        if "parent-style-name" in attributes:
            look.parents[attributes.get("name", "")] = attributes["parent-style-name"]

    @staticmethod
    def take_properties(look: _Look, style: str, tag: str, properties: dict[str, str]) -> None:
        if tag == "text-properties" and properties.get("text-line-through-style", "none") != "none":
            look.struck.add(style)
        elif tag == "table-cell-properties":
            colour = properties.get("background-color", "transparent").lstrip("#").upper()
            if colour != "TRANSPARENT" and colour not in NO_COLOUR:
                look.fills[style] = colour
        elif tag == "table-properties" and properties.get("display") == "false":
            look.hidden_tables.add(style)

    def _inherits(self, style: str, among: set[str] | dict[str, str]) -> str:
        for _ in range(20):
            if not style or style in among:
                return style
            style = self.look.parents.get(style, "")
        return ""

    def start(self, tag: str, raw: dict[str, str]) -> None:
        prefix, _, tag = tag.rpartition(":")
        attributes = {key.rsplit(":", 1)[-1]: value for key, value in raw.items()}
        if tag == "style" and prefix == "style":
            self.style = attributes.get("name", "")
            self.take_style(self.look, attributes)
        elif tag.endswith("-properties"):
            self.take_properties(self.look, self.style, tag, attributes)
        elif tag == "table" and prefix == "table":
            self._start_sheet(attributes)
        elif tag == "table-column":
            self._start_column(attributes)
        elif tag == "table-row":
            self.row += self.row_repeats
            self.row_repeats, self.column, self.cell_repeats = int(attributes.get("number-rows-repeated", "1")), 0, 1
            self.row_default = attributes.get("default-cell-style-name", "")
            if attributes.get("visibility", "visible") != "visible" and self.row_repeats < 100_000:
                self.sheets[-1].hidden_rows.update(range(self.row, self.row + self.row_repeats))
        elif tag in ("table-cell", "covered-table-cell") and self.depth == 1:
            self.column += self.cell_repeats
            self.cell_repeats = int(attributes.get("number-columns-repeated", "1"))
            self.cell, self.lines, self.note_lines, self.runs = attributes, [], [], []
        elif tag == "annotation":
            self.in_note += 1
        elif tag == "p" and prefix == "text":
            self.in_paragraph += 1
            (self.note_lines if self.in_note else self.lines).append("")
        elif tag == "span":
            self.spans.append(attributes.get("style-name", ""))
        elif tag in ("s", "tab", "line-break") and self.in_paragraph:
            self.text({"s": " " * int(attributes.get("c", "1")), "tab": "\t", "line-break": "\n"}[tag])

    def _start_sheet(self, attributes: dict[str, str]) -> None:
        self.depth += 1
        if self.depth > 1:
            return
        is_hidden = attributes.get("style-name", "") in self.look.hidden_tables
        self.sheets.append(Marks(sheet=attributes.get("name", ""), is_hidden=is_hidden))
        self.row, self.row_repeats, self.columns_seen = 0, 1, 0
        self.column_defaults, self.extent, self.merged = {}, (0, 0), []
        self.used_rows: dict[int, int] = {}
        self.used_columns: dict[int, int] = {}

    def _start_column(self, attributes: dict[str, str]) -> None:
        repeats = int(attributes.get("number-columns-repeated", "1"))
        columns = range(self.columns_seen + 1, self.columns_seen + min(repeats, 1024) + 1)
        if attributes.get("visibility", "visible") != "visible":
            self.sheets[-1].hidden_columns.update(columns)
        self.column_defaults.update(dict.fromkeys(columns, attributes.get("default-cell-style-name", "")))
        self.columns_seen += repeats

    def text(self, piece: str) -> None:
        if not self.in_paragraph:
            return
        lines = self.note_lines if self.in_note else self.lines
        lines[-1] += piece
        if not self.in_note:
            struck = any(self._inherits(span, self.look.struck) for span in self.spans)
            self.runs.append((struck, piece))

    def end(self, tag: str) -> None:
        prefix, _, tag = tag.rpartition(":")
        if tag in ("table-cell", "covered-table-cell") and self.depth == 1:
            self._end_cell()
        elif tag == "p" and prefix == "text":
            self.in_paragraph -= 1
        elif tag == "annotation":
            self.in_note -= 1
        elif tag == "span" and self.spans:
            self.spans.pop()
        elif tag == "table" and prefix == "table":
            self.depth -= 1
            if not self.depth:
                self._end_sheet()

    def _end_sheet(self) -> None:
        marks = self.sheets[-1]
        marks.merged = tuple(self.merged)
        if not self.used_rows:
            return
        last_row, last_column = max(self.used_rows), max(self.used_columns)
        if last_row * last_column > LARGEST_AREA:
            where = f"{column_letter(last_column)}{last_row}"
            near = far_away(self.used_rows, FAR_ROWS) or far_away(self.used_columns, FAR_COLUMNS)
            remedy = "Delete what stands far away (Ctrl+End leads there)" if near else "Split the sheet"
            raise UnreadableFile(
                f"{self.name}, sheet {marks.sheet!r}: filled cells reach to {where}, too far for one sheet. "
                f"{remedy}, save, and run again."
            )

    def _end_cell(self) -> None:
        if self.note_lines:
            self.sheets[-1].comments[self.row, self.column] = "\n".join(self.note_lines)
        across, down = (int(self.cell.get(f"number-{way}-spanned", "1")) for way in ("columns", "rows"))
        if across * down > 1:
            self.merged.append(CellRange(self.row, self.column, self.row + down - 1, self.column + across - 1))
        seen, kind = "\n".join(self.lines), self.cell.get("value-type", "")
        is_filled = bool(seen or kind or self.cell.get("formula"))
        if is_filled:
            self._note_extent()
        style = self.cell.get("style-name") or self.row_default or self.column_defaults.get(self.column, "")
        struck = bool(self._inherits(style, self.look.struck))
        fill = self.look.fills.get(self._inherits(style, self.look.fills), "")
        if not (is_filled or fill) or self.cell_repeats * self.row_repeats > 5000:
            return
        marks = self.sheets[-1]
        for row in range(self.row, self.row + self.row_repeats):
            for column in range(self.column, self.column + self.cell_repeats):
                if fill:
                    marks.fills[row, column] = fill
                if is_filled:
                    self._mark((row, column), seen, kind, struck)

    def _note_extent(self) -> None:
        last_row, last_column = self.row + self.row_repeats - 1, self.column + self.cell_repeats - 1
        ways = (
            (self.used_rows, self.row, last_row, self.cell_repeats),
            (self.used_columns, self.column, last_column, self.row_repeats),
        )
        for used, first, last, count in ways:
            for number in {first, last}:
                used[number] = used.get(number, 0) + count

    def _mark(self, place: Place, seen: str, kind: str, struck: bool) -> None:
        marks = self.sheets[-1]
        marked = self._marked_runs()
        if struck or marked == "":
            marks.struck.add(place)
        elif marked:
            marks.facts[f"partly struck {column_letter(place[1])}{place[0]}"] = marked
        formula = self.cell.get("formula", "")
        is_error = bool(formula and _ERROR_TEXT.fullmatch(seen.strip()))
        if is_error:
            marks.errors[place] = seen.strip()
        elif formula and not kind:
            marks.uncomputed.add(place)
        elif kind in ("float", "percentage", "currency", "date", "time"):
            text = seen_text(seen, kind, self.cell.get("value", ""))
            if text:
                marks.written[place] = text

    def _marked_runs(self) -> str | None:
        if not any(struck and piece.strip() for struck, piece in self.runs):
            return None
        if all(struck or not piece.strip() for struck, piece in self.runs):
            return ""
        return "".join(f"[{piece}]" if struck else piece for struck, piece in self.runs)


def seen_text(seen: str, kind: str, stored: str) -> str:
    """The seen text of a number or date if no digit is lost by it, else "" (the stored value is then written).

    >>> seen_text("007", "float", "7"), seen_text("12.35", "float", "12.3456"), seen_text("25%", "percentage", "0.25")
    ('007', '', '25%')
    """
    if kind in ("date", "time"):
        return seen
    digits = re.search(r"[-+]?\d+(?:[.,]\d+)?", seen)
    try:
        number = float(digits[0].replace(",", ".")) if digits else None
        value = float(stored)
    except ValueError:
        return ""
    if kind == "percentage":
        percent = f"{value * 100:.15g}%"
        return seen if number is not None and abs(number - value * 100) < 1e-12 * max(1.0, abs(value)) else percent
    return seen if number == value else ""
