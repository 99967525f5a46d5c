"""Seconds to read a workbook of 100,000 rows and 20 columns: values alone, and with all that formatting says.

Run: python benchmarks/read_workbook.py [rows]. Prints medians of three runs in the same process and their ratio;
the aim is a ratio of at most 2.5.
"""

from __future__ import annotations

import datetime as dt
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import python_calamine as calamine
import xlsxwriter

from dwc_pipeline.read.tables import TableOptions, find_tables
from dwc_pipeline.read.workbook import read_workbook

COLUMNS = 20


def make_workbook(path: Path, rows: int) -> None:
    """A season's sheet: text, whole numbers, decimals, dates shown as 6/14/31, times, some struck and coloured."""
    with xlsxwriter.Workbook(path, {"constant_memory": True}) as workbook:
        sheet = workbook.add_worksheet("captures")
        day, clock = workbook.add_format({"num_format": "m/d/yy"}), workbook.add_format({"num_format": "h:mm"})
        struck = workbook.add_format({"font_strikeout": True})
        grey = workbook.add_format({"bg_color": "#C0C0C0"})
        sheet.write_row(0, 0, [f"column {number}" for number in range(1, COLUMNS + 1)])
        for row in range(1, rows + 1):
            look = struck if row % 997 == 0 else grey if row % 499 == 0 else None
            for column in range(COLUMNS):
                if column % 5 == 0:
                    sheet.write_string(row, column, f"word {row % 300}", look)
                elif column in (1, 11):
                    sheet.write_datetime(row, column, dt.date(2031, 3, 1) + dt.timedelta(days=row % 200), day)
                elif column == 2:
                    sheet.write_datetime(row, column, dt.time(row % 24, row % 60), clock)
                else:
                    sheet.write_number(row, column, (row % 977) / 4, look)


def seconds(work: Callable[[], object]) -> float:
    """Median of three runs. [s]"""
    taken = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def values_alone(path: Path) -> list[list[object]]:
    """What the fastest reader of values gives, without any mark."""
    with calamine.CalamineWorkbook.from_path(path) as workbook:
        return workbook.get_sheet_by_index(0).to_python(skip_empty_area=False)


def main(rows: int) -> None:
    """Make the workbook, read it in each way and print the seconds."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.xlsx"
        make_workbook(path, rows)
        alone = seconds(lambda: values_alone(path))
        whole = seconds(lambda: read_workbook(path, path.name))
        sheet = read_workbook(path, path.name)[0]
        tables = seconds(lambda: find_tables(sheet, TableOptions()))
        print(f"{rows:,} x {COLUMNS} cells, {path.stat().st_size / 1e6:.1f} MB, {len(sheet.shown):,} shown texts")
        print(f"values alone            {alone:6.2f} s")
        print(f"values and all marks    {whole:6.2f} s   ratio {whole / alone:.2f} (aim: at most 2.5)")
        print(f"tables found on it      {tables:6.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
