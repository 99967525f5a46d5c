"""What the rows of a table stand for: captures, a trap log, places, road runs or searches; or names of animals."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.draft.column import Column, looks_like_a_date
from dwc_pipeline.draft.date_columns import has_date, with_whole_dates
from dwc_pipeline.draft.header_evidence import words_of
from dwc_pipeline.draft.log_rows import with_effort_of_nights, with_times_of_intervals
from dwc_pipeline.draft.placing import Evidence, Placed, is_firm, place_columns
from dwc_pipeline.draft.proposal import Confidence
from dwc_pipeline.draft.trap_rows import is_a_trap_a_row, with_a_trap_a_row
from dwc_pipeline.terms.sheet import SHEET_KINDS

#: fields that tell a kind from the others, and how strongly. Our choice, set by the sheets of the demo and tests.
TELLING: dict[str, dict[str, float]] = {
    "capture": {
        "verbatimIdentification": 4, "sex": 2, "lifeStage": 1.5, "snout_vent_length": 2, "body_mass": 2, "mark": 2,
        "tail_length": 1.5, "total_length": 1, "straight_carapace_length": 1.5, "capture_status": 1.5, "fate": 1.5,
        "vitality": 1.5, "individualCount": 1, "trap": 0.5, "reproductiveCondition": 1.5, "bag_mass": 1,
    },
    "trap_log": {
        "action": 3, "trap_state": 3, "traps_open": 2, "trap_nights_typed": 3, "captures_typed": 1.5, "end_date": 2,
        "trap": 0.5, "end_time": 0.5,
    },
    "place": {
        "place_kind": 2, "traps": 2, "box_traps": 1.5, "funnel_traps": 1.5, "pitfall_traps": 1.5, "arm_length": 2,
        "arms": 2, "route_length": 1.5, "elevation": 2, "verbatimLatitude": 1.5, "verbatimLongitude": 1.5,
        "easting": 1.5, "northing": 1.5, "utm_zone": 1, "datum": 1, "verbatimCoordinates": 2, "locality": 0.5,
        "property": 1.5, "county": 0.5, "place": 1,
    },
    "road_run": {
        "odometer_start": 3, "odometer_end": 3, "distance": 3, "stopped_minutes": 2, "start_time": 1.5,
        "end_time": 1.5, "run": 0.5, "observer_count": 0.5,
    },
    "search": {
        "covers_turned": 3.5, "handling_minutes": 3, "observer_count": 1.5, "start_time": 1.5, "end_time": 1.5,
        "run": 0.5,
    },
}  # fmt: skip
#: any other field that finds its column
FOR_ANY_FIELD = 0.3
#: words in the name of a file or sheet, or over the table
NAME_WORDS: dict[str, frozenset[str]] = {
    "capture": frozenset({"capture", "captures", "animal", "animals", "find", "finds", "herps", "caught", "records",
                          "incidental", "observations", "sightings", "rodents"}),
    "trap_log": frozenset({"log", "effort", "trapping", "checks", "check", "status"}),
    "place": frozenset({"site", "sites", "places", "place", "waypoint", "waypoints", "locations", "coordinates",
                        "arrays", "coords", "utm", "gps", "points"}),
    "road_run": frozenset({"road", "roads", "runs", "drive", "drives", "cruise"}),
    "search": frozenset({"search", "searches", "cover", "covers", "ves"}),
}  # fmt: skip
FOR_NAME_WORD = 1.0
AGAINST = 4.0
#: rows that stand for events; a column of names of animals speaks against them
OF_EVENTS = ("trap_log", "road_run", "search")
#: columns of a kind's own that it needs to be certain
FEWEST_TELLING = 2
#: least score of a kind that takes effect, and least lead over the next
LEAST, LEAST_LEAD, CLEAR_LEAD = 2.5, 0.6, 2.0
IS_SPECIES = re.compile(r"\s*[A-Z][a-z]+[ _][a-z]+(?:[ _][a-z]+)?(?:\s*\(?[A-Z].*)?\s*")
NEARLY_ALL, MOST = 0.95, 0.6


class Kind(NamedTuple):
    """The kind of a table's rows, the columns as placed for it, and how sure that is."""

    holds: str
    placed: tuple[Placed, ...]
    confidence: Confidence
    why: str


def kind_of(
    columns: Sequence[Column],
    bare_headers: Sequence[str],
    names: Sequence[str],
    evidence: Evidence,
    text: pd.DataFrame,
) -> Kind:
    """The kind that fits best. names: file name, sheet name and titles. text: cells by column letter."""
    placed = {kind: with_whole_dates(place_columns(kind, columns, bare_headers, evidence)) for kind in SHEET_KINDS}
    placed["trap_log"] = with_times_of_intervals(with_effort_of_nights(text, placed["trap_log"]), evidence.known)
    placed["place"] = with_a_trap_a_row(text, placed["place"])
    scores = {kind: kind_score(kind, placed[kind], names) for kind in SHEET_KINDS}
    if any(
        one.field == "verbatimIdentification" and one.confidence is Confidence.CERTAIN for one in placed["capture"]
    ):
        for kind in OF_EVENTS:
            scores[kind] -= AGAINST / 2
    best, second = sorted(scores, key=scores.__getitem__, reverse=True)[:2]
    telling = [
        f'"{one.column.header}"' if one.column.header.strip() else f"column {one.column.letter}"
        for one in placed[best]
        if is_firm(one) and TELLING[best].get(one.field, 0) >= 1
    ]
    lead = scores[best] - scores[second]
    if scores[best] < LEAST or lead < LEAST_LEAD:
        confidence = Confidence.UNSURE
    else:
        confidence = Confidence.CERTAIN if lead >= CLEAR_LEAD else Confidence.LIKELY
    if len(telling) < FEWEST_TELLING and confidence is Confidence.CERTAIN:
        confidence = Confidence.LIKELY
    named = NAME_WORDS[best] & {word for name in names for word in words_of(name)}
    why = f"told by {', '.join(telling[:5])}" if telling else "told by its name" if named else "nothing on it tells"
    if lead < CLEAR_LEAD:
        why += f"; next best would be {second}"
    if best == "place" and not is_a_trap_a_row(placed[best]):
        placed[best] = tuple(map(_with_doubtful_code, placed[best]))
    return Kind(best, placed[best], confidence, why)


def _with_doubtful_code(one: Placed) -> Placed:
    """The code of a place that stands in many rows of a site list may be the area of several points."""
    if one.field == "place" and repeats(one.column):
        return replace(one, confidence=Confidence.UNSURE, runner_up="locality")
    return one


def repeats(column: Column) -> bool:
    """True if many cells of the column are the same."""
    return len(column.counts) < NEARLY_ALL * column.filled


def kind_score(kind: str, placed: Sequence[Placed], names: Sequence[str]) -> float:
    """How much speaks for a kind."""
    firm = {one.field: one for one in placed if is_firm(one)}
    score = sum(TELLING[kind].get(field, FOR_ANY_FIELD) * one.fit.score for field, one in firm.items())
    spoken = {word for name in names for word in words_of(name)}
    score += FOR_NAME_WORD * bool(spoken & NAME_WORDS[kind])
    has_dates = has_date(set(firm)) or "positioned_on" in firm
    if kind == "place":
        code = firm.get("place")
        comes_back = code is None or (repeats(code.column) and not is_a_trap_a_row(placed))
        score -= AGAINST * (1 + has_dates) if comes_back else AGAINST * (has_dates and is_a_trap_a_row(placed))
    if kind == "capture" and not firm.keys() & {"verbatimIdentification", "mark", "sex", "snout_vent_length"}:
        score -= AGAINST
    if kind == "trap_log" and not (has_dates and firm.keys() & {"action", "trap_state", "traps_open", "end_date",
                                                               "trap_nights_typed", "captures_typed"}):  # fmt: skip
        score -= AGAINST
    if kind in ("road_run", "search") and not (has_dates and "start_time" in firm):
        score -= AGAINST
    return score


def is_list_of_names(columns: Sequence[Column]) -> bool:
    """True for a code list or checklist: scientific names, each about once, and no dates beside them."""
    has_names = any(
        column.filled >= 3
        and column.share(lambda text: IS_SPECIES.fullmatch(text) is not None) >= MOST
        and len(column.counts) >= 0.8 * column.filled
        for column in columns
    )
    has_dates = any(column.stored or column.share(looks_like_a_date) >= 0.5 for column in columns)
    return has_names and not has_dates
