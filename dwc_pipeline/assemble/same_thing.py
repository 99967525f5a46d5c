"""Whether a changed row is still the same animal, or the same visit, as a line of the register."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.assemble.identifiers import TELLING, Features, Pair

#: Features of one animal that others rarely share.
IDENTITY = ("mark", *TELLING)
#: Features that many animals share, as groups that one correction changes together.
SHARED = (("scientificName", "verbatimIdentification"), ("sex",), ("lifeStage",), ("individualCount",))


class Agreement(NamedTuple):
    """How two descriptions compare, counting only what both of them give."""

    identity: int
    other_identity: int
    shared: int
    other_shared: int

    @property
    def differences(self) -> int:
        """Facts in which the two differ."""
        return self.other_identity + self.other_shared

    @property
    def is_proof(self) -> bool:
        """True if more speaks for one animal than for two."""
        if not self.identity:
            return False
        return self.identity > self.other_identity or (self.identity == self.other_identity and not self.other_shared)


def agreement(said: Features, remembered: Features) -> Agreement:
    """Compare two descriptions of an animal; a fact given on one side only says nothing.

    >>> agreement({"body_mass": "12", "sex": "male"}, {"body_mass": "13", "sex": "male", "mark": "7"})
    Agreement(identity=0, other_identity=1, shared=1, other_shared=0)
    """
    given = [name for name in IDENTITY if name in said and name in remembered]
    same = sum(said[name] == remembered[name] for name in given)
    shared = other_shared = 0
    for group in SHARED:
        both = next((name for name in group if name in said and name in remembered), None)
        if both is not None:
            shared += said[both] == remembered[both]
            other_shared += said[both] != remembered[both]
    return Agreement(same, len(given) - same, shared, other_shared)


def same_animal(rows: Mapping[Hashable, Features], lines: Mapping[int, Features]) -> list[Pair]:
    """Which of the changed rows of one trap and check are animals of the register.

    A row continues a line if measures, mark or number agree more than they differ, and no other row or line fits
    as well. If then one row and one line are left and differ in one fact, the row is taken for the line corrected:
    a weak match, since a row may have been replaced by another animal's.
    """
    compared = {(row, line): agreement(rows[row], lines[line]) for row in rows for line in lines}
    pairs = best_pairs({pair: (one.identity - one.other_identity, one.shared - one.other_shared)
                        for pair, one in compared.items() if one.is_proof}, rows, lines)  # fmt: skip
    left_rows = [row for row in rows if row not in {pair.row for pair in pairs}]
    left_lines = [line for line in lines if line not in {pair.line for pair in pairs}]
    if len(left_rows) == len(left_lines) == 1 and compared[left_rows[0], left_lines[0]].differences <= 1:
        pairs.append(Pair(left_rows[0], left_lines[0], is_weak=not compared[left_rows[0], left_lines[0]].is_proof))
    return pairs


def best_pairs(
    scores: Mapping[tuple[Hashable, int], tuple[int, int]],
    rows: Mapping[Hashable, Features],
    lines: Mapping[int, Features],
) -> list[Pair]:
    """Pairs from the best score down, each row and line once; where different ones tie, none is taken."""
    pairs: list[Pair] = []
    free_rows, free_lines = set(rows), set(lines)
    while True:
        open_pairs = {pair: score for pair, score in scores.items() if pair[0] in free_rows and pair[1] in free_lines}
        if not open_pairs:
            return pairs
        best = max(open_pairs.values())
        top = [pair for pair, score in open_pairs.items() if score == best]
        row, line = top[0]
        rival_rows = [one for one, other in top if other == line and rows[one] != rows[row]]
        rival_lines = [other for one, other in top if one == row and lines[other] != lines[line]]
        if rival_rows or rival_lines:
            free_rows -= {row, *rival_rows}
            free_lines -= {line, *rival_lines}
            continue
        pairs.append(Pair(row, line))
        free_rows.discard(row)
        free_lines.discard(line)


def same_visit(rows: Mapping[Hashable, Features], lines: Mapping[int, Features]) -> list[Pair]:
    """Which of the changed visits of one place and day are visits of the register.

    As many rows as lines: their times were corrected, and they are paired in order of time. Else the nearest in
    time go together, as far as that leaves no doubt.
    """
    by_time = sorted(rows, key=lambda row: (rows[row].get("time", ""), str(row)))
    lines_by_time = sorted(lines, key=lambda line: (lines[line].get("time", ""), line))
    if len(rows) == len(lines):
        return [Pair(row, line) for row, line in zip(by_time, lines_by_time, strict=True)]
    away = {
        (row, line): minutes_between(rows[row].get("time", ""), lines[line].get("time", ""))
        for row in by_time
        for line in lines_by_time
    }
    known = {pair: (-minutes, 0) for pair, minutes in away.items() if minutes is not None}
    return best_pairs(known, rows, lines)


def minutes_between(one: str, other: str) -> int | None:
    """Minutes between two local times in ISO 8601; None if one of them is not a time of day."""
    if "T" not in one or "T" not in other:
        return None
    seconds = (pd.Timestamp(one[:16]) - pd.Timestamp(other[:16])).total_seconds()
    return int(abs(seconds)) // 60
