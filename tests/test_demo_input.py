"""The demo season is what its README says: made again byte by byte, every planted fault in its cell."""

from __future__ import annotations

import csv
import datetime as dt
import shutil
import subprocess
import sys
from collections import Counter, defaultdict
from functools import cache
from pathlib import Path

import openpyxl
import pytest

from dwc_pipeline.settings import read_survey_file

DEMO = Path(__file__).resolve().parents[1] / "demo_input"
ENCODINGS = {"road_runs.csv": ("cp1252", ";"), "road_finds.csv": ("cp1252", ",")}


@pytest.fixture(scope="module")
def faults() -> list[dict[str, str]]:
    """The planted faults as listed."""
    with (DEMO / "planted_faults.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def log() -> list[dict[str, object]]:
    """The rows of the trap log, without the total."""
    rows = list(openpyxl.load_workbook(DEMO / "raw" / "trap_log.xlsx")["Log"].iter_rows(min_row=3, values_only=True))
    return [dict(zip(map(str, rows[0]), row, strict=True)) for row in rows[1:] if row[0] != "TOTAL"]


@cache
def workbook(path: Path) -> openpyxl.Workbook:
    """A workbook, read once."""
    return openpyxl.load_workbook(path, data_only=True)


def typed_in(fault: dict[str, str]) -> str:
    """What the cell of a fault holds, as text."""
    path, place = DEMO / fault["file"], fault["cell"]
    if path.suffix == ".csv":
        encoding, delimiter = ENCODINGS.get(path.name, ("utf-8-sig", ","))
        rows = list(csv.reader(path.read_text(encoding=encoding).splitlines(), delimiter=delimiter))
        return rows[int(place[1:]) - 1][ord(place[0]) - 65]
    value = workbook(path)[fault["sheet"]][place].value
    return "" if value is None else str(value)


def test_the_script_makes_the_same_bytes_again(tmp_path: Path) -> None:
    demo = tmp_path / "demo_input"
    shutil.copytree(DEMO, demo, ignore=shutil.ignore_patterns("raw", "out", "__pycache__"))
    subprocess.run([sys.executable, demo / "make_demo.py"], check=True)
    for path in (*sorted((DEMO / "raw").iterdir()), DEMO / "planted_faults.csv", DEMO / "README.md"):
        assert (demo / path.relative_to(DEMO)).read_bytes() == path.read_bytes(), path.name


def test_the_survey_file_can_be_read_and_names_files_that_exist() -> None:
    settings = read_survey_file(DEMO / "survey.toml")
    named = {file for table in settings.table for file in table.files}
    assert named | {settings.files.boundary} == {f"raw/{path.name}" for path in (DEMO / "raw").iterdir()}


def test_at_least_forty_faults_of_twenty_five_kinds_are_planted(faults: list[dict[str, str]]) -> None:
    assert len(faults) >= 40
    assert len({fault["kind"] for fault in faults}) >= 25
    assert {fault["must"] for fault in faults} == {"recover", "ask", "catch", "keep", "set aside"}


def test_every_planted_fault_stands_in_the_cell_that_is_listed(faults: list[dict[str, str]]) -> None:
    single = [fault for fault in faults if ":" not in fault["cell"] and not fault["cell"].startswith("wpt")]
    assert len(single) > 70
    assert [fault["id"] for fault in single if typed_in(fault) != fault["typed"]] == []


def test_no_cell_carries_two_planted_faults(faults: list[dict[str, str]]) -> None:
    places = Counter((fault["file"], fault["sheet"], fault["cell"]) for fault in faults if ":" not in fault["cell"])
    assert [place for place, times in places.items() if times > 1] == []


def test_the_log_gives_the_effort_that_is_listed(log: list[dict[str, object]]) -> None:
    """Trap-nights counted a second time, from the sheet: midnights x traps, half for traps found out of order."""
    counted: dict[tuple[str, dt.datetime], float] = defaultdict(float)
    checks: Counter[tuple[str, dt.datetime]] = Counter()
    since: dict[str, dt.datetime] = {}
    opened: dict[str, dt.datetime] = {}
    for row in sorted((row for row in log if not row["Trap"]), key=when):
        array = str(row["Array"])
        if row["Done"] == "opened":
            opened[array] = since[array] = when(row)
            continue
        if array not in opened:
            continue  # the planted check before an opening
        nights = (when(row).date() - since[array].date()).days
        counted[array, opened[array]] += nights * effective_traps(str(row["Trap problems"] or ""))
        checks[array, opened[array]] += 1
        since[array] = when(row)
        if "closed" in str(row["Done"]):
            del opened[array]
    with (DEMO / "expected_effort.csv").open(encoding="utf-8", newline="") as file:
        listed = [row for row in csv.DictReader(file) if not row["note"]]
    assert len(listed) > 30
    for row in listed:
        key = row["array"], dt.datetime.fromisoformat(row["opened"])
        assert (counted[key], checks[key]) == (float(row["trap_nights"]), int(row["checks"])), key


def when(row: dict[str, object]) -> dt.datetime:
    """Date and time of a row of the log."""
    date, time = row["Date"], row["Time"]
    assert isinstance(date, dt.datetime)
    assert isinstance(time, dt.time)
    return dt.datetime.combine(date.date(), time)


def effective_traps(words: str) -> float:
    """Traps that could catch, from the words of the log."""
    total = 12.0
    for part in filter(None, words.split(", ")):
        if part.startswith("raccoon") or "in water" in part:
            continue
        label, state = part.split(" ", 1)
        first, _, last = label.partition("-")
        traps = 1 + (int(last[1:]) - int(first[1:]) if last else 0)
        total -= traps * (1 if state == "closed" else 0.5)
    return total
