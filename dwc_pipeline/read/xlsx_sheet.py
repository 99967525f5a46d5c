"""What the XML of a worksheet says beyond the values: errors, formulas without a value, styles, hidden rows.

Two ways to the same marks. `scan_plain` searches the bytes for the few cells that matter and serves files written
as spreadsheet programs write them; `scan_any` walks every element and serves all others. A test holds them equal.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.parsers import expat
from xml.sax.saxutils import unescape

import numpy as np

from dwc_pipeline.core.raw import column_number
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.file_guard import damaged
from dwc_pipeline.read.xlsx_package import Place, StruckText, place_of

#: cells of the dense grid that may be made without a closer look at where the cells really are.
SMALL_AREA = 5_000_000


@dataclass
class SheetMarks:
    """Marks of one sheet. styled_*: parallel arrays of row, column and style number of cells with a telling style.

    last_row, last_column: extent of the cells that hold something; None if it was not needed.
    used_rows, used_columns: which rows and columns hold something; empty if it was not needed.
    """

    styled_rows: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    styled_columns: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    styled_numbers: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    errors: dict[Place, str] = field(default_factory=dict)
    uncomputed: set[Place] = field(default_factory=set)
    struck: set[Place] = field(default_factory=set)
    partly_struck: dict[Place, str] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    zero_results: set[Place] = field(default_factory=set)
    used_rows: dict[int, int] = field(default_factory=dict)
    used_columns: dict[int, int] = field(default_factory=dict)


def scan(xml: bytes, telling: frozenset[int], struck: StruckText, part: str, name: str) -> SheetMarks:
    """The marks of a worksheet. telling: style numbers to report. name: the file, for error messages."""
    if is_plain(xml) and not may_be_sparse(xml):
        return scan_plain(xml, telling, struck)
    return scan_any(xml, telling, struck, part, name)


#: a cell or row whose address does not come first, or whose style does not come second.
_UNUSUAL_CELL = re.compile(
    rb'<c(?=[ />])(?! r="[A-Z]+[0-9]+"(?:/?>| s="[0-9]+"(?: t="[A-Za-z]+")?/?>| t="[A-Za-z]+"/?>))'
)
_UNUSUAL_ROW = re.compile(rb'<row(?=[ />])(?! r="[0-9]+"[ />])')
_CELL = rb'<c r="([A-Z]{1,3})([0-9]{1,7})"'
_ERROR = re.compile(_CELL + rb'[^>]* t="e"[^>]*>(?:<f[^>]*/>|<f[^>]*>[^<]*</f>)?<v>([^<]*)</v>')
_FORMULA = re.compile(rb"<f[ />]")
_UNCOMPUTED = re.compile(_CELL + rb"([^>]*)><f(?:\s[^>]*?)?(?:/>|>[^<]*</f>)(?:<v\s*/>|<v></v>|(?!<v>))")
_ZERO_RESULT = re.compile(_CELL + rb'(?: s="[0-9]+")?(?: t="n")?><f(?:\s[^>]*?)?(?:/>|>[^<]*</f>)<v>0</v>')
_HIDDEN_ROW = re.compile(rb'<row r="([0-9]+)"[^>]* hidden="(?:1|true)"')
_COLUMN = re.compile(rb"<col\s[^>]*>")
_FAR_COLUMN = re.compile(rb'<c r="(?:[A-Z]{3}|[C-Z][A-Z])[0-9]')
_FEW_COLUMNS = 78  # A to BZ: what _FAR_COLUMN lets pass


def is_plain(xml: bytes) -> bool:
    """True if rows and cells are written as spreadsheet programs write them, so that bytes can be searched."""
    head = xml[:200].lower()
    if b"encoding=" in head and b'encoding="utf-8"' not in head and b"encoding='utf-8'" not in head:
        return False
    return (
        b"<sheetData" in xml
        and b"<!" not in xml
        and b"<strike" not in xml
        and not _UNUSUAL_ROW.search(xml)
        and not _UNUSUAL_CELL.search(xml)
    )


def may_be_sparse(xml: bytes) -> bool:
    """True if few cells may lie far apart, so that their extent must be known before a dense grid is made."""
    at = xml.rfind(b'<row r="')
    last_row = int(xml[at + 8 : xml.index(b'"', at + 8)]) if at >= 0 else 0
    width = 16384 if _FAR_COLUMN.search(xml) else _FEW_COLUMNS
    area = last_row * width
    return area > SMALL_AREA and xml.count(b"<c ") * 20 < area


def scan_plain(xml: bytes, telling: frozenset[int], struck: StruckText) -> SheetMarks:
    """The marks, by searching the bytes for cells that have any."""
    marks = SheetMarks()
    if telling:
        numbers = b"|".join(str(number).encode() for number in sorted(telling))
        found = re.findall(_CELL + rb' s="(' + numbers + rb')"', xml)
        if found:
            letters, rows, styles = zip(*found, strict=True)
            of_letters = {each: column_number(each.decode()) for each in set(letters)}
            marks.styled_columns = np.fromiter(map(of_letters.__getitem__, letters), np.int64, len(found))
            marks.styled_rows = np.array(rows, dtype=bytes).astype(np.int64)
            marks.styled_numbers = np.array(styles, dtype=bytes).astype(np.int64)
    if b't="e"' in xml:
        marks.errors = {_place(match): _text(match[3]) for match in _ERROR.finditer(xml)}
    if _FORMULA.search(xml):
        marks.zero_results = {_place(match) for match in _ZERO_RESULT.finditer(xml)}
        empty_texts = (b't="str"', b't="e"')
        marks.uncomputed = {
            _place(match)
            for match in _UNCOMPUTED.finditer(xml)
            if not (any(kind in match[3] for kind in empty_texts) and b"<v" in match[0])
        }
    _mark_struck_texts(xml, struck, marks)
    marks.hidden_rows = {int(match[1]) for match in _HIDDEN_ROW.finditer(xml)}
    for match in _COLUMN.finditer(xml, 0, xml.find(b"<sheetData")):
        _hide_columns(dict(re.findall(r'(\w+)="([^"]*)"', match[0].decode())), marks)
    return marks


def _mark_struck_texts(xml: bytes, struck: StruckText, marks: SheetMarks) -> None:
    wanted = sorted(struck.whole | struck.partly.keys())
    if not wanted:
        return
    numbers = b"|".join(str(number).encode() for number in wanted)
    for match in re.finditer(_CELL + rb'[^>]* t="s"[^>]*><v>(' + numbers + rb")</v>", xml):
        _mark_struck(_place(match), int(match[3]), struck, marks)


def _mark_struck(place: Place, text: int, struck: StruckText, marks: SheetMarks) -> None:
    if text in struck.whole:
        marks.struck.add(place)
    elif text in struck.partly:
        marks.partly_struck[place] = struck.partly[text]


def _place(match: re.Match[bytes]) -> Place:
    return int(match[2]), column_number(match[1].decode())


def _text(content: bytes) -> str:
    return unescape(content.decode("utf-8"), {"&quot;": '"', "&apos;": "'"})


def _hide_columns(column: dict[str, str], marks: SheetMarks) -> None:
    if column.get("hidden", "0") in ("1", "true"):
        marks.hidden_columns.update(range(int(column["min"]), min(int(column["max"]), 16384) + 1))


class _Walk:
    """Handlers that follow the cells of a worksheet, one by one."""

    def __init__(self, telling: frozenset[int], struck: StruckText) -> None:
        self.marks, self.telling, self.struck = SheetMarks(), telling, struck
        self.row = self.column = 0
        self.styled: list[tuple[int, int, int]] = []
        self.kind = ""
        self.formula = self.has_value = self.in_value = self.in_text = self.run_struck = False
        self.value: list[str] = []
        self.runs: list[tuple[bool, str]] = []

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        tag = tag.rsplit(":", 1)[-1]
        if tag == "c":
            self._start_cell(attributes)
        elif tag == "row":
            self.row = int(attributes.get("r", self.row + 1))
            self.column = 0
            if attributes.get("hidden", "0") in ("1", "true"):
                self.marks.hidden_rows.add(self.row)
        elif tag == "f":
            self.formula = True
        elif tag == "v":
            self.has_value = self.in_value = True
        elif tag == "t":
            self.in_text = True
            self.runs.append((self.run_struck, ""))
        elif tag == "r":
            self.run_struck = False
        elif tag == "strike":
            self.run_struck = attributes.get("val", "1") not in ("0", "false")
        elif tag == "col":
            _hide_columns(attributes, self.marks)

    def _start_cell(self, attributes: dict[str, str]) -> None:
        if "r" in attributes:
            self.row, self.column = place_of(attributes["r"])
        else:
            self.column += 1
        self.kind = attributes.get("t", "n")
        self.formula = self.has_value = self.run_struck = False
        self.value, self.runs = [], []
        style = int(attributes.get("s", "0"))
        if style in self.telling and "s" in attributes:
            self.styled.append((self.row, self.column, style))

    def text(self, piece: str) -> None:
        if self.in_value:
            self.value.append(piece)
        elif self.in_text:
            struck, so_far = self.runs[-1]
            self.runs[-1] = (struck, so_far + piece)

    def end(self, tag: str) -> None:
        tag = tag.rsplit(":", 1)[-1]
        if tag == "c":
            self._end_cell()
        elif tag == "v":
            self.in_value = False
        elif tag == "t":
            self.in_text = False

    def _end_cell(self) -> None:
        place, value, marks = (self.row, self.column), "".join(self.value), self.marks
        if value or self.formula or any(text for _, text in self.runs):
            marks.used_rows[self.row] = marks.used_rows.get(self.row, 0) + 1
            marks.used_columns[self.column] = marks.used_columns.get(self.column, 0) + 1
        if self.kind == "e" and value:
            marks.errors[place] = value
        elif self.formula and not value and not (self.kind in ("str", "e") and self.has_value):
            marks.uncomputed.add(place)
        elif self.formula and value == "0" and self.kind == "n":
            marks.zero_results.add(place)
        if self.kind == "s" and value:
            _mark_struck(place, int(value), self.struck, marks)
        if any(struck and text.strip() for struck, text in self.runs):
            if all(struck or not text.strip() for struck, text in self.runs):
                marks.struck.add(place)
            else:
                marks.partly_struck[place] = "".join(f"[{text}]" if struck else text for struck, text in self.runs)

    def finish(self) -> SheetMarks:
        if self.styled:
            block = np.array(self.styled, dtype=np.int64)
            self.marks.styled_rows, self.marks.styled_columns, self.marks.styled_numbers = block.T
        return self.marks


def scan_any(xml: bytes, telling: frozenset[int], struck: StruckText, part: str, name: str) -> SheetMarks:
    """The marks, by walking every element of the sheet; also which rows and columns hold something."""
    walk = _Walk(telling, struck)
    parser = safe_parser(name)
    parser.StartElementHandler, parser.EndElementHandler = walk.start, walk.end
    parser.CharacterDataHandler = walk.text
    parse_all(parser, xml, part, name)
    return walk.finish()


def safe_parser(name: str) -> expat.XMLParserType:
    """A parser that refuses any document type."""

    def refuse(*_: object) -> None:
        raise UnreadableFile(
            f"{name} declares a document type or entities inside, which such files never need. It is not read, for "
            f"safety. Save it again from the program that made it."
        )

    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = refuse
    return parser


def parse_all(parser: expat.XMLParserType, xml: bytes, part: str, name: str) -> None:
    """Run the parser over the whole content; UnreadableFile if the XML is broken."""
    try:
        parser.Parse(xml, True)
    except (expat.ExpatError, ValueError, KeyError, LookupError):  # broken, or a number or an address that is none
        raise damaged(name, part) from None


class FarCell(NamedTuple):
    """Where the bytes of a cell begin and end, its kind as the file has it, and the text between its tags."""

    first_byte: int
    after: int
    kind: str
    text: str


class _CellBytes:
    """Follows the cells of a sheet outside a block, and where their bytes begin and end."""

    def __init__(self, xml: bytes, last_row: int, last_column: int, name: str) -> None:
        self.xml, self.last_row, self.last_column = xml, last_row, last_column
        self.row = self.column = 0
        self.begins, self.kind = -1, "n"
        self.texts: list[str] = []
        self.found: dict[Place, FarCell] = {}
        self.parser = safe_parser(name)
        self.parser.StartElementHandler, self.parser.EndElementHandler = self.start, self.end
        self.parser.CharacterDataHandler = self.texts.append

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        tag = tag.rsplit(":", 1)[-1]
        if tag == "row":
            self.row, self.column = int(attributes.get("r", self.row + 1)), 0
        elif tag == "c":
            if "r" in attributes:
                self.row, self.column = place_of(attributes["r"])
            else:
                self.column += 1
            self.begins, self.kind = self.parser.CurrentByteIndex, attributes.get("t", "n")
            self.texts.clear()

    def end(self, tag: str) -> None:
        if tag.rsplit(":", 1)[-1] == "c" and (self.row > self.last_row or self.column > self.last_column):
            # at an end tag, and at an empty element, the parser stands on the "<" of it
            after = self.xml.index(b">", self.parser.CurrentByteIndex) + 1
            self.found[self.row, self.column] = FarCell(self.begins, after, self.kind, "".join(self.texts))


def cells_outside(xml: bytes, last_row: int, last_column: int, part: str, name: str) -> dict[Place, FarCell]:
    """Cells below or right of a block."""
    cells = _CellBytes(xml, last_row, last_column, name)
    parse_all(cells.parser, xml, part, name)
    return cells.found


def without_bytes(xml: bytes, cells: Iterable[FarCell]) -> bytes:
    """The sheet XML without the given cells."""
    pieces, done = [], 0
    for cell in sorted(cells):
        pieces.append(xml[done : cell.first_byte])
        done = cell.after
    return b"".join([*pieces, xml[done:]])
