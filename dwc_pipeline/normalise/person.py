"""Observers: "KM/RT" or "K.M. & R.T." by the survey's people list. Writes recordedBy, names joined by " | ".

Initials that the list does not have stay as typed and are flagged; initials of two people are asked.
Order as typed, as Darwin Core recommends the primary collector first.

>>> people = PeopleList({"Kim Marsh": ("KM",), "Rosa Tell": ()})
>>> judge_people("K.M. & R.T.", people).value
'Kim Marsh | Rosa Tell'
>>> judge_people("KM/XY", people).value, judge_people("KM/XY", people).flags[0].rule
('Kim Marsh | XY', 'observer-not-in-people-list')
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from rapidfuzz import fuzz, process

from dwc_pipeline.core.findings import READINGS_SEPARATOR
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, kept_or_changed
from dwc_pipeline.normalise.number import plain_typing
from dwc_pipeline.terms.vocabulary import load_vocabulary

NOT_IN_LIST = declare(
    Rule(
        id="observer-not-in-people-list",
        severity=Severity.WARNING,
        what="An observer's initials or name are not in the people list.",
        why="Nobody can be asked about the record later, and the same person may stand there under two names.",
        remedy="Add the person under [[people]] with these initials, or correct the cell.",
    )
)
TWO_PEOPLE = declare(
    Rule(
        id="observer-has-two-readings",
        severity=Severity.WARNING,
        what="Initials belong to more than one person of the people list.",
        why="The record would be credited to the wrong person.",
        remedy="Answer with the name, or give each person initials of their own under [[people]].",
        asks=True,
    )
)

SURNAME_AND_INITIALS = re.compile(r"[A-Z][\w'-]*[a-z],\s*(?:[A-Z]\.?\s*)+")
SIMILAR_ENOUGH = 75


@dataclass(frozen=True)
class PeopleList:
    """The survey's people: name as it shall appear -> how the sheets write it."""

    people: Mapping[str, tuple[str, ...]]

    @cached_property
    def by_key(self) -> Mapping[str, tuple[str, ...]]:
        """Names by spelling: the full name, "Last, First", "F. Last" and the spellings given."""
        found: dict[str, tuple[str, ...]] = {}
        for name, spellings in self.people.items():
            keys = {fold_person(spelling) for spelling in (name, *spellings)}
            parts = name.split()
            if len(parts) > 1:
                first, last = parts[0], parts[-1]
                keys |= {fold_person(f"{last} {' '.join(parts[:-1])}"), fold_person(f"{first[0]} {last}")}
                keys.add(fold_person(f"{last} {first[0]}"))
            for key in keys:
                found[key] = (*found.get(key, ()), name)
        return found

    @cached_property
    def by_initials(self) -> Mapping[str, tuple[str, ...]]:
        """Names by the initials formed from them, and by surname and first name alone: used after `by_key`."""
        found: dict[str, tuple[str, ...]] = {}
        for name in self.people:
            parts = re.split(r"[\s-]+", name)
            initials = "".join(part[0] for part in parts)
            short = {initials, initials[0] + initials[-1], parts[-1], parts[0]} if len(parts) > 1 else {name}
            for key in {fold_person(one) for one in short}:
                found[key] = (*found.get(key, ()), name)
        return found

    def find(self, text: str) -> tuple[str, ...]:
        """The names that a text stands for: one, none, or several."""
        key = fold_person(text)
        return self.by_key.get(key) or self.by_initials.get(key, ())


def fold_person(text: str) -> str:
    """A name or initials without capitals, dots, commas and spaces.

    >>> fold_person("K. M."), fold_person("Marsh, Kim")
    ('km', 'marshkim')
    """
    return re.sub(r"[\s.,'-]+", "", text.casefold())


def judge_people(verbatim: str, people: PeopleList) -> Verdict:
    """The people that a cell names, in the order typed."""
    text = plain_typing(verbatim)
    if not text:
        return EMPTY
    parts = _parts(text, people)
    if not parts or (load_vocabulary("not_told").find(text) is not None and not people.find(text)):
        return Verdict(Status.EMPTY, note=f"'{text}' names nobody.")
    found = [people.find(part) for part in parts]
    for part, names in zip(parts, found, strict=True):
        if len(names) > 1:
            readings = tuple(
                READINGS_SEPARATOR.join(
                    name if other is names else (other[0] if other else typed)
                    for typed, other in zip(parts, found, strict=True)
                )
                for name in names
            )
            return ambiguous(TWO_PEOPLE.id, f"'{part}' can be {' or '.join(names)}.", readings)
    flags = tuple(
        Flag(NOT_IN_LIST.id, f"'{part}' is not in the people list.", near_people(part, people))
        for part, names in zip(parts, found, strict=True)
        if not names
    )
    written = dict.fromkeys(names[0] if names else part for part, names in zip(parts, found, strict=True))
    value = READINGS_SEPARATOR.join(written)
    return kept_or_changed(verbatim, value, "people-list", f"'{text}' is {value}.", flags=flags)


def _parts(text: str, people: PeopleList) -> list[str]:
    """The cell cut into people; a comma or space parts people only if it does not stand inside one name."""
    if people.find(text):
        return [text]
    parts: list[str] = []
    for piece in re.split(r"\s*(?:[/&;|+\n]|\band\b|\bwith\b|\bw/)\s*", text, flags=re.I):
        is_one = bool(people.find(piece)) or SURNAME_AND_INITIALS.fullmatch(piece) is not None
        by_comma = [piece] if is_one else re.split(r"\s*,\s*", piece)
        for one in by_comma:
            words = re.split(r"[\s-]+", one)
            are_people = len(words) > 1 and not people.find(one) and all(people.find(word) for word in words)
            parts += words if are_people else [one]
    return [part for part in parts if part]


def near_people(text: str, people: PeopleList) -> tuple[str, ...]:
    """Names that look like the text, best first: suggestions only."""
    keys = [*people.by_key, *people.by_initials]
    hits = process.extract(fold_person(text), keys, scorer=fuzz.ratio, score_cutoff=SIMILAR_ENOUGH, limit=5)
    return tuple(
        dict.fromkeys(name for key, _, _ in hits for name in people.by_key.get(key, ()) or people.by_initials[key])
    )
