"""Drawing the agency's workbook: frozen headers, filters, real dates, ready for printing; the same bytes every time.

A typed text is written as text and never as a formula, link or number, whatever it begins with.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import xlsxwriter

from dwc_pipeline.write.agency.map_chart import draw_map
from dwc_pipeline.write.agency.page_layout import column_width, pages, row_height
from dwc_pipeline.write.agency.sheet import KIND_OF_ROW, Sheet
from dwc_pipeline.write.whole_file import whole_file

#: a font that every office program has, or one of the same widths
FONT = {"font_name": "Arial", "font_size": 10}
OPTIONS = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
#: rows above the header: the title and a blank one
HEADER_ROW = 2
LETTER, A4 = 1, 9
#: what a tab cannot hold, and how long it may be
NOT_IN_A_TAB = re.compile(r"[\[\]:*?/\\]")
LONGEST_TAB = 31
LONGEST_TEXT = 32_767
#: a printed heading may not be longer than 255 signs with its marks
LONGEST_HEADING = 100
ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
CLOCK = re.compile(r"\d{2}:\d{2}")
PLAIN_NUMBER = re.compile(r"-?\d+(\.\d+)?")
#: margins [inch]
MARGINS = {"left": 0.4, "right": 0.4, "top": 0.7, "bottom": 0.6}
#: rows and columns that the map covers at most
MAP_ROWS, MAP_COLUMNS = 36, 14
LEFT = {"align": "left", "indent": 1}
ALIGNMENT: dict[str, dict[str, Any]] = {
    "number": {"align": "right"},
    "date": {"align": "center"},
    "time": {"align": "center"},
    "text": LEFT,
    "by row": LEFT,
}


def write_workbook(sheets: Sequence[Sheet], path: Path, title: str, made_on: dt.date, is_american: bool) -> Path:
    """Write the workbook, whole or not at all.

    made_on: the date in its properties; the clock is not asked. is_american: paper is Letter and not A4.
    """
    with whole_file(path) as building, xlsxwriter.Workbook(str(building), OPTIONS) as book:
        book.set_properties({"title": title, "created": dt.datetime.combine(made_on, dt.time()), "author": ""})
        formats = cell_formats(book)
        for name, sheet in zip(tab_names([one.name for one in sheets]), sheets, strict=True):
            page = book.add_worksheet(name)
            page.set_landscape()
            page.set_paper(LETTER if is_american else A4)
            page.set_margins(**MARGINS)
            page.set_header(f"&L&9{title[:LONGEST_HEADING].replace('&', '&&') if sheet.title != title else ''}")
            page.set_footer("&L&9&A&R&9Page &P of &N")
            if sheet.map is None:
                _prepare_for_print(page, sheet, _draw(page, sheet, formats), is_american)
            else:
                page.write_string(0, 0, sheet.title, formats["title"])
                draw_map(book, page, name, sheet.map, HEADER_ROW)
                page.print_area(0, 0, HEADER_ROW + MAP_ROWS, MAP_COLUMNS)
                page.fit_to_pages(1, 1)
    return path


def cell_formats(book: Any) -> dict[str, Any]:
    """The formats of the title, of headers and of cells by their kind."""
    top = {**FONT, "valign": "top"}
    header = {**FONT, "bold": True, "text_wrap": True, "valign": "top", "bg_color": "#E8E8E8", "bottom": 1}
    made = {
        "title": {**FONT, "bold": True, "font_size": 13},
        "date": {**top, "num_format": "yyyy-mm-dd", "align": "center"},
        "time": {**top, "num_format": "hh:mm", "align": "center"},
        "text": {**top, "text_wrap": True, "align": "left", "indent": 1},
        "number": {**top, "align": "right"},
        "date by row": {**top, "num_format": "yyyy-mm-dd", "align": "left", "indent": 1},
        "number by row": {**top, "align": "left", "indent": 1},
        **{f"header {kind}": header | ALIGNMENT[kind] for kind in ALIGNMENT},
    }
    return {name: book.add_format(parts) for name, parts in made.items()}


def tab_names(names: Sequence[str]) -> list[str]:
    """Names that tabs can have, each once.

    >>> tab_names(["Captures [all]", "captures (all)"])
    ['Captures (all)', 'captures (all) 2']
    """
    made: list[str] = []
    for name in names:
        plain = (
            NOT_IN_A_TAB.sub(lambda sign: {"[": "(", "]": ")"}.get(sign.group(), " "), name).strip("' ") or "Sheet"
        )
        number, tab = 1, plain[:LONGEST_TAB]
        while tab.casefold() in {one.casefold() for one in made}:
            number += 1
            tab = f"{plain[: LONGEST_TAB - len(str(number)) - 1]} {number}"
        made.append(tab)
    return made


def _draw(page: Any, sheet: Sheet, formats: dict[str, Any]) -> list[int]:
    """Write title, header and cells; the widths of the columns."""
    texts = [[str(text)[:LONGEST_TEXT] for text in sheet.frame[column.name]] for column in sheet.columns]
    widths = [column_width(column, own) for column, own in zip(sheet.columns, texts, strict=True)]
    kinds = sheet.frame[KIND_OF_ROW].tolist() if KIND_OF_ROW in sheet.frame else []
    page.write_string(0, 0, sheet.title[:LONGEST_TEXT], formats["title"])
    page.set_row(0, 20)
    headers = [column.header for column in sheet.columns]
    page.set_row(HEADER_ROW, row_height(headers, [width - 2 for width in widths]))
    for at, (column, width) in enumerate(zip(sheet.columns, widths, strict=True)):
        page.set_column(at, at, width)
        page.write_string(HEADER_ROW, at, column.header, formats[f"header {column.kind}"])
        for row, text in enumerate(texts[at]):
            if text:
                kind = kinds[row] if column.kind == "by row" else column.kind
                _write_cell(page, HEADER_ROW + 1 + row, at, kind, text, formats, column.kind == "by row")
    for row, own in enumerate(zip(*texts, strict=True), HEADER_ROW + 1):
        page.set_row(row, row_height(own, widths))
    return widths


def _prepare_for_print(page: Any, sheet: Sheet, widths: list[int], is_american: bool) -> None:
    """Frozen header, filter, and legible pages of whole columns, with the header and the first columns on each."""
    stay = min(sheet.stay, len(widths))
    page.freeze_panes(HEADER_ROW + 1, stay if len(widths) > 1 else 0)
    page.autofilter(HEADER_ROW, 0, max(HEADER_ROW + len(sheet.frame), HEADER_ROW + 1), len(widths) - 1)
    page.repeat_rows(HEADER_ROW)
    layout = pages(widths, stay, is_american)
    if layout.breaks:
        page.set_print_scale(layout.scale)
        page.set_v_pagebreaks(layout.breaks)
        page.repeat_columns(0, stay - 1)
        page.print_across()
    else:
        page.fit_to_pages(1, 0)


def _write_cell(
    page: Any, row: int, at: int, kind: str, text: str, formats: dict[str, Any], is_by_row: bool = False
) -> None:
    """A date or number as such where the text is one, else as the text it is."""
    also = " by row" if is_by_row else ""
    if kind == "date" and ISO_DAY.fullmatch(text) and text >= "1900-03-01":
        page.write_datetime(row, at, dt.date.fromisoformat(text), formats[f"date{also}"])
    elif kind == "time" and CLOCK.fullmatch(text):
        page.write_datetime(row, at, dt.time.fromisoformat(text), formats["time"])
    elif kind == "number" and PLAIN_NUMBER.fullmatch(text):
        page.write_number(row, at, float(text), formats[f"number{also}"])
    else:
        page.write_string(row, at, text, formats["text"])
