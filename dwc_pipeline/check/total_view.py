"""Numbers at the foot of a sheet, with what the rows above them add up to.

One row a number of a total row in a column that feeds a number: kind "", tidy_row -1; file, sheet, sheet_row, column,
field, label (the first words of the total row), written, typed; sum of the rows since the total before, sum_of_blanks
(the same with every blank cell of a filled row as one), average, filled (cells with a number), unreadable (cells with
something else).
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.findings import NO_ROW
from dwc_pipeline.core.raw import RawTable, RowRole, column_number
from dwc_pipeline.core.records import Records
from dwc_pipeline.terms.sheet import sheet_fields

NUMBERS = ("number", "count", "measure")
COLUMNS = ("kind", "tidy_row", "file", "sheet", "sheet_row", "column", "field", "label", "written", "written_typed",
           "sum", "sum_of_blanks", "average", "filled", "unreadable")  # fmt: skip


def total_view(records: Records) -> pd.DataFrame:
    """One row a number at the foot of a sheet."""
    lines: list[dict[str, object]] = []
    for source, table in records.raw.items():
        kind = str(records.sources.at[source, "holds"])
        if kind not in records.tidy:
            continue
        fields = sheet_fields(kind)
        letters = {
            name: letter
            for (number, name), letter in records.tidy[kind].columns.items()
            if number == source and name in fields and fields[name].reading in NUMBERS
        }
        lines += totals_of_table(table, letters)
    return pd.DataFrame(lines, columns=list(COLUMNS))


def totals_of_table(table: RawTable, letters: dict[str, str]) -> list[dict[str, object]]:
    """The numbers in the total rows of one table."""
    at_foot = table.roles.index[table.roles["role"] == RowRole.TOTAL]
    lines: list[dict[str, object]] = []
    before = 0
    for row in at_foot:
        above = table.text[(table.text.index > before) & (table.text.index < row)]
        before = row
        cells = [table.raw.text(row, column) for column in range(1, table.raw.width + 1)]
        label = next((text.strip() for text in cells if text.strip()), "")
        for field, letter in letters.items():
            typed = table.raw.text(row, column_number(letter)).strip()
            written = pd.to_numeric(typed.replace(",", "."), errors="coerce")
            if letter not in above or pd.isna(written):
                continue
            texts = above[letter].str.strip()
            numbers = pd.to_numeric(texts.str.replace(",", "."), errors="coerce")
            lines.append(
                {
                    "kind": "",
                    "tidy_row": NO_ROW,
                    "file": table.file,
                    "sheet": table.sheet,
                    "sheet_row": int(row),
                    "column": letter,
                    "field": field,
                    "label": label,
                    "written": float(written),
                    "written_typed": typed,
                    "sum": float(numbers.sum()),
                    "sum_of_blanks": float(numbers.sum() + (texts == "").sum()),
                    "average": float(numbers.mean()),
                    "filled": int(numbers.notna().sum()),
                    "unreadable": int(((texts != "") & numbers.isna()).sum()),
                }
            )
    return lines
