"""Numbers in running text that can be an angle: decimal or packed degrees, degrees and minutes, with seconds."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import NamedTuple

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_QUOTED = re.compile(r'"[^"]*"')
#: commas without a space after them that make a text a delimited row
MANY_COMMAS = 8
_GROUPS = re.compile(r"(?<=\d)[ ,.'’\u00a0\u2009\u202f](?=\d{3}(?!\d))")
_LOOSE_POINT = re.compile(r"(?<=\d)\s+\.\s?(?=\d)")
_POINTS = re.compile(r"(?<![\d.])(\d{1,3})\.(\d{1,2})\.(\d{1,2}(?:[.,]\d+)?)(?![\d.])")
#: a fraction as the metadata of pictures write it
_FRACTION = re.compile(r"(?<![\d/])(\d+)/(10{0,6})(?![\d/])")
#: points of other scripts, and signs that stand in for them
_POINT_SIGNS = str.maketrans({"٫": ".", "·": ".", "∙": ".", "⋅": ".", "٬": ",", "、": ","})
_POWER = re.compile(r"\d(?:[.,]\d+)?[eE][+-]?\d{1,2}(?!\d)")
#: what may stand between degrees, minutes and seconds
_BETWEEN = re.compile(r"(?:[^\w<>]|_)*(?:d|deg|degs|degrees?|o|m|min|mins|minutes?)?(?:[^\w<>]|_)*", re.IGNORECASE)
_FARTHEST = 14
PACKED = "packed degrees"
_PACKED = re.compile(r"(\d{2,3})(\d{2})(\d{2}(?:\.\d+)?)")
_PACKED_MINUTES = re.compile(r"(\d{2,3})(\d{2}\.\d+)")
_PACKED_FRACTION = re.compile(r"(\d{1,3})\.(\d{2})(\d{2})(\d*)")


class Number(NamedTuple):
    """A number, its digits after the point, and where it stands in the text."""

    value: float
    decimals: int
    start: int
    end: int
    text: str


class Angle(NamedTuple):
    """An angle in degrees without its sign, and where it stands. form: how it is written.

    step: the smallest difference [degrees] that this way of writing it shows, for degrees with minutes; else 0.
    """

    degrees: float
    start: int
    end: int
    form: str
    step: float = 0.0


def spellings(text: str) -> Iterator[str]:
    """The text with one spelling of digits, and as somebody reads it who writes commas or groups of three."""
    plain = unicodedata.normalize("NFKC", text)
    if not plain.isascii():
        plain = "".join(_digit(sign) for sign in plain.translate(_POINT_SIGNS))
    if "E" in plain or "e" in plain:
        plain = _POWER.sub(lambda found: f"{float(found.group().replace(',', '.')):.7f}", plain)
    yield plain
    if _COMMA.search(plain):
        yield _with_decimal_points(plain)
    for pattern, put in ((_LOOSE_POINT, "."), (_POINTS, r"\1 \2 \3"), (_FRACTION, _quotient)):
        if pattern.search(plain):
            yield pattern.sub(put, plain)
    grouped = _GROUPS.sub("", plain)
    if grouped != plain:
        yield grouped


def _with_decimal_points(text: str) -> str:
    """Decimal commas as points; in a row that commas delimit, only inside quotation marks."""
    if text.count(",") - text.count(", ") < MANY_COMMAS:
        return _COMMA.sub(".", text)
    return _QUOTED.sub(lambda cell: _COMMA.sub(".", cell.group()), text)


def _digit(sign: str) -> str:
    return str(unicodedata.digit(sign)) if sign > "\x7f" and sign.isdecimal() else sign


def _quotient(found: re.Match[str]) -> str:
    return f"{int(found[1]) / int(found[2]):.7g}"


def numbers_in(text: str) -> list[Number]:
    """All numbers without their signs."""
    found = []
    for match in _NUMBER.finditer(text):
        written = match.group()
        decimals = len(written.partition(".")[2])
        found.append(Number(float(written), decimals, match.start(), match.end(), written))
    return found


def angles_in(text: str, numbers: list[Number]) -> list[Angle]:
    """All readings of the numbers as angles up to 180 degrees."""
    found = []
    for at, first in enumerate(numbers):
        if first.value <= 180:
            found.append(Angle(first.value, first.start, first.end, "decimal degrees"))
            found += _with_minutes(text, numbers, at)
        found += [Angle(value, first.start, first.end, PACKED) for value in _packed(first.text)]
    return found


def _with_minutes(text: str, numbers: list[Number], at: int) -> Iterator[Angle]:
    degrees = numbers[at]
    if degrees.decimals or at + 1 >= len(numbers):
        return
    minutes = numbers[at + 1]
    if minutes.value >= 60 or not _belong(text, degrees, minutes):
        return
    value = degrees.value + minutes.value / 60
    yield Angle(value, degrees.start, minutes.end, "degrees and minutes", 10.0**-minutes.decimals / 60)
    if minutes.decimals or at + 2 >= len(numbers):
        return
    seconds = numbers[at + 2]
    if seconds.value < 60 and _belong(text, minutes, seconds):
        value += seconds.value / 3600
        step = 10.0**-seconds.decimals / 3600
        yield Angle(value, degrees.start, seconds.end, "degrees, minutes and seconds", step)


def _belong(text: str, left: Number, right: Number) -> bool:
    gap = text[left.end : right.start]
    return len(gap) <= _FARTHEST and _BETWEEN.fullmatch(gap) is not None


def _packed(written: str) -> Iterator[float]:
    for pattern in (_PACKED, _PACKED_MINUTES):
        match = pattern.fullmatch(written)
        if match:
            parts = [float(part) for part in match.groups()]
            if parts[1] < 60 and (len(parts) < 3 or parts[2] < 60):
                yield parts[0] + parts[1] / 60 + (parts[2] / 3600 if len(parts) > 2 else 0)
    match = _PACKED_FRACTION.fullmatch(written)
    if match and int(match[2]) < 60 and int(match[3]) < 60:
        yield int(match[1]) + int(match[2]) / 60 + float(f"{match[3]}.{match[4] or 0}") / 3600
