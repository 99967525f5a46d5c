"""The animals of the invented ranch: how often, how long, how heavy. Sizes are rough figures from memory."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path
from random import Random


@dataclass(frozen=True)
class Kind:
    """One species: names as typed, and figures for made-up but believable animals.

    lengths: shortest and longest adult snout-vent length, then of a juvenile. [mm]
    tail: tail / SVL. mass: mass at 100 mm SVL, growing with the cube. [g]
    often: weight in each of the five sessions. traps: types that catch it.
    """

    name: str
    code: str
    common: str
    group: str
    lengths: tuple[int, ...]
    tail: float
    mass: float
    often: tuple[float, ...]
    traps: str


TABLE = Path(__file__).with_name("animals.csv")


def read_kinds() -> tuple[Kind, ...]:
    """The species of animals.csv."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return tuple(
        Kind(
            line["name"],
            line["code"],
            line["common"],
            line["group"],
            tuple(int(line[column]) for column in ("adult_min", "adult_max", "young_min", "young_max")),
            float(line["tail"]),
            float(line["mass"]),
            tuple(float(line[f"often{session}"]) for session in range(1, 6)),
            line["traps"],
        )
        for line in lines
    )


KINDS = read_kinds()

#: Caught with the others, outside the target taxa: how it is typed, and how often.
BY_CATCH = (
    ("Peromyscus sp.", 4),
    ("Chaetodipus hispidus", 3),
    ("Cryptotis parva", 2),
    ("wolf spider", 3),
    ("tarantula", 2),
)

BY_NAME = {kind.name: kind for kind in KINDS}


def length_of(kind: Kind, adult: bool, random: Random) -> int:
    """A snout-vent length. [mm]"""
    low, high = kind.lengths[:2] if adult else kind.lengths[2:]
    return round(random.triangular(low, high, (low + high) / 2))


def mass_of(kind: Kind, svl: float, random: Random) -> float:
    """The mass of an animal of that length, with ordinary scatter. [g]"""
    grams = kind.mass * (svl / 100) ** 3 * random.uniform(0.9, 1.1)
    return round(grams, 1) if grams < 100 else float(round(grams))
