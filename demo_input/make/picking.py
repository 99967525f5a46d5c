"""Choosing records for planted faults: which rows are fit for which fault."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

from make.rows import Planter, Row

Wanted = Callable[[Row], bool]


def of(group: str = "", session: int = 0, name: str = "", marked: bool | None = None, array: str = "") -> Wanted:
    """Rows of target animals of a group, session or species, met once only, without by-catch."""

    def wanted(row: Row) -> bool:
        capture = row.truth
        return bool(
            capture
            and capture.kind
            and (not group or capture.kind.group == group)
            and (not session or capture.visit.session == session)
            and (not name or capture.name == name)
            and (not array or capture.visit.array == array)
            and (marked is None or bool(capture.mark) == marked)
            and (not capture.animal or len(capture.animal.visits) == 1)
        )

    return wanted


def has_two_readings(row: Row) -> bool:
    """Whether the date, typed in numbers, would be another day of the season if day and month were exchanged."""
    at = row.truth.visit.at
    return bool(5 <= at.day <= 9 and at.day != at.month)


def met_again(rows: list[Row], planter: Planter, group: str = "") -> tuple[Row, Row]:
    """The first two rows of an animal with two captures or more, both not yet taken."""
    by_mark: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        if row.kind == "data" and row.truth and row.truth.mark and (not group or row.truth.kind.group == group):
            by_mark[row.truth.mark].append(row)
    first, second = next(
        found[:2]
        for found in by_mark.values()
        if len(found) == 2 and found[0].truth.adult and not any(id(row) in planter.taken for row in found)
    )
    planter.taken.update((id(first), id(second)))
    return first, second
