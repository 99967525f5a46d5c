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

from dwc_pipeline.write.agency.sheet import Column, Sheet
from dwc_pipeline.write.whole_file import whole_file

OPTIONS = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
#: rows above the header: the title and a blank one
HEADER_ROW = 2
LETTER, A4 = 1, 9
#: what a tab cannot hold, and how long it may be
NOT_IN_A_TAB = re.compile(r"[\[\]:*?/\\]")
LONGEST_TAB = 31
LONGEST_TEXT = 32_767
ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
CLOCK = re.compile(r"\d{2}:\d{2}")
PLAIN_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def write_workbook(sheets: Sequence[Sheet], path: Path, title: str, made_on: dt.date, is_american: bool) -> Path:
    """Write the workbook, whole or not at all.

    made_on: the date in its properties; the clock is not asked. is_american: paper is Letter and not A4.
    """
    with whole_file(path) as building, xlsxwriter.Workbook(str(building), OPTIONS) as book:
        book.set_properties({"title": title, "created": dt.datetime.combine(made_on, dt.time()), "author": ""})
        formats = {
            "title": book.add_format({"bold": True, "font_size": 13}),
            "header": book.add_format(
                {"bold": True, "text_wrap": True, "valign": "top", "bg_color": "#E8E8E8", "bottom": 1}
            ),
            "date": book.add_format({"num_format": "yyyy-mm-dd", "align": "left", "valign": "top"}),
            "time": book.add_format({"num_format": "hh:mm", "align": "left", "valign": "top"}),
            "text": book.add_format({"text_wrap": True, "valign": "top"}),
            "number": book.add_format({"valign": "top"}),
        }
        for name, sheet in zip(tab_names([one.name for one in sheets]), sheets, strict=True):
            _draw(book.add_worksheet(name), sheet, formats, LETTER if is_american else A4)
    return path


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


def _draw(page: Any, sheet: Sheet, formats: dict[str, Any], paper: int) -> None:
    page.write_string(0, 0, sheet.title[:LONGEST_TEXT], formats["title"])
    for at, column in enumerate(sheet.columns):
        page.set_column(at, at, column.width)
        page.write_string(HEADER_ROW, at, column.header, formats["header"])
        for row, text in enumerate(sheet.frame[column.name], HEADER_ROW + 1):
            if text:
                _write_cell(page, row, at, column, text, formats)
    last = max(HEADER_ROW + len(sheet.frame), HEADER_ROW + 1)
    page.freeze_panes(HEADER_ROW + 1, 0)
    page.autofilter(HEADER_ROW, 0, last, len(sheet.columns) - 1)
    page.repeat_rows(HEADER_ROW)
    page.set_landscape()
    page.set_paper(paper)
    page.fit_to_pages(1, 0)
    page.set_footer("&L&A&RPage &P of &N")


def _write_cell(page: Any, row: int, at: int, column: Column, text: str, formats: dict[str, Any]) -> None:
    """A date or number as such where the text is one, else as the text it is."""
    if column.kind == "date" and ISO_DAY.fullmatch(text) and text >= "1900-03-01":
        page.write_datetime(row, at, dt.date.fromisoformat(text), formats["date"])
    elif column.kind == "time" and CLOCK.fullmatch(text):
        page.write_datetime(row, at, dt.time.fromisoformat(text), formats["time"])
    elif column.kind == "number" and PLAIN_NUMBER.fullmatch(text):
        page.write_number(row, at, float(text), formats["number"])
    else:
        page.write_string(row, at, text[:LONGEST_TEXT], formats["text"])
