"""Depths and elevations from their verbatim text, and the amendments that propose them.

Units must be written. Numbers are converted exactly and not rounded, as the notes of the two tests ask.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal

from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.reading import plain
from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import Response, filled_in, internal, not_amended

#: Metres in a unit; international foot, yard and fathom, exact.
METRES = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "mts", "msnm"), Decimal(1)),
    **dict.fromkeys(("km", "kilometre", "kilometres", "kilometer", "kilometers"), Decimal(1000)),
    **dict.fromkeys(("ft", "foot", "feet"), Decimal("0.3048")),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), Decimal("0.9144")),
    **dict.fromkeys(("fm", "fms", "ftm", "ftms", "fth", "fathom", "fathoms"), Decimal("1.8288")),
}
TOKEN = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+|[^\s\w]", re.ASCII | re.IGNORECASE)
#: A comma within a number, or a sign: which number is meant is not certain.
NOT_A_RANGE = re.compile(r"\d,\d|^\W*[-–]|[-–]\s*[-–]")
LOW_WORDS, HIGH_WORDS = (
    frozenset({"min", "minimum", "mindepth", "minelevation"}),
    frozenset({"max", "maximum", "maxdepth", "maxelevation"}),
)
#: Words and marks that say nothing of the size.
SILENT = frozenset(
    {
        "depth",
        "elevation",
        "elev",
        "alt",
        "altitude",
        "to",
        "and",
        "from",
        "between",
        ".",
        ",",
        ";",
        ":",
        "=",
        "-",
        "–",
    }
)


def metres_from_text(text: str) -> tuple[Decimal, Decimal] | None:
    """Least and greatest length of a text such as "10-15 ftm", or None. [m]

    >>> metres_from_text("1500 to 1800 ft")
    (Decimal('457.2000'), Decimal('548.6400'))
    """
    tokens = TOKEN.findall(trimmed(text).lower())
    if "".join(tokens) != re.sub(r"\s+", "", trimmed(text).lower()) or NOT_A_RANGE.search(text):
        return None
    numbers: list[Decimal] = []
    units: list[Decimal | None] = []
    ends: list[str] = []
    for token in tokens:
        if token[0].isdigit():
            numbers.append(Decimal(token))
            units.append(None)
        elif token in METRES and numbers and units[-1] is None:
            units[-1] = METRES[token]
        elif token in LOW_WORDS or token in HIGH_WORDS:
            ends.append("low" if token in LOW_WORDS else "high")
        elif token not in SILENT:
            return None
    if len(numbers) not in (1, 2) or units[-1] is None or ends == ["high", "low"]:
        return None
    lengths = [number * (unit or units[-1]) for number, unit in zip(numbers, units, strict=True)]
    return (lengths[0], lengths[-1]) if lengths[0] <= lengths[-1] else None


def _from_verbatim(kind: str) -> Callable[[Record], Response]:
    low, high, verbatim = f"dwc:minimum{kind}InMeters", f"dwc:maximum{kind}InMeters", f"dwc:verbatim{kind}"

    def answer(record: Record) -> Response:
        if record.filled_among(low, high) or record.is_empty(verbatim):
            return internal(f"{low} or {high} is not empty, or {verbatim} is empty")
        read = metres_from_text(record.text(verbatim))
        if read is None:
            return not_amended(f"{verbatim} has no single reading with its unit")
        return filled_in({low: plain(read[0]), high: plain(read[1])}, f"{verbatim} in metres")

    return answer


implements("AMENDMENT_MINDEPTHMAXDEPTH_FROM_VERBATIM")(_from_verbatim("Depth"))
implements("AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM")(_from_verbatim("Elevation"))
