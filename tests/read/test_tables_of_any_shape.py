"""Properties of finding tables: nothing filled is lost, and a table under random mess is read back as it was."""

from __future__ import annotations

import csv
import datetime as dt
import string
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.raw import CellRange, RawSheet, RowRole, column_number
from dwc_pipeline.read.raw_files import read_file
from dwc_pipeline.read.tables import SheetTables, find_tables

WORDS = ["", "", "", 5, 7.5, "PITU", "F3", dt.date(2031, 6, 4), "Total", "Species", "Date", "Trap", "Array: 3", True,
         "closed by the flood of June 5", "* note", "Page 2"]  # fmt: skip
cells = st.sampled_from(WORDS)
names = st.lists(st.sampled_from(["Date", "Array", "Trap", "Species", "SVL", "Mass", "Sex"]), min_size=2, unique=True)


@st.composite
def sheets(draw: st.DrawFn) -> RawSheet:
    """A few scraps of tables, titles and notes, at any place."""
    rows: list[list[object]] = []
    for _ in range(draw(st.integers(1, 4))):
        indent = [""] * draw(st.integers(0, 4))
        rows.append([*indent, *draw(st.lists(cells, max_size=6))])
        if draw(st.booleans()):
            header = draw(names)
            rows.append([*indent, *header, *(["", *header] if draw(st.booleans()) else [])])
            rows.extend(
                [*indent, *draw(st.lists(cells, max_size=len(header) + 2))] for _ in range(draw(st.integers(0, 5)))
            )
        rows.extend([] for _ in range(draw(st.integers(0, 3))))
    corner = st.integers(1, 6)
    merged = [CellRange(top, left, top + down, left + across) for top, left, down, across in draw(
        st.lists(st.tuples(corner, corner, st.integers(0, 2), st.integers(0, 3)), max_size=2))]  # fmt: skip
    return RawSheet("any.xlsx", "any", rows, merged=tuple(merged))  # type: ignore[arg-type]


def places_kept(found: SheetTables) -> set[tuple[int, int]]:
    """Cells of records and titles, and every cell of a row that one of the tables set aside."""
    kept: set[tuple[int, int]] = set()
    for table in found.tables:
        kept |= {(row, column_number(letter)) for row in table.text.index for letter in table.text.columns}
        kept |= {(row, column) for row in table.header_rows for column in range(1, 40)}
        for address in table.above:
            letters = address.rstrip(string.digits)
            kept.add((int(address[len(letters) :]), column_number(letters)))
        aside = table.roles[table.roles["role"].isin([RowRole.TOTAL, RowRole.NOTE, RowRole.REPEATED_HEADER])]
        kept |= {(row, column) for row in aside.index for column in range(1, 40)}
    outside = found.roles[found.roles["role"].isin([RowRole.NOTE, RowRole.OUTSIDE])]
    return kept | {(row, column) for row in outside.index for column in range(1, 40)}


@settings(max_examples=150, deadline=None)
@given(sheets())
def test_every_filled_cell_is_in_a_table_or_told_of(sheet):
    found = find_tables(sheet)
    filled = {(r, c) for r, row in enumerate(sheet.values, 1) for c, value in enumerate(row, 1) if str(value).strip()}
    assert {row for row, _ in filled} == set(found.roles.index)
    assert filled <= places_kept(found)


@settings(max_examples=80, deadline=None)
@given(sheets())
def test_no_cell_is_in_the_records_of_two_tables(sheet):
    seen: set[tuple[int, str]] = set()
    for table in find_tables(sheet).tables:
        own = {(row, letter) for row in table.text.index for letter in table.text.columns}
        assert not own & seen
        seen |= own


HEADER = ["Date", "Array", "Trap", "Species", "SVL mm", "Remarks"]
typed = st.tuples(
    st.dates(dt.date(2031, 1, 1), dt.date(2031, 12, 31)),
    st.sampled_from(["A1", "A2"]),
    st.sampled_from(["F1", "F2", "B1", "P3"]),
    st.sampled_from(["PITU", "Crotalus atrox", "sp. unknown", ""]),
    st.one_of(st.just(""), st.integers(20, 900).map(str), st.just("51?")),
    st.sampled_from(["", "escaped", "tail broken", " gravid\u00a0", "it wasn’t new"]),
)


@st.composite
def messes(draw: st.DrawFn) -> tuple[list[list[str]], list[int]]:
    """Rows of a sheet that holds one table, and the sheet rows of its records."""
    records = [[one[0].isoformat(), *one[1:]] for one in draw(st.lists(typed, min_size=5, max_size=12))]
    rows: list[list[str]] = [
        [title] for title in draw(st.lists(st.sampled_from(["Ranch 2031", "Observer: RT"]), max_size=2))
    ]
    rows += [[]] * draw(st.integers(0, 2)) + [HEADER]
    at: list[int] = []
    for record in records:
        extra = draw(st.integers(0, 9))
        if extra == 0:
            rows.append([])
        if extra == 1:
            rows.append(HEADER)
        rows.append(record)
        at.append(len(rows))
    if draw(st.booleans()):
        rows.append(["Total", "", "", "", str(len(records)), ""])
    if draw(st.booleans()):
        rows += [[], ["* rows in brackets were typed from memory"]]
    left = draw(st.integers(0, 3))
    return [[""] * left + row if row else [] for row in rows], at


def write(path: Path, rows: list[list[str]]) -> None:
    if path.suffix == ".csv":
        width = max(map(len, rows))
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([*row, *[""] * (width - len(row))] for row in rows)
        return
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows):
            for column, value in enumerate(row):
                sheet.write_string(number, column, value)


@pytest.mark.parametrize("ending", [".xlsx", ".csv"])
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(mess=messes())
def test_a_table_under_random_mess_is_read_back_as_it_was(tmp_path, ending, mess):
    rows, at = mess
    path = tmp_path / f"june{ending}"
    write(path, rows)
    (sheet,) = read_file(path, path.name)
    (table,) = find_tables(sheet).tables
    assert table.text.index.tolist() == at
    left = rows[at[0] - 1].index(next(filter(None, rows[at[0] - 1])))
    expected = [row[left:] for row in (rows[number - 1] for number in at)]
    assert table.headers == tuple(HEADER)
    assert table.text.to_numpy().tolist() == expected
