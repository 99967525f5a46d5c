"""Filling the agency's template: rows under its headers, answers in its cells; everything else stays as it was."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from pathlib import Path

from lxml import etree

from dwc_pipeline.core.safe_xml import NOT_IN_XML
from dwc_pipeline.write.agency.cell_refs import cell_at, copied_to
from dwc_pipeline.write.agency.template_book import DATE_WIDTH, MAIN, TemplateBook, TemplateSheet
from dwc_pipeline.write.agency.template_plan import PLACEHOLDER, Plan, Table, Value, line_key
from dwc_pipeline.write.agency.template_rows import put_rows_in, reach_down
from dwc_pipeline.write.zip_bytes import write_zip


def fill_template(book: TemplateBook, plan: Plan, values: Mapping[str, Value], path: Path) -> Path:
    """Fill the template as planned and write it to a path; the template itself is not touched."""
    for (name, row, column), value in plan.cells.items():
        sheet = book.sheet(name)
        assert sheet is not None
        book.put(sheet.cell(row, column), value.text, value.kind)
        make_room(sheet, column, value.kind)
    for sheet in book.sheets:
        fill_placeholders(book, sheet, values)
    for table in plan.tables:
        sheet = book.sheet(table.sheet)
        assert sheet is not None
        fill_table(book, sheet, table)
    for sheet in book.sheets:
        forget_results(sheet)
    return write_zip(path, {part: [content] for part, content in book.members().items()})


def fill_placeholders(book: TemplateBook, sheet: TemplateSheet, values: Mapping[str, Value]) -> None:
    """Put the answers where `{{name}}` stands; a name that is not known is left as it is."""
    for cell in list(sheet.cells.values()):
        text = book.text(cell)
        alone = PLACEHOLDER.fullmatch(text.strip())
        value = values.get(line_key(alone[1])) if alone else None
        if value is not None:
            book.put(cell, value.text, value.kind)
            make_room(sheet, column_of(cell), value.kind)
        elif PLACEHOLDER.search(text):
            book.put(cell, with_answers(text, values), "text")
    printed = sheet.root.find(f"{MAIN}headerFooter")
    for part in printed if printed is not None else ():
        escaped = {name: Value(value.text.replace("&", "&&"), "text") for name, value in values.items()}
        part.text = NOT_IN_XML.sub("\ufffd", with_answers(part.text or "", escaped))


def with_answers(text: str, values: Mapping[str, Value]) -> str:
    """The text with every placeholder that is known replaced."""
    return PLACEHOLDER.sub(
        lambda found: values[line_key(found[1])].text if line_key(found[1]) in values else found[0], text
    )


def fill_table(book: TemplateBook, sheet: TemplateSheet, table: Table) -> None:
    """Fill all rows of a table; what stands below it in the template moves down if there is no room."""
    first, count = table.header_row + 1, len(table.ours.frame)
    room = blank_rows(book, sheet, table)
    if room is not None and count > room:
        # Before the last blank row, so that a sum over the blank rows sums all of them.
        put_rows_in(book, sheet, first + max(room - 1, 0), count - room)
    model = sheet.rows.get(first) if room is None or room > 0 else None
    pattern = copy.deepcopy(model) if model is not None else None
    for at in range(count):
        like_the_first(sheet, pattern, first, first + at)
    for column, ours in table.columns.items():
        make_room(sheet, column, ours.kind)
        for at, text in enumerate(table.ours.frame[ours.name]):
            if text:
                book.put(sheet.cell(first + at, column), str(text), ours.kind)
    if count:
        reach_down(book, sheet, table.header_row, first + count - 1)


def blank_rows(book: TemplateBook, sheet: TemplateSheet, table: Table) -> int | None:
    """How many rows under the header are blank in the columns of the table; None if nothing stands below them."""
    below = [
        row
        for (row, column), cell in sheet.cells.items()
        if row > table.header_row and column in table.columns and (book.text(cell).strip() or _is_computed(cell))
    ]
    return min(below) - table.header_row - 1 if below else None


def _is_computed(cell: etree._Element) -> bool:
    return cell.find(f"{MAIN}f") is not None


def like_the_first(sheet: TemplateSheet, pattern: etree._Element | None, first: int, row: int) -> None:
    """Give a row that has no cells yet the looks, height and formulas of the first one."""
    if pattern is None or row == first:
        return
    line = sheet.row(row)
    for attribute in ("ht", "customHeight", "s", "customFormat"):
        if pattern.get(attribute) and not line.get(attribute):
            line.set(attribute, pattern.get(attribute))
    for one in pattern.iter(f"{MAIN}c"):
        column = column_of(one)
        is_new = (row, column) not in sheet.cells
        cell = sheet.cell(row, column)
        if is_new and one.get("s"):
            cell.set("s", one.get("s"))
        formula = one.find(f"{MAIN}f")
        if formula is not None and formula.text and cell.find(f"{MAIN}f") is None:
            etree.SubElement(cell, f"{MAIN}f").text = copied_to(formula.text, row - first)


def make_room(sheet: TemplateSheet, column: int, kind: str) -> None:
    """Let a column be wide enough for dates, which are not shown at all where they do not fit."""
    if kind == "date":
        sheet.widen(column, DATE_WIDTH)


def column_of(cell: etree._Element) -> int:
    """The number of a cell's column."""
    return cell_at(cell.get("r"))[1]


def forget_results(sheet: TemplateSheet) -> None:
    """Take out results that formulas had before: the numbers under them are new."""
    for cell in sheet.cells.values():
        if cell.find(f"{MAIN}f") is not None:
            for value in cell.findall(f"{MAIN}v"):
                cell.remove(value)
            cell.attrib.pop("t", None)
