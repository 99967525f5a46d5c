"""The animals of the invented ranch: how often, how long, how heavy. Sizes are rough figures from memory."""

from __future__ import annotations

from dataclasses import dataclass
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
    lengths: tuple[int, int, int, int]
    tail: float
    mass: float
    often: tuple[float, float, float, float, float]
    traps: str


KINDS = (
    Kind("Aspidoscelis sexlineatus", "ASSE", "racerunner", "lizard", (58, 78, 38, 48), 2.1, 24.0, (6, 9, 11, 9, 5), "FFP"),
    Kind("Holbrookia maculata", "HOMA", "lesser earless lizard", "lizard", (44, 58, 28, 36), 1.05, 35.0, (5, 6, 6, 4, 4), "PPF"),
    Kind("Sceloporus consobrinus", "prairie lizard", "prairie lizard", "lizard", (48, 66, 26, 36), 1.3, 34.0, (4, 5, 5, 4, 4), "FP"),
    Kind("Phrynosoma cornutum", "PHCO", "Texas horned lizard", "lizard", (66, 92, 32, 45), 0.45, 72.0, (1, 2, 2, 1, 1), "P"),
    Kind("Plestiodon obsoletus", "PLOB", "Great Plains skink", "lizard", (88, 118, 45, 60), 1.4, 26.0, (2, 2, 2, 1, 1), "FP"),
    Kind("Pituophis catenifer", "PICA", "bullsnake", "snake", (800, 1350, 380, 480), 0.15, 0.32, (2, 2, 2, 1, 1), "BBF"),
    Kind("Heterodon nasicus", "HENA", "western hognose snake", "snake", (340, 560, 160, 210), 0.20, 0.95, (2, 2, 1, 1, 1.5), "FB"),
    Kind("Masticophis flagellum", "MAFL", "coachwhip", "snake", (850, 1300, 360, 450), 0.32, 0.22, (1, 1.5, 1.5, 1, 0.6), "BBF"),
    Kind("Coluber constrictor", "COCO", "racer", "snake", (520, 900, 230, 320), 0.30, 0.33, (1.2, 1.2, 1, 0.6, 0.6), "FB"),
    Kind("Arizona elegans", "AREL", "glossy snake", "snake", (520, 860, 230, 300), 0.17, 0.33, (0.5, 1, 1.5, 1, 0.5), "FB"),
    Kind("Rhinocheilus lecontei", "RHLE", "long-nosed snake", "snake", (450, 750, 200, 260), 0.17, 0.32, (0.3, 0.7, 1, 0.8, 0.3), "F"),
    Kind("Lampropeltis triangulum", "LATR", "milksnake", "snake", (380, 620, 180, 230), 0.16, 0.30, (0.5, 0.6, 0.4, 0.2, 0.3), "F"),
    Kind("Tantilla nigriceps", "TANI", "plains black-headed snake", "small snake", (170, 260, 90, 120), 0.25, 0.36, (1, 1.5, 1.2, 0.6, 0.5), "PPF"),
    Kind("Thamnophis radix", "THRA", "plains gartersnake", "snake", (380, 640, 170, 230), 0.31, 0.47, (1, 1, 0.7, 0.4, 0.6), "F"),
    Kind("Thamnophis marcianus", "THMA", "checkered gartersnake", "snake", (360, 600, 170, 230), 0.31, 0.44, (0.8, 1, 0.6, 0.4, 0.5), "F"),
    Kind("Sistrurus tergeminus", "SITE", "western massasauga", "snake", (330, 520, 170, 220), 0.11, 1.05, (1, 0.8, 0.5, 0.4, 0.8), "FB"),
    Kind("Crotalus viridis", "CRVI", "prairie rattlesnake", "snake", (560, 900, 260, 320), 0.08, 0.76, (0.6, 0.6, 0.5, 0.3, 0.6), "BF"),
    Kind("Anaxyrus cognatus", "ANCO", "Great Plains toad", "anuran", (58, 92, 20, 34), 0, 107.0, (2, 6, 4, 1.5, 1.5), "PPF"),
    Kind("Anaxyrus woodhousii", "ANWO", "Woodhouse's toad", "anuran", (62, 98, 20, 36), 0, 107.0, (1.5, 4, 3, 1, 1), "PPF"),
    Kind("Spea bombifrons", "SPBO", "plains spadefoot", "anuran", (42, 56, 20, 28), 0, 125.0, (1, 6, 4, 1, 1), "P"),
    Kind("Gastrophryne olivacea", "GAOL", "western narrow-mouthed toad", "anuran", (26, 36, 15, 20), 0, 82.0, (0.5, 3, 2, 0.6, 0.8), "P"),
    Kind("Lithobates blairi", "LIBL", "plains leopard frog", "anuran", (56, 84, 32, 42), 0, 88.0, (0.6, 1.5, 1, 0.4, 0.5), "PF"),
    Kind("Ambystoma mavortium", "AMMA", "tiger salamander", "salamander", (92, 125, 60, 75), 0.85, 21.0, (0.6, 1, 0.6, 0.2, 0.4), "P"),
)  # fmt: skip

#: Caught with the others, outside the target taxa: how it is typed, and how often.
BY_CATCH = (("Peromyscus sp.", 4), ("Chaetodipus hispidus", 3), ("Cryptotis parva", 2), ("wolf spider", 3), ("tarantula", 2))

BY_NAME = {kind.name: kind for kind in KINDS}


def length_of(kind: Kind, adult: bool, random: Random) -> int:
    """A snout-vent length. [mm]"""
    low, high = kind.lengths[:2] if adult else kind.lengths[2:]
    return round(random.triangular(low, high, (low + high) / 2))


def mass_of(kind: Kind, svl: float, random: Random) -> float:
    """The mass of an animal of that length, with ordinary scatter. [g]"""
    grams = kind.mass * (svl / 100) ** 3 * random.uniform(0.9, 1.1)
    return round(grams, 1) if grams < 100 else float(round(grams))
