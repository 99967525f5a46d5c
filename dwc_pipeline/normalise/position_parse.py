"""From the cells of a row to the positions they can stand for, before any conversion.

The cells are read in groups: latitude and longitude, easting and northing, and one cell that holds everything.
"""

from __future__ import annotations

import re
from dataclasses import replace

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise.datum_shift import is_known_system
from dwc_pipeline.normalise.datum_text import (
    DATUM_CELL_HOLDS_NO_DATUM,
    DatumReading,
    find_datum,
    read_datum,
)
from dwc_pipeline.normalise.degrees_position import degrees_position
from dwc_pipeline.normalise.degrees_text import Angle, parse_angle, parse_pair, plain_marks
from dwc_pipeline.normalise.grid_reference import parse_grid_reference
from dwc_pipeline.normalise.planar_position import grid_position, planar_position
from dwc_pipeline.normalise.planar_text import (
    Planar,
    is_land_survey,
    parse_length,
    parse_planar,
    parse_zone,
)
from dwc_pipeline.normalise.position_context import ParsedCells, ParsedText, PositionCells, PositionContext
from dwc_pipeline.normalise.position_rules import (
    CONTRADICTS_ITSELF,
    DATUMS_CONTRADICT,
    HAS_TWO_READINGS,
    IS_ZERO,
    LACKS_ITS_OTHER_HALF,
    LACKS_ITS_ZONE,
    NOT_A_COORDINATE,
)

#: how people write that there is nothing to write; common practice, no source.
_NOTHING = {
    "",
    "na",
    "n/a",
    "n.a.",
    "nan",
    "null",
    "none",
    "nil",
    "-",
    "--",
    ".",
    "?",
    "unknown",
    "not recorded",
    "nd",
}
_POINT = re.compile(r"POINT\s*Z?\s*\(\s*([+-]?[\d.]+)\s+([+-]?[\d.]+)(?:\s+[+-]?[\d.]+)?\s*\)", re.IGNORECASE)
_SIX_DIGITS_EACH = re.compile(r"\D*0?\d{6}\D+0?\d{6}\D*")
_ZERO_PAIR = re.compile(r"\s*[+-]?0+(?:\.0*)?\s*[,;/ ]\s*[+-]?0+(?:\.0*)?\s*")
_FIVE_DIGITS = re.compile(r"(?<![\d.])\d{5}|\d,\d{3}")
#: a cell that means a datum, even if not which: the survey's usual datum must not stand in for it
_MEANS_A_DATUM = re.compile(r"NAD|WGS|EPSG|ETRS|ITRF|GDA|SAD|ED50|Clarke|GRS|datum|\d{2}", re.IGNORECASE)
#: words and marks of doubt, and a margin at the end
_DOUBT = re.compile(
    r"\?|[~≈]|\b(?:ca|circa|approx(?:imately)?|about|appx)\b\.?|(?:±|\+\s*/?\s*-)\s*\d+(?:\.\d+)?\s*(?:m|ft)?\s*$",
    re.IGNORECASE,
)
_GRID_WORD = re.compile(r"^\s*(?:MGRS|USNG)\s*[:=]?\s*|\s*\(?(?:MGRS|USNG)\)?\s*$", re.IGNORECASE)
LAT_LON, EAST_NORTH, ONE_CELL = "latitude and longitude", "easting and northing", "coordinates"


def parse_position(cells: PositionCells, context: PositionContext) -> ParsedCells:
    """What each group of cells of one row says.

    Raises ValueError if the context itself names a datum or a State Plane zone that does not exist.
    """
    typed = PositionCells(*("" if cell.strip().lower() in _NOTHING else cell.strip() for cell in cells))
    flags: list[Flag] = []
    datum, remark = _datum_of(typed, context, flags)
    zone = _zone_of(typed, datum, context, flags)
    groups = []
    if typed.latitude or typed.longitude:
        groups.append(_lat_lon(typed, datum, zone, context))
    if typed.easting or typed.northing:
        groups.append(_east_north(typed, datum, zone, context))
    if typed.coordinates:
        groups.append(_one_cell(typed.coordinates, ONE_CELL, datum, zone, typed, context))
    return ParsedCells(tuple(groups), tuple(flags), remark)


def _datum_of(typed: PositionCells, context: PositionContext, flags: list[Flag]) -> tuple[DatumReading, str]:
    """The datum of the row's cells, else of the context, and where it is from."""
    declared = read_datum(context.datum)
    if context.datum and not declared.is_datum:
        raise ValueError(f"the datum {context.datum!r} of the survey file is not known: write WGS84, NAD83 or NAD27")
    if context.state_plane_crs and not is_known_system(context.state_plane_crs):
        raise ValueError(f"the State Plane system {context.state_plane_crs!r} of the survey file is not known")
    cell = read_datum(typed.datum) if typed.datum else DatumReading()
    if not cell.is_datum and typed.zone:
        in_zone = find_datum(typed.zone)
        cell = in_zone if in_zone.is_datum else cell
    if typed.datum and not cell.is_datum:
        declared = DatumReading() if _MEANS_A_DATUM.search(typed.datum) else declared
        flags.append(Flag(DATUM_CELL_HOLDS_NO_DATUM.id, f"{typed.datum!r} is not the name of a datum"))
    if cell.is_datum:
        return cell, f"datum {cell.name} from the row"
    if declared.is_datum:
        return declared, f"datum {declared.name} from {context.datum_source}"
    return DatumReading(), ""


def _zone_of(
    typed: PositionCells, datum: DatumReading, context: PositionContext, flags: list[Flag]
) -> tuple[int, str, str]:
    """UTM zone and letter of the zone cell, of the datum cell or of the context, and where they are from."""
    if typed.zone:
        zone = parse_zone(find_datum(typed.zone).rest)
        if zone is not None:
            return (*zone, "the row")
        flags.append(Flag(LACKS_ITS_ZONE.id, f"{typed.zone!r} is not a zone: write its number and band, such as 14S"))
        return 0, "", ""
    if datum.zone:
        return datum.zone, "north" if datum.letter == "N" and datum.projected else datum.letter, "the datum"
    if context.zone:
        return context.zone, context.zone_letter, context.datum_source
    return 0, "", ""


def _lat_lon(
    typed: PositionCells, datum: DatumReading, zone: tuple[int, str, str], context: PositionContext
) -> ParsedText:
    """A latitude cell and a longitude cell."""
    if not typed.latitude or not typed.longitude:
        alone = typed.latitude or typed.longitude
        whole = _one_cell(alone, LAT_LON, datum, zone, typed, context)
        if whole.readings or whole.offers or whole.rule == LACKS_ITS_ZONE.id:
            return whole
        missing = "longitude" if typed.latitude else "latitude"
        if any(character.isdigit() for character in alone):
            return ParsedText(LAT_LON, rule=LACKS_ITS_OTHER_HALF.id, note=f"the {missing} is empty")
        return whole
    named = [find_datum(cell) for cell in (typed.latitude, typed.longitude)]
    inner = next((one for one in named if one.is_datum), DatumReading())
    texts = [one.rest for one in named]
    lengths = [parse_length(text) if _FIVE_DIGITS.search(text) else None for text in texts]
    if lengths[0] and lengths[1] and _looks_planar(lengths[0].whole_digits, lengths[1].whole_digits):
        planar = Planar(lengths[1], lengths[0], "", zone[0], zone[1])
        found = planar_position(planar, LAT_LON, _agreed(inner, datum), context)
        if found.readings or found.needs_zone:
            return _asked_about_heading(found) if zone[2] != "the row" else found
    angles = [parse_angle(text) for text in texts]
    if not angles[0] or not angles[1]:
        unread = typed.latitude if not angles[0] else typed.longitude
        if plain_marks(texts[0]) == plain_marks(texts[1]):
            return _one_cell(typed.latitude, LAT_LON, datum, zone, typed, context)
        return ParsedText(LAT_LON, rule=NOT_A_COORDINATE.id, note=f"{unread!r} is not a latitude or longitude")
    pairs = [(_on_axis(lat, "lat"), _on_axis(lon, "lon")) for lat in angles[0] for lon in angles[1]]
    found = degrees_position(pairs, LAT_LON, _datum_pair(_agreed(inner, datum)), context)
    if pairs[0][0].hemisphere in ("E", "W") or pairs[0][1].hemisphere in ("N", "S"):
        return _asked_about_heading(found)
    if all(one.is_datum for one in named) and named[0].code != named[1].code:
        return _two_datums(found, inner, named[1], "the latitude", "the longitude")
    return _if_datums_agree(found, inner, datum, context)


def _looks_planar(lat_digits: int, lon_digits: int) -> bool:
    """True for a six and a seven digit number, as of an easting and a northing."""
    return sorted((lat_digits, lon_digits)) == [6, 7]


def _asked_about_heading(found: ParsedText) -> ParsedText:
    """The reading as a question: what stands in the cells is not what their headings say."""
    if found.rule or not found.readings:
        return found
    note = "what is typed does not fit the headings of its columns"
    readings = tuple(one._replace(label="by what is typed, not by the headings") for one in found.readings)
    return replace(found, readings=readings, rule=CONTRADICTS_ITSELF.id, note=note)


def _on_axis(angle: Angle, axis: str) -> Angle:
    return angle if angle.hemisphere or angle.axis else replace(angle, axis=axis)


def _east_north(
    typed: PositionCells, datum: DatumReading, zone: tuple[int, str, str], context: PositionContext
) -> ParsedText:
    """An easting cell and a northing cell."""
    if not typed.easting or not typed.northing:
        alone = typed.easting or typed.northing
        whole = _one_cell(alone, EAST_NORTH, datum, zone, typed, context)
        if whole.readings or whole.offers:
            return whole
        missing = "northing" if typed.easting else "easting"
        return ParsedText(EAST_NORTH, rule=LACKS_ITS_OTHER_HALF.id, note=f"the {missing} is empty")
    lengths = [parse_length(cell) for cell in (typed.easting, typed.northing)]
    degrees = _degrees_under_easting(typed, datum, context, [length.value if length else None for length in lengths])
    if degrees is not None:
        return degrees
    if lengths[0] is None or lengths[1] is None:
        unread = typed.easting if lengths[0] is None else typed.northing
        return ParsedText(EAST_NORTH, rule=NOT_A_COORDINATE.id, note=f"{unread!r} is not an easting or northing")
    metric = [length.in_metres() for length in lengths if length]
    unit = next((length.unit for length in metric if length.unit), "")
    planar = Planar(metric[0], metric[1], "EN", zone[0], zone[1], says_utm=zone[2] == "the row", unit=unit)
    if zone[2] == "the row" and datum.zone and datum.zone != zone[0]:
        return _two_zones(planar, (zone[0], datum.zone), "the datum column", EAST_NORTH, datum, context)
    return planar_position(planar, EAST_NORTH, datum, context)


def _two_zones(
    planar: Planar, zones: tuple[int, int], second: str, source: str, datum: DatumReading, context: PositionContext
) -> ParsedText:
    """The question which of two zones holds. second: who names the second one."""
    readings = tuple(
        one
        for number in zones
        for one in planar_position(replace(planar, zone=number), source, datum, context).readings
    )
    note = f"the position says zone {zones[0]}, {second} says {zones[1]}"
    return ParsedText(source, readings, rule=CONTRADICTS_ITSELF.id, note=note)


def _degrees_under_easting(
    typed: PositionCells, datum: DatumReading, context: PositionContext, values: list[float | None]
) -> ParsedText | None:
    """A longitude under easting and a latitude under northing: read, but always asked about."""
    if any(value is not None and abs(value) > 180 for value in values):
        return None
    angles = [parse_angle(cell) for cell in (typed.easting, typed.northing)]
    if not angles[0] or not angles[1]:
        return None
    if "km" in f"{typed.easting} {typed.northing}".lower():
        return None
    pairs = [(lat, lon) for lon in angles[0] for lat in angles[1]]
    if not any(angle.hemisphere for pair in pairs for angle in pair):
        pairs = [(_on_axis(lat, "lat"), _on_axis(lon, "lon")) if lat.size <= 90 else (lat, lon) for lat, lon in pairs]
    return _asked_about_heading(degrees_position(pairs, EAST_NORTH, _datum_pair(datum), context))


def _one_cell(
    cell: str,
    source: str,
    datum: DatumReading,
    zone: tuple[int, str, str],
    typed: PositionCells,
    context: PositionContext,
) -> ParsedText:
    """One cell that should hold a whole position."""
    named = find_datum(cell)
    text, used = named.rest, _agreed(named, datum)
    if _ZERO_PAIR.fullmatch(text):
        return ParsedText(source, rule=IS_ZERO.id, note="0, 0 is in the Gulf of Guinea: empty cells exported as zero")
    if is_land_survey(text):
        note = (
            "a township and range description needs its principal meridian and a map of the survey to be placed; "
            "a quarter section has a radius of 570 m"
        )
        return ParsedText(source, rule=NOT_A_COORDINATE.id, note=note)
    point = _POINT.fullmatch(plain_marks(text))
    if point:
        text = f"longitude {point[1]}; latitude {point[2]}"
    found = _as_grid(text, source, used, zone, context) or _as_planar(text, source, used, zone, context)
    is_open = found is None or (not found.readings and _SIX_DIGITS_EACH.fullmatch(text))
    degrees = _as_degrees(text, source, used, context) if is_open else None
    if found is not None and degrees is not None and degrees.readings:
        note = "easting and northing without a zone, or degrees minutes seconds run together or without their point"
        found = ParsedText(source, (*degrees.readings, *found.offers), rule=HAS_TWO_READINGS.id, note=note)
    found = found or degrees
    doubtless = _DOUBT.sub(" ", text).strip()
    if found is None and doubtless != text.strip():
        found = _as_planar(doubtless, source, used, zone, context) or _as_degrees(doubtless, source, used, context)
        if found is not None:
            note = "the position is marked as doubtful, approximate or with a margin"
            return ParsedText(source, offers=found.readings or found.offers, rule=NOT_A_COORDINATE.id, note=note)
    if found is None:
        note = "no coordinate can be read from it"
        return ParsedText(source, rule=NOT_A_COORDINATE.id, note=note)
    return _if_datums_agree(found, named, datum, context)


def _as_grid(
    text: str, source: str, datum: DatumReading, zone: tuple[int, str, str], context: PositionContext
) -> ParsedText | None:
    """An MGRS or USNG reference."""
    reference = parse_grid_reference(_GRID_WORD.sub("", plain_marks(text)))
    if reference is None or (not reference.zone and len(reference.easting) < 2):
        return None
    if not reference.zone and not zone[0]:
        if len(reference.easting) < 3:
            return None
        note = "a grid reference without its zone and band, such as 14S before the two letters"
        return ParsedText(source, rule=LACKS_ITS_ZONE.id, note=note)
    local = replace(context, zone=zone[0] or None, zone_letter=zone[1], datum_source=zone[2])
    return grid_position(reference, source, datum, local)


def _as_planar(
    text: str, source: str, datum: DatumReading, zone: tuple[int, str, str], context: PositionContext
) -> ParsedText | None:
    """An easting and northing in one cell; its own zone goes before that of its row and of the survey."""
    planar = parse_planar(text)
    if planar is None:
        return None
    if planar.zone and zone[2] in ("the row", "the datum") and planar.zone != zone[0]:
        return _two_zones(planar, (planar.zone, zone[0]), f"{zone[2]}'s own column", source, datum, context)
    from_context = not planar.zone and zone[2]
    if not planar.zone:
        planar = replace(planar, zone=zone[0], letter=zone[1])
    elif not planar.letter and planar.zone == zone[0]:
        planar = replace(planar, letter=zone[1])
    found = planar_position(planar, source, datum, context)
    if from_context and found.readings:
        remark = "; ".join(part for part in (found.remark, f"zone {zone[0]}{zone[1]} from {zone[2]}") if part)
        return replace(found, remark=remark)
    return found


def _as_degrees(text: str, source: str, datum: DatumReading, context: PositionContext) -> ParsedText | None:
    """Two angles in one cell, unless it is only one angle."""
    pairs = parse_pair(text)
    angles = parse_angle(text)
    uneven = all(len(first.digits) != len(second.digits) for first, second in pairs)
    bare = all(angle.is_unsigned and not angle.axis for pair in pairs for angle in pair)
    if angles and (not pairs or (bare and (uneven or len(angles[0].digits) == 2))):
        # "36 45" is one latitude in degrees and minutes rather than two whole degrees
        readings = degrees_position(pairs, source, _datum_pair(datum), context).readings if pairs else ()
        note = "one number, or one angle of degrees, minutes and seconds: the other half is not there"
        return ParsedText(source, offers=readings, rule=LACKS_ITS_OTHER_HALF.id, note=note)
    if pairs:
        return degrees_position(pairs, source, _datum_pair(datum), context)
    return _with_third_number(text, source, datum, context)


def _with_third_number(text: str, source: str, datum: DatumReading, context: PositionContext) -> ParsedText | None:
    """Two decimal degrees and a third number, such as an elevation: a question."""
    three = re.fullmatch(r"([+-]?\d{1,3}\.\d+)[\s,;]+([+-]?\d{1,3}\.\d+)[\s,;]+[+-]?\d+(?:\.\d+)?\s*(?:m|ft)?", text)
    if not three:
        return None
    found = degrees_position(parse_pair(f"{three[1]}, {three[2]}"), source, _datum_pair(datum), context)
    note = "two numbers in degrees and a third, perhaps an elevation"
    readings = tuple(one._replace(label="third number left out") for one in found.readings)
    return ParsedText(source, readings, rule=HAS_TWO_READINGS.id, note=note) if readings else found


def _agreed(inner: DatumReading, outer: DatumReading) -> DatumReading:
    """The datum named beside the numbers, else that of the row or survey."""
    return inner if inner.is_datum else outer


def _datum_pair(datum: DatumReading) -> tuple[str, str]:
    return datum.code, datum.name


def _if_datums_agree(
    found: ParsedText, inner: DatumReading, outer: DatumReading, context: PositionContext
) -> ParsedText:
    """The reading as a question if the cell names one datum and the row's datum cell another."""
    from_row = outer.is_datum and outer.code != read_datum(context.datum).code
    if not inner.is_datum or not from_row or inner.code == outer.code or not found.readings:
        return found
    return _two_datums(found, inner, outer, "the position", "the datum column")


def _two_datums(found: ParsedText, inner: DatumReading, outer: DatumReading, one: str, other: str) -> ParsedText:
    """The reading as a question between two datums. one, other: what names each of them."""
    if not found.readings:
        return found
    note = f"{one} says {inner.name}, {other} says {outer.name}"
    readings = found.readings
    if all(reading.kind == "degrees" for reading in readings):
        readings = (*readings, *(reading._replace(crs=outer.code, datum=outer.name) for reading in readings))
    readings = tuple(reading._replace(label=f"datum {reading.datum}") for reading in readings)
    return replace(found, readings=readings, rule=DATUMS_CONTRADICT.id, note=note, place_settles=False)
