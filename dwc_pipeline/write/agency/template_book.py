"""A workbook that somebody else made, changed cell by cell: whatever is not touched stays as it was.

The parts of the file are changed as XML, so that formats, pictures, print set-up and all else are kept.
Source: Office Open XML, ECMA-376 part 1, 18.2 (workbook), 18.3 (sheets), 18.4 (shared strings), 18.8 (styles).
"""

from __future__ import annotations

import copy
import datetime as dt
import io
import re
import zipfile
from pathlib import Path, PurePosixPath
from typing import Any

from lxml import etree

from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.core.safe_xml import NOT_IN_XML, parse_xml
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.write.agency.cell_refs import cell_at

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
SPACE = "{http://www.w3.org/XML/1998/namespace}space"
STYLES, STRINGS, BOOK, CHAIN = "xl/styles.xml", "xl/sharedStrings.xml", "xl/workbook.xml", "xl/calcChain.xml"
#: what a date needs to be shown [characters]
DATE_WIDTH = 11
#: number formats that come with every program: dates and times, and text
DATE_FORMATS, TEXT_FORMAT = {*range(14, 23), 45, 46, 47}, 49
FIRST_OWN_FORMAT = 164
FORMATS = {"date": "yyyy-mm-dd", "time": "hh:mm"}
DAY_ZERO = dt.date(1899, 12, 30)
MOST_UNPACKED = 300_000_000


class TemplateSheet:
    """One sheet. name: on its tab. path: of its part. root: its XML."""

    def __init__(self, name: str, path: str, root: Any) -> None:
        self.name, self.path, self.root = name, path, root
        data = root.find(f"{MAIN}sheetData")
        self.data = data if data is not None else etree.SubElement(root, f"{MAIN}sheetData")
        self.rows: dict[int, Any] = {}
        self.cells: dict[tuple[int, int], Any] = {}
        self.index()

    def index(self) -> None:
        """Look up rows and cells anew."""
        self.rows = {int(row.get("r")): row for row in self.data.iter(f"{MAIN}row")}
        self.cells = {cell_at(cell.get("r")): cell for row in self.rows.values() for cell in row.iter(f"{MAIN}c")}

    def row(self, number: int) -> Any:
        """The row, made where it is not there yet."""
        if number not in self.rows:
            made = etree.Element(f"{MAIN}row", r=str(number))
            later = [one for one in self.rows if one > number]
            if later:
                self.rows[min(later)].addprevious(made)
            else:
                self.data.append(made)
            self.rows[number] = made
        return self.rows[number]

    def cell(self, row: int, column: int) -> Any:
        """The cell, made where it is not there yet."""
        if (row, column) not in self.cells:
            made = etree.Element(f"{MAIN}c", r=f"{column_letter(column)}{row}")
            line = self.row(row)
            later = [one for one in line if cell_at(one.get("r"))[1] > column]
            if later:
                later[0].addprevious(made)
            else:
                line.append(made)
            self.cells[row, column] = made
        return self.cells[row, column]

    def widen(self, column: int, width: float) -> None:
        """Make a column at least so wide, in characters; a date that does not fit is shown as signs."""
        held = self.root.find(f"{MAIN}cols")
        if held is None:
            held = etree.Element(f"{MAIN}cols")
            self.data.addprevious(held)
        for one in held:
            first, last = int(one.get("min")), int(one.get("max"))
            if not first <= column <= last:
                continue
            if float(one.get("width", "0")) >= width:
                return
            for low, high in ((column + 1, last), (first, column - 1)):
                if low <= high:
                    rest = copy.deepcopy(one)
                    rest.set("min", str(low))
                    rest.set("max", str(high))
                    (one.addnext if low > column else one.addprevious)(rest)
            own = one
            break
        else:
            own = etree.Element(f"{MAIN}col")
            before = next((one for one in held if int(one.get("min")) > column), None)
            held.append(own) if before is None else before.addprevious(own)
        for name, value in (("min", column), ("max", column), ("width", width), ("customWidth", 1)):
            own.set(name, str(value))


class TemplateBook:
    """The whole workbook, in memory."""

    def __init__(self, path: Path) -> None:
        """Raises UnreadableFile if the file is no workbook of the xlsx kind."""
        self.name = path.name
        wrong = f"{path} is no workbook that can be filled. Save it as .xlsx without a password and name that file."
        try:
            with zipfile.ZipFile(io.BytesIO(path.read_bytes())) as packed:
                if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                    raise UnreadableFile(f"{path} unpacks to more than {MOST_UNPACKED / 1e6:.0f} MB.")
                self.parts = {part.filename: packed.read(part) for part in packed.infolist() if not part.is_dir()}
            book = self.xml(BOOK)
            links = self.xml("xl/_rels/workbook.xml.rels")
        except (OSError, KeyError, zipfile.BadZipFile, RuntimeError) as error:
            raise UnreadableFile(wrong if path.exists() else f"{path}: there is no such file.") from error
        targets = {one.get("Id"): inside("xl", one.get("Target")) for one in links}
        self.book = book
        self.strings = self._strings()
        self.styles: Any = self.xml(STYLES) if STYLES in self.parts else None
        self.sheets = [
            TemplateSheet(one.get("name"), targets[one.get(LINK)], self.xml(targets[one.get(LINK)]))
            for one in book.find(f"{MAIN}sheets")
            if "worksheets/" in targets.get(one.get(LINK), "")
        ]
        self._made_formats: dict[tuple[str, str], str] = {}

    def xml(self, part: str) -> Any:
        """The root of a part."""
        return parse_xml(self.parts[part], f"{self.name}: {part}")

    def _strings(self) -> list[str]:
        if STRINGS not in self.parts:
            return []
        return [shown_text(one) for one in self.xml(STRINGS).iter(f"{MAIN}si")]

    def sheet(self, name: str) -> TemplateSheet | None:
        """The sheet of that name, in capitals or not."""
        return next((one for one in self.sheets if one.name.casefold() == name.casefold()), None)

    def text(self, cell: Any) -> str:
        """What a cell shows; numbers as stored, "" for a formula."""
        if cell.find(f"{MAIN}f") is not None:
            return ""
        value = cell.findtext(f"{MAIN}v") or ""
        if cell.get("t") == "s" and value:
            return self.strings[int(value)]
        return shown_text(cell) if cell.get("t") == "inlineStr" else value

    def defined_names(self) -> dict[str, str]:
        """Names of cells and ranges -> what they stand for."""
        found = self.book.find(f"{MAIN}definedNames")
        return {} if found is None else {one.get("name"): one.text or "" for one in found}

    def put(self, cell: Any, text: str, kind: str) -> None:
        """Write a value of a kind (text, number, date, time) into a cell and keep its looks."""
        for child in list(cell):
            cell.remove(child)
        cell.attrib.pop("t", None)
        serial = self._serial(cell, text, kind)
        if serial:
            etree.SubElement(cell, f"{MAIN}v").text = serial
        elif text:
            cell.set("t", "inlineStr")
            shown = etree.SubElement(etree.SubElement(cell, f"{MAIN}is"), f"{MAIN}t")
            shown.text = NOT_IN_XML.sub("\ufffd", text)
            shown.set(SPACE, "preserve")

    def _serial(self, cell: Any, text: str, kind: str) -> str:
        """The number that stands for a date, time or number; "" where it stays text."""
        if self._format_of(cell) == TEXT_FORMAT:
            return ""
        if kind == "number" and re.fullmatch(r"-?\d+(\.\d+)?", text):
            return text
        if kind == "date" and re.fullmatch(r"\d{4}-\d{2}-\d{2}", text) and text >= "1900-03-01":
            self._as(cell, "date")
            return str((dt.date.fromisoformat(text) - DAY_ZERO).days)
        if kind == "time" and re.fullmatch(r"\d{2}:\d{2}", text):
            self._as(cell, "time")
            return repr((int(text[:2]) * 60 + int(text[3:])) / 1440)
        return ""

    def _looks(self) -> Any:
        return None if self.styles is None else self.styles.find(f"{MAIN}cellXfs")

    def _format_of(self, cell: Any) -> int:
        looks, number = self._looks(), int(cell.get("s", "0"))
        return int(looks[number].get("numFmtId", "0")) if looks is not None and number < len(looks) else 0

    def _as(self, cell: Any, kind: str) -> None:
        """Give a cell a date or time format, if it has none: the same looks, with that format."""
        looks = self._looks()
        if looks is None or self._is_date(self._format_of(cell)):
            return
        key = (cell.get("s", "0"), kind)
        if key not in self._made_formats:
            made = copy.deepcopy(looks[int(key[0])])
            made.set("numFmtId", self._own_format(FORMATS[kind]))
            made.set("applyNumberFormat", "1")
            looks.append(made)
            looks.set("count", str(len(looks)))
            self._made_formats[key] = str(len(looks) - 1)
        cell.set("s", self._made_formats[key])

    def _is_date(self, number: int) -> bool:
        if number < FIRST_OWN_FORMAT:
            return number in DATE_FORMATS
        for one in self.styles.iter(f"{MAIN}numFmt"):
            if int(one.get("numFmtId")) == number:
                plain = re.sub(r'"[^"]*"|\[[^\]]*\]|\\.', "", one.get("formatCode", ""))
                return bool(re.search(r"[dmyhs]", plain, re.IGNORECASE)) and "General" not in plain
        return False

    def _own_format(self, code: str) -> str:
        """The number of a format of our own, entered where it is not there yet."""
        held = self.styles.find(f"{MAIN}numFmts")
        if held is None:
            held = etree.Element(f"{MAIN}numFmts")
            self.styles.insert(0, held)
        for one in held:
            if one.get("formatCode") == code:
                return str(one.get("numFmtId"))
        number = str(max([FIRST_OWN_FORMAT - 1, *(int(one.get("numFmtId")) for one in held)]) + 1)
        etree.SubElement(held, f"{MAIN}numFmt", numFmtId=number, formatCode=code)
        held.set("count", str(len(held)))
        return number

    def members(self) -> dict[str, bytes]:
        """All parts as they are now; formulas are computed anew when the workbook is opened."""
        made = dict(self.parts)
        settings = self.book.find(f"{MAIN}calcPr")
        if settings is None:
            settings = etree.SubElement(self.book, f"{MAIN}calcPr")
            for after in ("definedNames", "externalReferences", "functionGroups", "sheets"):
                before = self.book.find(f"{MAIN}{after}")
                if before is not None:
                    before.addnext(settings)
                    break
        settings.set("fullCalcOnLoad", "1")
        changed = {BOOK: self.book} | {one.path: one.root for one in self.sheets}
        if self.styles is not None:
            changed[STYLES] = self.styles
        for part, root in changed.items():
            made[part] = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
        if made.pop(CHAIN, None) is not None:  # the order of computing; a program makes it anew
            _forget_chain(made)
        return made


def _forget_chain(parts: dict[str, bytes]) -> None:
    for part, attribute in (("[Content_Types].xml", "PartName"), ("xl/_rels/workbook.xml.rels", "Target")):
        root = parse_xml(parts[part], part)
        for one in list(root):
            if (one.get(attribute) or "").endswith("calcChain.xml"):
                root.remove(one)
        parts[part] = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def shown_text(element: Any) -> str:
    """The text of a string, without the readings that East Asian names may carry."""
    return "".join(text.text or "" for text in element.iter(f"{MAIN}t") if text.getparent().tag != f"{MAIN}rPh")


def inside(folder: str, target: str) -> str:
    """The path of a part that a part in a folder points to.

    >>> inside("xl", "worksheets/sheet1.xml"), inside("xl/worksheets", "../tables/table1.xml")
    ('xl/worksheets/sheet1.xml', 'xl/tables/table1.xml')
    """
    if target.startswith("/"):
        return target.lstrip("/")
    parts: list[str] = []
    for part in PurePosixPath(folder, target).parts:
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return "/".join(parts)
