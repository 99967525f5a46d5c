"""Marks of every sheet of an xlsx or xlsm file, and the file without cells that would fill the memory."""

from __future__ import annotations

import numpy as np

from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.file_guard import damaged, open_package, with_parts
from dwc_pipeline.read.sheet_marks import (
    FAR_COLUMNS,
    FAR_ROWS,
    LARGEST_AREA,
    MOST_STRAY_CELLS,
    Marks,
    Place,
    far_away,
)
from dwc_pipeline.read.xlsx_package import SheetPart, StruckText, Styles, XlsxPackage
from dwc_pipeline.read.xlsx_sheet import FarCell, SheetMarks, cells_outside, scan, without_bytes


def read_xlsx_marks(content: bytes, name: str) -> tuple[bytes, list[Marks]]:
    """The bytes that the reader of values may have, and the marks of each worksheet."""
    with open_package(content, name) as opened:
        package = XlsxPackage(opened, name)
        replaced: dict[str, bytes] = {}
        try:
            styles, struck = package.styles(), package.struck_texts()
            all_marks = [_marks_of(package, sheet, styles, struck, replaced) for sheet in package.sheets]
        except (ValueError, KeyError):  # a number or an address that is none
            raise damaged(name, "with the sheets or styles") from None
        return (with_parts(opened, replaced, name) if replaced else content), all_marks


def _marks_of(
    package: XlsxPackage, sheet: SheetPart, styles: Styles, struck: StruckText, replaced: dict[str, bytes]
) -> Marks:
    xml = package.bytes_of(sheet.part)
    if not xml:
        raise damaged(package.name, sheet.part)
    found = scan(xml, styles.telling, struck, sheet.part, package.name)
    stray = _stray_cells(xml, found, sheet, package.name)
    if stray:
        replaced[sheet.part.lower()] = without_bytes(xml, stray.values())
    in_struck_type = np.isin(found.styled_numbers, list(styles.struck))
    struck_places = found.struck.union(
        zip(found.styled_rows[in_struck_type].tolist(), found.styled_columns[in_struck_type].tolist(), strict=True)
    )
    return Marks(
        sheet=sheet.name,
        is_hidden=sheet.is_hidden,
        codes=styles.codes,
        colours=styles.fills,
        styled_rows=found.styled_rows,
        styled_columns=found.styled_columns,
        styled_numbers=found.styled_numbers,
        errors=found.errors,
        uncomputed=found.uncomputed,
        comments=package.comments(sheet.part),
        struck=struck_places,
        hidden_rows=found.hidden_rows,
        hidden_columns=found.hidden_columns,
        stray=_texts_of(stray, package),
        facts=_facts(package, found),
    )


def _facts(package: XlsxPackage, found: SheetMarks) -> dict[str, str]:
    facts = {}
    if package.counts_from_1904:
        facts["date system"] = "1904"
    for row, column in sorted(found.zero_results) if package.awaits_calculation else ():
        facts[f"formula result zero {column_letter(column)}{row}"] = "left to be calculated by whoever opens the file"
    for (row, column), text in sorted(found.partly_struck.items()):
        facts[f"partly struck {column_letter(column)}{row}"] = text
    return facts


def _stray_cells(xml: bytes, found: SheetMarks, sheet: SheetPart, name: str) -> dict[Place, FarCell]:
    """Cells that must be left out because the dense grid up to them would be too large; {} if none."""
    if not found.used_rows or max(found.used_rows) * max(found.used_columns) <= LARGEST_AREA:
        return {}
    last_row = far_away(found.used_rows, FAR_ROWS) or max(found.used_rows)
    last_column = far_away(found.used_columns, FAR_COLUMNS) or max(found.used_columns)
    outside = sum(count for row, count in found.used_rows.items() if row > last_row)
    outside += sum(count for column, count in found.used_columns.items() if column > last_column)
    if last_row * last_column > LARGEST_AREA or outside > MOST_STRAY_CELLS:
        raise UnreadableFile(
            f"{name}, sheet {sheet.name!r}: filled cells reach to {column_letter(max(found.used_columns))}"
            f"{max(found.used_rows)}, too far for one sheet. Split the sheet, or delete what stands far away."
        )
    return {
        place: cell
        for place, cell in cells_outside(xml, last_row, last_column, sheet.part, name).items()
        if cell.text
    }


def _texts_of(stray: dict[Place, FarCell], package: XlsxPackage) -> dict[Place, str]:
    shared = package.shared_texts() if any(cell.kind == "s" for cell in stray.values()) else []
    return {place: shared[int(cell.text)] if cell.kind == "s" else cell.text for place, cell in stray.items()}
