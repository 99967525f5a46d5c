"""Whole rows, columns and pairs of cells of a clean season broken as they break in the field: the right rule speaks.

Each break keeps to an array of its own, so that one season holds several of them.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from mutation_season import Row, Season, clean_season, write_season
from small_survey import TODAY

from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

#: breaks a season; gives sheet and line of the broken row
Break = Callable[[Season], tuple[str, int]]


def row_of(rows: list[Row], **wanted: str) -> int:
    """The first row whose cells begin with what is wanted."""
    return next(at for at, row in enumerate(rows) if all(row[name].startswith(text) for name, text in wanted.items()))


def swapped(array: str, one: str, other: str, **wanted: str) -> Break:
    """Two cells of a capture change places."""

    def break_it(season: Season) -> tuple[str, int]:
        at = row_of(season["captures"], Place=array, **wanted)
        row = season["captures"][at]
        row[one], row[other] = row[other], row[one]
        return "captures.csv", at + 2

    return break_it


def typed_over(array: str, column: str, make: Callable[[Row], str], **wanted: str) -> Break:
    """A cell of a capture says something else."""

    def break_it(season: Season) -> tuple[str, int]:
        at = row_of(season["captures"], Place=array, **wanted)
        row = season["captures"][at]
        row[column] = make(row)
        return "captures.csv", at + 2

    return break_it


def twice(sheet: str, **wanted: str) -> Break:
    """A row is typed a second time, right below."""

    def break_it(season: Season) -> tuple[str, int]:
        at = row_of(season[sheet], **wanted)
        season[sheet].insert(at + 1, dict(season[sheet][at]))
        return f"{sheet}.csv", at + 3

    return break_it


def copied_down(**wanted: str) -> Break:
    """A capture is copied to the row below, where its running number goes on by itself."""

    def break_it(season: Season) -> tuple[str, int]:
        rows = season["captures"]
        at = row_of(rows, **wanted)
        rows.insert(at + 1, {**rows[at], "No": str(len(rows) + 1)})
        return "captures.csv", at + 3

    return break_it


def gone(sheet: str, **wanted: str) -> Break:
    """A row of the log is forgotten; the row after it is where it shows."""

    def break_it(season: Season) -> tuple[str, int]:
        at = row_of(season[sheet], **wanted)
        place = season[sheet].pop(at)["Place"]
        return f"{sheet}.csv", next(
            n for n in range(at, len(season[sheet])) if season[sheet][n]["Place"] == place
        ) + 2

    return break_it


def died_first(array: str, **wanted: str) -> Break:
    """An animal dies at its first capture and is caught again later."""

    def break_it(season: Season) -> tuple[str, int]:
        rows = season["captures"]
        again = row_of(rows, Place=array, Status="recap", **wanted)
        rows[row_of(rows, Mark=rows[again]["Mark"])]["Fate"] = "died in trap"
        return "captures.csv", again + 2

    return break_it


def without_header(sheet: str, column: str) -> Break:
    """The header of a column is deleted, its cells stay."""

    def break_it(season: Season) -> tuple[str, int]:
        season[sheet] = [
            {"" if name == column else name: text for name, text in row.items()} for row in season[sheet]
        ]
        return f"{sheet}.csv", 1

    return break_it


def shifted(column: str) -> Break:
    """All cells of a column stand one row too low."""

    def break_it(season: Season) -> tuple[str, int]:
        rows = season["captures"]
        cells = [row[column] for row in rows]
        for row, text in zip(rows, [cells[-1], *cells[:-1]], strict=True):
            row[column] = text
        return "captures.csv", 0

    return break_it


LIZARD, SNAKE, RATTLESNAKE, FROG = "Sceloporus", "Thamnophis", "Crotalus", "Spea"
NO_CHECK = "capture-on-a-day-without-a-check"
#: season by season: break, the rule that must speak on the row, further rules that may, there or on the log
SEASONS: dict[str, list[tuple[Break, str, tuple[str, ...]]]] = {
    "cells of one row": [
        (swapped("A1", "SVL", "Tail", Species=LIZARD), "mass-does-not-fit-the-length", ("tail-as-long-as-the-body",)),
        (swapped("A2", "Sex", "Age", Species=LIZARD), "word-not-in-list", ()),
        (typed_over("A3", "SVL", lambda row: row["Mass"], Species=LIZARD), "shorter-than-any-hatchling",
         ("mass-does-not-fit-the-length", "size-does-not-fit-the-stage", "total-differs-from-svl-and-tail")),
        (typed_over("A4", "SVL", lambda row: row["Mass"], Species=SNAKE), "size-does-not-fit-the-stage",
         ("mass-does-not-fit-the-length", "tail-as-long-as-the-body", "total-differs-from-svl-and-tail")),
        (typed_over("A5", "Mark", lambda row: row["Mark"].replace("0", "O", 1), Species=SNAKE, Mark="9"),
         "tag-impossible", ()),
        (typed_over("A6", "Species", lambda row: "Aspidoscelis sexlineata", Species=LIZARD, Status="recap"),
         "recapture-without-a-first-capture", ("mark-on-two-species",)),
    ],
    "rows": [
        (typed_over("A1", "Date", lambda row: "2023-06-30", Date="2023-07"), NO_CHECK, ("captures-typed-differ",)),
        (twice("captures", Place="A2", Date="2023-07"), "row-typed-twice", ("captures-typed-differ",)),
        (typed_over("A3", "Mark", lambda row: row["Mark"] + "  ", Status="recap"), "", ()),
        (typed_over("A5", "SVL", lambda row: "'" + row["SVL"], Date="2023-07"), "", ()),
        (typed_over("A4", "Species", lambda row: "\u00a0" + row["Species"] + " ", Status="recap"), "", ()),
        (died_first("A6", Date="2023-07"), "capture-after-death", ("death-without-a-cause",)),
        (twice("log", Place="A5", What="checked", Date="2023-05"), "one-check-written-twice", ()),
    ],
    "a row copied down": [
        (copied_down(Place="A2", Mark="", Species=FROG), "row-typed-twice-under-another-number",
         ("captures-typed-differ",)),
    ],
    "a check forgotten": [
        (gone("log", Place="A3", What="checked", Date="2023-06-15"), "check-interval-over-the-limit", (NO_CHECK,)),
    ],
    "a header deleted": [(without_header("captures", "SVL"), "mapped-column-missing", ())],
    "another header deleted": [(without_header("log", "State"), "mapped-column-missing", ())],
    "names one row too low": [(shifted("Species"), "far-longer-than-the-record", ("*",))],
    "masses one row too low": [(shifted("Mass"), "mass-does-not-fit-the-length", ("*",))],
}  # fmt: skip


@pytest.mark.parametrize("name", SEASONS)
def test_the_right_rule_speaks_of_what_a_stranger_breaks(tmp_path: Path, name: str) -> None:
    season = clean_season()
    # A row that is put in moves those below: the breaks are listed in the order of their rows.
    broken = [(break_it(season), expects, also) for break_it, expects, also in SEASONS[name]]
    found = prepare(read_survey_file(write_season(tmp_path, season)), TODAY, to_write=False).findings
    found = found[found["severity"] != "note"]
    spoken = {place: set(rules) for place, rules in found.groupby(["file", "row"])["rule"]}
    may = {rule for _, expects, also in broken for rule in (expects, *also)}
    for place, expects, also in broken:
        own = spoken.get(place, set()) if place[1] else set(found["rule"])
        assert not expects or expects in own, (place, expects, own)
        assert "*" in may or own <= {expects, *also}, (place, own)
    elsewhere = set(found["rule"])
    assert "*" in may or elsewhere <= may, elsewhere - may
