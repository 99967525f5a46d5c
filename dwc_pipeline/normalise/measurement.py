"""Measurements: a cell such as "12.5 g", "7 in", "96-17.5" or "45 brk" in the unit of its column's quantity.

Writes the number as decimal text in the target unit, and beside it (`also`): measurementUnit,
measurementAccuracy (half the last digit as typed, or what stands after ±, in the target unit, three
significant digits; a difference adds up both), measurementMethod, measurementRemarks, verbatim_unit,
qualifier ("approximate", "at least 45 mm" ...) and tail_condition.

A cell that tells something but no number ("<1 g", "trace", "brk") is `kept` with value "": its words stand
in `also`, and a finding says that no number was written. Words for "not measured" are `empty`.

Source of the forms: handbook of the trade, 2.1; of the units: units.py.

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
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction

from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.measurement_rules import (
    BAG_INCLUDED,
    DOUBTFUL,
    IN_WORDS,
    IS_LIMIT,
    MARK_UNKNOWN,
    NOT_POSITIVE,
    NOT_READABLE,
    OTHER_KIND,
    UNIT_DIFFERS,
    UNIT_UNKNOWN,
)
from dwc_pipeline.normalise.number import NUMBER, Written, number_readings, plain_typing
from dwc_pipeline.normalise.quantity import Quantity
from dwc_pipeline.normalise.units import Unit, convert, decimal_text, find_unit, rounded_text, unit_of_symbol
from dwc_pipeline.terms.vocabulary import load_vocabulary

APPROXIMATE = re.compile(
    r"^(?:~|≈|circa|approx(?:imately|\.)?|about|abt\.?|ca?\.?(?=\s*\d)|est(?:imated|\.)?)\s*", re.I
)
APPROXIMATE_AFTER = re.compile(r"(?:\s*\bapprox\.?|\s*\best(?:imated|\.)?|\s*-?ish|(?<=\d)\s*±)$", re.I)
LIMITS = (
    (re.compile(r"^(?:<=|=<|≤|up to|at most)\s*(?=\d)", re.I), "at most"),
    (re.compile(r"^(?:>=|=>|≥|at least)\s*(?=\d)", re.I), "at least"),
    (re.compile(r"^(?:<|less than|under|below)\s*(?=[\d.])", re.I), "less than"),
    (re.compile(r"^(?:>|more than|greater than|over|above)\s*(?=[\d.])", re.I), "more than"),
)
BAG_WORDS = re.compile(r"[\s,]*\b(?:in bag|with bag|w/ ?bag|incl\.? bag|\+ ?bag|gross)$", re.I)
DIRECTION = r"([NS][NS]?[EW]|[EW][NS][EW]|[NSEW])"
WIND_DIRECTION = re.compile(rf"^{DIRECTION}[\s,@]*(?=\d)|(?<=[\dhst])[\s,@]+{DIRECTION}$", re.I)
WIND_WORDS = frozenset(
    {"calm", "light", "light breeze", "breeze", "breezy", "moderate", "windy", "gusty", "strong", "variable"}
)
BEAUFORT = re.compile(r"^(?:beaufort|bft|b)\s*\d{1,2}$|^\d{1,2}\s*(?:bft|beaufort)$", re.I)
NO_RAIN = frozenset({"none", "no rain", "dry", "nil", "zero", "no"})
TRACE = frozenset({"trace", "tr", "t"})
#: pairs of units written together, the larger first, and the number of the smaller that makes one larger
COMPOUNDS = {("ft", "in"): 12, ("lb", "oz"): 16, ("h", "min"): 60, ("m", "cm"): 100, ("kg", "g"): 1000}
#: units that no quantity written in mm can be in: "45 m" in a length column is a slip for mm
FAR_TOO_LARGE = {"mm": frozenset({"m", "km", "yd", "mi"})}
LOOK_ALIKE = {"o": "0", "O": "0", "l": "1", "I": "1", "S": "5"}
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


@dataclass
class Facts:
    """What was taken off the cell before its number was read."""

    also: dict[str, str] = field(default_factory=dict)
    flags: list[Flag] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def everything(self) -> dict[str, str]:
        """All facts, the remarks joined."""
        joined = {"measurementRemarks": "; ".join(self.remarks)} if self.remarks else {}
        return {**self.also, **joined}


def judge_quantity(verbatim: str, quantity: Quantity) -> Verdict:
    """The number that a cell of that quantity stands for, as decimal text in its target unit."""
    text = plain_typing(verbatim)
    if not text:
        return EMPTY
    if (not_told := load_vocabulary("not_told").find(text)) is not None and not not_told.value:
        return Verdict(Status.EMPTY, note=f"'{text}' says that {quantity.name} was not measured.")
    in_words = _words_without_number(text, quantity)
    if in_words is not None:
        return in_words
    facts = Facts()
    body = _take_off(text, quantity, facts)
    if body is None:
        return unreadable(BAG_INCLUDED.id, f"'{text}' was weighed in the bag.", also=facts.everything())
    if not body:
        return _kept_as_words(f"'{text}' gives no number.", facts, IN_WORDS.id)
    limit = _limit_or_range(body, quantity, facts)
    if limit is not None:
        return limit
    return _judge_readings(verbatim, text, _readings(body, quantity), quantity, facts)


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


def _take_off(text: str, quantity: Quantity, facts: Facts) -> str | None:
    """The cell without remarks, doubt, tail and method words, which go to `facts`; None if the bag is included."""
    if quantity.target.kind == "mass" and BAG_WORDS.search(text.replace("(", "").replace(")", "")):
        facts.remarks.append(text)
        return None
    if (remark := re.fullmatch(r"(.*\S)\s*[(\[]([^()\[\]]*)[)\]]", text)) and find_unit(remark[2]) is None:
        text = _take_remark(remark[1], remark[2].strip(), quantity, facts, text)
    if "tail words" in quantity.allow:
        text = _take_tail(text, facts)
    text = _take_listed_words(text, facts)
    if doubted := re.fullmatch(r"([^?]*\d[^?]*?)\s*\?+\s*([a-z°%'\"]*)", text, re.I):
        text = f"{doubted[1]} {doubted[2]}".strip()
        note = f"'{text}' carries a question mark: doubtful, or a digit that could not be read."
        facts.flags.append(Flag(DOUBTFUL.id, note))
        facts.also["qualifier"] = "doubtful"
    shorter = APPROXIMATE_AFTER.sub("", APPROXIMATE.sub("", text))
    if shorter != text:
        facts.also["qualifier"] = "approximate"
    if quantity.target.kind == "speed" and (direction := WIND_DIRECTION.search(shorter)):
        facts.also["wind_direction"] = (direction[1] or direction[2]).upper()
        shorter = WIND_DIRECTION.sub("", shorter, count=1)
    return shorter.strip()


def _take_remark(before: str, remark: str, quantity: Quantity, facts: Facts, text: str) -> str:
    """The cell without its bracketed remark; unchanged if the bracket holds a number of its own."""
    if remark in ("?", "??"):
        return f"{before}?"
    if re.fullmatch(r"est\.?|approx\.?|estimated?", remark, re.I):
        return f"{before} est"
    if re.search(r"\d", remark):
        return text
    condition = load_vocabulary("tail_condition").find(remark) if "tail words" in quantity.allow else None
    if condition is not None and condition.value:
        facts.also["tail_condition"] = condition.value
    elif not _note_listed(remark, facts):
        facts.remarks.append(remark)
    return before


def _take_tail(text: str, facts: Facts) -> str:
    """The cell without words for the state of the tail ("45 brk", "45+", "stub 12")."""
    if plus := re.fullmatch(rf"({NUMBER})\s*\+\s*(mm|cm|in)?|({NUMBER}\s*(?:mm|cm|in))\s*\+", text, re.I):
        facts.also["tail_condition"] = "broken"
        return f"{plus[1] or ''} {plus[2] or ''}".strip() if plus[1] else plus[3]
    words = load_vocabulary("tail_condition")
    for pattern in (
        r"(?P<word>[a-z][a-z. ]*?)[\s,:/]*(?P<rest>\d.*)?",
        r"(?P<rest>.*\d)[\s,:/]*(?P<word>[a-z][a-z. ]*)",
    ):
        parts = re.fullmatch(pattern, text, re.I)
        entry = words.find(parts["word"]) if parts else None
        if parts and entry is not None and entry.value:
            facts.also["tail_condition"] = entry.value
            return (parts["rest"] or "").strip()
    if (after_unit := re.fullmatch(r"(.*\d\s*(?:mm|cm|in))[\s,:]+([a-z][a-z. ]*)", text, re.I)) is not None:
        entry = words.find(after_unit[2])
        if entry is not None and entry.value:
            facts.also["tail_condition"] = entry.value
            return after_unit[1]
    return text


def _take_listed_words(text: str, facts: Facts) -> str:
    """The cell without leading or trailing words of the list of remarks and methods ("12.5 g wet", "ruler 45")."""
    if (leading := re.fullmatch(r"([a-z]+(?: [a-z]+)*)[\s,:]+(\S*\d.*)", text, re.I)) and _note_listed(
        leading[1], facts
    ):
        text = leading[2]
    while trailing := re.fullmatch(r"(.*?[\d.a-z%\"'°])[\s,;]+([a-z]+(?: [a-z]+)*)", text, re.I):
        tokens = trailing[2].split()
        start = next((at for at in range(len(tokens)) if _note_listed(" ".join(tokens[at:]), facts)), None)
        if start is None:
            break
        text = " ".join([trailing[1], *tokens[:start]])
    return text


def _note_listed(words: str, facts: Facts) -> bool:
    """True if the words are listed as a remark or method; they are then among the facts."""
    entry = load_vocabulary("measurement_remark").find(words)
    if entry is None or not (entry.value or entry.also):
        return False
    facts.also |= entry.also
    facts.remarks += [entry.value] if entry.value else []
    return True


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


def _readings(body: str, quantity: Quantity) -> tuple[Reading, ...]:
    """Every reading of the number, likeliest first; () if there is none."""
    if quantity.target.kind == "mass" and re.match(r"\d+ ?- ?\d+ ?/ ?\d+", body):  # 1-1/2: one and a half, or a bag?
        return (*_one_number(re.sub(r" ?- ?", " ", body, count=1), quantity), *_difference(body, quantity))
    for read in (_one_number, _plus_minus, _compound, _clock, _difference):
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
    if unit_text and not (quantity.target.kind == "temperature" and unit_text == "°"):
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


def _judge_readings(
    verbatim: str, text: str, readings: tuple[Reading, ...], quantity: Quantity, facts: Facts
) -> Verdict:
    also, name = facts.everything(), quantity.name
    if not readings:
        suggestions = _suggestions(text, quantity)
        return unreadable(NOT_READABLE.id, f"'{text}' is no {name} that can be read.", suggestions, also=also)
    units = {reading.unit for reading in readings if reading.unit is not None}
    if any(unit.kind != quantity.target.kind for unit in units):
        named = ", ".join(unit.symbol for unit in units)
        return unreadable(OTHER_KIND.id, f"'{text}': {named} is no unit of {name}.", also=also)
    if len(readings) > 1:
        values = tuple(
            _value(reading, reading.unit or quantity.default or quantity.target, quantity) for reading in readings
        )
        return ambiguous(MARK_UNKNOWN.id, f"'{text}' can be read as {' or '.join(values)}.", values, also=also)
    (reading,) = readings
    unit = reading.unit or quantity.default
    if unit is None:
        values = tuple(dict.fromkeys(_value(reading, usual, quantity) for usual in quantity.usual_units))
        named = ", ".join(usual.symbol for usual in quantity.usual_units)
        note = f"'{text}': no unit is given for {name}. The readings are for {named}, in {quantity.unit}."
        return ambiguous(UNIT_UNKNOWN.id, note, values, also=also)
    return _judge_value(verbatim, text, reading, unit, quantity, facts)


def _judge_value(verbatim: str, text: str, reading: Reading, unit: Unit, quantity: Quantity, facts: Facts) -> Verdict:
    value = _value(reading, unit, quantity)
    number = convert(reading.number, unit, quantity.target)
    impossible = _impossible(reading.number, number, quantity)
    if impossible:
        return unreadable(NOT_POSITIVE.id, f"'{text}': {impossible}", also=facts.everything())
    if quantity.target.kind == "share" and 0 < number < 1 and reading.unit is None:
        values = (decimal_text(number * 100), value)
        return ambiguous(
            MARK_UNKNOWN.id, f"'{text}' can be a share of one or per cent.", values, also=facts.everything()
        )
    if unit.symbol in FAR_TOO_LARGE.get(quantity.unit, ()):
        values = (decimal_text(reading.number), value)
        return ambiguous(UNIT_UNKNOWN.id, f"'{text}': is {unit.symbol} meant?", values, also=facts.everything())
    if reading.unit is not None and quantity.default_unit and reading.unit != quantity.default:
        note = f"'{text}' is in {unit.symbol}; the column is in {quantity.default_unit}."
        facts.flags.append(Flag(UNIT_DIFFERS.id, note))
    factor = unit.factor / quantity.target.factor
    accuracy = (reading.accuracy if reading.accuracy is not None else reading.step / 2) * factor
    also = {"measurementUnit": quantity.unit, **({"measurementAccuracy": rounded_text(accuracy)} if accuracy else {})}
    also |= {"verbatim_unit": unit.symbol} if unit != quantity.target else {}
    also |= {"measurementMethod": reading.method} if reading.method else {}
    rule = "unit-conversion" if unit != quantity.target else (reading.how.replace(" ", "-") or "plain-number")
    note = f"'{text}' is {value} {quantity.unit}".rstrip() + (f" ({reading.how})." if reading.how else ".")
    return kept_or_changed(verbatim, value, rule, note, also={**also, **facts.everything()}, flags=tuple(facts.flags))


def _value(reading: Reading, unit: Unit, quantity: Quantity) -> str:
    """The number in the target unit: exact, and with the decimals as typed where no unit is converted."""
    number = convert(reading.number, unit, quantity.target)
    text = decimal_text(number, (reading.step / 2) * unit.factor / quantity.target.factor)
    if unit == quantity.target and reading.step < 1 and reading.how != "fraction":
        return format(Decimal(text).quantize(Decimal(decimal_text(reading.step))), "f")
    return text


def _impossible(typed: Fraction, number: Fraction, quantity: Quantity) -> str:
    """Why a number cannot be; "" if it can. Zero is judged as typed, so that 0 °F is no zero fault."""
    if typed < 0 and "negative" not in quantity.allow:
        return f"{quantity.name} cannot be negative."
    if typed == 0 and "zero" not in quantity.allow:
        return f"{quantity.name} cannot be zero; clear the cell if it was not measured."
    if quantity.target.kind == "share" and number > 100:
        return "over 100 per cent."
    return ""


def _suggestions(text: str, quantity: Quantity) -> tuple[str, ...]:
    """Numbers that may have been meant: look-alike letters, a doubled mark. Offered, never applied."""
    beside_digit = re.compile(r"[oOlIS](?=[\d.,])|(?<=[\d.,])[oOlIS](?![a-z])")
    repaired = beside_digit.sub(lambda letter: LOOK_ALIKE[letter[0]], text)
    repaired = re.sub(r"[.,]{2,}", ".", repaired)
    repaired = re.sub(r"(?<=\d)\.\s+(?=\d)", ".", repaired)
    numbers = dict.fromkeys(re.findall(NUMBER, repaired))
    unit = quantity.default or quantity.target
    readings = (number_readings(number, quantity.decimal_mark) for number in numbers)
    values = (_value(Reading(one[0].value, one[0].step), unit, quantity) for one in readings if one)
    return tuple(dict.fromkeys(values))[:3]
