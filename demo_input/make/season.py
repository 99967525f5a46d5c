"""The season as it truly was: when arrays were open and checked, in which weather, and what was caught."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from random import Random

from make.animals import BY_CATCH, KINDS, Kind, length_of, mass_of
from make.places import ARRAYS, TRAPS

HALF = 0.5
#: First evening and last morning of each session.
SESSIONS = (
    (dt.date(2025, 5, 6), dt.date(2025, 5, 15)),
    (dt.date(2025, 5, 27), dt.date(2025, 6, 6)),
    (dt.date(2025, 6, 17), dt.date(2025, 6, 27)),
    (dt.date(2025, 7, 15), dt.date(2025, 7, 24)),
    (dt.date(2025, 9, 2), dt.date(2025, 9, 11)),
)
#: Array and session number -> last morning, where it was closed early; None where it was not opened.
EXCEPTIONS = {("A8", 1): None, ("A7", 3): dt.date(2025, 6, 22), ("A4", 4): dt.date(2025, 7, 20)}
HOT_DAYS = {
    dt.date(2025, 6, 18): 96,
    dt.date(2025, 6, 23): 97,
    dt.date(2025, 6, 24): 99,
    dt.date(2025, 6, 25): 98,
    dt.date(2025, 7, 16): 98,
    dt.date(2025, 7, 17): 101,
    dt.date(2025, 7, 20): 99,
    dt.date(2025, 7, 21): 102,
    dt.date(2025, 7, 22): 100,
    dt.date(2025, 9, 4): 96,
}
RAIN = {
    dt.date(2025, 5, 10): 0.4,
    dt.date(2025, 5, 30): 1.25,
    dt.date(2025, 6, 3): 0.3,
    dt.date(2025, 6, 20): 0.8,
    dt.date(2025, 7, 18): 0.15,
    dt.date(2025, 9, 6): 0.9,
}
#: Visits that were not made: a missed morning, and a hot afternoon without its check.
NOT_MADE = {("A6", dt.date(2025, 5, 31), "am"), ("A3", dt.date(2025, 6, 24), "pm")}
#: Traps shut for a time: array, traps, shut at the morning check of, opened again at the morning check of.
SHUT = (("A3", ("F2",), dt.date(2025, 6, 18), dt.date(2025, 6, 22)),)
#: Traps shut for a whole session.
SHUT_SESSION = {("A6", 4): ("P1", "P2", "P3")}
#: Traps found out of order at a morning check: words on the sheet and the traps meant.
FOUND_OUT = {
    ("A1", dt.date(2025, 5, 30)): ("P3 flooded", ("P3",)),
    ("A2", dt.date(2025, 5, 30)): ("P1-P2 flooded", ("P1", "P2")),
    ("A5", dt.date(2025, 5, 30)): ("P1-P3 flooded", ("P1", "P2", "P3")),
    ("A6", dt.date(2025, 6, 20)): ("P2 flooded", ("P2",)),
    ("A2", dt.date(2025, 9, 6)): ("B1 knocked over, raccoon", ("B1",)),
    ("A7", dt.date(2025, 9, 6)): ("P1 flooded", ("P1",)),
}
TWO_CREWS = {code: "KM" if code <= "A4" else "RT" for code in ARRAYS}


@dataclass
class Visit:
    """One check of one array; its interval runs from the visit or opening before."""

    array: str
    session: int
    at: dt.datetime
    since: dt.datetime
    shut: tuple[str, ...]
    found_out: tuple[str, ...]
    words: str
    temperature: int
    highest: int
    rain: float
    last: bool = False
    captures: list[Capture] = field(default_factory=list)

    @property
    def nights(self) -> int:
        """Local midnights in the interval."""
        return (self.at.date() - self.since.date()).days

    @property
    def hours(self) -> float:
        """Hours of the interval; the clock does not change within the season."""
        return (self.at - self.since).total_seconds() / 3600

    @property
    def effective_traps(self) -> float:
        """Traps that could catch, those found out of order counted half."""
        return len(TRAPS) - len(self.shut) - HALF * len(self.found_out)


@dataclass
class Animal:
    """One marked animal."""

    kind: Kind
    array: str
    sex: str
    adult: bool
    svl: int
    mark: str
    visits: list[int] = field(default_factory=list)


@dataclass
class Capture:
    """One animal at one visit, as it truly was. A by-catch has no kind, only a name."""

    visit: Visit
    trap: str
    kind: Kind | None
    name: str
    sex: str = ""
    adult: bool = True
    svl: int | None = None
    tail: int | None = None
    mass: float | None = None
    mark: str = ""
    status: str = ""
    fate: str = "released"
    count: int = 1
    animal: Animal | None = None


def array_time(array: str, hour: int, random: Random) -> dt.time:
    """When the crew gets to an array: each crew walks its four arrays in order."""
    minutes = (ARRAYS.index(array) % 4) * 25 + random.randrange(0, 12)
    return dt.time(hour + minutes // 60, minutes % 60)


def make_visits(random: Random) -> list[Visit]:
    """Every visit of the season in order of time, with its weather."""
    visits = []
    for number, (opened, closed) in enumerate(SESSIONS, start=1):
        for array in ARRAYS:
            last = EXCEPTIONS.get((array, number), closed)
            if last is not None:
                visits += _session_visits(array, number, opened, last, random)
    return sorted(visits, key=lambda one: one.at)


def _session_visits(array: str, number: int, opened: dt.date, last: dt.date, random: Random) -> list[Visit]:
    since = dt.datetime.combine(opened, array_time(array, 17, random))
    visits = []
    day, highest = opened + dt.timedelta(days=1), 88
    while day <= last:
        for part, hour in (("am", 7), ("pm", 17)):
            if (array, day, part) in NOT_MADE or (part == "pm" and (day not in HOT_DAYS or day == last)):
                continue
            at = dt.datetime.combine(day, array_time(array, hour, random))
            words, out = FOUND_OUT.get((array, day), ("", ())) if part == "am" else ("", ())
            temperature = 62 + number * 2 + (day.toordinal() * 7) % 7 if part == "am" else HOT_DAYS[day] - 2
            top = _highest(since, at, highest)
            rain = RAIN.get(day, 0.0) if part == "am" else 0.0
            visits.append(
                Visit(array, number, at, since, _shut(array, number, since, at), out, words, temperature, top, rain)
            )
            since = at
        day += dt.timedelta(days=1)
    visits[-1].last = True
    return visits


def _highest(since: dt.datetime, at: dt.datetime, ordinary: int) -> int:
    """The highest temperature between two visits: the heat of a day counts if its afternoon lies between them."""
    if since.hour >= 17 and since.date() == at.date() - dt.timedelta(days=1):
        return ordinary
    return HOT_DAYS.get(since.date(), ordinary + since.day % 5)


def _shut(array: str, number: int, since: dt.datetime, at: dt.datetime) -> tuple[str, ...]:
    shut: tuple[str, ...] = SHUT_SESSION.get((array, number), ())
    for where, traps, first, again in SHUT:
        if where == array and since.date() >= first and at.date() <= again:
            shut += traps
    return shut


def catch_animals(visits: list[Visit], random: Random) -> list[Capture]:
    """What was in the traps, visit by visit; marked animals are met again."""
    animals: list[Animal] = []
    marks = _Marks(random)
    for number, visit in enumerate(visits):
        wet = visit.rain > 0.1 or any(visit.at.date() - dt.timedelta(days=1) == day for day in RAIN)
        mean = (2.4 if visit.rain > 0.7 else 1.05) if visit.nights else 0.2
        for _ in range(_poisson(mean * visit.effective_traps / 12, random)):
            visit.captures.append(_one_capture(visit, number, wet, animals, marks, random))
        if random.random() < 0.07 and visit.nights:
            visit.captures.append(_by_catch(visit, random))
    return [capture for visit in visits for capture in visit.captures]


def _one_capture(
    visit: Visit, number: int, wet: bool, animals: list[Animal], marks: _Marks, random: Random
) -> Capture:
    weights = [kind.often[visit.session - 1] * (2.5 if wet and kind.group == "anuran" else 1) for kind in KINDS]
    kind = random.choices(KINDS, weights)[0]
    known = [one for one in animals if one.kind is kind and one.array == visit.array and number not in one.visits]
    trap = random.choice([name for name in TRAPS if name[0] in kind.traps and name not in visit.shut] or ["F1"])
    if known and random.random() < 0.30:
        animal = random.choice(known)
        animal.svl = round(animal.svl * (1.003 if animal.adult else 1.01))
        animal.visits.append(number)
        return _measured(visit, trap, animal, "R", random)
    adult = random.random() < (0.85 if visit.session < 5 else 0.6)
    sex = random.choice("MF") if adult or kind.group == "snake" else "U"
    animal = Animal(kind, visit.array, sex, adult, length_of(kind, adult, random), "", [number])
    animal.mark = marks.new(kind, visit.array, animal.svl)
    if animal.mark:
        animals.append(animal)
    return _measured(visit, trap, animal, "N" if animal.mark else "", random)


def _measured(visit: Visit, trap: str, animal: Animal, status: str, random: Random) -> Capture:
    kind, svl = animal.kind, animal.svl
    tail = round(svl * kind.tail * random.uniform(0.96, 1.04)) if kind.tail else None
    mass = mass_of(kind, svl, random)
    return Capture(
        visit, trap, kind, kind.name, animal.sex, animal.adult, svl, tail, mass, animal.mark, status, animal=animal
    )


def _by_catch(visit: Visit, random: Random) -> Capture:
    name = random.choices([name for name, _ in BY_CATCH], [often for _, often in BY_CATCH])[0]
    pits = [trap for trap in TRAPS if trap[0] == "P" and trap not in visit.shut] or ["F3"]
    return Capture(visit, random.choice(pits), None, name)


def _poisson(mean: float, random: Random) -> int:
    threshold, product, count = 2.718281828459045**-mean, random.random(), 0
    while product > threshold:
        product *= random.random()
        count += 1
    return count


class _Marks:
    """Gives out marks: PIT tags to snakes, toe clips to lizards, none to the others and to small snakes."""

    def __init__(self, random: Random) -> None:
        self._random = random
        self._tag = 985141000402100
        fingers = [f"{side}{limb}{toe}" for side in "LR" for limb in "FH" for toe in range(1, 6)]
        pairs = [f"{one}-{two}" for at, one in enumerate(fingers) for two in fingers[at + 1 :] if one[:2] != two[:2]]
        # Toes 16 to 20 first, then 13 to 15: such a code looks like no date; one code was destroyed all the same.
        numbers = [f"{one}-{two}-{three}" for one in range(16, 21) for two in range(13, 16) for three in range(1, 11)]
        random.shuffle(pairs)
        random.shuffle(numbers)
        self._clips = {"KM": pairs, "RT": numbers}

    def new(self, kind: Kind, array: str, svl: int) -> str:
        """A mark never given before, or "" where such an animal is not marked."""
        if kind.group == "lizard":
            return self._clips[TWO_CREWS[array]].pop()
        if kind.group == "snake" and svl > 230:
            self._tag += self._random.randrange(3, 40)
            return str(self._tag)
        return ""
