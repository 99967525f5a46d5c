"""From two written angles to a latitude and longitude: which is which, on which side, and how finely written."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

from dwc_pipeline.normalise.datum_shift import WGS84
from dwc_pipeline.normalise.degrees_text import (
    DECIMAL_DEGREES,
    DEGREES_MINUTES,
    DEGREES_MINUTES_SECONDS,
    Angle,
    as_packed,
    as_pointed_seconds,
    torn_apart,
)
from dwc_pipeline.normalise.position_context import ParsedPosition, ParsedText, PositionContext
from dwc_pipeline.normalise.position_rules import (
    CONTRADICTS_ITSELF,
    HAS_NO_SIGN_OR_LETTER,
    HAS_TWO_READINGS,
    IS_ZERO,
    LOST_ITS_POINT,
    OUT_OF_RANGE,
)

#: degrees; a first number beyond this and a second within it are more likely longitude first, in a cell without
#: letters. No reptile or amphibian is recorded nearer to a pole: common practice, no source.
_FARTHEST_LATITUDE = 72.0
#: places of the point that are tried in numbers which have lost theirs
_DECIMALS = range(3, 9)


def degrees_position(
    pairs: list[tuple[Angle, Angle]], source: str, datum: tuple[str, str], context: PositionContext
) -> ParsedText:
    """What the readings of two angles, in written order, say together.

    source: which cells, in words; two cells have their axis in each angle. datum: geographic code ("" if nobody
    wrote it) and its usual name.
    """
    pairs = [*pairs, *(torn for pair in pairs if (torn := _torn(*pair)) is not None)]
    results = [_one_pair(first, second, source, datum, context) for first, second in pairs]
    sound = [result for result in results if result.readings]
    if len(pairs) == 1 or not sound:
        return results[0]
    readings = tuple(dict.fromkeys(itertools.chain.from_iterable(result.readings for result in sound)))
    note = "the marks between the numbers can be taken in more than one way"
    return ParsedText(source, readings, rule=HAS_TWO_READINGS.id, note=note)


def _torn(first: Angle, second: Angle) -> tuple[Angle, Angle] | None:
    """Both angles as decimal degrees, where a space in "3 6.7512" may have torn a number; None for all others."""
    joined = [angle if angle.form == DECIMAL_DEGREES else torn_apart(angle) for angle in (first, second)]
    if joined[0] is None or joined[1] is None or (joined[0] is first and joined[1] is second):
        return None
    return joined[0], joined[1]


def _one_pair(
    first: Angle, second: Angle, source: str, datum: tuple[str, str], context: PositionContext
) -> ParsedText:
    """One latitude and longitude in written order."""
    placed = _placed(first, second)
    if placed is None:
        note = "both letters or labels name the same axis: one must be N or S, the other E or W"
        swaps = ((abs(first.value), -abs(second.value)),) if first.size <= 90 else ((second.size, -first.size),)
        return _refused(source, OUT_OF_RANGE.id, note, datum, swaps)
    lat, lon, note = placed
    if lat.fault or lon.fault:
        return _faulty(lat, lon, source, datum)
    if lat.size == 0 and lon.size == 0:
        return ParsedText(source, rule=IS_ZERO.id, note="0, 0 is in the Gulf of Guinea: empty cells exported as zero")
    if lat.size > 180 or lon.size > 180:
        return _too_large(lat, lon, source, datum, context)
    if lat.size > 90 or lon.size > 180:
        return _beyond_ninety(lat, lon, source, datum, context)
    if lat.contradicts_itself or lon.contradicts_itself:
        return _contradicting(lat, lon, source, datum, context)
    return _sides(lat, lon, note, source, datum, context, is_swapped=lat is second)


def _placed(first: Angle, second: Angle) -> tuple[Angle, Angle, str] | None:
    """Latitude, longitude and how they were told apart; None if both claim the same axis."""
    if (first.is_latitude and second.is_latitude) or (first.is_longitude and second.is_longitude):
        return None
    if first.is_longitude or second.is_latitude:
        return second, first, "longitude first"
    if first.is_latitude or second.is_longitude:
        return first, second, ""
    if 90 < first.size <= 180 and second.size <= 90:
        return second, first, "longitude first: the first number cannot be a latitude"
    return first, second, ""


def _sides(
    lat: Angle, lon: Angle, note: str, source: str, datum: tuple[str, str], context: PositionContext, is_swapped: bool
) -> ParsedText:
    """North or south, east or west; what a form of the column or the order leaves open."""
    latitude, declared_lat = _signed(lat, context.hemisphere_ns)
    longitude, declared_lon = _signed(lon, context.hemisphere_ew)
    reading = _position(lat, lon, latitude, longitude, datum, context)
    signs_are_used = bool(lat.sign or lon.sign) and not (lat.hemisphere or lon.hemisphere)
    # a sign on one number shows that signs are used; a letter on one shows that letters are, and one is missing
    open_lon = lon.is_unsigned and not declared_lon and not signs_are_used
    open_lat = lat.is_unsigned and not declared_lat and not signs_are_used and not lon.sign
    remark = "; ".join(
        part
        for part in (
            note,
            "unsigned latitude is north by the survey file" if declared_lat else "",
            "unsigned longitude is west by the survey file" if declared_lon else "",
        )
        if part
    )
    pointed = _pointed_seconds(lat, lon, latitude, longitude, datum, context)
    if pointed is not None and context.column_form == DEGREES_MINUTES_SECONDS:
        note = "decimal degrees, or degrees minutes seconds typed with a point like the rest of the column"
        return ParsedText(
            source, (reading, pointed), rule=HAS_TWO_READINGS.id, note=note, place_settles=True,
            reading_rule="decimal-degrees", remark=remark,
        )  # fmt: skip
    alternatives = (pointed,) if pointed else ()
    if open_lon or open_lat:
        flipped = reading._replace(x=-longitude, label="minus sign missing")
        both = [reading._replace(label="as typed, taken as north and east"), flipped]
        if not open_lon:
            both = [reading, reading._replace(y=-latitude, label="minus sign missing")]
        note = "no sign and no letter say on which side of Greenwich and of the equator it lies"
        return ParsedText(
            source, tuple(both), rule=HAS_NO_SIGN_OR_LETTER.id, note=note, place_settles=True, remark=remark,
            reading_rule=reading.form.replace(" ", "-"), alternatives=alternatives,
        )  # fmt: skip
    doubt = _order_doubt(lat, lon, reading, source)
    if doubt is not None:
        return doubt
    plain = (
        reading.form == DECIMAL_DEGREES
        and not (lat.hemisphere or lon.hemisphere or is_swapped or declared_lat or declared_lon)
        and datum[0] in ("", WGS84)
        and (latitude, longitude) == (lat.value, lon.value)
    )
    return ParsedText(
        source, (reading,), reading_rule=reading.form.replace(" ", "-"), is_plain=plain, remark=remark,
        alternatives=alternatives,
    )  # fmt: skip


def _order_doubt(lat: Angle, lon: Angle, reading: ParsedPosition, source: str) -> ParsedText | None:
    """The question whether longitude came first, or whether a zero is an empty cell."""
    bare = not (lat.is_latitude or lat.is_longitude or lon.is_latitude or lon.is_longitude)
    if bare and lat.size > _FARTHEST_LATITUDE >= lon.size:
        swapped = reading._replace(x=reading.y, y=reading.x, label="longitude first")
        note = "latitude first puts it beside a pole; longitude may stand first"
        return ParsedText(source, (reading, swapped), rule=HAS_TWO_READINGS.id, note=note, place_settles=True)
    if lat.size == 0 or lon.size == 0:
        note = "one of the two numbers is zero: on the line itself, or an empty cell exported as zero"
        return ParsedText(source, (reading,), rule=IS_ZERO.id, note=note, place_settles=True)
    return None


def _signed(angle: Angle, declared: str) -> tuple[float, bool]:
    """Signed degrees, and whether the survey file's declaration decided the side."""
    if angle.is_unsigned and declared:
        return (-angle.size if declared in ("S", "W") else angle.size), True
    return angle.value, False


def _position(
    lat: Angle, lon: Angle, latitude: float, longitude: float, datum: tuple[str, str], context: PositionContext
) -> ParsedPosition:
    """The position of two angles whose sides are known."""
    coarser = lat if lat.step >= lon.step else lon
    return ParsedPosition(
        "degrees", longitude, latitude, datum[0] or WGS84, datum[1], coarser.form,
        step_degrees=_step(lat, lon, context.precision_is_kept), numbers=(lon.digits[-1], lat.digits[-1]),
    )  # fmt: skip


def _step(lat: Angle, lon: Angle, zeros_are_kept: bool) -> float:
    """Degrees of the last written digit of the pair.

    Where zeros at the end are kept, the coarser of the two. Else a spreadsheet may have dropped zeros of either
    decimal number, so the finer of the two with zeros left out; two halves of a degree are half a degree. Minutes
    and seconds are text and keep their zeros, but two whole zeros are taken for rounding.
    Source: Georeferencing Best Practices v1.1.1, section 3.4.3 and its examples.
    """
    is_rounded = all(angle.step_without_zeros > 59 * angle.step for angle in (lat, lon))
    if zeros_are_kept or lat.form != lon.form or (lat.form != DECIMAL_DEGREES and not is_rounded):
        return max(lat.step, lon.step)
    step = min(lat.step_without_zeros, lon.step_without_zeros)
    if step == 0.1 and all(2 * angle.size % 1 == 0 for angle in (lat, lon)):
        return 0.5
    return step


def _pointed_seconds(
    lat: Angle, lon: Angle, latitude: float, longitude: float, datum: tuple[str, str], context: PositionContext
) -> ParsedPosition | None:
    """36.4504 taken as 36 45 04, if both numbers could be."""
    if len(lat.digits) != 1 or len(lon.digits) != 1:
        return None
    seconds = [as_pointed_seconds(angle.digits[0]) for angle in (lat, lon)]
    if seconds[0] is None or seconds[1] is None:
        return None
    reading = _position(lat, lon, latitude, longitude, datum, context)
    return reading._replace(
        x=math.copysign(seconds[1], longitude), y=math.copysign(seconds[0], latitude), step_degrees=1 / 3600,
        form=DEGREES_MINUTES_SECONDS, label="degrees minutes seconds typed with a point",
    )  # fmt: skip


def _faulty(lat: Angle, lon: Angle, source: str, datum: tuple[str, str]) -> ParsedText:
    """Minutes or seconds that cannot be; offers what was meant if each number has something to offer."""
    note = "; ".join(angle.fault for angle in (lat, lon) if angle.fault)
    pairs = [
        (math.copysign(north, lat.value), math.copysign(east, lon.value))
        for north, east in itertools.product(lat.instead or (lat.size,), lon.instead or (lon.size,))
    ]
    return _refused(source, OUT_OF_RANGE.id, f"{note}: perhaps decimals typed into a minutes form", datum, pairs)


def _contradicting(
    lat: Angle, lon: Angle, source: str, datum: tuple[str, str], context: PositionContext
) -> ParsedText:
    """A minus with an N or an E: by the letter, or by the sign."""
    by_letter = _position(lat, lon, lat.value, lon.value, datum, context)
    flips = [-1.0 if angle.contradicts_itself else 1.0 for angle in (lat, lon)]
    by_sign = by_letter._replace(y=by_letter.y * flips[0], x=by_letter.x * flips[1], label="by the sign")
    note = "the sign says one side and the letter the other"
    return ParsedText(
        source, (by_letter._replace(label="by the letter"), by_sign), rule=CONTRADICTS_ITSELF.id, note=note
    )


def _beyond_ninety(
    lat: Angle, lon: Angle, source: str, datum: tuple[str, str], context: PositionContext
) -> ParsedText:
    """A latitude over 90: in each other's cells, or wrong."""
    note = f"a latitude runs to 90, not {lat.size:g}"
    pairs = [(lon.value, lat.value), (lon.value, -lat.value)] if lon.size <= 90 else []
    return _refused(source, OUT_OF_RANGE.id, note, datum, pairs, "latitude and longitude in each other's place")


def _too_large(lat: Angle, lon: Angle, source: str, datum: tuple[str, str], context: PositionContext) -> ParsedText:
    """Numbers over 180: the point lost, degrees minutes seconds run together, or longitudes counted to 360."""
    if lat.size <= 90 and 180 < lon.size <= 360 and not lon.hemisphere and not lon.sign:
        note = f"a longitude runs to 180, not {lon.size:g}; some programs count on to 360"
        return _refused(
            source, OUT_OF_RANGE.id, note, datum, [(lat.value, lon.size - 360)], "longitude counted to 360"
        )
    digits = [angle.digits[0] if len(angle.digits) == 1 else "" for angle in (lat, lon)]
    readings = [
        _position(lat, lon, math.copysign(north, lat.value), math.copysign(east, lon.value), datum, context)._replace(
            label=label, step_degrees=step
        )
        for north, east, label, step in _repointed(*digits)
        if north <= 90 and east <= 180
    ]
    if not readings:
        note = "the numbers are too large for degrees and too small for a grid"
        return _refused(source, OUT_OF_RANGE.id, note, datum, [])
    note = "the numbers are too large for degrees: the decimal point is lost, or the digits are run together"
    return ParsedText(source, tuple(dict.fromkeys(readings)), rule=LOST_ITS_POINT.id, note=note)


def _repointed(lat: str, lon: str) -> Iterable[tuple[float, float, str, float]]:
    """Both numbers with their point put back at the same place, most digits before the point first."""
    packed = [as_packed(number) for number in (lat, lon)]
    if packed[0] is not None and packed[1] is not None:
        yield packed[0], packed[1], "degrees minutes seconds run together", 1 / 3600
    if lat.isdigit() and lon.isdigit():
        for decimals in _DECIMALS:
            north, east = int(lat) / 10**decimals, int(lon) / 10**decimals
            if north >= 10 or east >= 10:
                yield north, east, "decimal point lost", 10.0**-decimals
        if len(lat) != len(lon):
            # zeros at the end went with the point: as many digits before it as usual
            yield _two_before_point(lat), _two_before_point(lon), "decimal point lost", 10.0 ** -(len(lat) - 2)
    else:
        for north, east in itertools.product(_with_point(lat), _with_point(lon)):
            yield north, east, "decimal point lost in one number", 10.0 ** -max(len(lat), len(lon))


def _two_before_point(digits: str) -> float:
    return int(digits) / 10.0 ** (len(digits) - 2)


def _with_point(digits: str) -> list[float]:
    """The number itself if it has a point or is small, else with the point after its second or third digit."""
    if not digits:
        return []
    if "." in digits or len(digits) <= 3:
        return [float(digits)]
    return [int(digits) / 10.0 ** (len(digits) - before) for before in (2, 3)]


def _refused(
    source: str, rule: str, note: str, datum: tuple[str, str], pairs: Iterable[tuple[float, float]], label: str = ""
) -> ParsedText:
    """A position that cannot be, with what could have been meant."""
    offers = tuple(
        ParsedPosition(
            "degrees", east, north, datum[0] or WGS84, datum[1], DEGREES_MINUTES, label=label or "perhaps meant"
        )
        for north, east in pairs
        if abs(north) <= 90 and abs(east) <= 180
    )
    return ParsedText(source, offers=offers, rule=rule, note=note)
