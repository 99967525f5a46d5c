"""From an easting, a northing and their context to a position on a grid: order, zone, hemisphere and unit."""

from __future__ import annotations

import math

from dwc_pipeline.normalise.datum_shift import WGS84, geographic_code, metres_per_unit, utm_crs
from dwc_pipeline.normalise.datum_text import DatumReading, read_datum
from dwc_pipeline.normalise.grid_reference import (
    GridReference,
    approximate_latitude,
    band_limits,
    bands_with_square,
    cell_of,
)
from dwc_pipeline.normalise.planar_text import UTM_EASTINGS, UTM_NORTHINGS, Length, Planar
from dwc_pipeline.normalise.position_context import ParsedPosition, ParsedText, PositionContext
from dwc_pipeline.normalise.position_rules import (
    CONTRADICTS_ITSELF,
    DATUMS_CONTRADICT,
    HAS_TWO_READINGS,
    LACKS_ITS_ZONE,
    LOST_A_DIGIT,
    OUT_OF_RANGE,
)

#: degrees; receivers show the band of the fix, the point may be written a little beyond the edge.
_BAND_SLACK = 0.05
#: metres; a northing below it has six digits or fewer
_ONE_DIGIT_LOST = 1_000_000.0


def planar_position(planar: Planar, source: str, datum: DatumReading, context: PositionContext) -> ParsedText:
    """What an easting and a northing say, in UTM or in the State Plane zone of the context.

    planar.zone and planar.letter hold the zone that the cells or the context give, 0 and "" if none do.
    """
    state_plane = _state_plane(planar, source, datum, context)
    if state_plane is not None and (not planar.zone or planar.unit == "ft"):
        return state_plane
    if planar.unit == "ft":
        note = "feet belong to a State Plane zone, and the survey file names none"
        return ParsedText(source, rule=LACKS_ITS_ZONE.id, note=note)
    if datum.projected and not planar.says_utm and not datum.zone:
        return _on_named_grid(planar, source, datum, context)
    utm = _utm(planar, source, datum, context)
    if state_plane is None or planar.says_utm or not state_plane.readings:
        return utm
    if not utm.readings:
        return state_plane
    readings = (*utm.readings, *state_plane.readings)
    note = "the survey file names both a UTM zone and a State Plane zone"
    return ParsedText(source, readings, rule=HAS_TWO_READINGS.id, note=note, place_settles=True)


def grid_position(
    reference: GridReference, source: str, datum: DatumReading, context: PositionContext
) -> ParsedText | None:
    """What an MGRS or USNG reference says; None if it has no zone and the context has none either."""
    zone = reference.zone or (context.zone or 0)
    if not zone:
        return None
    band = reference.band or ("" if reference.zone else context.zone_letter)
    complete = reference._replace(zone=zone, band=band if len(band) == 1 else "")
    remark = "" if reference.zone else f"zone {zone}{complete.band} from {context.datum_source}"
    try:
        if complete.band:
            readings: tuple[ParsedPosition, ...] = (_cell_position(complete, datum),)
        else:
            readings = tuple(
                _cell_position(complete._replace(band=one), datum) for one in bands_with_square(complete)
            )
    except ValueError as fault:
        return ParsedText(source, rule=OUT_OF_RANGE.id, note=str(fault))
    if not readings:
        return ParsedText(source, rule=OUT_OF_RANGE.id, note=f"zone {zone} has no square {reference.square}")
    if not reference.easting:
        note = "a grid reference without digits names a square of 100 km, and no place in it"
        return ParsedText(source, offers=readings, rule=LOST_A_DIGIT.id, note=note)
    if len(readings) > 1:
        note = "the reference has no band letter: the same square comes back every 2,000 km"
        return ParsedText(source, readings, rule=HAS_TWO_READINGS.id, note=note)
    return ParsedText(source, readings, reading_rule="grid-reference", remark=remark)


def _cell_position(reference: GridReference, datum: DatumReading) -> ParsedPosition:
    cell = cell_of(reference)
    east, north = cell.centre
    return ParsedPosition(
        "grid reference", east, north, utm_crs(datum.code or WGS84, cell.zone, cell.hemisphere), datum.name, "MGRS",
        radius_m=cell.radius_m, label=f"centre of the {cell.side_m:g} m cell in band {reference.band}",
        numbers=(reference.easting, reference.northing),
    )  # fmt: skip


def _utm(planar: Planar, source: str, datum: DatumReading, context: PositionContext) -> ParsedText:
    """A UTM easting and northing."""
    ordered = _ordered(planar)
    if not ordered:
        return _impossible_utm(planar, source, datum, context)
    labelled_wrongly = bool(planar.order) and ordered[0] == _labelled(planar)[::-1]
    if not planar.zone:
        pairs = [
            _utm_position(pair, zone, "N", datum, context) for zone in _likely_zones(context) for pair in ordered
        ]
        note = "no zone is given, and the same numbers exist in each of 60 zones"
        return ParsedText(source, offers=tuple(pairs), rule=LACKS_ITS_ZONE.id, note=note, needs_zone=True)
    if labelled_wrongly:
        readings = tuple(_utm_position(pair, planar.zone, "N", datum, context) for pair in ordered)
        note = "the number under easting can only be a northing, and the other way round"
        return ParsedText(source, readings, rule=CONTRADICTS_ITSELF.id, note=note)
    return _with_letter(planar, ordered, source, datum, context)


def _with_letter(
    planar: Planar, ordered: list[tuple[Length, Length]], source: str, datum: DatumReading, context: PositionContext
) -> ParsedText:
    """The hemisphere from the letter after the zone, as far as the northing agrees with it."""
    easting, northing = ordered[0]
    letter = planar.letter
    north = _utm_position(ordered[0], planar.zone, "N", datum, context)
    south = _utm_position(ordered[0], planar.zone, "S", datum, context)
    if letter in ("", "N", "north"):
        # N is the hemisphere, or the band from 0 to 8 N: the same numbers either way
        return _checked(planar, ordered, source, (north,), context, "" if letter else "northern hemisphere taken")
    if letter == "south":
        return _checked(planar, ordered, source, (south,), context, "")
    low, high = band_limits(letter)
    hemisphere = "S" if low < 0 else "N"
    false_northing = 10_000_000.0 if hemisphere == "S" else 0.0
    latitude = approximate_latitude(easting.value, northing.value - false_northing)
    fits_band = low - _BAND_SLACK <= latitude <= high + _BAND_SLACK
    if fits_band:
        reading = _utm_position(ordered[0], planar.zone, hemisphere, datum, context)
        alternatives = (south._replace(label="S taken as south"),) if letter == "S" else ()
        return _checked(planar, ordered, source, (reading,), context, f"{letter} is the latitude band", alternatives)
    if letter == "S" and northing.value >= 1_000_000:
        south = south._replace(label="S taken as southern hemisphere")
        return ParsedText(
            source, (south, north._replace(label="northern hemisphere")), rule=HAS_TWO_READINGS.id,
            place_settles=True,
            note="S is not the latitude band of this northing; it may stand for south", reading_rule="utm",
        )  # fmt: skip
    note = f"band {letter} runs from {low:g} to {high:g} degrees, and the northing lies elsewhere"
    readings = (
        _utm_position(ordered[0], planar.zone, hemisphere, datum, context)._replace(label="band letter ignored"),
    )
    return ParsedText(source, readings, rule=CONTRADICTS_ITSELF.id, note=note)


def _checked(
    planar: Planar,
    ordered: list[tuple[Length, Length]],
    source: str,
    readings: tuple[ParsedPosition, ...],
    context: PositionContext,
    remark: str,
    alternatives: tuple[ParsedPosition, ...] = (),
) -> ParsedText:
    """A sound UTM reading, unless its order, its zone or the length of its northing leaves a question."""
    if len(ordered) > 1:
        second = readings[0]._replace(
            x=ordered[1][0].value, y=ordered[1][1].value, label="northing first"
        )  # both numbers could be either
        note = "six digits each: which of the two is the northing is not written, or the northing lost a digit"
        return ParsedText(
            source, (*readings, second), rule=HAS_TWO_READINGS.id, note=note, place_settles=True, reading_rule="utm",
            remark=remark,
        )  # fmt: skip
    if planar.zone_is_bare and planar.zone != context.zone:
        note = f"the {planar.zone} at the end may be the zone or something else, such as an accuracy"
        return ParsedText(source, readings, rule=HAS_TWO_READINGS.id, note=note)
    if readings[0].y < _ONE_DIGIT_LOST and planar.letter in ("", "north") and readings[0].crs != "":
        note = "a northing of six digits lies within 9 degrees of the equator, or has lost a digit"
        return ParsedText(
            source, readings, rule=LOST_A_DIGIT.id, note=note, place_settles=True, reading_rule="utm", remark=remark
        )
    return ParsedText(source, readings, reading_rule="utm", alternatives=alternatives, remark=remark)


def _labelled(planar: Planar) -> tuple[Length, Length]:
    """Easting and northing as the labels say, or in written order."""
    return (planar.second, planar.first) if planar.order == "NE" else (planar.first, planar.second)


def _ordered(planar: Planar) -> list[tuple[Length, Length]]:
    """The orders in which the numbers make a UTM easting and northing; the labelled or written order first."""
    as_written = _labelled(planar)
    orders = [pair for pair in (as_written, as_written[::-1]) if _is_utm(*pair)]
    if not planar.order:
        # without labels a northing of five digits is no northing, but an easting that lost a digit
        orders = [pair for pair in orders if pair[1].whole_digits >= 6]
    return orders[:1] if planar.order and orders and orders[0] == as_written else orders


def _is_utm(easting: Length, northing: Length) -> bool:
    return (
        UTM_EASTINGS[0] <= easting.value <= UTM_EASTINGS[1] and UTM_NORTHINGS[0] < northing.value < UTM_NORTHINGS[1]
    )


def _likely_zones(context: PositionContext) -> list[int]:
    return context.surroundings.zones()


def _impossible_utm(planar: Planar, source: str, datum: DatumReading, context: PositionContext) -> ParsedText:
    """Numbers that no zone has: the last digit left out of both, or a digit lost or gained."""
    easting, northing = _labelled(planar)
    zones = [planar.zone] if planar.zone else _likely_zones(context)
    if (easting.whole_digits, northing.whole_digits) == (5, 6) and zones:
        cell = (_cell(easting), _cell(northing))
        readings = tuple(
            _utm_position(cell, zone, "N", datum, context)._replace(
                radius_m=10 / math.sqrt(2), label="last digit left out of both: centre of the 10 m cell"
            )
            for zone in zones
        )
        note = (
            "an easting has six digits and a northing here seven: the last digit of both is left out, or one is lost"
        )
        return ParsedText(source, readings, rule=HAS_TWO_READINGS.id, note=note)
    scaled = [Length(length.value * 1000, length.step * 1000, length.digits, "m") for length in (easting, northing)]
    if not planar.unit and zones and _is_utm(scaled[0], scaled[1]) and max(easting.value, northing.value) < 10_000:
        offers = tuple(
            _utm_position((scaled[0], scaled[1]), zone, "N", datum, context)._replace(label="in kilometres")
            for zone in zones
        )
        return ParsedText(
            source, offers=offers, rule=OUT_OF_RANGE.id, note="too small for metres; perhaps kilometres"
        )
    note = (
        "no zone has such an easting (six digits) and northing (up to seven digits): a digit is lost or one too many"
    )
    return ParsedText(source, rule=OUT_OF_RANGE.id, note=note)


def _cell(length: Length) -> Length:
    """The middle of the 10 m cell that a number without its last digit names."""
    return Length(length.value * 10 + 5, 10.0, length.digits, length.unit)


def _utm_position(
    pair: tuple[Length, Length], zone: int, hemisphere: str, datum: DatumReading, context: PositionContext
) -> ParsedPosition:
    crs = datum.projected if datum.projected and datum.zone == zone and datum.letter == hemisphere else ""
    return ParsedPosition(
        "utm", pair[0].value, pair[1].value, crs or utm_crs(datum.code or WGS84, zone, hemisphere), datum.name, "UTM",
        radius_m=_precision(pair, context.precision_is_kept), label=f"zone {zone}{hemisphere}",
        numbers=(pair[0].digits, pair[1].digits),
    )  # fmt: skip


def _precision(pair: tuple[Length, Length], zeros_are_kept: bool) -> float:
    """Units of doubt from the last digit: the diagonal of one step, coarser for whole tens.

    Zeros at the end of both are taken for rounding unless the survey writes them on purpose: doubt is better
    overestimated (Georeferencing Best Practices v1.1.1, section 3.4.3).
    """
    step = max(length.step for length in pair)
    if not zeros_are_kept and step == 1.0:
        while step < 100_000 and all(length.value % (step * 10) == 0 for length in pair):
            step *= 10
    return step * math.sqrt(2)


def _state_plane(planar: Planar, source: str, datum: DatumReading, context: PositionContext) -> ParsedText | None:
    """A State Plane reading; None if the survey names no State Plane zone."""
    crs = context.state_plane_crs
    if not crs:
        return None
    easting, northing = _labelled(planar)
    unit_m = metres_per_unit(crs)
    reading = _grid_reading(easting, northing, crs, context, "State Plane")
    if datum.code not in ("", geographic_code(crs), read_datum(context.datum).code):
        note = f"the row says {datum.name}, and the State Plane zone {crs} is on another datum"
        return ParsedText(source, (reading,), rule=DATUMS_CONTRADICT.id, note=note)
    says_metres, is_metric = planar.unit == "m", unit_m == 1.0
    if planar.unit and says_metres != is_metric:
        factor = (1.0 if says_metres else 0.3048) / unit_m
        other = reading._replace(
            x=easting.value * factor, y=northing.value * factor, label=f"numbers taken as {planar.unit}"
        )
        note = f"the cell says {planar.unit}, the State Plane zone of the survey file is in another unit"
        readings = (other, reading._replace(label="numbers taken in the unit of the zone"))
        return ParsedText(source, readings, rule=CONTRADICTS_ITSELF.id, note=note)
    return ParsedText(
        source, (reading,), reading_rule="state-plane", remark=f"State Plane zone {crs} from the survey file"
    )


def _on_named_grid(planar: Planar, source: str, datum: DatumReading, context: PositionContext) -> ParsedText:
    """A position on a projected system that the datum cell names by its code."""
    easting, northing = _labelled(planar)
    reading = _grid_reading(easting, northing, datum.projected, context, datum.projected)
    return ParsedText(source, (reading,), reading_rule="named-grid")


def _grid_reading(easting: Length, northing: Length, crs: str, context: PositionContext, form: str) -> ParsedPosition:
    radius_m = _precision((easting, northing), context.precision_is_kept) * metres_per_unit(crs)
    return ParsedPosition(
        "state plane", easting.value, northing.value, crs, crs, form, radius_m=radius_m,
        numbers=(easting.digits, northing.digits),
    )  # fmt: skip
