"""Putting rows into a sheet of a template: everything below moves down, and what points to it follows."""

from __future__ import annotations

import re
from typing import Any

from lxml import etree

from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.core.safe_xml import parse_xml
from dwc_pipeline.write.agency.cell_refs import cell_at, copied_to, with_rows_put_in
from dwc_pipeline.write.agency.template_book import LINK, MAIN, TemplateBook, TemplateSheet, inside

ANCHORS = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"
#: elements of a sheet whose attribute names cells
RANGES = {
    **dict.fromkeys(("mergeCell", "hyperlink", "autoFilter", "dimension"), "ref"),
    **dict.fromkeys(("conditionalFormatting", "dataValidation", "ignoredError", "selection"), "sqref"),
}
FORMULAS = ("f", "formula", "formula1", "formula2")


def put_rows_in(book: TemplateBook, sheet: TemplateSheet, at: int, count: int) -> None:
    """Put `count` blank rows in before row `at`."""
    _spell_shared_formulas(sheet)
    for number in sorted((one for one in sheet.rows if one >= at), reverse=True):
        row = sheet.rows[number]
        row.set("r", str(number + count))
        for cell in row.iter(f"{MAIN}c"):
            cell.set("r", f"{column_letter(cell_at(cell.get('r'))[1])}{number + count}")
    for one in book.sheets:
        own = one is sheet
        for name in FORMULAS:
            for formula in one.root.iter(f"{MAIN}{name}"):
                formula.text = with_rows_put_in(formula.text or "", own, sheet.name, at, count) or None
                if formula.get("ref"):
                    formula.set("ref", with_rows_put_in(formula.get("ref"), own, sheet.name, at, count))
    for element in sheet.root.iter():
        name = etree.QName(element).localname if isinstance(element.tag, str) else ""
        if name in RANGES and element.get(RANGES[name]):
            element.set(RANGES[name], with_rows_put_in(element.get(RANGES[name]), True, sheet.name, at, count))
    names = book.book.find(f"{MAIN}definedNames")
    for defined in names if names is not None else ():
        defined.text = with_rows_put_in(defined.text or "", False, sheet.name, at, count)
    for brk in sheet.root.iterfind(f"{MAIN}rowBreaks/{MAIN}brk"):
        if int(brk.get("id")) >= at:
            brk.set("id", str(int(brk.get("id")) + count))
    _move_tables_and_pictures(book, sheet, at, count)
    sheet.index()


def _spell_shared_formulas(sheet: TemplateSheet) -> None:
    """Write out formulas that cells share, so that each can be moved on its own."""
    first: dict[str, tuple[str, tuple[int, int]]] = {}
    for at, cell in sheet.cells.items():
        formula = cell.find(f"{MAIN}f")
        if formula is None or formula.get("t") != "shared":
            continue
        number = formula.get("si", "")
        if formula.text:
            first[number] = (formula.text, at)
        elif number in first:
            text, origin = first[number]
            formula.text = copied_to(text, at[0] - origin[0], at[1] - origin[1])
        for attribute in ("t", "si", "ref"):
            formula.attrib.pop(attribute, None)


def linked_parts(book: TemplateBook, part: str) -> dict[str, str]:
    """The parts that a part points to, by the identifiers of the links."""
    folder, _, name = part.rpartition("/")
    links = f"{folder}/_rels/{name}.rels"
    if links not in book.parts:
        return {}
    return {
        one.get("Id"): inside(folder, one.get("Target"))
        for one in book.xml(links)
        if one.get("TargetMode") != "External"
    }


def _move_tables_and_pictures(book: TemplateBook, sheet: TemplateSheet, at: int, count: int) -> None:
    for part in linked_parts(book, sheet.path).values():
        if part not in book.parts or not part.endswith(".xml"):
            continue
        root = parse_xml(book.parts[part], f"{book.name}: {part}")
        if "/tables/" in part:
            for element in (root, *root.iter(f"{MAIN}autoFilter")):
                if element.get("ref"):
                    element.set("ref", with_rows_put_in(element.get("ref"), True, sheet.name, at, count))
        elif "/drawings/" in part:
            for row in root.iter(f"{ANCHORS}row"):
                if int(row.text) >= at - 1:  # counted from 0
                    row.text = str(int(row.text) + count)
        else:
            continue
        book.parts[part] = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def reach_down(book: TemplateBook, sheet: TemplateSheet, header_row: int, last: int) -> None:
    """Let the filter, tables and the printed part that begin with a header reach down to the last filled row."""
    for element in sheet.root.iter(f"{MAIN}autoFilter"):
        element.set("ref", _reaching(element.get("ref"), header_row, last))
    for part in linked_parts(book, sheet.path).values():
        if "/tables/" in part and part in book.parts:
            root = parse_xml(book.parts[part], f"{book.name}: {part}")
            for element in (root, *root.iter(f"{MAIN}autoFilter")):
                if element.get("ref"):
                    element.set("ref", _reaching(element.get("ref"), header_row, last))
            book.parts[part] = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    names = book.book.find(f"{MAIN}definedNames")
    numbers = {str(at): one.name for at, one in enumerate(_all_sheets(book))}
    for defined in names if names is not None else ():
        if defined.get("name") == "_xlnm.Print_Area" and numbers.get(defined.get("localSheetId", "")) == sheet.name:
            found = re.fullmatch(r"(.*\$[A-Z]+\$)(\d+)", defined.text or "")
            if found and header_row <= int(found[2]) < last:
                defined.text = f"{found[1]}{last}"


def _all_sheets(book: TemplateBook) -> list[Any]:
    """All sheets in their order, those without cells among them."""
    by_name = {one.name: one for one in book.sheets}
    return [by_name.get(one.get("name"), book.sheets[0]) for one in book.book.find(f"{MAIN}sheets") if one.get(LINK)]


def _reaching(area: str, header_row: int, last: int) -> str:
    found = re.fullmatch(r"([A-Z]+)(\d+):([A-Z]+)(\d+)", area or "")
    if found is None or int(found[2]) != header_row or int(found[4]) >= last:
        return area
    return f"{found[1]}{found[2]}:{found[3]}{last}"
