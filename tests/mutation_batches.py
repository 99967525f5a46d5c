"""Puts breaks into clean seasons: each into a row of its own, and no two where they could touch each other."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from mutation_season import ARRAYS, FIRST_DAYS, SPECIES, Row, Season, clean_season
from mutations import Mutation

LIZARDS, SNAKES, FROGS = (
    (SPECIES[0][0], SPECIES[3][0]),
    (SPECIES[1][0], SPECIES[4][0]),
    (SPECIES[2][0], SPECIES[5][0]),
)
#: at most so many breaks of a sheet in one season
MOST = {"captures": 18, "log": 6, "sites": 4, "runs": 3, "road_finds": 4, "searches": 3, "search_finds": 2}


@dataclass
class Placed:
    """A break in its row. line: number of the row on the sheet."""

    mutation: Mutation
    line: int


@dataclass
class Batch:
    """One season with its breaks."""

    season: Season = field(default_factory=clean_season)
    placed: list[Placed] = field(default_factory=list)
    #: rows, checks, stays of an array, runs and marks in which something is broken already
    taken: set[object] = field(default_factory=set)

    def takes(self, mutation: Mutation) -> bool:
        """Break a row of this season, if there is one that no other break touches."""
        sheet = mutation.sheet
        if sum(one.mutation.sheet == sheet for one in self.placed) >= MOST[sheet]:
            return False
        for at, row in enumerate(self.season[sheet]):
            if ("row", sheet, at) in self.taken or not self._fits(mutation, row):
                continue
            needed, spoilt = reach(sheet, row)
            typed = mutation.typed.format_map(
                Parts(row, mutation.column, self.season[sheet], self._trap_used(sheet, row))
            )
            if self.taken & needed or typed == row[mutation.column]:
                continue
            self.taken |= spoilt | {("row", sheet, at)}
            row[mutation.column] = typed
            self.placed.append(Placed(mutation, at + 2))
            return True
        return False

    def _trap_used(self, sheet: str, row: Row) -> str | None:
        """A trap in which the check of a log row found something."""
        if sheet != "log":
            return None
        found = (
            one["Trap"]
            for one in self.season["captures"]
            if (one["Place"], one["Date"]) == (row["Place"], row["Date"])
        )
        return next(found, None)

    def _fits(self, mutation: Mutation, row: Row) -> bool:
        words = words_of(mutation)
        if mutation.sheet == "captures" and "recapture" not in words:
            words = (*words, "alone")
        return all(WANTED[word](row, self.season) for word in words)


def reach(sheet: str, row: Row) -> tuple[set[object], set[object]]:
    """What must be whole where the row is broken, and what is broken with it."""
    if sheet == "captures":
        stay = (row["Place"], session(row))
        own: set[object] = {("check", row["Place"], row["Date"]), ("mark", row["Mark"] or id(row))}
        return own | {("log", *stay)}, own | {("capture", *stay)}
    if sheet == "log":
        stay = (row["Place"], session(row))
        return {("log", *stay), ("capture", *stay)}, {("log", *stay)}
    if sheet == "sites":
        stays = [(row["Place"], number) for number in range(len(FIRST_DAYS))]
        return {(kind, *stay) for kind in ("log", "capture") for stay in stays}, {("log", *stay) for stay in stays}
    key: set[object] = {("run", row.get("Run") or row.get("Search"))}
    return key, key


def session(row: Row) -> int:
    """Which of the three times that the arrays were open a row belongs to."""
    return sum(row["Date"] >= first.isoformat() for first in FIRST_DAYS) - 1


class Parts(dict[str, str]):
    """What a break may name of the row that it breaks."""

    def __init__(self, row: Row, column: str, rows: Sequence[Row], trap: str | None = None) -> None:
        value = row[column]
        super().__init__(v=value)
        if column == "Date" and value:
            day = dt.date.fromisoformat(value)
            self |= {"y": f"{day.year}", "m": f"{day.month}", "d": f"{day.day}", "mm": f"{day.month:02d}",
                     "dd": f"{day.day:02d}", "mon": f"{day:%B}"}  # fmt: skip
        if column == "Time":
            self["minute"] = value.split(":")[-1]
        if column == "Place" and value[:1] == "A":
            self["n"] = value[1:]
        if value.replace(".", "").isdigit():
            number = float(value)
            self |= {name: f"{number * factor:.10g}" for name, factor in FACTORS.items()}
            self |= {"cm": f"{number / 10:g}", "plus50": f"{number + 50:g}", "comma": value.replace(".", ",")}
            self |= {name: f"{round(number * factor)}" for name, factor in ROUNDED.items()}
        if column == "Mark":
            self["oh"] = value.replace("0", "O", 1)
            earlier = (one for one in rows if one["Species"] == SPECIES[4][0] and one["Date"] < row["Date"])
            self["othermark"] = next((one["Mark"] for one in earlier), value)
        self["usedtrap"] = trap or ""


FACTORS = {"x10": 10, "x100": 100, "tenth": 0.1, "half": 0.5, "double": 2}
ROUNDED = {"less20": 0.8, "less7": 0.93, "more30": 1.3}


def is_alone(row: Row, season: Season) -> bool:
    """An animal that was met only once."""
    return bool(row["Mark"] == "" or sum(one["Mark"] == row["Mark"] for one in season["captures"]) == 1)


WANTED: dict[str, Callable[[Row, Season], bool]] = {
    "lizard": lambda row, _: row["Species"] in LIZARDS,
    "snake": lambda row, _: row["Species"] in SNAKES,
    "frog": lambda row, _: row["Species"] in FROGS,
    "tailed": lambda row, _: row["Tail"] != "",
    "rattlesnake": lambda row, _: row["Species"] == SPECIES[4][0],
    "SCCO": lambda row, _: row["Species"] == SPECIES[0][0],
    "ASSE": lambda row, _: row["Species"] == SPECIES[3][0],
    "THRA": lambda row, _: row["Species"] == SPECIES[1][0],
    "new": lambda row, _: row["Status"] != "recap",
    "marked": lambda row, _: row["Mark"] != "",
    "recapture": lambda row, _: row["Status"] == "recap",
    "alone": is_alone,
    "male": lambda row, _: row["Sex"] == "M",
    "female": lambda row, _: row["Sex"] == "F",
    "decimal": lambda row, _: "." in row["Mass"],
    "mass": lambda row, _: row["Mass"] != "",
    "day": lambda row, _: dt.date.fromisoformat(row["Date"]).day > 12,
    "no": lambda row, _: dt.date.fromisoformat(row["Date"]).weekday() != 0,
    "check": lambda row, _: row["What"] == "checked",
    "closing": lambda row, _: row["What"] == "checked and closed",
    "opening": lambda row, _: row["What"] == "opened",
    "array": lambda row, _: row.get("Kind") == "array" and row["Place"] in ARRAYS[2:],
}
#: what the words of a break stand for where they are more than one word each
PHRASES = {
    "day over 12": ("day",),
    "no Monday": ("no",),
    "last but one": ("check",),
    "elsewhere": ("array",),
    "closing elsewhere": ("closing",),
    "check elsewhere": ("check",),
}


def words_of(mutation: Mutation) -> tuple[str, ...]:
    """What the row of a break must be."""
    return PHRASES.get(mutation.row, tuple(mutation.row.split())) or (("array",) if mutation.sheet == "sites" else ())


def batches(mutations: Sequence[Mutation]) -> list[Batch]:
    """Seasons that hold all breaks."""
    made: list[Batch] = []
    for mutation in mutations:
        if not any(batch.takes(mutation) for batch in made):
            made.append(Batch())
            if not made[-1].takes(mutation):
                raise ValueError(f"no row of a clean season can be broken so: {mutation.name}")
    return made
