"""Toe clips and ventral scale clips in one order, so that the same set of clips is the same mark.

Clip sets are unordered: LF2-RH4 is RH4-LF2. Order written: fore before hind, left before right, then toe.
Scale clips: side, and number of the scale counted forward from the vent. At most five toes a foot.
Source: common practice, no source.

>>> toe_clip("rh4 LF2"), toe_clip("9-4-2"), scale_clip("r12, L3")
('LF2-RH4', '2-4-9', 'L3 R12')
"""

from __future__ import annotations

import re

FEET = {"LF": 0, "RF": 1, "LH": 2, "RH": 3}
OTHER_SPELLINGS = {"FL": "LF", "FR": "RF", "HL": "LH", "HR": "RH", "LR": "LH", "RR": "RH"}
TOES_A_FOOT = 5
MOST_TOES = 4 * TOES_A_FOOT
#: a code of one number a foot has four numbers up to five; its order is its meaning
FEET_A_CODE = 4
FOOT = r"(?:[LR][FHR]|[FH][LR])"


class ImpossibleClip(ValueError):
    """A clip code that names a toe or scale that does not exist, or one twice. The text says which."""


def looks_like_feet(text: str) -> bool:
    """True for a code of feet and toes, such as LF2-RH4."""
    between = re.sub(rf"{FOOT}[\s.-]*\d(?:[,\s]*\d)*", "|", text.upper())
    return "|" in between and re.fullmatch(r"[|\s,;/+&._-]+", between) is not None


def looks_like_toes(text: str) -> bool:
    """True for two toes or more by their numbers, such as 19-15-5: no tag is written so.

    >>> looks_like_toes("19-15-5"), looks_like_toes("985-141"), looks_like_toes("21-3")
    (True, False, False)
    """
    numbers = re.split(r"\s*-\s*", text.strip())
    return len(numbers) > 1 and all(re.fullmatch(r"[1-9]|1\d|20", number) for number in numbers)


def looks_like_scales(text: str) -> bool:
    """True for at least two sides with scale numbers, such as L3 R12."""
    return bool(re.fullmatch(r"[LR]\s*\d+(?:[\s,;/+-]*[LR]\s*\d+)+", text.upper()))


def toe_clip(text: str) -> str:
    """The clip set in its one order; a code of numbers in rising order where its numbers name toes.

    A code of one number a foot (four numbers up to five, or with a zero, or a number twice) keeps its order, and so
    does one with a number over the twenty toes.
    Raises ImpossibleClip, or ValueError for a text that is no clip code.
    """
    plain = text.upper().strip()
    if looks_like_feet(plain):
        return _feet(plain)
    numbers = re.split(r"\s*[-,;/.+]\s*|\s+", plain)
    if not all(re.fullmatch(r"\d{1,4}", number) for number in numbers):
        raise ValueError(f"'{text}' is no code of feet and toes, and no code of numbers")
    values = [int(number) for number in numbers]
    one_a_foot = len(values) == FEET_A_CODE and max(values) <= TOES_A_FOOT
    if len(numbers) == 1:
        return plain  # 0421 is not 421
    if 0 in values or len(set(values)) < len(values) or one_a_foot or max(values) > MOST_TOES:
        return "-".join(numbers)
    return "-".join(str(value) for value in sorted(values))


def _feet(plain: str) -> str:
    clips = []
    for foot, toes in re.findall(rf"({FOOT})([^A-Z]*)", plain):
        named = OTHER_SPELLINGS.get(foot, foot)
        for toe in re.findall(r"\d", toes):
            if not 1 <= int(toe) <= TOES_A_FOOT:
                raise ImpossibleClip(f"'{plain}': there is no toe {toe}")
            clips.append((FEET[named], int(toe), f"{named}{toe}"))
    if len(set(clips)) < len(clips):
        raise ImpossibleClip(f"'{plain}' names a toe twice")
    return "-".join(clip for _, _, clip in sorted(clips))


def scale_clip(text: str) -> str:
    """Scale clips, left before right, numbers rising. Raises ImpossibleClip or ValueError as above."""
    plain = text.upper().strip()
    if re.fullmatch(r"\d+\s*[LR](?:[\s,;/+-]*\d+\s*[LR])*", plain):
        plain = " ".join(f"{side}{number}" for number, side in re.findall(r"(\d+)\s*([LR])", plain))
    if not re.fullmatch(r"(?:[LR]\s*\d+(?:\s*,\s*\d+)*[\s,;/+-]*)+", plain):
        raise ValueError(f"'{text}' is no code of sides and scales")
    clips = []
    for side, numbers in re.findall(r"([LR])([^LR]*)", plain):
        clips += [(side, int(number)) for number in re.findall(r"\d+", numbers)]
    if len(set(clips)) < len(clips):
        raise ImpossibleClip(f"'{plain}' names a scale twice")
    if any(number == 0 for _, number in clips):
        raise ImpossibleClip(f"'{plain}': scales are counted from 1")
    return " ".join(f"{side}{number}" for side, number in sorted(clips))
