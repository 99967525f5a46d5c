"""Measurements: a cell such as "12.5 g", "7 in", "96-17.5" or "45 brk" in the unit of its column's quantity.

Writes the number as decimal text in the target unit, and beside it (`also`): measurementUnit,
measurementAccuracy (half the last digit as typed, or what stands after ±, in the target unit, three
significant digits; a difference adds up both; blank for "~60", whose digits tell nothing of it),
measurementMethod, measurementRemarks, verbatim_unit,
qualifier ("approximate", "at least 45 mm" ...) and tail_condition.

A cell that tells something but no number ("<1 g", "trace", "brk") is `kept` with value "": its words stand
in `also`, and a finding says that no number was written. Words for "not measured" are `empty`.

Source of the forms: common practice, no source; of the units: units.py.

>>> from dwc_pipeline.normalise.quantity import quantity
>>> judge_quantity("1/2 oz", quantity("body mass", "g")).value
'14.1747615625'
>>> judge_quantity("96-17.5", quantity("body mass", "g", "g")).value
'78.5'
>>> judge_quantity("12", quantity("body mass", "g")).rule
'unit-unknown'
"""

from __future__ import annotations

import re
from fractions import Fraction

from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.measured_number import UNIT_TEXT, Reading, number_suggestions, readings_of, value_text
from dwc_pipeline.normalise.measurement_rules import (
    BAG_INCLUDED,
    BEYOND_THE_SCALE,
    DIGIT_NOT_READ,
    IN_WORDS,
    IS_LIMIT,
    MARK_UNKNOWN,
    NOT_POSITIVE,
    NOT_READABLE,
    OTHER_KIND,
    UNIT_DIFFERS,
    UNIT_UNKNOWN,
)
from dwc_pipeline.normalise.measurement_words import Facts, take_off_words
from dwc_pipeline.normalise.number import NUMBER, number_readings, plain_typing
from dwc_pipeline.normalise.quantity import Quantity
from dwc_pipeline.normalise.units import Unit, convert, decimal_text, find_unit, rounded_text
from dwc_pipeline.terms.vocabulary import load_vocabulary

LIMITS = (
    (re.compile(r"^(?:<=|=<|≤|up to|at most)\s*(?=\d)", re.I), "at most"),
    (re.compile(r"^(?:>=|=>|≥|at least)\s*(?=\d)", re.I), "at least"),
    (re.compile(r"^(?:<|less than|under|below)\s*(?=[\d.])", re.I), "less than"),
    (re.compile(r"^(?:>|more than|greater than|over|above)\s*(?=[\d.])", re.I), "more than"),
)
WIND_WORDS = frozenset(
    {"calm", "light", "light breeze", "breeze", "breezy", "moderate", "windy", "gusty", "strong", "variable"}
)
BEAUFORT = re.compile(r"^(?:beaufort|bft|b)\s*\d{1,2}$|^\d{1,2}\s*(?:bft|beaufort)$", re.I)
NO_RAIN = frozenset({"none", "no rain", "dry", "nil", "zero", "no"})
TRACE = frozenset({"trace", "tr", "t"})
DIGIT_AND_MARK = re.compile(r"\d[.,]?\?+\s*[A-Za-z°%]*$")
#: a length under this cannot be an animal's, so that "1.2 m" is no slip for mm; the longest snake is under 10 m [mm]
SHORTEST_LENGTH, LONGEST_LENGTH = 5, 10_000
#: what a thermometer in the field can show: air under the record of 56.7 °C (World Meteorological Organization),
#: ground and water wider, by common practice [°C]
COLDEST, WARMEST_AIR, WARMEST_GROUND = -60, 57, 85
#: units that no quantity written in mm can be in: "45 m" in a length column is a slip for mm
FAR_TOO_LARGE = {"mm": frozenset({"m", "km", "yd", "mi"})}


def judge_quantity(verbatim: str, quantity: Quantity) -> Verdict:
    """The number that a cell of that quantity stands for, as decimal text in its target unit."""
    text = plain_typing(verbatim)
    if text[:1] == "'" and text[1:2].isdigit():  # the sign by which a spreadsheet keeps a cell as text
        text = text[1:]
    if not text:
        return EMPTY
    if (not_told := load_vocabulary("not_told").find(text)) is not None and not not_told.value:
        return Verdict(Status.EMPTY, note=f"'{text}' says that {quantity.name} was not measured.")
    in_words = _words_without_number(text, quantity)
    if in_words is not None:
        return in_words
    if DIGIT_AND_MARK.search(text):
        return _digit_not_read(text, quantity)
    facts = Facts()
    body = take_off_words(text, quantity, facts)
    if body is None:
        return unreadable(BAG_INCLUDED.id, f"'{text}' was weighed in the bag.", also=facts.everything())
    if not body:
        return _kept_as_words(f"'{text}' gives no number.", facts, IN_WORDS.id)
    limit = _limit_or_range(body, quantity, facts)
    if limit is not None:
        return limit
    return _judge_readings(verbatim, text, readings_of(body, quantity), quantity, facts)


def _digit_not_read(text: str, quantity: Quantity) -> Verdict:
    """A question mark at a digit: the number with doubt, or a digit that could not be read. Asked."""
    without = judge_quantity(text.replace("?", ""), quantity)
    note = f"'{text}': the number with doubt, or a digit that could not be read."
    return ambiguous(DIGIT_NOT_READ.id, note, (without.value,) if without.value else ())


def _kept_as_words(note: str, facts: Facts, rule: str) -> Verdict:
    """A cell that tells something but no number: nothing is changed, nothing is written as a value."""
    return Verdict(Status.KEPT, note=note, also=facts.everything(), flags=(*facts.flags, Flag(rule, note)))


def _words_without_number(text: str, quantity: Quantity) -> Verdict | None:
    """Rain and wind in words; None if the cell is none of these."""
    word = text.casefold().strip(". ")
    if quantity.name == "rain" and word in NO_RAIN:
        also = {"measurementUnit": quantity.unit}
        return kept_or_changed(text, "0", "word-list", f"'{text}': no rain.", also=also)
    is_trace = quantity.name == "rain" and word in TRACE
    is_wind = quantity.target.kind == "speed" and (word in WIND_WORDS or BEAUFORT.match(word))
    if is_trace or is_wind:
        words = "trace" if is_trace else word
        return _kept_as_words(f"'{text}' gives no number.", Facts({"qualifier": words}, [], [words]), IN_WORDS.id)
    return None


def _limit_or_range(body: str, quantity: Quantity, facts: Facts) -> Verdict | None:
    """Cells that name a limit or a range instead of a number; None for all others."""
    words = ""
    for pattern, limit in LIMITS:
        if pattern.match(body):
            words = f"{limit} {pattern.sub('', body)}"
            break
    if plus := re.fullmatch(
        rf"({NUMBER})\s*(?:\+|or more)\s*({UNIT_TEXT})|({NUMBER}\s*{UNIT_TEXT})\s*\+", body, re.I
    ):
        words = f"at least {' '.join(part for part in plus.groups() if part)}"
    between = re.fullmatch(rf"({NUMBER})\s*({UNIT_TEXT})\s*(?:-|to)\s*({NUMBER})\s*({UNIT_TEXT})", body, re.I)
    units_known = between and all(not unit or find_unit(unit) for unit in (between[2], between[4]))
    if between and units_known and _is_range(between[1], between[3], quantity):
        words = body
    if not words:
        return None
    facts.also["qualifier"] = words
    facts.remarks.insert(0, words)
    return _kept_as_words(f"'{body}' is a limit or range, not a number.", facts, IS_LIMIT.id)


def _is_range(low: str, high: str, quantity: Quantity) -> bool:
    lows, highs = number_readings(low, quantity.decimal_mark), number_readings(high, quantity.decimal_mark)
    return bool(lows and highs) and lows[0].value < highs[0].value


def _judge_readings(
    verbatim: str, text: str, readings: tuple[Reading, ...], quantity: Quantity, facts: Facts
) -> Verdict:
    also, name = facts.everything(), quantity.name
    if not readings:
        suggestions = number_suggestions(text, quantity)
        return unreadable(NOT_READABLE.id, f"'{text}' is no {name} that can be read.", suggestions, also=also)
    units = {reading.unit for reading in readings if reading.unit is not None}
    if any(unit.kind != quantity.target.kind for unit in units):
        named = ", ".join(unit.symbol for unit in units)
        return unreadable(OTHER_KIND.id, f"'{text}': {named} is no unit of {name}.", also=also)
    if len(readings) > 1:
        values = tuple(
            value_text(reading, reading.unit or quantity.default or quantity.target, quantity) for reading in readings
        )
        return ambiguous(MARK_UNKNOWN.id, f"'{text}' can be read as {' or '.join(values)}.", values, also=also)
    (reading,) = readings
    unit = reading.unit or quantity.default
    if unit is None:
        values = tuple(dict.fromkeys(value_text(reading, usual, quantity) for usual in quantity.usual_units))
        named = ", ".join(usual.symbol for usual in quantity.usual_units)
        note = f"'{text}': no unit is given for {name}. The readings are for {named}, in {quantity.unit}."
        return ambiguous(UNIT_UNKNOWN.id, note, values, also=also)
    return _judge_value(verbatim, text, reading, unit, quantity, facts)


def _judge_value(verbatim: str, text: str, reading: Reading, unit: Unit, quantity: Quantity, facts: Facts) -> Verdict:
    value = value_text(reading, unit, quantity)
    number = convert(reading.number, unit, quantity.target)
    impossible = _impossible(reading.number, number, quantity)
    if impossible:
        return unreadable(NOT_POSITIVE.id, f"'{text}': {impossible}", also=facts.everything())
    if quantity.target.kind == "share" and 0 < number < 1 and reading.unit is None:
        values = (decimal_text(number * 100), value)
        return ambiguous(
            MARK_UNKNOWN.id, f"'{text}' can be a share of one or per cent.", values, also=facts.everything()
        )
    if quantity.target.kind == "temperature" and not _can_be_shown(number, quantity):
        return _beyond_the_scale(text, reading, quantity, facts)
    is_plausible = unit.symbol == "m" and reading.number < SHORTEST_LENGTH <= number <= LONGEST_LENGTH
    if unit.symbol in FAR_TOO_LARGE.get(quantity.unit, ()) and not is_plausible:
        values = (decimal_text(reading.number), value)
        return ambiguous(UNIT_UNKNOWN.id, f"'{text}': is {unit.symbol} meant?", values, also=facts.everything())
    if reading.unit is not None and quantity.default_unit and reading.unit != quantity.default:
        note = f"'{text}' is in {unit.symbol}; the column is in {quantity.default_unit}."
        facts.flags.append(Flag(UNIT_DIFFERS.id, note))
    factor = unit.factor / quantity.target.factor
    half_a_digit = Fraction(0) if facts.is_approximate else reading.step / 2
    accuracy = (reading.accuracy if reading.accuracy is not None else half_a_digit) * factor
    also = {"measurementUnit": quantity.unit, **({"measurementAccuracy": rounded_text(accuracy)} if accuracy else {})}
    also |= {"verbatim_unit": unit.symbol} if unit != quantity.target else {}
    also |= {"measurementMethod": reading.method} if reading.method else {}
    rule = (
        "approximate"
        if facts.is_approximate
        else "unit-conversion"
        if unit != quantity.target
        else (reading.how.replace(" ", "-") or "plain-number")
    )
    how = ", ".join(part for part in (reading.how, "approximate" if facts.is_approximate else "") if part)
    note = f"'{text}' is {value} {quantity.unit}".rstrip() + (f" ({how})." if how else ".")
    return kept_or_changed(verbatim, value, rule, note, also={**also, **facts.everything()}, flags=tuple(facts.flags))


def _can_be_shown(celsius: Fraction, quantity: Quantity) -> bool:
    """True for a temperature that air, ground or water of that column can have."""
    return COLDEST <= celsius <= (WARMEST_AIR if "air" in quantity.name else WARMEST_GROUND)


def _beyond_the_scale(text: str, reading: Reading, quantity: Quantity, facts: Facts) -> Verdict:
    """A temperature that nothing outdoors has: the other scale is offered, or nothing."""
    others = {value_text(reading, unit, quantity): unit for unit in quantity.usual_units}
    values = tuple(
        value
        for value, unit in others.items()
        if _can_be_shown(convert(reading.number, unit, quantity.target), quantity)
    )
    note = f"'{text}' is no {quantity.name} that can be: another scale, or a slip of a digit or a point."
    return unreadable(BEYOND_THE_SCALE.id, note, values, also=facts.everything())


def _impossible(typed: Fraction, number: Fraction, quantity: Quantity) -> str:
    """Why a number cannot be; "" if it can. Zero is judged as typed, so that 0 °F is no zero fault."""
    if typed < 0 and "negative" not in quantity.allow:
        return f"{quantity.name} cannot be negative."
    if typed == 0 and "zero" not in quantity.allow:
        return f"{quantity.name} cannot be zero; clear the cell if it was not measured."
    if quantity.target.kind == "share" and number > 100:
        return "over 100 per cent."
    return ""
