"""What of ours goes where in the agency's template: found by headers, names of cells and placeholders."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from dwc_pipeline.write.agency.cell_refs import cell_at
from dwc_pipeline.write.agency.sheet import KIND_OF_ROW, Column, Sheet
from dwc_pipeline.write.agency.template_book import MAIN, TemplateBook, TemplateSheet

#: `{{permit number}}` in a cell, or in a heading or foot for print
PLACEHOLDER = re.compile(r"\{\{\s*([^{}]+?)\s*\}\}")
ONE_CELL = re.compile(r"(?:'((?:[^']|'')+)'|([^!]+))!\$?([A-Z]{1,3})\$?(\d+)")
#: headers that must be known before a row is taken for the header of a table nobody named
FEWEST = 2
NOT_STATED = "not stated"


@dataclass(frozen=True)
class Value:
    """One answer of the summary."""

    text: str
    kind: str


@dataclass(frozen=True)
class Table:
    """A table of ours that a sheet of the template asks for.

    columns: column of the sheet -> ours. formulas: columns that the template computes.
    """

    sheet: str
    ours: Sheet
    header_row: int
    columns: Mapping[int, Column]
    formulas: tuple[int, ...]


@dataclass
class Plan:
    """cells: sheet, row and column -> value. misses: (what kind, place, value, sentence) for a person to read."""

    tables: list[Table] = field(default_factory=list)
    cells: dict[tuple[str, int, int], Value] = field(default_factory=dict)
    misses: list[tuple[str, str, str, str]] = field(default_factory=list)


def plain(text: str) -> str:
    """A header or name without capitals, signs and unit.

    >>> plain("SVL [mm]"), plain("Permit_Number:"), plain("Scientific  name*")
    ('svl', 'permit number', 'scientific name')
    """
    return " ".join(re.sub(r"[^\w]+|_", " ", re.sub(r"\[.*?\]", " ", text).casefold()).split())


def line_key(text: str) -> str:
    """A line of the summary without capitals and signs; its unit counts, for effort stands there in several.

    >>> line_key("Effort [trap-nights]"), line_key("Permit_number")
    ('effort trap nights', 'permit number')
    """
    return plain(text.replace("[", " ").replace("]", " "))


def values_of(summary: Sheet) -> dict[str, Value]:
    """The answers of the summary by their plain names; of several lines with one name, all in one."""
    made: dict[str, Value] = {}
    frame = summary.frame
    for what, text, kind in zip(frame["what"], frame["value"], frame[KIND_OF_ROW], strict=True):
        key = line_key(what)
        made[key] = Value(f"{made[key].text}; {text}", "text") if key in made else Value(text, kind)
    return made


def plan_of(
    book: TemplateBook,
    sheets: Sequence[Sheet],
    summary: Sheet,
    wanted: Mapping[str, str],
    cells: Mapping[str, str],
) -> Plan:
    """The plan for a template.

    sheets: ours, with the agency's headers. wanted: the template's sheet = our sheet, where the person says so.
    cells: a cell ("Form!B3") or its name = line of the summary.
    """
    made, values = Plan(), values_of(summary)
    by_key = {plain(sheet.key): sheet for sheet in sheets} | {plain(sheet.name): sheet for sheet in sheets}
    said = {plain(theirs): ours for theirs, ours in wanted.items()}
    for theirs, ours in wanted.items():
        if book.sheet(theirs) is None or (ours and plain(ours) not in by_key):
            what = f"template_sheets: {theirs!r} = {ours!r} names a sheet that is not there"
            made.misses.append(("name", "", theirs, what))
    for sheet in book.sheets:
        if plain(sheet.name) in said and not said[plain(sheet.name)]:
            continue  # the person wants it left alone
        chosen = by_key.get(plain(said.get(plain(sheet.name), sheet.name)))
        table = best_table(book, sheet, [chosen] if chosen else [one for one in sheets if one.columns])
        if table is not None:
            made.tables.append(table)
            made.misses += list(unknown_headers(book, sheet, table))
        elif chosen is not None:
            what = f"no row of sheet {sheet.name!r} holds headers of {chosen.key}: nothing was filled in"
            made.misses.append(("sheet", sheet.name, chosen.key, what))
        _placeholders(book, sheet, values, made)
    _named_cells(book, values, cells, made)
    if not made.tables and not made.cells:
        what = "nothing in the template is known: no header, named cell or placeholder"
        made.misses.append(("sheet", "", book.name, what))
    return made


def best_table(book: TemplateBook, sheet: TemplateSheet, candidates: Sequence[Sheet]) -> Table | None:
    """The row of the sheet with the most headers of one of our tables; None if no row has enough."""
    fewest = 1 if len(candidates) == 1 else FEWEST
    best: tuple[int, int, Table] | None = None
    for number, cells in rows_of(book, sheet):
        for order, ours in enumerate(candidates):
            names = header_names(ours)
            found: dict[int, Column] = {}
            for column, text in cells.items():
                one = names.get(plain(text))
                if one is not None and one not in found.values():
                    found[column] = one
            if len(found) >= fewest and (best is None or len(found) > best[0]):
                best = (len(found), order, Table(sheet.name, ours, number, found, ()))
    if best is None:
        return None
    table = best[2]
    computed = [
        column
        for column in dict(rows_of(book, sheet))[table.header_row]
        if column not in table.columns and has_formula(sheet, table.header_row + 1, column)
    ]
    return Table(table.sheet, table.ours, table.header_row, table.columns, tuple(computed))


def header_names(sheet: Sheet) -> dict[str, Column]:
    """Plain header, and plain meaning of it in the terms of Darwin Core, -> column."""
    by_term = {plain(column.name): column for column in sheet.columns}
    return by_term | {plain(column.header): column for column in sheet.columns}


def rows_of(book: TemplateBook, sheet: TemplateSheet) -> Iterator[tuple[int, dict[int, str]]]:
    """Each row with the texts of its cells by column; placeholders are no headers."""
    made: dict[int, dict[int, str]] = {}
    for (row, column), cell in sheet.cells.items():
        text = book.text(cell).strip()
        if text and not PLACEHOLDER.search(text):
            made.setdefault(row, {})[column] = text
    yield from sorted(made.items())


def has_formula(sheet: TemplateSheet, row: int, column: int) -> bool:
    """True if the cell is computed."""
    cell = sheet.cells.get((row, column))
    return cell is not None and cell.find(f"{MAIN}f") is not None


def unknown_headers(book: TemplateBook, sheet: TemplateSheet, table: Table) -> Iterator[tuple[str, str, str, str]]:
    """Headers beside the known ones that ask for something we do not have, and columns that stay blank."""
    for column, text in dict(rows_of(book, sheet))[table.header_row].items():
        place = f"{sheet.name}, row {table.header_row}"
        if column not in table.columns and column not in table.formulas:
            what = f"the template's header {text!r} ({place}) is no column of {table.ours.key}: it stays blank"
            yield ("header", place, text, what)
        elif column in table.columns and len(table.ours.frame):
            own = table.ours.frame[table.columns[column].name]
            if not (own != "").any():
                what = f"the template's column {text!r} ({place}) stays blank: nothing is known of it in any row"
                yield ("blank", place, text, what)


def _placeholders(book: TemplateBook, sheet: TemplateSheet, values: Mapping[str, Value], made: Plan) -> None:
    texts = [(cell.get("r"), book.text(cell)) for cell in sheet.cells.values()]
    printed = sheet.root.find(f"{MAIN}headerFooter")
    texts += [("heading or foot", one.text or "") for one in (printed if printed is not None else ())]
    for where, text in texts:
        for name in PLACEHOLDER.findall(text):
            _tell_gap(values.get(line_key(name)), f"{{{{{name}}}}}", f"{sheet.name}, {where}", made)


def _tell_gap(value: Value | None, name: str, place: str, made: Plan) -> None:
    if value is None:
        what = f"{name} ({place}) is no line of the summary: it was left as it is"
        made.misses.append(("cell", place, name, what))
    elif value.text in ("", NOT_STATED):
        what = f"{name} ({place}) is not stated in the survey file: the cell says so"
        made.misses.append(("blank", place, name, what))


def _named_cells(book: TemplateBook, values: Mapping[str, Value], wanted: Mapping[str, str], made: Plan) -> None:
    """Cells by their name in the workbook, and those that the survey file names."""
    names = {name: target for name, target in book.defined_names().items() if not name.startswith("_xlnm.")}
    by_plain = {plain(name): target for name, target in names.items()}
    for name, line in wanted.items():
        at = _one_cell(book, by_plain.get(plain(name), name))
        value = values.get(line_key(line))
        if at is None:
            what = f'cells: {name!r} is no cell such as "Form!B3" and no name of one in the template'
            made.misses.append(("name", "", name, what))
            continue
        _tell_gap(value, repr(line), name, made)
        if value is not None:
            made.cells[at] = value
    said = {plain(name) for name in wanted}
    for name, target in names.items():
        at, value = _one_cell(book, target), values.get(line_key(name))
        if at is None or value is None or plain(name) in said or at in made.cells:
            continue
        sheet = book.sheet(at[0])
        held = sheet.cells.get(at[1:]) if sheet is not None else None
        if held is None or not (book.text(held) or held.find(f"{MAIN}f") is not None):
            _tell_gap(value, name, target, made)
            made.cells[at] = value


def _one_cell(book: TemplateBook, target: str) -> tuple[str, int, int] | None:
    """Sheet, row and column that an address means; None if it is no single cell of a sheet that is there."""
    found = ONE_CELL.fullmatch(target.strip())
    if found is None:
        return None
    sheet = book.sheet((found[1] or found[2]).replace("''", "'"))
    return None if sheet is None else (sheet.name, *cell_at(f"{found[3]}{found[4]}"))
