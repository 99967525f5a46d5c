"""The first sheet of a marked copy: what the colours mean, what the copy lacks, and every finding with a link."""

from __future__ import annotations

from typing import Any

import pandas as pd
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.worksheet.hyperlink import Hyperlink

from dwc_pipeline.write.agency.workbook import tab_names
from dwc_pipeline.write.marked.marks import FILLS
from dwc_pipeline.write.marked.raw_copy import RawCopy, write_text

TAB = "Findings"
#: header -> column of the findings, and width in characters
COLUMNS = {
    "Severity": ("severity", 10),
    "Sheet": ("tab", 16),
    "Cell": ("cell", 8),
    "Typed": ("value", 20),
    "What is wrong": ("message", 60),
    "What to do": ("remedy", 60),
    "It could be": ("suggestions", 28),
    "Rule": ("rule", 30),
}
MEANINGS = {
    "error": "error: the record cannot be right, or a number would be wrong",
    "warning": "warning: probably wrong",
    "note": "note: nothing to correct, but know it",
}
LONGEST_TYPED = 80
#: height of one line of text. [points]
LINE_HEIGHT = 13
WRAPPED = Alignment(wrap_text=True, vertical="top")
LINK = Font(color="0B5394", underline="single")
HEADER_FILL = PatternFill("solid", fgColor="DCEBE5")


def add_first_sheet(copied: RawCopy, name: str, findings: pd.DataFrame, waived: int) -> None:
    """Put the list before the sheets of the copy. findings: errors first, with `tab` and `cell` ("" for none).

    name: the raw file as the person knows it. waived: how many findings were waived or answered and are left out.
    """
    book = copied.book
    title = tab_names([*book.sheetnames, TAB])[-1]
    page = book.create_sheet(title, 0)
    book.active = 0
    page.sheet_view.tabSelected = True
    row = _intro(page, name, copied.lost, findings, waived)
    for at, (header, (_, width)) in enumerate(COLUMNS.items(), 1):
        page.column_dimensions[page.cell(row, at).column_letter].width = width
        cell = page.cell(row, at)
        write_text(cell, header)
        cell.font, cell.fill, cell.alignment = Font(bold=True), HEADER_FILL, WRAPPED
        cell.border = Border(bottom=Side("thin"))
    for number, finding in enumerate(findings.to_dict("records"), row + 1):
        _line(page, number, finding)
    page.freeze_panes = page.cell(row + 1, 1)
    page.auto_filter.ref = f"A{row}:{page.cell(row, len(COLUMNS)).column_letter}{max(row + len(findings), row + 1)}"
    page.print_title_rows = f"{row}:{row}"
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr.fitToPage = True


def _intro(page: Any, name: str, lost: tuple[str, ...], findings: pd.DataFrame, waived: int) -> int:
    """Title, caution and legend; the number of the row for the header of the list."""
    cells = int((findings["cell"] != "").sum())
    told = [
        f"{len(findings)} findings in {name}" if len(findings) else f"Nothing was found in {name}",
        "A marked copy: correct the raw file, not this one. It holds all that the raw file holds, exact places too.",
        f"{cells} of the findings have a cell, marked in a colour and with a comment; the others are only listed.",
    ]
    if waived:
        told.append(f"{waived} findings that were waived or answered are left out.")
    told += [f"Not in this copy: {what}" for what in lost]
    for row, text in enumerate(told, 1):
        write_text(page.cell(row, 1), text)
    page.cell(1, 1).font = Font(bold=True, size=14)
    row = len(told) + 2
    for severity, meaning in MEANINGS.items():
        page.cell(row, 1).fill = PatternFill("solid", fgColor=FILLS[severity])
        write_text(page.cell(row, 2), meaning)
        row += 1
    return row + 1


def shown(finding: dict[Any, Any], name: str) -> str:
    """The text of a column; what was typed may be a whole row, and is cut."""
    text = str(finding[name])
    return text if name != "value" or len(text) <= LONGEST_TYPED else text[:LONGEST_TYPED] + " …"


def _line(page: Any, row: int, finding: dict[Any, Any]) -> None:
    for at, (name, _) in enumerate(COLUMNS.values(), 1):
        cell = page.cell(row, at)
        write_text(cell, shown(finding, name))
        cell.alignment = WRAPPED
    lines = max(-(-len(shown(finding, name)) // (width - 2)) for name, width in COLUMNS.values())
    page.row_dimensions[row].height = LINE_HEIGHT * max(lines, 1)
    page.cell(row, 1).fill = PatternFill("solid", fgColor=FILLS[str(finding["severity"])])
    if finding["tab"]:
        tab = str(finding["tab"]).replace("'", "''")
        link = page.cell(row, 3)
        link.hyperlink = Hyperlink(ref=link.coordinate, location=f"'{tab}'!{finding['cell'] or 'A1'}")
        link.font = LINK
