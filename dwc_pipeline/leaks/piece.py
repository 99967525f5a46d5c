"""One text found in a file, and what cannot be looked into."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

SHORTEST_RUN = 5
#: [bytes] of one unpacked text or member
LARGEST = 400_000_000
_PRINTABLE = re.compile(rb"[\x20-\x7e\x80-\xff]{%d,}" % SHORTEST_RUN)
_WIDE = re.compile(rb"(?:[\x20-\x7e\xa0-\xff]\x00){%d,}" % SHORTEST_RUN)


class Piece(NamedTuple):
    """Some text and where it stands. whole: a whole document, in which neighbours need not belong together."""

    where: str
    text: str
    whole: bool = False


class Unreadable(NamedTuple):
    """A part that cannot be looked into; it counts as a leak, since nobody can say that it is none."""

    where: str
    why: str


def strings(content: bytes, where: str) -> Iterator[Piece]:
    """Runs of printable characters in bytes, in one and in two bytes each."""
    for run in _PRINTABLE.findall(content):
        yield Piece(where, run.decode("utf-8", errors="ignore"))
        if not run.isascii():
            yield Piece(where, run.decode("cp1252", errors="replace"))
    for run in _WIDE.findall(content):
        yield Piece(where, run.decode("utf-16-le", errors="replace"))
