"""What a column of marks says of all its cells: the kind, the length of its codes, the marks that there are."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from dwc_pipeline.normalise.clip_code import MOST_TOES

LOOK_ALIKE_CLASSES = str.maketrans("OQILBSZ", "0011852")
#: how many marks settle a length, and which share of them must have it; our choice
FEWEST_MARKS = 5
SHARE_OF_LENGTH = 0.9
#: how many codes with leading zeros tell that a column pads its numbers; our choice
FEWEST_PADDED = 3
#: codes of so many digits are issued, not counted
LONGEST_COUNTED = 7


@dataclass(frozen=True)
class MarkContext:
    """What the column says of its marks.

    kind: "PIT tag", "toe clip" or "scale clip" where header or survey file name it; "" where they do not.
    names_clips: whether the header names clips too, as "PIT or clip" does. has_decimals: whether the column has codes
    such as 1.2, beside which a 1.0 is no number written out by a program.
    lengths: the lengths that the codes of the column have, where they settle it. known: marks given before.
    """

    kind: str = ""
    lengths: frozenset[int] = frozenset()
    known: frozenset[str] = frozenset()
    names_clips: bool = False
    has_decimals: bool = False

    @cached_property
    def parts_toes(self) -> bool:
        """True if the column writes toes apart, as 1-3-5 does."""
        return any(re.fullmatch(r"[1-5](?:-[1-5])+", mark) for mark in self.known)

    @cached_property
    def by_look(self) -> Mapping[str, tuple[str, ...]]:
        """Known marks by what remains when characters that look alike are made one."""
        found: dict[str, tuple[str, ...]] = {}
        for mark in sorted(self.known):
            look = look_of(mark)
            found[look] = (*found.get(look, ()), mark)
        return found


def look_of(mark: str) -> str:
    """A mark with characters that look alike made one, without what may part its prefix from its number.

    Leading zeros of a number go, and numbers of a clip code over the twenty toes stand in rising order.

    >>> look_of("KM 012") == look_of("km-012") == look_of("KM012")
    True
    >>> look_of("B267EB") == look_of("B267E8")
    True
    >>> look_of("W02") == look_of("W2"), look_of("100-20") == look_of("20-100"), look_of("4-1") == look_of("1-4")
    (True, True, False)
    """
    joined = re.sub(r"(?<=[A-Za-z])[\s._-]+(?=\d)|(?<=\d)\s+(?=[A-Za-z]$)", "", mark)
    joined = re.sub(r"^([A-Za-z]*)0+(?=\d+$)", r"\1", joined)
    if re.fullmatch(r"\d{1,3}(?:-\d{1,3})+", joined) and any(int(part) > MOST_TOES for part in joined.split("-")):
        joined = "-".join(sorted(joined.split("-"), key=int))
    return joined.upper().translate(LOOK_ALIKE_CLASSES)


def settled_lengths(marks: Iterable[str]) -> frozenset[int]:
    """The length that nearly all whole-number marks of a column have; nothing if they differ or are few.

    It is also settled by codes with leading zeros, all of one length that no code exceeds: such a column pads.
    A column that writes no leading zero may simply count up to 99 and on, so it settles nothing, unless its
    codes are too long to be counted.

    >>> settled_lengths(["0123", "0456", "7890", "1111", "2222"]), settled_lengths(["1", "22"])
    (frozenset({4}), frozenset())
    >>> settled_lengths(["0012", "0047", "0103", "1104", "112", "12"])
    frozenset({4})
    """
    numbers = [mark for mark in marks if mark.isdigit()]
    lengths = Counter(len(number) for number in numbers)
    padded = [len(number) for number in numbers if number.startswith("0") and len(number) > 1]
    if len(padded) >= FEWEST_PADDED and set(padded) == {max(lengths)}:
        return frozenset(padded)
    writes_zeros = any(number.startswith("0") for number in numbers)
    return frozenset(
        length
        for length, count in lengths.items()
        if len(numbers) >= FEWEST_MARKS
        and count >= SHARE_OF_LENGTH * len(numbers)
        and (writes_zeros or length >= LONGEST_COUNTED)
    )
