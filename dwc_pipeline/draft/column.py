"""One column of a table as the draft looks at it: its header and its distinct cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import pandas as pd

#: distinct cells of a column that are judged, the most frequent first; enough to tell what a column holds
MOST_JUDGED = 300


@dataclass(frozen=True)
class Column:
    """The cells of one column, blank ones left out. counts: how often each distinct cell stands there."""

    letter: str
    header: str
    counts: Mapping[str, int]
    stored: Mapping[str, str]
    rows: int
    in_order: tuple[str, ...]

    @classmethod
    def of(cls, letter: str, header: str, text: pd.Series, stored: pd.Series | None) -> Column:
        """The column of a table. stored: typed dates and times as the file holds them, same rows."""
        plain = text.str.strip()
        filled = plain[plain != ""]
        kept = {} if stored is None else dict(zip(plain, stored, strict=True))
        return cls(
            letter,
            header,
            MappingProxyType(filled.value_counts().to_dict()),
            MappingProxyType({shown: iso for shown, iso in kept.items() if iso and shown}),
            len(text),
            tuple(dict.fromkeys(filled)),
        )

    @cached_property
    def judged(self) -> tuple[tuple[str, int], ...]:
        """The most frequent cells with their number."""
        return tuple(list(self.counts.items())[:MOST_JUDGED])

    @property
    def filled(self) -> int:
        """Number of cells that are not blank."""
        return sum(self.counts.values())

    def share(self, reads: Callable[[str], bool]) -> float:
        """The share of the judged cells for which `reads` is true."""
        total = sum(number for _, number in self.judged)
        return sum(number for text, number in self.judged if reads(text)) / total if total else 0.0


def looks_like_a_date(text: str) -> bool:
    """True for a text in the form of a date, whatever its numbers are.

    >>> looks_like_a_date("13/06/24"), looks_like_a_date("4 June 2024"), looks_like_a_date("C1-C4")
    (True, True, False)
    """
    return re.fullmatch(r"\d{1,4}[-/.]\w{1,3}[-/.]\d{1,4}|\d{1,2} \w+ \d{4}", text) is not None
