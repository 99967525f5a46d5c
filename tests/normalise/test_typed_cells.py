"""Cells as people type them, against what may be made of them: tables in typed_cells/, judged by hand.

A cell may be read only as its table allows; what no person could tell must be asked. Sources stand in the head of
each table.
"""

from __future__ import annotations

import csv
import json
import math
import re
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from date_contexts import DAY_FIRST, HEADER, MONTH_FIRST, NOTHING, SEASON, TITLE
from name_lists import demo, southern_plains
from shapely.geometry import box

from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.normalise.event_date import judge_date
from dwc_pipeline.normalise.event_time import judge_time
from dwc_pipeline.normalise.individual_count import judge_count
from dwc_pipeline.normalise.mark import judge_mark
from dwc_pipeline.normalise.mark_context import MarkContext
from dwc_pipeline.normalise.measurement import judge_quantity
from dwc_pipeline.normalise.position_text import PositionCells, PositionContext, judge_position
from dwc_pipeline.normalise.quantity import quantity
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.normalise.time_context import TimeContext
from dwc_pipeline.normalise.trap_label import TrapList
from dwc_pipeline.normalise.trap_state import judge_trap_state
from dwc_pipeline.terms.vocabulary import judge_word, load_vocabulary

TABLES = Path(__file__).resolve().parent / "typed_cells"
ASKED = (Status.AMBIGUOUS, Status.UNREADABLE)

DATES = {"S": SEASON, "N": NOTHING, "MF": MONTH_FIRST, "DF": DAY_FIRST, "T": TITLE, "H": HEADER}
TIMES = {"P": TimeContext(), "W": TimeContext(working_hours=(("06:00", "11:00"),))}
MARKS = {
    "P": MarkContext("PIT tag"),
    "T": MarkContext("toe clip"),
    "V": MarkContext("scale clip"),
    "N": MarkContext(),
}
PROPERTY = box(-100.5, 36.2, -99.0, 37.2)
POSITIONS = {
    "P": PositionContext(datum="WGS84"),
    "O": PositionContext(datum="WGS84", boundary=PROPERTY),
    "Z": PositionContext(datum="WGS84", zone=14, zone_letter="S"),
    "OZ": PositionContext(datum="WGS84", zone=14, zone_letter="S", boundary=PROPERTY),
    "NW": PositionContext(datum="WGS84", hemisphere_ns="N", hemisphere_ew="W"),
}
POINTS = {"B": (36.7512, -99.6348, 3.0), "S2": (36.751111, -99.634722, 3.0)}
CELLS = {
    "c": "coordinates", "lat": "latitude", "lon": "longitude", "e": "easting", "n": "northing", "z": "zone",
    "d": "datum",
}  # fmt: skip
METRES_A_DEGREE = 111_000
QUANTITIES = {
    "G": quantity("body mass", "g", "g"),
    "G0": quantity("body mass", "g"),
    "S": quantity("snout-vent length", "mm", "mm"),
    "SC": quantity("snout-vent length", "mm", "cm"),
    "T": quantity("tail length", "mm", "mm"),
    "AF": quantity("air temperature", "°C", "°F"),
    "AC": quantity("air temperature", "°C", "°C"),
    "A0": quantity("air temperature", "°C"),
    "R": quantity("rain", "mm", "in"),
    "RM": quantity("rain", "mm", "mm"),
    "R0": quantity("rain", "mm"),
    "W": quantity("wind speed", "m/s", "mph"),
    "H": quantity("relative humidity", "%"),
    "D": quantity("duration", "min", "min"),
    "K": quantity("road distance", "km", "mi"),
    "B": quantity("bag mass", "g", "g"),
}
#: the array of the handbook's worked hierarchy, 1.6
ARRAY = TrapList(("B1", *(f"F{number}" for number in range(1, 9)), "P1", "P2", "P3"))


def judge_cells(context: str, typed: str) -> Verdict:
    """The verdict on cells written as "lat=36.7512|lon=-99.6348"."""
    parts = (part.split("=", 1) for part in re.split(r"\|(?=(?:c|lat|lon|e|n|z|d)=)", typed))
    return judge_position(*PositionCells(**{CELLS[name]: text for name, text in parts}), POSITIONS[context])


def judge_amount(context: str, typed: str) -> Verdict:
    """The verdict on a count or a measured cell."""
    return judge_count(typed) if context == "C" else judge_quantity(typed, QUANTITIES[context])


def judge_species(context: str, typed: str) -> Verdict:
    """The verdict on a name, by the demo's list or the longer one."""
    return judge_name(typed, demo() if context == "D" else southern_plains())


def judge_code(context: str, typed: str) -> Verdict:
    """The verdict on a mark."""
    return judge_mark(typed, "", MARKS[context])


def judge_term(context: str, typed: str) -> Verdict:
    """The verdict on a word of a list."""
    return judge_word(typed, load_vocabulary(context))


JUDGES: Mapping[str, Callable[[str, str], Verdict]] = {
    "dates": lambda context, typed: judge_date(typed, "", DATES[context]),
    "times": lambda context, typed: judge_time(typed, "", TIMES[context]),
    "positions": judge_cells,
    "names": judge_species,
    "field_names": judge_species,
    "marks": judge_code,
    "field_marks": judge_code,
    "quantities": judge_amount,
    "counts": judge_amount,
    "masses_and_lengths": judge_amount,
    "words": judge_term,
    "field_words": judge_term,
    "trap_states": lambda _, typed: judge_trap_state(typed, ARRAY),
}


def rows_of(kind: str) -> list[tuple[str, str, list[str]]]:
    """Context, cell and what may be made of it."""
    lines = (TABLES / f"{kind}.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("# "))
    return [(row["context"], row["typed"], row["allowed"].split(" || ")) for row in rows]


def outcome_is_allowed(kind: str, verdict: Verdict, allowed: list[str]) -> bool:
    """True if the verdict asks, is empty or reads as the table says."""
    if verdict.status in ASKED:
        return "?" in allowed
    if verdict.status is Status.EMPTY:
        return bool({"EMPTY", "NOVALUE"} & set(allowed))
    if kind == "trap_states":
        return states_written(verdict) in allowed or allowed == [""] or ("EMPTY" in allowed and not verdict.value)
    if not verdict.value:
        in_words = bool(verdict.flags) and "?" in allowed
        no_animal = verdict.also.get("no_animal") == "true"
        return (
            no_animal if "NO ANIMAL" in allowed else in_words or bool({"EMPTY", "NOVALUE", "QTY", ""} & set(allowed))
        )
    if kind == "positions":
        return any(is_at(verdict.value, one) for one in allowed)
    return verdict.value in allowed or any(
        is_the_number(verdict.value, one) for one in allowed if JUDGES[kind] is judge_amount
    )


def states_written(verdict: Verdict) -> str:
    """The states of the traps in one line, as the table writes them."""
    states = json.loads(verdict.also.get("states", "[]"))
    return ";".join(f"{','.join(one['labels']) or '*'}:{one['state']}" for one in states)


def is_at(value: str, point: str) -> bool:
    """True if a written position lies where the table says, by its tolerance in metres."""
    if point in ("?", "EMPTY"):
        return False
    latitude, longitude, tolerance = POINTS.get(point) or map(float, point.split(","))
    north, east = (float(part) for part in value.split())
    narrower = math.cos(math.radians(latitude))
    off = math.hypot(north - latitude, (east - longitude) * narrower) * METRES_A_DEGREE
    return off <= tolerance + 0.5


def is_the_number(value: str, expected: str) -> bool:
    """True within half of what two decimals tell."""
    if not re.fullmatch(r"-?[\d.]+", expected):
        return False
    return abs(float(value) - float(expected)) <= 0.003 * max(1.0, abs(float(expected)))


@pytest.mark.parametrize("kind", JUDGES)
def test_a_typed_cell_is_read_as_a_person_would_or_asked(kind: str) -> None:
    wrong = [
        f"{context} {typed!r}: {verdict.status} {verdict.value!r}, allowed {allowed}"
        for context, typed, allowed in rows_of(kind)
        if not outcome_is_allowed(kind, verdict := JUDGES[kind](context, typed), allowed)
    ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("kind", JUDGES)
def test_of_the_cells_with_one_reading_two_in_a_hundred_at_most_are_asked(kind: str) -> None:
    readable = [row for row in rows_of(kind) if "?" not in row[2]]
    asked = [typed for context, typed, _ in readable if JUDGES[kind](context, typed).status in ASKED]
    assert len(asked) <= len(readable) // 50, asked
