# ruff: noqa: E501 - one event or table a line
"""Exact tables of invented seasons, one for each seed: arrays, searches, a road, chance finds, checks not in the log."""

from __future__ import annotations

from random import Random

import pandas as pd

from dwc_pipeline.core.columns import mapped

SENSITIVE = ("Phrynosoma cornutum", "Terrapene ornata", "Crotalus viridis")
OTHERS = ("Sceloporus consobrinus", "Aspidoscelis sexlineatus", "Thamnophis radix")
ANIMAL_COLUMNS = ("eventID", "scientificName", "occurrenceID", "recordedBy")
OBSERVERS = ("Ada Example", "Bo Sample", "")


def season(seed: int, arrays: int = 9) -> dict[str, pd.DataFrame]:
    """The tables event, occurrence, measurement, place, effort and humboldt."""
    random = Random(seed)
    places = _places(random, arrays)
    events = [{"eventID": "X-2031", "eventType": "fieldSeason", "eventDate": "2031-05-01/2031-09-30", "place": ""}]
    for code, place in places.items():
        events += _visits(random, code, place)
    animals = _animals(random, events)
    events += _events_for_animals(random, places, animals)
    event = pd.DataFrame(events).fillna("")
    event["parentEventID"] = event.get("parentEventID", pd.Series("", index=event.index))
    occurrence = pd.DataFrame(animals, columns=list(ANIMAL_COLUMNS)).fillna("")
    occurrence["genus"] = occurrence["scientificName"].str.split().str[0]
    occurrence["specificEpithet"] = occurrence["scientificName"].str.split().str[1]
    occurrence["detected"], occurrence["individualCount"] = "true", "1"
    return {
        "event": event.assign(eventCategory="Event", stateProvince="Oklahoma", countryCode="US", county="Harper"),
        "occurrence": occurrence,
        "measurement": _measurements(random, occurrence),
        "place": pd.DataFrame(
            [{"place": code, **{k: place[k] for k in ("decimalLatitude", "decimalLongitude")}, "name": f"Name of {code}"}
             for code, place in places.items()]
        ),
        "effort": event.loc[event["has_effort"] == "yes", ["eventID", "place"]].assign(
            trap_nights=[str(random.choice([8, 12, 12.5])) for _ in range(int((event["has_effort"] == "yes").sum()))],
            person_hours="", distance_km="",
        ),
        "humboldt": humboldt_of(event, occurrence),
    }  # fmt: skip


def _places(random: Random, arrays: int) -> dict[str, dict[str, str]]:
    """Arrays in one or two clusters, a road and two sites of searches."""
    centres = [(36.0 + random.random(), -100.0 + random.random()) for _ in range(random.choice([1, 2]))]
    made = {}
    for number in range(arrays):
        latitude, longitude = random.choice(centres)
        made[f"A{number}"] = _place(random, latitude, longitude, "trapCheck")
    for code, kind in (("R1", "roadSurvey"), ("S1", "coverSearch"), ("S2", "coverSearch")):
        made[code] = _place(random, *random.choice(centres), kind)
    return made


def _place(random: Random, latitude: float, longitude: float, kind: str) -> dict[str, str]:
    return {
        "decimalLatitude": f"{latitude + random.uniform(-0.06, 0.06):.7f}",
        "decimalLongitude": f"{longitude + random.uniform(-0.06, 0.06):.7f}",
        "coordinateUncertaintyInMeters": random.choice(["4", "10", "23", "30", ""]),
        "geodeticDatum": "EPSG:4326",
        "kind": kind,
    }


def _visits(random: Random, code: str, place: dict[str, str]) -> list[dict[str, str]]:
    position = {name: value for name, value in place.items() if name != "kind"} | {"place": code}
    position["locationID"], position["locality"] = f"X-{code}", f"Name of {code}"
    first, number = random.choice([3, 4, 5]), random.choice([8, 12])
    rows = []
    if place["kind"] == "trapCheck":
        session = f"X-2031-{code}-s1"
        rows.append({"eventID": session, "parentEventID": "X-2031", "eventType": "trapSession",
                     "eventDate": f"2031-05-{first:02}/2031-05-{first + number:02}", **position})  # fmt: skip
        for day in range(first + 1, first + number + 1):
            if random.random() < 0.04:
                continue
            dates = f"2031-05-{day - 1:02}T07:10-05:00/2031-05-{day:02}T07:{random.randint(10, 50)}-05:00"
            rows.append({"eventID": f"X-2031-{code}-c{day}", "parentEventID": session, "eventType": "trapCheck",
                         "eventDate": dates, "has_effort": "yes", "samplingProtocol": "array", **position})  # fmt: skip
    else:
        rows += [
            {"eventID": f"X-2031-{code}-r{day}", "parentEventID": "X-2031", "eventType": place["kind"],
             "eventDate": f"2031-05-{day:02}T20:00-05:00/2031-05-{day:02}T22:00-05:00",
             "has_effort": "yes", "samplingProtocol": place["kind"], **position}
            for day in random.sample(range(2, 28), 4)
        ]  # fmt: skip
    return rows


def _animals(random: Random, events: list[dict[str, str]]) -> list[dict[str, str]]:
    made: list[dict[str, str]] = []
    for event in events:
        if event["eventType"] in ("trapCheck", "roadSurvey", "coverSearch"):
            for number in range(random.choice([0, 0, 1, 1, 2])):
                name = random.choice(SENSITIVE if random.random() < 0.12 else OTHERS)
                made.append(_animal(random, event["eventID"], name, number))
    return made


def _animal(random: Random, event: str, name: str, number: int) -> dict[str, str]:
    return {
        "eventID": event,
        "scientificName": name,
        "occurrenceID": f"{event}-F{number}",
        "recordedBy": random.choice(OBSERVERS),
    }


def _events_for_animals(
    random: Random, places: dict[str, dict[str, str]], animals: list[dict[str, str]]
) -> list[dict[str, str]]:
    """Chance finds in the open and at a place, and a check that the log does not hold."""
    rows = []
    for number in range(6):
        code = random.choice(list(places))
        near = _place(random, float(places[code]["decimalLatitude"]), float(places[code]["decimalLongitude"]), "")
        kind, place = random.choice(
            [("incidental", ""), ("incidental", code), ("trapCheck", "A0"), ("incidental", "")]
        )
        if place:
            near = places[place]
        event = f"X-2031-i{number}"
        rows.append({"eventID": event, "parentEventID": "X-2031", "eventType": kind, "place": place,
                     "eventDate": f"2031-05-{random.randint(1, 28):02}T12:00-05:00",
                     **{k: v for k, v in near.items() if k != "kind"}})  # fmt: skip
        animals.append(_animal(random, event, random.choice((*SENSITIVE, *OTHERS)), 0))
        if random.random() < 0.3:
            animals.append(_animal(random, event, random.choice(OTHERS), 1))
    return rows


def _measurements(random: Random, occurrence: pd.DataFrame) -> pd.DataFrame:
    made = occurrence[["eventID", "occurrenceID"]].assign(
        measurementType="snout-vent length", measurementUnit="mm",
        measurementValue=[str(random.randint(40, 120)) for _ in range(len(occurrence))],
    )  # fmt: skip
    return made.assign(measurementID=made["occurrenceID"] + "-svl")


def humboldt_of(event: pd.DataFrame, occurrence: pd.DataFrame) -> pd.DataFrame:
    """As the season's tables have it: performers and by-catch follow from the animals."""
    rows = event[event["eventType"] != "fieldSeason"]
    people = occurrence[occurrence["recordedBy"] != ""].groupby("eventID")["recordedBy"].first()
    outside = (
        occurrence[occurrence["scientificName"] == "Crotalus viridis"].groupby("eventID")["scientificName"].first()
    )
    made = rows[["eventID"]].assign(
        targetTaxonomicScope="Squamata", isTaxonomicScopeFullyReported="true", samplingEffortUnit="trapHours",
        samplingEffortValue="287.4", isAbsenceReported="false",
    )  # fmt: skip
    made["samplingPerformedBy"] = mapped(made["eventID"], people)
    made["nonTargetTaxa"] = mapped(made["eventID"], outside)
    return made.assign(hasNonTargetTaxa=(made["nonTargetTaxa"] != "").map({True: "true", False: "false"}))
