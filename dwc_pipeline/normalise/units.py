"""Units of field measurements: their spellings and their exact size in SI.

Sizes are exact fractions, so no conversion adds noise. Sources: international yard and pound agreement of
1959 as NIST Special Publication 811 (2008), appendix B, prints it (foot 0.3048 m, pound 453.59237 g, exact);
US survey foot 1200/3937 m; knot = 1852 m an hour; degree Fahrenheit t/°C = (t/°F - 32)/1.8.

>>> from fractions import Fraction
>>> decimal_text(convert(Fraction(95), unit_named("F", "temperature"), unit_named("°C", "temperature")))
'35'
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache


@dataclass(frozen=True)
class Unit:
    """One unit. kind: what it measures. value in the kind's base unit = number * factor + offset.

    Base units: g, m, °C, m/s, hPa, %, min; plain numbers have the symbol "".
    """

    symbol: str
    kind: str
    factor: Fraction
    spellings: tuple[str, ...]
    offset: Fraction = Fraction(0)


def _unit(symbol: str, kind: str, factor: str, spellings: str, offset: Fraction = Fraction(0)) -> Unit:
    return Unit(symbol, kind, Fraction(factor), tuple(spellings.split(",")), offset)


FAHRENHEIT_ZERO = Fraction(-160, 9)

UNITS: tuple[Unit, ...] = (
    _unit("mg", "mass", "1/1000", "mg,milligram,milligrams"),
    _unit("g", "mass", "1", "g,gm,gms,gr,gram,grams,gramme,grammes"),
    _unit("kg", "mass", "1000", "kg,kgs,kilo,kilos,kilogram,kilograms"),
    _unit("oz", "mass", "28.349523125", "oz,ozs,ounce,ounces"),
    _unit("lb", "mass", "453.59237", "lb,lbs,pound,pounds"),
    _unit("mm", "length", "1/1000", "mm,mms,millimeter,millimeters,millimetre,millimetres"),
    _unit("cm", "length", "1/100", "cm,cms,centimeter,centimeters,centimetre,centimetres"),
    _unit("m", "length", "1", "m,meter,meters,metre,metres"),
    _unit("km", "length", "1000", "km,kms,kilometer,kilometers,kilometre,kilometres"),
    _unit("in", "length", "0.0254", 'in,ins,inch,inches,"'),
    _unit("ft", "length", "0.3048", "ft,foot,feet,'"),
    _unit("US survey ft", "length", "1200/3937", "us survey ft,us survey foot,us survey feet,ftus,us ft"),
    _unit("yd", "length", "0.9144", "yd,yds,yard,yards"),
    _unit("mi", "length", "1609.344", "mi,mile,miles"),
    _unit("°C", "temperature", "1", "°c,c,degc,deg c,degrees c,celsius,degrees celsius,deg celsius,centigrade"),
    _unit(
        "°F",
        "temperature",
        "5/9",
        "°f,f,degf,deg f,degrees f,fahrenheit,degrees fahrenheit,deg fahrenheit",
        FAHRENHEIT_ZERO,
    ),
    _unit("m/s", "speed", "1", "m/s,mps,ms-1,m s-1,m/sec,meters per second,metres per second"),
    _unit("km/h", "speed", "5/18", "km/h,kmh,kph,km/hr,kmph"),
    _unit("mph", "speed", "0.44704", "mph,mi/h,mi/hr,miles per hour,miles/hour"),
    _unit("kn", "speed", "463/900", "kn,kt,kts,knot,knots"),
    _unit("hPa", "pressure", "1", "hpa,mb,mbar,millibar,millibars"),
    _unit("inHg", "pressure", "33.8639", "inhg,in hg,inches of mercury"),
    _unit("%", "share", "1", "%,percent,per cent,pct"),
    _unit("s", "time", "1/60", "s,sec,secs,second,seconds"),
    _unit("min", "time", "1", "min,mins,minute,minutes,m"),
    _unit("h", "time", "60", "h,hr,hrs,hour,hours"),
    _unit("", "number", "1", ""),
)

#: words of a header after which a single letter is a unit, not a letter
QUANTITY_WORDS = frozenset({
    "mass", "weight", "wt", "wgt", "svl", "sul", "tl", "length", "len", "tail", "temp", "temperature", "air",
    "ground", "water", "soil", "body", "cloacal", "rain", "rainfall", "precip", "precipitation", "ppt",
    "distance", "dist", "depth", "height", "elevation", "elev", "wind", "speed", "scl", "ccl", "pl", "hl",
    "carapace", "plastron", "bag", "tare", "low", "high", "max", "tmin", "tmax", "tair", "net", "gross",
    "accuracy", "acc", "precision", "epe", "error", "odo", "odometer", "duration", "snout", "vent", "head", "width",
    "alt", "altitude", "ele", "arm", "arms", "wing", "route", "peso", "masa", "poids", "masse", "longitud", "largo",
    "longueur", "lhc", "cola", "queue", "lluvia", "pluie", "temperatura", "température", "altitud",
})  # fmt: skip
#: spellings that are also letters or words of other meaning: units only in brackets or after a quantity word
LETTERS_AND_WORDS = frozenset({"in", "c", "f", "g", "m", "h", "s"})
#: spellings that are also words, but units once it is known what the column measures
WORDS = frozenset({"mi", "min", "gr"})


def fold_unit(text: str) -> str:
    """A unit's spelling without capitals, dots and doubled spaces; all marks for inch and degree alike.

    >>> fold_unit(" In. "), fold_unit("º F"), fold_unit("″")
    ('in', '°f', '"')
    """
    plain = text.casefold().translate(str.maketrans("ºᵒ˚″”“′’‘", "°°°\"\"\"'''"))
    plain = plain.replace("''", '"').replace("℃", "°c").replace("℉", "°f")
    plain = re.sub(r"\s+", " ", plain.replace(".", "")).strip()
    return re.sub(r"°\s+", "°", plain)


@cache
def _by_spelling(kind: str) -> dict[str, Unit]:
    return {spelling: unit for unit in UNITS if unit.kind == kind for spelling in unit.spellings}


def unit_named(text: str, kind: str = "") -> Unit:
    """The unit of a symbol or spelling. kind: "mass", "length" ...; "" for any kind.

    Raises KeyError if there is none.
    """
    found = find_unit(text, kind)
    if found is None:
        raise KeyError(f"{text!r} is not a unit of {kind or 'any kind'} that the tables know")
    return found


@cache
def unit_of_symbol(symbol: str) -> Unit:
    """The unit of a symbol of the table above, such as "mm" or "°C". Raises KeyError if there is none."""
    return {unit.symbol: unit for unit in UNITS}[symbol]


def find_unit(text: str, kind: str = "") -> Unit | None:
    """The unit of a spelling; None if it is none of that kind. With kind "" the first kind that has it."""
    spelling = fold_unit(text)
    for one in (kind,) if kind else dict.fromkeys(unit.kind for unit in UNITS):
        if spelling in _by_spelling(one):
            return _by_spelling(one)[spelling]
    return None


def convert(number: Fraction, unit: Unit, target: Unit) -> Fraction:
    """The same quantity in another unit, exactly. Raises ValueError if they measure different things."""
    if unit.kind != target.kind:
        raise ValueError(f"{unit.symbol} cannot be turned into {target.symbol}")
    return (number * unit.factor + unit.offset - target.offset) / target.factor


def decimal_text(number: Fraction, finer_than: Fraction | None = None) -> str:
    """A number as decimal text, exact where its decimals end.

    finer_than: decimals that never end (°F in °C) are rounded, by at most a twentieth of this step.
    Raises ValueError for such a number without a step.

    >>> decimal_text(Fraction(14, 10)), decimal_text(Fraction(190, 9), Fraction(5, 18))
    ('1.4', '21.11')
    """
    twos_and_fives = number.denominator
    for factor in (2, 5):
        while twos_and_fives % factor == 0:
            twos_and_fives //= factor
    if twos_and_fives == 1:
        places = 0
        while (number * 10**places).denominator != 1:
            places += 1
        return _plain(int(number * 10**places), places)
    if finer_than is None or finer_than <= 0:
        raise ValueError(f"{number} has no end of decimals")
    places = max(0, 1 - math.floor(math.log10(finer_than)))
    return _plain(round(number * 10**places), places)


def rounded_text(number: Fraction, digits: int = 3) -> str:
    """A positive number to that many significant digits, for accuracies.

    >>> rounded_text(Fraction(5, 18)), rounded_text(Fraction(127, 10))
    ('0.278', '12.7')
    """
    places = digits - 1 - math.floor(math.log10(number))
    return _plain(round(number * Fraction(10) ** places), places)


def _plain(digits: int, places: int) -> str:
    text = format(Decimal(digits).scaleb(-places), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def unit_in_header(header: str, kind: str = "") -> str:
    """The symbol of the unit that a column header names; "" if none, or if it names two.

    kind: what the column measures, so that "m" is metre or minute; "" if not known.

    >>> unit_in_header("Mass (g)"), unit_in_header("temp_F"), unit_in_header("wt.oz"), unit_in_header("Time in")
    ('g', '°F', 'oz', '')
    """
    named = set()
    for inside in re.findall(r"[(\[]([^)\]]*)[)\]]", header):
        whole = find_unit(inside, kind)
        split = [part for part in re.split(r"[/,;]|\bor\b|\bin\s+(?=\w)", inside) if part.strip()]
        parts = [whole] if whole else [find_unit(part, kind) for part in split]
        if None not in parts:
            named |= {unit.symbol for unit in parts if unit is not None and unit.symbol}
    named |= set(_units_among(_header_words(re.sub(r"[(\[][^)\]]*[)\]]", " ", header)), kind))
    return named.pop() if len(named) == 1 else ""


def _header_words(header: str) -> list[str]:
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z°º])|(?=%)", " ", header)
    words = [word.casefold().strip(".") for word in re.split(r"[\s_,;:.\-#?]+", spaced) if word]
    glued = re.fullmatch(r"(mass|wt|svl|temp|rain|dist|wind)(mm|cm|kg|g|f|c|in|km|mi|mph)", "".join(words[-1:]))
    return [*words[:-1], *glued.groups()] if glued else words


def _units_among(words: list[str], kind: str) -> Iterable[str]:
    for place, word in enumerate(words):
        unit = find_unit(word, kind)
        if unit is None or not unit.symbol:
            continue
        spelling, is_last = fold_unit(word), place == len(words) - 1
        before = words[place - 1] if place else ""
        if before == "in" and place > 1:  # "weight in g"
            before = words[place - 2]
        after_quantity = is_last and before in QUANTITY_WORDS
        alone = bool(kind) and len(words) == 1
        is_plain = spelling not in LETTERS_AND_WORDS and (bool(kind) or spelling not in WORDS)
        if is_plain or after_quantity or alone:
            yield unit.symbol
