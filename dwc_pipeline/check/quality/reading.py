"""When a text is a number: what can be cast as it stands, and nothing else.

Source: draft Biodiversity Data Quality standard (2026-06-03), Implementer's Guide 2.3, "interpreted as".

>>> as_integer("09"), as_integer("9.0"), as_number("-41.05"), as_number("41.0554 N")
(9, None, -41.05, None)
"""

from __future__ import annotations

import re
from decimal import Decimal

INTEGER = re.compile(r"[+-]?[0-9]{1,18}")
NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,2})?")


def as_integer(text: str) -> int | None:
    """The whole number that the text is, or None."""
    return int(text) if INTEGER.fullmatch(text) else None


def as_number(text: str) -> float | None:
    """The number that the text is, or None; words such as NaN are no numbers."""
    return float(text) if NUMBER.fullmatch(text) else None


def plain(number: Decimal) -> str:
    """A number without exponent and without zeros at the end of its fraction.

    >>> plain(Decimal("1500") * Decimal("0.3048")), plain(Decimal("100"))
    ('457.2', '100')
    """
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
