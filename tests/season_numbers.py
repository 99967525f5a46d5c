"""Counts a season from the rows of its archive with plain Python: what the agency's workbook must say.

Only published terms are read. Trap-nights and distances stand in words in samplingEffort, hours in the Humboldt
Extension. Which fate counts as what: common practice of permit reports, no source.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field

from second_reader import CORE_ID, Row, Tables

OCCURRENCE, FACT, SURVEY = "Occurrence of the core", "ExtendedMeasurementOrFact of the core", "Event of the core"
REMOVED = {"voucher", "salvaged", "transferred"}
DIED = {"euthanised", "died in trap", "died in hand", "predated in trap"}
RELEASED = {"released at capture", "released elsewhere"}
ESCAPED = {"escaped before processing", "escaped with data"}
COUNTED_EVENTS = ("trapCheck", "roadSurvey", "coverSearch")


@dataclass
class SpeciesLine:
    """What is counted of one name."""

    animals: float = 0.0
    fates: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    new: float = 0.0
    recaptures: float = 0.0
    days: set[str] = field(default_factory=set)
    sites: set[str] = field(default_factory=set)


@dataclass
class EffortLine:
    """What is counted of one site and kind of event; None: no event of known effort in that unit."""

    events: int = 0
    unknown: int = 0
    days: set[str] = field(default_factory=set)
    trap_nights: float | None = None
    trap_hours: float | None = None
    person_hours: float | None = None
    distance_km: float | None = None


def facts_of(tables: Tables) -> dict[str, dict[str, str]]:
    """occurrenceID -> kind -> value, the first of each kind; "" holds the day of the first measurement."""
    made: dict[str, dict[str, str]] = defaultdict(dict)
    for row in tables.get(FACT, []):
        if identifier := row.get("occurrenceID", ""):
            made[identifier].setdefault(row["measurementType"], row["measurementValue"])
            if day := row.get("measurementDeterminedDate", ""):
                made[identifier].setdefault("", day)
    return made


def day_found(event: Row, facts: dict[str, str]) -> str:
    """A check finds what came since the check before, so its day is that of its end; a session has no day."""
    when = event.get("eventDate", "")
    kind = event["eventType"]
    if kind == "trapCheck":
        return when.split("/")[-1][:10]
    return when[:10] if kind in ("roadSurvey", "coverSearch", "incidental") else facts.get("", "")


def fate_of(row: Row, event: Row, facts: dict[str, str]) -> str:
    """The column of the species table that an animal belongs to."""
    fate = facts.get("fate", "")
    for name, group in (("Released", RELEASED), ("Removed", REMOVED), ("Died", DIED), ("Escaped", ESCAPED)):
        if fate in group:
            return name
    if fate == "left in place":
        return "Left in place"
    on_road = event["eventType"] == "roadSurvey"
    if fate == "road-killed" or (on_road and row.get("vitality") == "dead"):
        return "Dead on road"
    return "Died" if row.get("vitality") == "dead" else "Fate not told"


def species_lines(tables: Tables) -> dict[str, SpeciesLine]:
    """Scientific name -> what is counted of it; "" for animals without a name."""
    events, facts = {row[CORE_ID]: row for row in tables["Event"]}, facts_of(tables)
    made: dict[str, SpeciesLine] = defaultdict(SpeciesLine)
    for row in tables.get(OCCURRENCE, []):
        event, own = events[row[CORE_ID]], facts.get(row["occurrenceID"], {})
        line, count = made[row.get("scientificName", "")], float(row.get("individualCount") or 0)
        line.animals += count
        line.fates[fate_of(row, event, own)] += count
        line.new += count if own.get("capture status") == "new" else 0
        line.recaptures += count if own.get("capture status") == "recapture" else 0
        line.days |= {day_found(event, own)} - {""}
        line.sites |= {event.get("locationID", "")} - {""}
    return dict(made)


def effort_lines(tables: Tables) -> dict[tuple[str, str], EffortLine]:
    """(kind of event, site) -> its effort."""
    hours = {row[CORE_ID]: row for row in tables.get(SURVEY, [])}
    made: dict[tuple[str, str], EffortLine] = defaultdict(EffortLine)
    for event in tables["Event"]:
        if event["eventType"] not in COUNTED_EVENTS:
            continue
        line = made[event["eventType"], event.get("locationID", "")]
        line.events += 1
        when = event.get("eventDate", "")
        line.days |= {part[:10] for part in when.split("/") if part}
        words = event.get("samplingEffort", "")
        survey = hours.get(event[CORE_ID], {})
        value, unit = survey.get("samplingEffortValue", ""), survey.get("samplingEffortUnit", "")
        found = {
            "trap_nights": _in_words(words, "trap-nights"),
            "distance_km": _in_words(words, "km"),
            "trap_hours": float(value) if unit == "trapHours" else None,
            "person_hours": float(value) if unit == "personHours" else None,
        }
        for name, amount in found.items():
            if amount is not None:
                setattr(line, name, (getattr(line, name) or 0.0) + amount)
        needed = {"trapCheck": "trap_nights", "roadSurvey": "distance_km", "coverSearch": "person_hours"}
        line.unknown += found[needed[event["eventType"]]] is None
    return dict(made)


def _in_words(words: str, unit: str) -> float | None:
    if words.startswith("effort not known"):  # what follows is the part that is known
        return None
    found = re.search(rf"([\d.]+) {unit}\b", words)
    return float(found[1]) if found else None
