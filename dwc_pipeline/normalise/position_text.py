"""Where a record was made: from the cells as typed to WGS 84 latitude and longitude, with the evidence.

Reads one cell ("36°45.072'N 99°38.088'W", "14S 443334 4067461", "14SMF4333467460"), or cells for latitude and
longitude, or for easting, northing, zone and datum. Writes the value as "36.7512000 -99.6348000" (EPSG:4326) and the
Darwin Core terms of the position beside it. What a slip would explain is offered with its evidence, never applied.

Sources: Darwin Core, Location class; ISO 6709; FGDC-STD-011-2001; Georeferencing Best Practices v1.1.1.

>>> judge_position("36 45.072 N, 99 38.088 W", "", "", "", "", "", "WGS84", PositionContext()).value
'36.7512000 -99.6348000'
>>> judge_position("36.7512 99.6348", "", "", "", "", "", "WGS84", PositionContext()).status
<Status.AMBIGUOUS: 'ambiguous'>
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, unreadable
from dwc_pipeline.normalise.datum_shift import BETTER_GRID_MISSING, geodesic_distance
from dwc_pipeline.normalise.datum_text import DATUM_NOT_RECORDED
from dwc_pipeline.normalise.degrees_text import DEGREES_MINUTES_SECONDS
from dwc_pipeline.normalise.position_context import (
    ParsedCells,
    ParsedPosition,
    ParsedText,
    PositionCells,
    PositionContext,
    UncertaintyParts,
)
from dwc_pipeline.normalise.position_parse import parse_position
from dwc_pipeline.normalise.position_places import Place, locate, offered, precision_m
from dwc_pipeline.normalise.position_repairs import Repair, repairs_of
from dwc_pipeline.normalise.position_rules import (
    CELLS_DISAGREE,
    FITS_ONLY_WHEN_REPAIRED,
    LOST_A_DIGIT,
    NO_DATUM_OPERATION,
    NOT_A_COORDINATE,
    OUT_OF_RANGE,
    OUTSIDE_THE_PROPERTY,
)
from dwc_pipeline.normalise.position_terms import position_terms, verbatim_terms

__all__ = [
    "POSITION_COLUMNS", "ParsedPosition", "ParsedText", "PositionCells", "PositionContext", "UncertaintyParts",
    "judge_position", "judge_positions", "parse_position",
]  # fmt: skip

#: columns of the frame of distinct cells, in the order of `judge_position`
POSITION_COLUMNS = PositionCells._fields
#: metres; two positions of one row closer than their doubt and this are the same place.
_SAME_PLACE_M = 2.0
#: metres; two positions of one row that differ by less may differ by their datum only.
_DATUM_APART_M = 60.0
_FEW_DIGITS = 5


class _Group(NamedTuple):
    """A group of cells with its readings and offers in WGS 84."""

    parsed: ParsedText
    readings: list[Place]
    offers: list[Place]


def judge_position(
    coordinates: str,
    latitude: str,
    longitude: str,
    easting: str,
    northing: str,
    zone: str,
    datum: str,
    context: PositionContext,
) -> Verdict:
    """The verdict on one combination of cells; for many, `judge_positions` is far faster."""
    cells = (coordinates, latitude, longitude, easting, northing, zone, datum)
    return judge_positions(pd.DataFrame([cells], columns=list(POSITION_COLUMNS), dtype=object), context)[0]


def judge_positions(distinct: pd.DataFrame, context: PositionContext) -> list[Verdict]:
    """One verdict for each row of distinct cells, in order; every reference system is converted once.

    distinct: text columns named as in POSITION_COLUMNS, any of them may be missing; "" for blank.
    Raises ValueError if the context names a datum or a system that does not exist.
    """
    columns = [distinct[name].tolist() if name in distinct else [""] * len(distinct) for name in POSITION_COLUMNS]
    rows = [PositionCells(*cells) for cells in zip(*columns, strict=True)]
    parsed = [parse_position(cells, context) for cells in rows]
    if not context.column_form and _is_mostly_seconds(parsed):
        context = replace(context, column_form=DEGREES_MINUTES_SECONDS)
        parsed = [parse_position(cells, context) for cells in rows]
    groups = _located_groups(parsed, context)
    repairs = _located_repairs(groups, context)
    return [
        _verdict(cells, one, own, repairs.get(at, []), context)
        for at, (cells, one, own) in enumerate(zip(rows, parsed, groups, strict=True))
    ]


def _is_mostly_seconds(parsed: Sequence[ParsedCells]) -> bool:
    """True if the column is typed in degrees minutes seconds at least as often as in decimal degrees."""
    forms = Counter(group.readings[0].form for cells in parsed for group in cells.groups if group.readings)
    return forms[DEGREES_MINUTES_SECONDS] > 0 and forms[DEGREES_MINUTES_SECONDS] >= forms["decimal degrees"]


def _located_groups(parsed: Sequence[ParsedCells], context: PositionContext) -> list[list[_Group]]:
    """All readings and offers of all rows, converted in one go."""
    wanted = [position for cells in parsed for group in cells.groups for position in (*group.readings, *group.offers)]
    found = iter(locate(wanted, context))
    return [
        [
            _Group(group, [next(found) for _ in group.readings], [next(found) for _ in group.offers])
            for group in cells.groups
        ]
        for cells in parsed
    ]


def _located_repairs(
    groups: Sequence[Sequence[_Group]], context: PositionContext
) -> dict[int, list[tuple[Repair, Place]]]:
    """For each row whose first reading lies where the survey does not work: the slips that would bring it in."""
    surroundings = context.surroundings
    wanted: list[tuple[int, Repair]] = []
    for at, own in enumerate(groups):
        group = _leading(own)
        if group and group.readings and group.readings[0].is_accepted is False:
            wanted += [(at, repair) for repair in repairs_of(group.parsed, surroundings)]
    located = locate([repair.position for _, repair in wanted], context)
    accepted: dict[int, list[tuple[Repair, Place]]] = {}
    for (at, repair), place in zip(wanted, located, strict=True):
        if place.is_accepted:
            accepted.setdefault(at, []).append((repair, place))
    return accepted


def _leading(groups: Sequence[_Group]) -> _Group | None:
    """The group that speaks for the row: the first that can be read, else the first with readings, else the first."""
    sound = [group for group in groups if group.readings and not group.parsed.rule]
    with_readings = [group for group in groups if group.readings]
    with_offers = [group for group in groups if group.offers]
    return next(iter([*sound, *with_readings, *with_offers, *groups]), None)


def _verdict(
    cells: PositionCells,
    parsed: ParsedCells,
    groups: Sequence[_Group],
    repairs: list[tuple[Repair, Place]],
    context: PositionContext,
) -> Verdict:
    """The verdict on one row from its readings in WGS 84."""
    group = _leading(groups)
    if group is None:
        return EMPTY._replace(flags=parsed.flags)
    verbatim = verbatim_terms(cells)
    text, flags = group.parsed, (*parsed.flags, *group.parsed.flags)
    if not group.readings and text.needs_zone:
        return ambiguous(text.rule, text.note, offered(group.offers, context), also=verbatim, flags=flags)
    if not group.readings:
        offers = offered(group.offers, context)
        return unreadable(text.rule or NOT_A_COORDINATE.id, text.note, offers, also=verbatim, flags=flags)
    first = group.readings[0]
    if text.rule and not (text.place_settles and _place_speaks_for_first(group)):
        return _question(group, repairs, context, verbatim, flags)
    strong = [(repair, place) for repair, place in repairs if not repair.is_digit]
    if strong:
        return _repairable(first, strong, context, verbatim, flags)
    if not first.is_somewhere:
        return _nowhere(first, verbatim, flags)
    if first.is_accepted is False:
        flags = (*flags, _outside_flag(repairs, context))
    apart = _disagreement(group, groups, context)
    if isinstance(apart, Verdict):
        return apart._replace(also=verbatim, flags=flags)
    return _read(cells, parsed, group, (*flags, *apart), context)


def _place_speaks_for_first(group: _Group) -> bool:
    """True if the first reading lies where the survey works and no other reading does."""
    return bool(group.readings[0].is_accepted) and not any(place.is_accepted for place in group.readings[1:])


def _question(
    group: _Group,
    repairs: list[tuple[Repair, Place]],
    context: PositionContext,
    verbatim: dict[str, str],
    flags: tuple[Flag, ...],
) -> Verdict:
    """A position with several readings, those that the place speaks for first."""
    places = [place for place in group.readings if place.is_somewhere]
    strong = [(repair, place) for repair, place in repairs if not repair.is_digit]
    if any(repair.is_loss for repair, _ in strong):
        return _repairable(group.readings[0], strong, context, verbatim, flags)
    if not places and not strong:
        return _nowhere(group.readings[0], verbatim, flags)
    if not any(place.is_accepted for place in places):
        places = [place for _, place in strong] + places
    return ambiguous(group.parsed.rule, group.parsed.note, offered(places, context), also=verbatim, flags=flags)


def _nowhere(place: Place, verbatim: dict[str, str], flags: tuple[Flag, ...]) -> Verdict:
    """A reading that no operation brings to WGS 84, or whose numbers no grid holds."""
    degrees = place.position.kind == "degrees"
    if degrees or place.position.datum not in ("", "WGS84"):
        note = f"there is no operation from {place.position.datum or 'this system'} to WGS 84 where the numbers lead"
        return unreadable(NO_DATUM_OPERATION.id, note, also=verbatim, flags=flags)
    return unreadable(OUT_OF_RANGE.id, "the grid has no such numbers", also=verbatim, flags=flags)


def _repairable(
    first: Place,
    strong: list[tuple[Repair, Place]],
    context: PositionContext,
    verbatim: dict[str, str],
    flags: tuple[Flag, ...],
) -> Verdict:
    """A position that fits only with one usual slip put right: asked, with the evidence."""
    lost = [place for repair, place in strong if repair.is_loss]
    others = [place for repair, place in strong if not repair.is_loss]
    evidence = context.surroundings.evidence
    if lost and not others:
        note = f"as typed it lies far off; with a digit put back it lies {evidence}"
        nearest = sorted(lost, key=lambda place: place.distance_m)
        return unreadable(LOST_A_DIGIT.id, note, offered(nearest, context), also=verbatim, flags=flags)
    note = f"as typed it lies outside the property; {others[0].position.label}: {evidence}"
    readings = offered([*others, *lost, first], context)
    return ambiguous(FITS_ONLY_WHEN_REPAIRED.id, note, readings, also=verbatim, flags=flags)


def _outside_flag(repairs: list[tuple[Repair, Place]], context: PositionContext) -> Flag:
    """The finding about a position off the property, with the digits that would bring it in if they are few."""
    digits = [place for repair, place in repairs if repair.is_digit]
    readings = offered(digits, context) if len(digits) <= _FEW_DIGITS else ()
    hint = f"; {digits[0].position.label} would bring it in" if readings else ""
    return Flag(OUTSIDE_THE_PROPERTY.id, f"the position lies outside the property{hint}", readings)


def _disagreement(group: _Group, groups: Sequence[_Group], context: PositionContext) -> Verdict | tuple[Flag, ...]:
    """A question if other cells of the row put it elsewhere, a finding if only as datums differ."""
    first = group.readings[0]
    flags: list[Flag] = []
    for other in groups:
        places = [place for place in other.readings if place.is_somewhere]
        if other is group or not places:
            continue
        apart = geodesic_distance(
            first.longitude,
            first.latitude,
            [place.longitude for place in places],
            [place.latitude for place in places],
        )
        nearest = int(np.nanargmin(apart))
        doubt = _SAME_PLACE_M + sum(precision_m(place) + place.accuracy_m for place in (first, places[nearest]))
        if apart[nearest] <= doubt:
            continue
        words = f"{group.parsed.source} and {other.parsed.source} are {_rounded(float(apart[nearest]))} apart"
        if apart[nearest] <= _DATUM_APART_M:
            flags.append(Flag(CELLS_DISAGREE.id, f"{words}: perhaps in two datums"))
            continue
        labelled = [
            place._replace(position=place.position._replace(label=f"from {source.parsed.source}"))
            for source, place in ((group, first), (other, places[nearest]))
        ]
        return ambiguous(CELLS_DISAGREE.id, words, offered(labelled, context))
    return tuple(flags)


def _rounded(metres: float) -> str:
    return f"{metres / 1000:.0f} km" if metres >= 10_000 else f"{metres:.0f} m"


def _read(
    cells: PositionCells, parsed: ParsedCells, group: _Group, flags: tuple[Flag, ...], context: PositionContext
) -> Verdict:
    """The verdict on a position with one sound reading."""
    place, text = group.readings[0], group.parsed
    position = place.position
    if not position.datum:
        flags = (*flags, Flag(DATUM_NOT_RECORDED.id, "no datum is written for the coordinate"))
    if place.missing_grid:
        note = f"{place.operation} is good to {place.accuracy_m:g} m; the grid {place.missing_grid} would be better"
        flags = (*flags, Flag(BETTER_GRID_MISSING.id, note))
    evidence = context.surroundings.evidence if text.place_settles else ""
    remark = "; ".join(part for part in (text.remark, evidence and f"the point lies {evidence}") if part)
    # numbers with a decimal comma are as plain as others, but not kept as typed
    is_kept = text.is_plain and all(number in "\n".join(cells) for number in position.numbers)
    return Verdict(
        Status.KEPT if is_kept else Status.CHANGED,
        f"{place.latitude:.7f} {place.longitude:.7f}",
        "" if is_kept else text.reading_rule,
        remark,
        also=position_terms(cells, parsed, place, remark),
        flags=flags,
    )
