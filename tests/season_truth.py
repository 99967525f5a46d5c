"""What truly happened in a made-up season: events, sessions, animals; and the faults planted in its sheets.

Nothing here comes from the package under test: intervals, trap-nights and trap-hours are counted by plain arithmetic.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

#: Name, authorship, class, order, family, kind of mark, shortest and longest SVL [mm], mass at 100 mm SVL [g].
SPECIES = (
    ("Aspidoscelis sexlineatus", "(Linnaeus, 1766)", "Reptilia", "Squamata", "Teiidae", "clip", 58, 78, 24.0),
    ("Holbrookia maculata", "Girard, 1851", "Reptilia", "Squamata", "Phrynosomatidae", "clip", 44, 58, 35.0),
    ("Phrynosoma cornutum", "(Harlan, 1825)", "Reptilia", "Squamata", "Phrynosomatidae", "clip", 66, 92, 72.0),
    ("Uta stansburiana", "Baird & Girard, 1852", "Reptilia", "Squamata", "Phrynosomatidae", "clip", 40, 54, 34.0),
    ("Plestiodon obsoletus", "Baird & Girard, 1852", "Reptilia", "Squamata", "Scincidae", "clip", 88, 118, 26.0),
    ("Pituophis catenifer", "(Blainville, 1835)", "Reptilia", "Squamata", "Colubridae", "tag", 800, 1350, 0.32),
    ("Heterodon nasicus", "Baird & Girard, 1852", "Reptilia", "Squamata", "Colubridae", "tag", 340, 560, 0.95),
    ("Masticophis flagellum", "(Shaw, 1802)", "Reptilia", "Squamata", "Colubridae", "tag", 850, 1300, 0.22),
    ("Crotalus viridis", "(Rafinesque, 1818)", "Reptilia", "Squamata", "Viperidae", "tag", 560, 900, 0.76),
    ("Anaxyrus cognatus", "(Say, 1822)", "Amphibia", "Anura", "Bufonidae", "", 58, 92, 107.0),
    ("Spea bombifrons", "(Cope, 1863)", "Amphibia", "Anura", "Scaphiopodidae", "", 42, 56, 125.0),
    ("Gastrophryne olivacea", "(Hallowell, 1856)", "Amphibia", "Anura", "Microhylidae", "", 26, 36, 82.0),
    ("Ambystoma mavortium", "Baird, 1850", "Amphibia", "Caudata", "Ambystomatidae", "", 92, 125, 21.0),
)
ZONES = {"America/Chicago": (36.70, -99.60), "America/Denver": (38.50, -103.20)}
CODE_STYLES = ("A{}", "N{}", "DF{}", "KS{:02d}", "Dune {}")


@dataclass(frozen=True)
class Style:
    """How this season is written down: drawn once from the seed."""

    zone: str
    arrays: tuple[str, ...]
    points: dict[str, tuple[float, float]]
    traps: tuple[str, ...]
    year: int
    half_for_out_of_order: bool
    log_rows: str  # "checks" or "intervals"
    date_form: str  # "typed", "month-first", "day-first", "iso" or "words"
    length_unit: str
    mass_unit: str
    site_form: str  # "degrees", "utm" or "dms"
    text_tables: bool


@dataclass
class TrueEvent:
    """One check of one array and the interval that it ends. Trap-nights by local midnights."""

    array: str
    session: int
    starts: dt.datetime
    ends: dt.datetime
    shut: tuple[str, ...] = ()
    found_out: tuple[str, ...] = ()
    trap_nights: float = 0.0
    trap_hours: float = 0.0


@dataclass
class TrueSession:
    """One array open from an evening to a morning."""

    array: str
    session: int
    opened: dt.datetime
    closed: dt.datetime
    checks: int
    trap_nights: float
    trap_hours: float


@dataclass
class TrueOccurrence:
    """One animal. file, sheet, row: where it is typed (row from 1; sheet "" for delimited text)."""

    event: TrueEvent
    species: str
    trap: str
    sex: str
    svl_mm: int
    mass_g: float
    mark: str
    is_recapture: bool
    file: str = ""
    sheet: str = ""
    row: int = 0

    @property
    def date(self) -> dt.date:
        """Day of the check, local."""
        return self.event.ends.date()

    @property
    def array(self) -> str:
        """Array of the check."""
        return self.event.array


@dataclass
class PlantedFault:
    """One fault: its cell, what is typed there, and what must come of it."""

    kind: str
    file: str
    sheet: str
    row: int
    column: str  # letter; "" where the whole row is meant
    typed: str
    must: str  # recover, ask, catch, keep or set aside
    expected: str


@dataclass
class Truth:
    """A whole season."""

    survey_file: Path
    style: Style
    events: list[TrueEvent]
    sessions: list[TrueSession]
    occurrences: list[TrueOccurrence]
    faults: list[PlantedFault] = field(default_factory=list)


def draw_style(random: Random) -> Style:
    """How a season is laid out."""
    zone = random.choice(sorted(ZONES))
    form = random.choice(CODE_STYLES)
    arrays = tuple(form.format(number) for number in range(1, random.randint(3, 6)))
    latitude, longitude = ZONES[zone]
    points = {
        code: (
            round(latitude + 0.009 * at + random.uniform(0, 0.004), 5),
            round(longitude + random.uniform(-0.02, 0.02), 5),
        )
        for at, code in enumerate(arrays)
    }
    funnels, pits = random.choice((2, 4, 8)), random.choice((1, 3, 4))
    traps = ("B1", *(f"F{n}" for n in range(1, funnels + 1)), *(f"P{n}" for n in range(1, pits + 1)))
    text_tables = random.random() < 0.4
    forms = ["month-first", "day-first", "iso", "words"] + ([] if text_tables else ["typed"])
    return Style(
        zone,
        arrays,
        points,
        traps,
        random.randint(2019, 2025),
        random.random() < 0.6,
        random.choice(("checks", "checks", "intervals")),
        random.choice(forms),
        random.choice(("mm", "cm")),
        random.choice(("g", "g", "oz")),
        random.choice(("degrees", "utm", "dms")),
        text_tables,
    )


def draw_events(style: Style, random: Random) -> list[TrueEvent]:
    """Every check of two or three sessions; the first may cross the change of the clock in March."""
    starts = [dt.date(style.year, 3, 6) if random.random() < 0.25 else dt.date(style.year, 4, random.randint(5, 25))]
    starts += [dt.date(style.year, 6, random.randint(1, 20)), dt.date(style.year, 8, random.randint(1, 20))]
    events = []
    for session, first in enumerate(starts[: random.randint(2, 3)], start=1):
        nights = random.randint(4, 8)
        for at, array in enumerate(style.arrays):
            early = random.random() < 0.15
            events += _session(style, array, session, first, nights - (2 if early else 0), at, random)
    return sorted(events, key=lambda event: (event.ends, event.array))


def _session(
    style: Style, array: str, session: int, first: dt.date, nights: int, order: int, random: Random
) -> list[TrueEvent]:
    since = clock(style, first, 18, order * 20 + random.randrange(10))
    shut_trap: tuple[str, ...] = (random.choice(style.traps),) if random.random() < 0.3 else ()
    events = []
    for day in range(1, nights + 1):
        date = first + dt.timedelta(days=day)
        # Where a log row is a whole session, a trap found out of order on one morning cannot be written down.
        broken = random.random() < 0.08 and style.log_rows == "checks"
        found: tuple[str, ...] = (random.choice(style.traps),) if broken else ()
        found = tuple(trap for trap in found if trap not in shut_trap)
        at = clock(style, date, 7, order * 20 + random.randrange(10))
        events.append(_measured(style, TrueEvent(array, session, since, at, shut_trap, found)))
        since = at
        if day < nights and random.random() < 0.15:
            at = clock(style, date, 17, order * 20 + random.randrange(10))
            events.append(_measured(style, TrueEvent(array, session, since, at, shut_trap)))
            since = at
    return events


def clock(style: Style, date: dt.date, hour: int, minutes: int) -> dt.datetime:
    """A local time with its zone."""
    return dt.datetime(
        date.year, date.month, date.day, hour + minutes // 60, minutes % 60, tzinfo=ZoneInfo(style.zone)
    )


def _measured(style: Style, event: TrueEvent) -> TrueEvent:
    out = 0.5 if style.half_for_out_of_order else 1.0
    traps = len(style.traps) - len(event.shut) - out * len(event.found_out)
    hours = (event.ends.astimezone(dt.UTC) - event.starts.astimezone(dt.UTC)).total_seconds() / 3600
    event.trap_nights = (event.ends.date() - event.starts.date()).days * traps
    event.trap_hours = hours * traps
    return event


def add_up_sessions(events: list[TrueEvent]) -> list[TrueSession]:
    """The sessions that the events belong to."""
    by_session: dict[tuple[str, int], list[TrueEvent]] = {}
    for event in events:
        by_session.setdefault((event.array, event.session), []).append(event)
    return [
        TrueSession(
            array,
            session,
            found[0].starts,
            found[-1].ends,
            len(found),
            sum(event.trap_nights for event in found),
            sum(event.trap_hours for event in found),
        )
        for (array, session), found in sorted(by_session.items())
    ]


def draw_occurrences(style: Style, events: list[TrueEvent], random: Random) -> list[TrueOccurrence]:
    """Animals caught, marked ones met again with the same sex and no shorter than before."""
    clips = [f"{one}-{two}-{three}" for one in range(16, 21) for two in range(13, 16) for three in range(1, 11)]
    random.shuffle(clips)
    tag = 985141000700000
    known: list[TrueOccurrence] = []
    found = []
    for event in events:
        for _ in range(random.choice((0, 0, 1, 1, 2, 3))):
            trap = random.choice([name for name in style.traps if name not in event.shut])
            again = [one for one in known if one.array == event.array and one.event is not event]
            if again and random.random() < 0.25:
                first = random.choice(again)
                animal = TrueOccurrence(
                    event, first.species, trap, first.sex, first.svl_mm, first.mass_g, first.mark, True
                )
                known = [one for one in known if one is not first]
            else:
                name, *_, mark_kind, low, high, heavy = random.choice(SPECIES)
                svl = random.randint(low, high)
                mass = round(heavy * (svl / 100) ** 3 * random.uniform(0.92, 1.08), 1)
                tag += random.randint(3, 60)
                mark = {"clip": clips.pop() if mark_kind == "clip" else "", "tag": str(tag)}.get(mark_kind, "")
                animal = TrueOccurrence(
                    event, name, trap, random.choice(("male", "female", "")), svl, mass, mark, False
                )
            found.append(animal)
            if animal.mark:
                known.append(animal)
    return found
