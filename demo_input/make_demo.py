"""Makes the demo season again: python make_demo.py. Everything in it is invented.

Writes raw/, planted_faults.csv, expected_effort.csv and the table at the foot of README.md. Needs xlsxwriter and the
standard library; the same seed gives the same bytes.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

from make.animals import KINDS
from make.books import write_km_book, write_log_book, write_rt_book, write_site_book
from make.faults_elsewhere import plant_in_log, plant_in_short_tables, plant_in_sites
from make.faults_in_km import EMPTY_VISITS, plant_in_km
from make.faults_in_rt import copy_from_other_observer, plant_in_rt
from make.listing import write_effort, write_faults
from make.other_finds import incidental_table, road_tables, search_tables
from make.places import site_rows
from make.rows import Planter, Row
from make.season import TWO_CREWS, Capture, Visit, catch_animals, make_visits
from make.text_files import TABLES, write_boundary, write_table, write_waypoints
from make.typing import km_row, log_rows, rt_row

SEED = 20250506
HERE = Path(__file__).resolve().parent


def make(folder: Path) -> None:
    """Write the whole demo input below `folder`."""
    # Each part has its own numbers, so that a change in one leaves the others as they are.
    random, typing, logging, roads = (Random(SEED + part) for part in range(4))
    planter = Planter()
    raw = folder / "raw"
    raw.mkdir(parents=True, exist_ok=True)
    visits = make_visits(random)
    captures = catch_animals(visits, random)
    _capture_books(raw, visits, captures, typing, planter)
    rows = log_rows(visits, logging)
    plant_in_log(rows, planter)
    total = Row({"Date": "TOTAL", "Caught": _sum(rows, "Caught"), "TN": _sum(rows, "TN")}, kind="total")
    rows.append(
        planter.plant("total-row", total, "*", f"TOTAL, {total.cells['TN']:g} trap-nights", "set aside", "a total")
    )
    write_log_book(raw, rows, planter)
    _other_files(raw, roads, planter)
    write_faults(folder, planter.located())
    write_effort(folder, visits)


def _capture_books(raw: Path, visits: list[Visit], captures: list[Capture], random: Random, planter: Planter) -> None:
    mine = [capture for capture in captures if TWO_CREWS[capture.visit.array] == "KM"]
    km_rows = [km_row(number, capture, random) for number, capture in enumerate(mine, start=1)]
    rt_rows: dict[str, list[Row]] = {array: [] for array, crew in TWO_CREWS.items() if crew == "RT"}
    for capture in captures:
        if capture.visit.array in rt_rows:
            rt_rows[capture.visit.array].append(rt_row(capture, random))
    drowned = next(
        row
        for row in km_rows
        if row.truth.kind and row.truth.visit.words.endswith("flooded") and row.truth.kind.group == "anuran"
    )
    drowned.cells.update(
        {"Trap": drowned.truth.visit.found_out[0], "Fate": "died in trap", "Remarks": "drowned, pit flooded"}
    )
    EMPTY_VISITS.update(
        {
            number: [
                visit for visit in visits if visit.session == number and not visit.captures and visit.array <= "A4"
            ][4:]
            for number in (1, 3)
        }
    )
    planter.taken.add(id(drowned))
    plant_in_km(km_rows, planter)
    copy_from_other_observer(km_rows, rt_rows["A5"], planter)
    plant_in_rt(rt_rows, planter)
    late = next(n for n, row in enumerate(km_rows) if row.truth and row.truth.visit.session == 4)
    spring, autumn = km_rows[:late], km_rows[late:]
    for rows, wrong in ((spring, 3), (autumn, 0)):
        animals = _sum(rows, "n")
        total = Row({"No": "Total", "n": animals + wrong}, kind="total")
        rows.append(total)
        planter.plant("total-row", total, "*", f"Total {animals + wrong}", "set aside", "a total at the foot")
        if wrong:
            planter.plant(
                "total-differs", total, "n", animals + wrong, "catch", f"the rows above add up to {animals}"
            )
    codes = [(kind.code, kind.name) for kind in KINDS if len(kind.code) == 4]
    write_km_book(raw, spring, autumn, codes, planter)
    write_rt_book(raw, rt_rows, planter)


def _other_files(raw: Path, random: Random, planter: Planter) -> None:
    runs, finds = road_tables(random)
    searches, search_finds = search_tables()
    tables = dict(zip(TABLES, (runs, finds, searches, search_finds, incidental_table()), strict=True))
    plant_in_short_tables(tables, planter)
    sites = {str(cells["Site"]): Row(cells) for cells in site_rows()}
    plant_in_sites(sites, planter)
    write_site_book(raw, list(sites.values()), planter)
    for name, rows in tables.items():
        write_table(raw, name, rows, planter)
    write_waypoints(raw, planter)
    write_boundary(raw)


def _sum(rows: list[Row], column: str) -> float:
    cells = [row.cells.get(column) for row in rows]
    return sum(cell for cell in cells if isinstance(cell, int | float))


if __name__ == "__main__":
    make(HERE)
