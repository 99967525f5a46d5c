"""Numbers as people type them: every number that a text can stand for, with the step of its last digit.

The mark before the decimals differs by country: "1,234" is read twice unless the column settles the mark.

>>> [str(written.value) for written in number_readings("12,5")]
['25/2']
>>> [str(written.value) for written in number_readings("1,234")]
['1234', '617/500']
>>> number_readings("12.5.1")
()
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

#: denominators that people write fractions of inches, ounces and miles with; "45/60" is two numbers, not a fraction
FRACTION_PARTS = frozenset({2, 3, 4, 8, 10, 16, 32, 64})
VULGAR_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
TYPOGRAPHY = str.maketrans(
    {"\u2212": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "\xa0": " ", "\u202f": " ", "\u2009": " ", "\u200b": "",
     "\ufeff": "", "’": "'", "‘": "'", "′": "'", "″": '"', "“": '"', "”": '"', "º": "°", "˚": "°", "×": "x", "⁄": "/"}
)  # fmt: skip

PLAIN = r"(?:\d+(?:[.,]\d+)*|[.,]\d+)[.]?"
FRACTION = r"\d+\s*/\s*\d+"
#: decimal mark of a sheet that writes 12,5 where nothing says what a point is: "1.025" is read twice
EITHER = "either"
#: a number whose comma can only stand before decimals: 12,5 or 0,125, not 1,250
DECIMAL_COMMA = re.compile(r"\s*(?:\d+,(?:\d{1,2}|\d{4,})|0\d*,\d+|\d{4,},\d+)(?!\d|[.,]\d)\s*[a-z°%]*\s*", re.I)
#: pattern of one unsigned number: whole, decimal, fraction or whole and fraction
NUMBER = rf"(?:\d+[ -]{FRACTION}(?![\d.,/])|{FRACTION}(?![\d.,/])|{PLAIN})"


class Written(NamedTuple):
    """One reading of a number. step: the value of one unit in its last digit. how: what was needed to read it."""

    value: Fraction
    step: Fraction
    how: str = ""


def plain_typing(text: str) -> str:
    """The text with typographic marks, fraction signs and doubled spaces made plain.

    >>> plain_typing("5½″")
    '5 1/2"'
    """
    for sign, words in VULGAR_FRACTIONS.items():
        text = text.replace(sign, f" {words}")
    return re.sub(r"\s+", " ", text.translate(TYPOGRAPHY)).strip()


def number_readings(text: str, decimal_mark: str = "") -> tuple[Written, ...]:
    """Every number that an unsigned text can stand for, likeliest first; () if it is no number.

    decimal_mark: "." or "," where the survey file settles it, EITHER where the sheet writes decimal commas, "" where
    nothing is known.
    """
    text = text.strip()
    if mixed := re.fullmatch(r"(?:(\d+)[ -])?(\d+)\s*/\s*(\d+)", text):
        whole, above, below = (int(part or 0) for part in mixed.groups())
        if below not in FRACTION_PARTS or above >= below:
            return ()
        return (Written(whole + Fraction(above, below), Fraction(1, below), "fraction"),)
    text = text.removesuffix(".")
    if re.fullmatch(r"\d+", text):
        return (Written(Fraction(text), Fraction(1)),)
    marks = re.findall(r"[.,]", text)
    if not re.fullmatch(r"\d*(?:[.,]\d+)+", text) or not marks:
        return ()
    if len(set(marks)) == 2:
        return _thousands_and_decimals(text, marks)
    if len(marks) > 1:
        return _thousands(text, marks[0]) if marks[0] != decimal_mark else ()
    return _one_mark(text, marks[0], decimal_mark)


def _one_mark(text: str, mark: str, decimal_mark: str) -> tuple[Written, ...]:
    as_decimal = _decimal(text, mark)
    as_thousands = _thousands(text, mark)
    if mark == decimal_mark:
        return as_decimal
    if not as_thousands:
        return as_decimal
    if decimal_mark == "." and mark == ",":
        return as_thousands
    if mark == "." and not decimal_mark:
        return as_decimal
    return (*as_thousands, *as_decimal)


def _decimal(text: str, mark: str) -> tuple[Written, ...]:
    whole, decimals = text.split(mark)
    how = "decimal comma" if mark == "," else ""
    return (Written(Fraction(f"{whole or '0'}.{decimals}"), Fraction(1, 10 ** len(decimals)), how),)


def _thousands(text: str, mark: str) -> tuple[Written, ...]:
    if not re.fullmatch(rf"[1-9]\d{{0,2}}(?:[{mark}]\d{{3}})+", text):
        return ()
    return (Written(Fraction(text.replace(mark, "")), Fraction(1), "thousands mark"),)


def _thousands_and_decimals(text: str, marks: list[str]) -> tuple[Written, ...]:
    thousands, decimal = marks[0], marks[-1]
    if marks.count(decimal) != 1 or not _thousands(text.split(decimal)[0], thousands):
        return ()
    (written,) = _decimal(text.replace(thousands, ""), decimal)
    return (written._replace(how="thousands mark"),)
