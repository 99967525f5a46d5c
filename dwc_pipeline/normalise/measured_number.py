"""The number of a measured cell in every form that people write: with a unit, two units, a spread, a difference."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from dwc_pipeline.normalise.number import NUMBER, Written, number_readings
from dwc_pipeline.normalise.quantity import Quantity
from dwc_pipeline.normalise.units import Unit, convert, decimal_text, find_unit, unit_of_symbol

#: pairs of units written together, the larger first, and the number of the smaller that makes one larger
COMPOUNDS = {("ft", "in"): 12, ("lb", "oz"): 16, ("h", "min"): 60, ("m", "cm"): 100, ("kg", "g"): 1000}
#: degrees of a thermometer whose scale the column names
DEGREES = frozenset({"°", "deg", "degs", "degree", "degrees"})
LOOK_ALIKE = {"o": "0", "O": "0", "l": "1", "I": "1", "S": "5"}
MINUS_IN_WORDS = re.compile(r"\s+(?:minus|less)\s+(?:the\s+)?(?:bag\s+)?(?=[\d.])", re.I)
BAG_AFTER = re.compile(r"(?<=\d)\s*(?:\b(?:for|the)\s+)?\bbag$|(?<=\d g)\s+bag$", re.I)
UNIT_TEXT = r"[a-z°%'\"/ .µ-]*?"


@dataclass(frozen=True)
class Reading:
    """One reading of a cell: a number in some unit (None where none was written), with the step of its last digit."""

    number: Fraction
    step: Fraction
    unit: Unit | None = None
    how: str = ""
    accuracy: Fraction | None = None
    method: str = ""


def readings_of(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    """Every reading of the number, likeliest first; () if there is none."""
    if quantity.target.kind == "mass" and re.match(r"\d+ ?- ?\d+ ?/ ?\d+", body):  # 1-1/2: one and a half, or a bag?
        return (*_one_number(re.sub(r" ?- ?", " ", body, count=1), quantity), *_difference(body, quantity))
    if "bag subtraction" in quantity.allow:
        body = BAG_AFTER.sub("", MINUS_IN_WORDS.sub(" - ", body.removeprefix("=").strip()))
    for read in (_one_number, _plus_minus, _compound, _clock, _difference, _stated_difference):
        readings = read(body, quantity)
        if readings:
            return readings
    return ()


def _one_number(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    parts = re.fullmatch(rf"([+-]?)\s*({NUMBER})\s*(.*)", body)
    if not parts:
        return ()
    sign, number, unit_text = parts.groups()
    unit = None
    if unit_text and not (quantity.target.kind == "temperature" and unit_text.casefold().rstrip(".") in DEGREES):
        unit = find_unit(unit_text, quantity.target.kind) or find_unit(unit_text)
        if unit is None:
            return ()
    factor = -1 if sign == "-" else 1
    written = _with_pairs(number, number_readings(number, quantity.decimal_mark), quantity)
    return tuple(Reading(one.value * factor, one.step, unit, one.how) for one in written)


def _with_pairs(number: str, readings: tuple[Written, ...], quantity: Quantity) -> tuple[Written, ...]:
    """Readings, with a second one for "45,46", which is as likely two measurements as a decimal comma."""
    pair = re.fullmatch(r"(\d{2,}),(\d{2,})", number)
    if pair and quantity.decimal_mark != "," and len(pair[1]) == len(pair[2]):
        first, second = Fraction(pair[1]), Fraction(pair[2])
        if len(readings) == 1 and abs(first - second) * 5 <= first:
            return (*readings, Written(first, Fraction(1)), Written(second, Fraction(1)))
    return readings


def _plus_minus(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    parts = re.fullmatch(rf"({NUMBER})\s*({UNIT_TEXT})\s*(?:\+/-|\+-|±)\s*({NUMBER})\s*({UNIT_TEXT})", body, re.I)
    if not parts:
        return ()
    readings = _one_number(f"{parts[1]} {parts[4] or parts[2]}", quantity)
    spread = number_readings(parts[3], quantity.decimal_mark)
    if len(spread) != 1 or (parts[2] and parts[4] and parts[2].strip() != parts[4].strip()):
        return ()
    return tuple(replace(reading, accuracy=spread[0].value) for reading in readings)


def _compound(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    """Two units together: 1' 2", 1 lb 2 oz, 1 h 30 min."""
    parts = re.fullmatch(rf"(\d+)\s*([a-z']+)\.?[\s,]*({NUMBER})\s*([a-z'\"]*)\.?", body, re.I)
    if not parts:
        return ()
    large = find_unit(parts[2], quantity.target.kind)
    small = find_unit(parts[4], quantity.target.kind) if parts[4] else unit_of_symbol("min")
    numbers = number_readings(parts[3], quantity.decimal_mark)
    if large is None or small is None or len(numbers) != 1:
        return ()
    limit = COMPOUNDS.get((large.symbol, small.symbol))
    if limit is None or numbers[0].value >= limit:
        return ()
    total = convert(Fraction(parts[1]), large, small) + numbers[0].value
    return (Reading(total, numbers[0].step, small, f"{large.symbol} and {small.symbol}"),)


def _clock(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    """A duration such as 1:30: hours and minutes, or minutes and seconds."""
    parts = re.fullmatch(r"(\d{1,2}):([0-5]\d)", body)
    if not parts or quantity.target.kind != "time":
        return ()
    seconds = Fraction(parts[1]) * 60 + Fraction(parts[2])
    hours = Reading(seconds, Fraction(1), unit_of_symbol("min"), "hours and minutes")
    return (hours, replace(hours, number=seconds, unit=unit_of_symbol("s"), how="minutes and seconds"))


def _difference(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    """Bag and animal less bag, only for masses."""
    parts = re.fullmatch(rf"({NUMBER})\s*({UNIT_TEXT})\s*-\s*({NUMBER})\s*({UNIT_TEXT})", body, re.I)
    if not parts or quantity.target.kind != "mass":
        return ()
    gross, bag = (_one_number(f"{number} {unit or parts[2] or parts[4]}", quantity) for number, unit in
                  ((parts[1], parts[2]), (parts[3], parts[4])))  # fmt: skip
    if len(gross) != 1 or len(bag) != 1 or gross[0].unit != bag[0].unit:
        return ()
    accuracy = (gross[0].step + bag[0].step) / 2
    method = f"bag {parts[3]} taken off {parts[1]}"
    net = Reading(gross[0].number - bag[0].number, gross[0].step, gross[0].unit, "bag subtraction", accuracy, method)
    if "bag subtraction" in quantity.allow:
        return (net,)
    return (net, replace(gross[0], how="one of two numbers"), replace(bag[0], how="one of two numbers"))


def _stated_difference(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    """A difference with its result, 45-12=33: one reading if the sum is right, both numbers if it is wrong."""
    sides = re.fullmatch(r"([^=]+)=([^=]+)", body)
    if not sides:
        return ()
    computed, stated = _difference(sides[1].strip(), quantity), _one_number(sides[2].strip(), quantity)
    if len(computed) != 1 or len(stated) != 1:
        return ()
    units = [one.unit or quantity.default or quantity.target for one in (computed[0], stated[0])]
    is_right = convert(computed[0].number, units[0], quantity.target) == convert(
        stated[0].number, units[1], quantity.target
    )
    return computed if is_right else (*computed, *stated)


def value_text(reading: Reading, unit: Unit, quantity: Quantity) -> str:
    """The number in the target unit: exact, and with the decimals as typed where no unit is converted."""
    number = convert(reading.number, unit, quantity.target)
    text = decimal_text(number, (reading.step / 2) * unit.factor / quantity.target.factor)
    if unit == quantity.target and reading.step < 1 and reading.how != "fraction":
        return format(Decimal(text).quantize(Decimal(decimal_text(reading.step))), "f")
    return text


def number_suggestions(text: str, quantity: Quantity) -> tuple[str, ...]:
    """Numbers that may have been meant: look-alike letters, a doubled mark. Offered, never applied."""
    beside_digit = re.compile(r"[oOlIS](?=[\d.,])|(?<=[\d.,])[oOlIS](?![a-z])")
    repaired = beside_digit.sub(lambda letter: LOOK_ALIKE[letter[0]], text)
    repaired = re.sub(r"[.,]{2,}", ".", repaired)
    repaired = re.sub(r"(?<=\d)\.\s+(?=\d)", ".", repaired)
    numbers = dict.fromkeys(re.findall(NUMBER, repaired))
    unit = quantity.default or quantity.target
    readings = (number_readings(number, quantity.decimal_mark) for number in numbers)
    values = (value_text(Reading(one[0].value, one[0].step), unit, quantity) for one in readings if one)
    return tuple(dict.fromkeys(values))[:3]
