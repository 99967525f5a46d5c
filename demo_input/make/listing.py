"""Writes the lists that tests and readers use: the planted faults and the true effort."""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

from make.rows import Fault
from make.season import Visit

FAULT_COLUMNS = ("id", "kind", "file", "sheet", "cell", "typed", "must", "expected")
MARK = "<!-- the table below is written by make_demo.py -->"


def write_faults(folder: Path, faults: list[Fault]) -> None:
    """planted_faults.csv, and the same table in README.md below its mark."""
    lines = [
        (f"D{number:02d}", fault.kind, *fault.place, fault.typed, fault.must, fault.expected)
        for number, fault in enumerate(faults, start=1)
    ]
    with (folder / "planted_faults.csv").open("w", encoding="utf-8", newline="") as listing:
        writer = csv.writer(listing, lineterminator="\n")
        writer.writerow(FAULT_COLUMNS)
        writer.writerows(lines)
    readme = folder / "README.md"
    head = readme.read_text(encoding="utf-8").split(MARK)[0]
    table = ["| id | kind | place | typed | must | what must come of it |", "|---|---|---|---|---|---|"]
    for number, kind, file, sheet, cell, typed, must, expected in lines:
        place = ", ".join(filter(None, (file.removeprefix("raw/"), sheet, cell)))
        shown = typed.replace("|", "\\|").strip()
        table.append(f"| {number} | {kind} | {place} | {shown} | {must} | {expected} |")
    readme.write_text(head + MARK + "\n\n" + "\n".join(table) + "\n", encoding="utf-8", newline="\n")


def write_effort(folder: Path, visits: list[Visit]) -> None:
    """expected_effort.csv: what was truly done by array and session; trap-nights by midnights."""
    sessions: dict[tuple[str, int], list[Visit]] = defaultdict(list)
    for visit in visits:
        sessions[(visit.array, visit.session)].append(visit)
    with (folder / "expected_effort.csv").open("w", encoding="utf-8", newline="") as listing:
        writer = csv.writer(listing, lineterminator="\n")
        writer.writerow(("array", "session", "opened", "closed", "checks", "trap_nights", "trap_hours", "note"))
        for (array, session), made in sorted(sessions.items()):
            nights = sum(visit.nights * visit.effective_traps for visit in made)
            hours = sum(visit.hours * visit.effective_traps for visit in made)
            opened, closed = made[0].since.isoformat(timespec="minutes"), made[-1].at.isoformat(timespec="minutes")
            note = NOTES.get((array, session), "")
            writer.writerow((array, session, opened, closed, len(made), f"{nights:g}", f"{hours:.4f}", note))


NOTES = {
    ("A5", 2): "the log has the opening one day late; effort of the first check is not known from the log",
    ("A2", 2): "the log lacks one of the checks; the effort of the session is the same",
    ("A2", 4): "the log lacks the closing; last check taken as the end",
    ("A5", 4): "a state word of P2 on 19 July waits for an answer; counted here as open",
}
