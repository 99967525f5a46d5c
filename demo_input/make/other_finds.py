"""Road runs, cover searches and chance finds: short tables, typed row by row."""

from __future__ import annotations

import datetime as dt
from random import Random

from make.places import POINTS
from make.rows import Row

RUN_COLUMNS = (
    "Run",
    "Route",
    "Date",
    "Start",
    "End",
    "Odo start (mi)",
    "Odo end (mi)",
    "Stops (min)",
    "Observers",
    "N obs",
    "Temp °C",
    "Sky",
    "Remarks",
)
ROAD_FIND_COLUMNS = ("Run", "Date", "Time", "Species", "AOR/DOR", "Sex", "Latitude", "Longitude", "Remarks")
SEARCH_COLUMNS = (
    "Search",
    "Site",
    "Date",
    "Start",
    "End",
    "Searchers",
    "Covers turned",
    "Handling min",
    "Observers",
    "Temp F",
    "Remarks",
)
SEARCH_FIND_COLUMNS = ("Search", "Site", "Date", "Species", "n", "Sex", "Age", "SVL mm", "Remarks")
INCIDENTAL_COLUMNS = ("Date", "Time", "Species", "n", "Alive/dead", "Latitude", "Longitude", "Observer", "Remarks")

#: Evening of each run, start, length in minutes.
RUNS = (
    ((5, 9), "21:20", 95),
    ((5, 13), "21:30", 100),
    ((5, 30), "21:25", 130),
    ((6, 3), "21:40", 120),
    ((6, 19), "21:55", 105),
    ((6, 24), "22:40", 150),
    ((7, 17), "21:50", 110),
    ((7, 22), "22:05", 95),
    ((9, 4), "20:50", 90),
    ((9, 9), "20:40", 85),
)
#: Animals met on each run.
MET = (3, 2, 6, 0, 4, 4, 0, 3, 2, 3)
ROAD_ANIMALS = (
    "Great Plains toad",
    "Great Plains toad",
    "bullsnake",
    "glossy snake",
    "prairie rattlesnake",
    "long-nosed snake",
    "Woodhouse's toad",
    "plains spadefoot",
    "western hognose snake",
    "yellow mud turtle",
    "ornate box turtle",
    "western massasauga",
    "coachwhip",
)


def road_tables(random: Random) -> tuple[list[Row], list[Row]]:
    """The runs and what was met on them. The run sheet comes from a machine that writes decimal commas."""
    runs, finds = [], []
    odometer = 41207.4
    for number, ((month, day), start, minutes) in enumerate(RUNS, start=1):
        evening = dt.datetime(2025, month, day, int(start[:2]), int(start[3:]))  # noqa: DTZ001 - local time
        met = [random.choice(ROAD_ANIMALS) for _ in range(MET[number - 1])]
        end = evening + dt.timedelta(minutes=minutes)
        miles = round(22.8 + random.uniform(-0.2, 0.3), 1)
        runs.append(
            Row(
                {
                    "Run": f"RR{number:02d}",
                    "Route": "R1",
                    "Date": f"{day}-{evening:%b}-25",
                    "Start": start,
                    "End": f"{end:%H:%M}",
                    "Odo start (mi)": _comma(odometer),
                    "Odo end (mi)": _comma(odometer + miles),
                    "Stops (min)": str(4 * len(met)),
                    "Observers": "IQ, JA" if number % 3 else "IQ",
                    "N obs": "2" if number % 3 else "1",
                    "Temp °C": _comma(round(random.uniform(19, 29), 1)),
                    "Sky": random.choice(("clear", "partly cloudy")),
                    "Remarks": "",
                }
            )
        )
        odometer += miles + random.randrange(60, 900)
        for place, name in enumerate(met, start=1):
            finds.append(_road_find(runs[-1], evening, minutes * place / (len(met) + 1), name, random))
    return runs, finds


def _road_find(run: Row, evening: dt.datetime, after: float, name: str, random: Random) -> Row:
    at = evening + dt.timedelta(minutes=after)
    north, south = POINTS["R1-N"], POINTS["R1-S"]
    share = random.random()
    latitude = south[0] + (north[0] - south[0]) * share
    return Row(
        {
            "Run": run.cells["Run"],
            "Date": run.cells["Date"],
            "Time": f"{at:%H:%M}",
            "Species": name,
            "AOR/DOR": random.choice(("AOR", "AOR", "DOR")),
            "Sex": random.choice(("", "", "M", "F")),
            "Latitude": f"{latitude:.5f}",
            "Longitude": f"{-99.6105 + random.uniform(-0.004, 0.004):.5f}",
            "Remarks": "",
        },
        truth=at,
    )


def search_tables() -> tuple[list[Row], list[Row]]:
    """Timed searches of boards and tin, and what lay under them."""
    searches = [
        ("S1", "CS1", "8 May 2025", "09:10", "10:40", 3, 64, 12, "KM, JA, IQ", 68),
        ("S2", "CS2", "29 May 2025", "08:50", "10:05", 2, 38, 5, "KM, JA", 71),
        ("S3", "CS3", "4 June 2025", "09:00", "10:30", 2, 55, 9, "RT, JA", 74),
        ("S4", "CS1", "15 June 2025", "08:20", "09:35", 2, 64, 0, "KM, JA", 76),
        ("S5", "CS3", "19 July 2025", "07:30", "08:30", 2, 55, 4, "RT, IQ", 79),
        ("S6", "CS2", "8 Sept 2025", "09:15", "10:45", 3, 41, 6, "KM, RT, JA", 70),
    ]
    finds = [
        ("S1", "CS1", "8 May 2025", "TANI", 1, "", "A", 212, "under tin"),
        ("S1", "CS1", "8 May 2025", "PLOB", 1, "M", "A", 104, ""),
        ("S1", "CS1", "8 May 2025", "ringneck snake", 1, "", "A", 268, "under board"),
        ("S2", "CS2", "29 May 2025", "prairie lizard", 2, "", "A", "", "both seen, not caught"),
        ("S3", "CS3", "4 June 2025", "HENA", 1, "F", "A", 448, ""),
        ("S3", "CS3", "4 June 2025", "GAOL", 1, "", "A", 31, ""),
        ("S3", "CS3", "4 June 2025", "TANI", 1, "", "A", 198, ""),
        ("S5", "CS3", "19 July 2025", "PLOB", 1, "F", "A", 110, "guarding eggs"),
        ("S6", "CS2", "8 Sept 2025", "prairie lizard", 1, "", "J", 31, ""),
        ("S6", "CS2", "8 Sept 2025", "SITE", 1, "", "J", 204, "coiled under log, left in place"),
    ]
    return (
        [Row(dict(zip(SEARCH_COLUMNS, (*map(str, one), ""), strict=True))) for one in searches],
        [Row(dict(zip(SEARCH_FIND_COLUMNS, map(str, one), strict=True))) for one in finds],
    )


def incidental_table() -> list[Row]:
    """Animals met by chance between other work."""
    finds = [
        ("7 May 2025", "10:15", "ornate box turtle", 1, "alive", "36.75521", "-99.61940", "KM", "crossing two-track"),
        ("14 May 2025", "17:40", "Texas horned lizard", 1, "alive", "36.76120", "-99.62655", "JA", "on ant mound"),
        ("28 May 2025", "11:30", "coachwhip", 1, "alive", "36.74310", "-99.60118", "RT", ""),
        (
            "31 May 2025",
            "21:15",
            "plains spadefoot",
            1,
            "alive",
            "36.74022",
            "-99.60433",
            "IQ",
            "calling, tank below CS3",
        ),
        ("12 June 2025", "18:20", "bullsnake", 1, "alive", "36.76688", "-99.64012", "KM", "in sagebrush"),
        ("18 June 2025", "06:40", "ornate box turtle", 1, "alive", "36.74905", "-99.61277", "RT", ""),
        (
            "16 July 2025",
            "20:05",
            "prairie rattlesnake",
            1,
            "alive",
            "36.75730",
            "-99.63910",
            "KM",
            "seen from truck",
        ),
        ("10 Sept 2025", "09:50", "racer", 1, "dead", "36.73340", "-99.61402", "RT", "hawk kill"),
    ]
    return [Row(dict(zip(INCIDENTAL_COLUMNS, map(str, one), strict=True))) for one in finds]


def _comma(number: float) -> str:
    return f"{number:.1f}".replace(".", ",")
