"""Places: the array, route or site that a cell names, by the survey's own place list.

Read only if one place remains once capitals, spaces, hyphens, leading zeros and the word for its kind are set
aside: "a 1", "A01" and "Array 1" are A1. Look-alikes are offered, never applied.

>>> places = PlaceList({"A1": ("Plum Thicket North",), "A2": (), "R1": ()})
>>> judge_place("Array 01", places).value, judge_place("plum thicket north", places).value
('A1', 'A1')
>>> judge_place("A3", places).rule, judge_place("A3", places).readings
('place-not-in-place-list', ('A1', 'A2'))
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from rapidfuzz import fuzz, process

from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.verdict import EMPTY, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.number import plain_typing
from dwc_pipeline.terms.vocabulary import load_vocabulary

NOT_IN_LIST = declare(
    Rule(
        id="place-not-in-place-list",
        severity=Severity.ERROR,
        what="An array, route or site is named that the place list does not have.",
        why="Without its place a row has no coordinates, and its effort and catch go to no array.",
        remedy="Correct the name, or add the place to the place list.",
        asks=True,
    )
)
TWO_PLACES = declare(
    Rule(
        id="place-has-two-readings",
        severity=Severity.ERROR,
        what="A place name fits more than one place of the place list, or names two.",
        why="The row would go to the wrong array.",
        remedy="Answer with the code of the place that was meant.",
        asks=True,
    )
)

KIND_WORDS = frozenset(
    {"array", "arr", "site", "route", "rt", "transect", "fence", "plot", "station", "line", "area", "road"}
)
ABBREVIATIONS = {"arr": "array", "rt": "route"}
SIMILAR_ENOUGH = 60
MOST_SUGGESTIONS = 3


@dataclass(frozen=True)
class PlaceList:
    """The survey's places: code -> other names of it, in the order of the place list."""

    names: Mapping[str, tuple[str, ...]]

    @cached_property
    def by_spelling(self) -> Mapping[str, frozenset[str]]:
        """Codes by every spelling that stands for them as it is: code and names, folded."""
        found: dict[str, frozenset[str]] = {}
        for code, names in self.names.items():
            for name in (code, *names):
                key = fold_place(name)
                found[key] = found.get(key, frozenset()) | {code}
        return found

    @cached_property
    def by_short_form(self) -> Mapping[str, frozenset[str]]:
        """Codes by shorter spellings: without the word for the kind of place, or with its first letter only."""
        found: dict[str, frozenset[str]] = {}
        for key, codes in self.by_spelling.items():
            for short in short_forms(key) - {key}:
                found[short] = found.get(short, frozenset()) | codes
        return found


def fold_place(text: str) -> str:
    """A place name without capitals, spaces, marks and leading zeros; two numbers stay apart.

    >>> fold_place("A-01"), fold_place("Plum Thicket N."), fold_place("Array 10"), fold_place("A1 2")
    ('a1', 'plumthicketn', 'array10', 'a1-2')
    """
    joined = re.sub(r"(?<=\d)[\s_.,#:'\"()-]+(?=\d)", "-", text.casefold())
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"(?<!\d)[\s_.,#:'\"()-]+|[\s_.,#:'\"()-]+(?!\d)", "", joined))


def short_forms(key: str) -> frozenset[str]:
    """What a folded name is without the word for its kind: array1 -> 1 and a1.

    >>> sorted(short_forms("array1"))
    ['1', 'a1', 'array1']
    """
    found = {key}
    if kind := re.match("|".join(sorted(KIND_WORDS, key=len, reverse=True)), key):
        rest = key[kind.end() :]
        found |= {rest, key[0] + rest, ABBREVIATIONS.get(kind[0], kind[0]) + rest} if rest else set()
    letter_and_number = re.fullmatch(r"[a-z](\d+)", key)
    return frozenset(found | ({letter_and_number[1]} if letter_and_number else set()))


def judge_place(verbatim: str, places: PlaceList) -> Verdict:
    """The code of the place that a cell names."""
    text = plain_typing(verbatim)
    if not text:
        return EMPTY
    if verbatim.strip() in places.names:
        return kept_or_changed(verbatim, verbatim.strip(), "place-list")
    key = fold_place(text)
    codes = places.by_spelling.get(key, frozenset()) or _by_short_form(key, places)
    not_told = load_vocabulary("not_told").find(text)
    if not codes and not_told is not None:
        return Verdict(Status.EMPTY, note=f"'{text}' names no place.")
    if len(codes) == 1:
        (code,) = codes
        return kept_or_changed(verbatim, code, "place-list", f"'{text}' is {code} of the place list.")
    ordered = tuple(code for code in places.names if code in codes) or _named_together(text, places)
    if ordered:
        return ambiguous(TWO_PLACES.id, f"'{text}' can be {' or '.join(ordered)}.", ordered)
    return unreadable(NOT_IN_LIST.id, f"'{text}' is not in the place list.", near_places(text, places))


def _by_short_form(key: str, places: PlaceList) -> frozenset[str]:
    """Codes that the text stands for once the word for the kind of place is set aside, in the text or in the list."""
    shorter = short_forms(key) - {key}
    for forms in ({form for form in shorter if not form.isdigit()}, {form for form in shorter if form.isdigit()}):
        if re.fullmatch(r"[a-z]\d+", key) and forms and all(form.isdigit() for form in forms):
            continue  # "A3" is never the place numbered 3 of another letter
        found = frozenset[str]().union(*(places.by_spelling.get(form, frozenset()) for form in forms))
        if found:
            return found
    return places.by_short_form.get(key, frozenset())


def _named_together(text: str, places: PlaceList) -> tuple[str, ...]:
    """The places of a cell that names several, such as "A1/A2"; () if some part is none."""
    parts = [fold_place(part) for part in re.split(r"\s*(?:[/&+,;]|\band\b)\s*", text) if part]
    codes = [places.by_spelling.get(part, frozenset()) for part in parts]
    if len(parts) < 2 or any(len(code) != 1 for code in codes):
        return ()
    return tuple(dict.fromkeys(code for one in codes for code in one))


def near_places(text: str, places: PlaceList) -> tuple[str, ...]:
    """Codes of places whose code or name looks like the text, best first: suggestions only."""
    spellings = list(places.by_spelling)
    hits = process.extract(
        fold_place(text), spellings, scorer=fuzz.ratio, score_cutoff=SIMILAR_ENOUGH - 20 * (len(text) < 4), limit=10
    )
    codes = [code for spelling, _, _ in hits for code in sorted(places.by_spelling[spelling])]
    return tuple(dict.fromkeys(codes))[:MOST_SUGGESTIONS]
