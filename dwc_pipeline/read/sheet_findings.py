"""What a person must know of cells that carry a meaning beside their text: errors, formulas, colours, comments."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import CellRange, RawSheet, RawTable, colour_cause, column_letter, column_number
from dwc_pipeline.core.rule import Rule, Severity, declare

Place = tuple[int, int]

CELL_ERROR = declare(
    Rule(
        id="cell-holds-a-spreadsheet-error",
        severity=Severity.ERROR,
        what="A cell shows an error of the spreadsheet, such as #REF! or #N/A, instead of a value.",
        why="The value that belongs there is not in the file; read as blank it would pass for 'not recorded'.",
        remedy="Mend the formula, or type the value from the paper sheet.",
    )
)
FORMULA_WITHOUT_VALUE = declare(
    Rule(
        id="formula-without-a-value",
        severity=Severity.WARNING,
        what="A cell holds a formula whose result is not stored in the file.",
        why="The result is unknown until a spreadsheet program has calculated it; it is neither zero nor blank.",
        remedy="Open the file in a spreadsheet program, let it calculate, save it, and run again.",
    )
)
ZERO_RESULT = declare(
    Rule(
        id="formula-result-may-be-uncalculated",
        severity=Severity.WARNING,
        what="A formula shows zero, in a file whose writer left formulas to be calculated at the next opening.",
        why="The zero may stand for 'not calculated yet' and would be taken for a count or a measurement.",
        remedy="Open the file in a spreadsheet program, save it, and run again.",
    )
)
STRUCK_CELL = declare(
    Rule(
        id="struck-cell",
        severity=Severity.WARNING,
        what="A cell, but not its whole row, is struck through.",
        why="The value may have been withdrawn on the paper, with or without another in its place.",
        remedy="Say whether the value stands, or give the right one.",
        asks=True,
    )
)
PARTLY_STRUCK = declare(
    Rule(
        id="partly-struck-text",
        severity=Severity.WARNING,
        what="A part of the text in a cell is struck through.",
        why="The struck part is mostly an earlier value; without the line both read as one text.",
        remedy="Say which value the cell should have.",
        asks=True,
    )
)
COLOURED_ROW = declare(
    Rule(
        id="coloured-row",
        severity=Severity.WARNING,
        what="A row has a background colour that most rows do not have.",
        why="Colours are used for doubtful, checked, dead or withdrawn records, and no column says which.",
        remedy="Say what the colour means on this sheet; better, add a column that says it in words.",
        asks=True,
    )
)
COLOURED_CELL = declare(
    Rule(
        id="coloured-cell",
        severity=Severity.WARNING,
        what="A cell has a background colour that most cells of its column do not have.",
        why="Colours are used for doubtful measurements or unknown values, and no column says which.",
        remedy="Say what the colour means on this sheet; better, add a column that says it in words.",
        asks=True,
    )
)
HIDDEN_ROWS = declare(
    Rule(
        id="hidden-rows-read",
        severity=Severity.NOTE,
        what="Rows of the sheet are hidden, by hand or by a filter; they were read like the others.",
        why="Rows may be hidden because somebody meant to leave them out.",
        remedy="Show all rows in the spreadsheet program and delete what does not count.",
    )
)
HIDDEN_COLUMNS = declare(
    Rule(
        id="hidden-columns-read",
        severity=Severity.NOTE,
        what="Columns of the sheet are hidden; they were read like the others.",
        why="A hidden column may hold old or private values that should not go further.",
        remedy="Show all columns in the spreadsheet program and look; leave a column aside in the survey file.",
    )
)
SHEET_HIDDEN = declare(
    Rule(
        id="sheet-hidden",
        severity=Severity.NOTE,
        what="The sheet is hidden in its workbook; it was read like the others.",
        why="Hidden sheets often hold lists for drop-downs, or former versions of a table.",
        remedy="If it should not count, name it under skip_sheets in the survey file.",
    )
)
CELL_COMMENT = declare(
    Rule(
        id="cell-comment",
        severity=Severity.NOTE,
        what="A cell has a comment.",
        why="Comments tell of doubts, closed traps and escaped animals, and no column holds them.",
        remedy="Read it. If it changes what the record means, enter it where it belongs.",
    )
)
MERGED_SPREAD = declare(
    Rule(
        id="merged-cells-spread",
        severity=Severity.NOTE,
        what="A merged cell among the records was taken to hold for every row and column it covers.",
        why="If it was merged for the looks only, rows get a value that nobody typed for them.",
        remedy="Nothing to do if the value holds for all of them; otherwise divide the cell.",
    )
)
#: a colour on this share of a column is its look, not a sign.
_USUAL = 0.6
#: every other row: the share of rows from which on a colour is a pattern of stripes.
_STRIPES = 0.4


class _Records:
    """The cells of a table's records: rows and columns as a person counts them."""

    def __init__(self, table: RawTable) -> None:
        self.table = table
        self.rows = list(table.text.index)
        self.row_set = set(self.rows)
        self.columns = {column_number(letter) for letter in table.text.columns}

    def within(self, places: Collection[Place]) -> list[Place]:
        return sorted(place for place in places if place[0] in self.row_set and place[1] in self.columns)

    def filled(self, row: int) -> set[Place]:
        """Cells of the row that hold something of their own, not a value spread from a merged cell."""
        return {(row, column) for column in self.columns if self.table.raw.text(row, column).strip()}

    def text(self, place: Place) -> str:
        return str(self.table.text.at[place[0], column_letter(place[1])])


def sheet_findings(sheet: RawSheet, tables: Sequence[RawTable], spread_over: Sequence[CellRange]) -> pd.DataFrame:
    """Findings on the cells of a sheet: those that matter to records in the rows of tables, comments everywhere.

    spread_over: merged ranges whose value was spread, in positions from 0.
    """
    found = list(_of_sheet(sheet))
    all_records = [_Records(table) for table in tables]
    for records in all_records:
        found.extend(_errors_and_formulas(sheet, records))
        found.extend(_struck(sheet, records))
        found.extend(_coloured(sheet, records))
        found.extend(_spread(sheet, records, spread_over))
    return as_findings(found)


def _at(sheet: RawSheet, rule: Rule, place: Place, message: str, value: str, cause: str = "") -> dict[str, object]:
    row, column = place
    return finding_at(
        rule, message=message, file=sheet.file, sheet=sheet.sheet, row=row,
        column=column_letter(column) if column else "", value=value, cause=cause,
    )  # fmt: skip


def _runs(numbers: Collection[int]) -> str:
    """Numbers as a person writes them: 3, 7-9."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(f"{first}-{last}" if last > first else str(first) for first, last in runs)


def _of_sheet(sheet: RawSheet) -> Iterator[dict[str, object]]:
    if sheet.is_hidden:
        yield _at(sheet, SHEET_HIDDEN, (0, 0), f"Sheet {sheet.sheet!r} is hidden.", sheet.sheet)
    filled_rows = {row for row in sheet.hidden_rows if any(str(cell).strip() for cell in sheet.values[row - 1])}
    if filled_rows:
        rows = _runs(filled_rows)
        yield _at(sheet, HIDDEN_ROWS, (min(filled_rows), 0), f"Hidden rows were read: {rows}.", rows)
    hidden = {column for column in sheet.hidden_columns if column <= sheet.width}
    filled_columns = {c for c in hidden if any(len(row) >= c and row[c - 1] != "" for row in sheet.values)}
    if filled_columns:
        letters = ", ".join(column_letter(column) for column in sorted(filled_columns))
        yield _at(sheet, HIDDEN_COLUMNS, (0, min(filled_columns)), f"Hidden columns were read: {letters}.", letters)
    for place, text in sorted(sheet.comments.items()):
        message = f"{column_letter(place[1])}{place[0]} has the comment: {text.strip()}"
        yield _at(sheet, CELL_COMMENT, place, message, sheet.text(*place))


def _errors_and_formulas(sheet: RawSheet, records: _Records) -> Iterator[dict[str, object]]:
    for place in records.within(sheet.errors):
        shown = sheet.errors[place]
        message = f"{column_letter(place[1])}{place[0]} shows {shown} instead of a value."
        yield _at(sheet, CELL_ERROR, place, message, shown, cause=shown)
    for place in records.within(sheet.uncomputed):
        message = f"{column_letter(place[1])}{place[0]} holds a formula without a stored result."
        yield _at(sheet, FORMULA_WITHOUT_VALUE, place, message, "", cause="formula")
    for place, _ in _named_facts(sheet, records, "formula result zero "):
        message = (
            f"{column_letter(place[1])}{place[0]} shows 0 as the result of a formula that may not be calculated."
        )
        yield _at(sheet, ZERO_RESULT, place, message, "0", cause="zero")


def _by_row(places: Sequence[Place]) -> dict[int, set[Place]]:
    rows: dict[int, set[Place]] = defaultdict(set)
    for place in places:
        rows[place[0]].add(place)
    return rows


def _struck(sheet: RawSheet, records: _Records) -> Iterator[dict[str, object]]:
    for row, struck in _by_row(records.within(sheet.struck)).items():
        filled = records.filled(row)
        struck &= filled
        if struck == filled:
            continue  # a whole row is asked where it is set aside: reshape/marked_rows.py
        for place in sorted(struck):
            message = f"{column_letter(place[1])}{row} is struck through."
            yield _at(sheet, STRUCK_CELL, place, message, records.text(place))
    for place, marked in _named_facts(sheet, records, "partly struck "):
        message = f"{column_letter(place[1])}{place[0]} is struck through in part, in brackets here: {marked}"
        yield _at(sheet, PARTLY_STRUCK, place, message, records.text(place))


def _named_facts(sheet: RawSheet, records: _Records, prefix: str) -> Iterator[tuple[Place, str]]:
    """Facts about single cells of the records, such as "partly struck B7"."""
    for name, value in sheet.facts.items():
        if name.startswith(prefix):
            letters = name.removeprefix(prefix).rstrip("0123456789")
            place = (int(name[len(prefix) + len(letters) :]), column_number(letters))
            if records.within([place]):
                yield place, value


def _coloured(sheet: RawSheet, records: _Records) -> Iterator[dict[str, object]]:
    signs = _telling_colours(sheet.fills, records)
    for row, coloured in _by_row(sorted(signs)).items():
        filled = records.filled(row)
        colours = {signs[place] for place in coloured & filled}
        if filled and filled <= coloured and len(colours) == 1:
            colour = colours.pop()
            message = f"Row {row} has the colour {colour}; what does it mean?"
            yield _at(
                sheet, COLOURED_ROW, (row, 0), message, colour, cause=colour_cause(sheet.file, sheet.sheet, colour)
            )
            continue
        for place in sorted(coloured):
            colour = signs[place]
            message = f"{column_letter(place[1])}{row} has the colour {colour}; what does it mean?"
            yield _at(
                sheet, COLOURED_CELL, place, message, colour, cause=colour_cause(sheet.file, sheet.sheet, colour)
            )


def _telling_colours(fills: Mapping[Place, str], records: _Records) -> dict[Place, str]:
    """Coloured cells of the records, without colours that are the look of a column or stripes over all rows."""
    by_look: dict[tuple[int, str], list[int]] = defaultdict(list)
    order = {row: number for number, row in enumerate(records.rows)}
    for row, column in records.within(fills):
        by_look[column, fills[row, column]].append(order[row])
    signs: dict[Place, str] = {}
    for (column, colour), places in by_look.items():
        share = len(places) / len(records.rows)
        stripes = share >= _STRIPES and len(records.rows) >= 6 and len({place % 2 for place in places}) == 1
        if share <= _USUAL and not stripes:
            signs.update({(records.rows[place], column): colour for place in places})
    return signs


def _spread(sheet: RawSheet, records: _Records, ranges: Sequence[CellRange]) -> Iterator[dict[str, object]]:
    for each in ranges:
        place = (each.first_row + 1, each.first_column + 1)
        covered = [
            (row, column)
            for row in range(each.first_row + 1, each.last_row + 2)
            for column in range(each.first_column + 1, each.last_column + 2)
        ]
        if len(records.within(covered)) > 1 and records.within([place]):
            last = f"{column_letter(each.last_column + 1)}{each.last_row + 1}"
            text = sheet.text(*place)
            message = f"{column_letter(place[1])}{place[0]}:{last} is one merged cell; {text!r} was put in all of it."
            yield _at(sheet, MERGED_SPREAD, place, message, text, cause="merged")
