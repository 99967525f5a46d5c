"""Writes the workbooks, and notes in which cell every field went."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import xlsxwriter

from make.places import RANCH, SITE_COLUMNS
from make.rows import Planter, Row
from make.typing import KM_COLUMNS, LOG_COLUMNS, RT_COLUMNS

#: Every workbook carries this date, so that making it again gives the same bytes.
MADE_ON = dt.datetime(2025, 10, 6, 9, 0)  # noqa: DTZ001 - a workbook has no time zone


class Book:
    """One workbook being written; formats are shared."""

    def __init__(self, folder: Path, name: str, author: str, planter: Planter) -> None:
        self.name, self.planter = f"raw/{name}", planter
        self.book = xlsxwriter.Workbook(str(folder / name), {"default_date_format": "m/d/yyyy"})
        self.book.set_properties({"author": author, "created": MADE_ON})
        self._formats: dict[tuple[tuple[str, Any], ...], Any] = {}

    def format(self, **look: Any) -> Any:
        """A cell format, made once."""
        key = tuple(sorted(look.items()))
        return self._formats.setdefault(key, self.book.add_format(look)) if look else None

    def sheet(self, name: str, rows: list[Row], columns: tuple[str, ...], top: int, date_format: str) -> Any:
        """A sheet whose data begin in row `top`, counted from 0."""
        page = self.book.add_worksheet(name)
        for number, row in enumerate(rows, start=top):
            look: dict[str, Any] = {"bg_color": f"#{row.fill}"} if row.fill else {}
            if row.struck:
                look["font_strikeout"] = True
            if row.kind in ("header", "total"):
                look["bold"] = True
            for at, column in enumerate(columns):
                self._cell(page, number, at, row.cells.get(column, ""), look, date_format)
                self.planter.written(row, column, self.name, name, cell_name(number, at))
                if column in row.comments:
                    page.write_comment(number, at, row.comments[column], {"author": "KM"})
            last = cell_name(number, len(columns) - 1)
            self.planter.written(row, "*", self.name, name, f"A{number + 1}:{last}")
        return page

    def _cell(self, page: Any, row: int, column: int, value: Any, look: dict[str, Any], date_format: str) -> None:
        if isinstance(value, dt.datetime):
            shown = "d-mmm" if value.year == 2009 else date_format
            page.write_datetime(row, column, value, self.format(num_format=shown, **look))
        elif isinstance(value, dt.time):
            page.write_datetime(row, column, value, self.format(num_format="h:mm", **look))
        elif value == "#REF!":
            page.write_formula(row, column, "=#REF!*1", self.format(**look), value="#REF!")
        elif value != "":
            page.write(row, column, value, self.format(**look)) if not isinstance(value, str) else page.write_string(
                row, column, value, self.format(**look)
            )
        elif look:
            page.write_blank(row, column, None, self.format(**look))


def cell_name(row: int, column: int) -> str:
    """The name of a cell, row and column counted from 0."""
    return f"{chr(65 + column)}{row + 1}"


def write_km_book(
    folder: Path, spring: list[Row], late: list[Row], codes: list[tuple[str, str]], planter: Planter
) -> None:
    """captures_KM.xlsx: two sheets with a two-row header, totals at the foot and a hidden column; the code list."""
    book = Book(folder, "captures_KM.xlsx", "K. Medlock", planter)
    for name, rows in (("May-June", spring), ("July-Sept", late)):
        page = book.sheet(name, rows, KM_COLUMNS, 4, "m/d/yyyy")
        page.write("A1", f"{RANCH} - drift fence captures 2025 - K. Medlock", book.format(bold=True, font_size=14))
        page.write("A2", "Arrays A1 to A4. Dates m/d/yyyy. A row marked yellow: tail tip taken for tissue.")
        bold = book.format(bold=True, align="center", bottom=1)
        page.merge_range(2, 10, 2, 12, "Measurements", bold)
        page.merge_range(2, 13, 2, 14, "Mark", bold)
        page.write_row(3, 0, KM_COLUMNS, book.format(bold=True, bottom=1))
        page.set_column("J:J", None, None, {"hidden": True})
        page.set_column("N:N", 18)
        page.set_column("R:R", 30)
        page.freeze_panes(4, 0)
        planter.plant_at(
            "two-row-header",
            (book.name, name, "A3:R4"),
            "Measurements over SVL mm, Tail mm, Mass g",
            "recover",
            "one header from two rows with merged cells",
        )
        planter.plant_at(
            "hidden-column", (book.name, name, "J4"), "Page", "catch", "a hidden column that feeds no field"
        )
    page = book.book.add_worksheet("Codes")
    page.write_row(0, 0, ("Code", "Means"), book.format(bold=True))
    for number, pair in enumerate(codes, start=1):
        page.write_row(number, 0, pair)
    book.book.close()


RT_TITLES = {"A5": "Array A5", "A6": "Array A 6", "A7": "Array A07 (the Draw)", "A8": "Array A8, south pasture"}


def write_rt_book(folder: Path, rows: dict[str, list[Row]], planter: Planter) -> None:
    """captures_RT.xlsx: a sheet for each array, named above the table, with merged date cells."""
    book = Book(folder, "captures_RT.xlsx", "R. Tennick", planter)
    for name, title in RT_TITLES.items():
        columns = tuple("Wt oz" if column == "Wt g" and name == "A7" else column for column in RT_COLUMNS)
        for row in rows[name]:
            row.cells["Wt oz"] = row.cells["Wt g"]
        page = book.sheet(name, rows[name], columns, 4, "d/m/yyyy")
        for row in rows[name]:
            file, sheet, cell = planter.places[(id(row), columns[9])]
            planter.written(row, "Wt g", file, sheet, cell)
        page.write("A1", "R. Tennick - drift fence captures, season 2025", book.format(bold=True))
        page.write("A2", title, book.format(bold=True))
        page.write_row(3, 0, columns, book.format(bold=True, bottom=1))
        page.set_column("A:A", 11)
        page.set_column("D:D", 27)
        page.set_column("K:K", 18)
        _merge_dates(book, page, rows[name], name, planter)
        if name != "A5" and name != "A8":
            planter.plant_at("place-spelling", (book.name, name, "A2"), title, "recover", name)
    book.book.close()


def _merge_dates(book: Book, page: Any, rows: list[Row], name: str, planter: Planter) -> None:
    """Join the date cells of rows with one date, as the observer does; the widest block is listed."""
    blocks: list[tuple[int, int]] = []
    start = 0
    for number in range(1, len(rows) + 1):
        if number == len(rows) or rows[number].cells["Date"] != rows[start].cells["Date"]:
            if number - start > 1:
                blocks.append((start, number - 1))
            start = number
    for first, last in blocks:
        page.merge_range(first + 4, 0, last + 4, 0, rows[first].cells["Date"], book.format(valign="top"))
    first, last = max(blocks, key=lambda block: block[1] - block[0])
    planter.plant_at(
        "merged-date-cells",
        (book.name, name, f"A{first + 5}:A{last + 5}"),
        str(rows[first].cells["Date"]),
        "recover",
        f"the date holds for all {last - first + 1} rows",
    )


def write_log_book(folder: Path, rows: list[Row], planter: Planter) -> None:
    """trap_log.xlsx: one row for each opening, check and closing."""
    book = Book(folder, "trap_log.xlsx", "K. Medlock", planter)
    page = book.sheet("Log", rows, LOG_COLUMNS, 3, "m/d/yyyy")
    page.write("A1", f"{RANCH} - trap log 2025", book.format(bold=True, font_size=14))
    page.write(
        "A2",
        "12 traps an array: B1, F1-F8, P1-P3. Date and time are those of the visit. Temp in F, rain in inches "
        "since the last visit, Max F since the last visit. TN = trap-nights counted by hand.",
    )
    page.write_row(2, 0, LOG_COLUMNS, book.format(bold=True, bottom=1))
    page.set_column("A:A", 11)
    page.set_column("G:G", 22)
    page.freeze_panes(3, 0)
    book.book.close()


def write_site_book(folder: Path, rows: list[Row], planter: Planter) -> None:
    """sites.xlsx: the site list, positions in four notations."""
    book = Book(folder, "sites.xlsx", "K. Medlock", planter)
    page = book.sheet("Sites", rows, SITE_COLUMNS, 2, "m/d/yyyy")
    page.write("A1", f"{RANCH}: arrays, search sites and road route. UTM in metres.", book.format(bold=True))
    page.write_row(1, 0, SITE_COLUMNS, book.format(bold=True, bottom=1))
    page.set_column("C:D", 26)
    page.set_column("I:K", 17)
    book.book.close()
