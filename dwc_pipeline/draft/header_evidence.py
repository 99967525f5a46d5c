"""What a column's header says about the field that the column feeds.

The usual headers of every field stand in schemas/sheet/<kind>.json; words that mean the same in a header stand in
schemas/vocab/header_word.csv.

>>> from dwc_pipeline.terms.sheet import sheet_fields
>>> header_evidence("Check date", sheet_fields("capture")["eventDate"]).score
1.0
>>> header_evidence("Wt (oz)", sheet_fields("capture")["body_mass"]).score
0.96
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import NamedTuple

from rapidfuzz import fuzz

from dwc_pipeline.normalise.units import find_unit, unit_in_header, unit_of_symbol
from dwc_pipeline.terms.sheet import SHEET_KINDS, SheetField, sheet_fields
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: words that carry nothing by themselves
SMALL_WORDS = frozenset(
    {
        "the",
        "of",
        "a",
        "an",
        "was",
        "were",
        "is",
        "on",
        "in",
        "by",
        "for",
        "and",
        "or",
        "to",
        "per",
        "which",
        "your",
        "de",
        "del",
        "la",
        "el",
        "los",
        "las",
        "le",
        "les",
        "du",
        "des",
    }
)
#: words that make of a known header something else: the day a record was typed is no day of a capture
FOREIGN_WORDS = frozenset(
    {"added", "entered", "entry", "updated", "modified", "edited", "created", "verified", "verifier", "typed",
     "published", "birth", "born", "hatch", "hatched", "uncertainty", "calibrated", "flag", "qc", "previous", "prev",
     "next", "photo", "file", "page", "link", "unit", "units", "last", "first", "rank", "status", "kind", "type",
     "means", "country", "nest", "parent", "mother", "father", "old", "new", "other"}
)  # fmt: skip
FOREIGN = 0.4
#: words that only say how a thing is written down, whatever it is
HARMLESS_WORDS = frozenset({"name", "code", "id", "no", "number", "record", "animal"})
#: further facts that the reader of a field finds in its cells, so that a header may name them too
SHARED_CELLS = {"verbatimIdentification": ("sex", "lifeStage", "individualCount")}
#: readings of fields that no unit can belong to: "Fence (m)" is a length, not the code of a fence
NEVER_MEASURED = frozenset(
    {"place", "place_code", "trap", "trap_state", "name", "word", "mark", "person", "text", "date"}
)
EXACT, SAME_WORDS, ALL_WORDS_KNOWN, BUT_FOR_HARMLESS, NEARLY = 1.0, 0.96, 0.9, 0.88, 0.75
#: a header that holds a known header and other words, or is part of one; more for a larger share of words
HOLDS_KNOWN, PART_OF_KNOWN, FOR_SHARE = 0.5, 0.45, 0.35
LIKE_ENOUGH = 88
SHORTEST_FOR_LIKENESS = 5
CAMEL = re.compile(r"(?<=[a-z0-9])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])")


class HeaderEvidence(NamedTuple):
    """score: 0 (nothing in common) to 1 (a usual header of the field). known: the usual header it came from."""

    score: float
    known: str = ""


@lru_cache(maxsize=4096)
def words_of(header: str) -> tuple[str, ...]:
    """The words of a header in small letters, as typed otherwise.

    >>> words_of("scientificName"), words_of("UTM_E"), words_of("Tag #")
    (('scientific', 'name'), ('utm', 'e'), ('tag', '#'))
    """
    spaced = CAMEL.sub(" ", header).casefold().replace("#", " # ")
    return tuple(word for word in re.split(r"[\s_,;:.\-–/\\()\[\]?*\"'&+|=]+", spaced) if word)


@lru_cache(maxsize=4096)
def plain_words(header: str) -> tuple[str, ...]:
    """The words with their common meaning; small words and what stands in brackets left out if others are there."""
    same = load_vocabulary("header_word").entries
    outside = words_of(re.sub(r"[(\[][^)\]]*[)\]]", " ", header)) or words_of(header)
    words = [same[word].value if word in same and same[word].value else word for word in outside]
    return tuple(word for word in words if word not in SMALL_WORDS) or tuple(words)


def without_unit(words: tuple[str, ...]) -> tuple[str, ...]:
    """The words without units at their end; all of them where nothing would be left."""
    kept = list(words)
    while len(kept) > 1 and (unit := find_unit(kept[-1])) is not None and unit.symbol:
        kept.pop()
    return tuple(kept)


def header_evidence(header: str, field: SheetField, rivals: frozenset[str] = frozenset()) -> HeaderEvidence:
    """How well a header fits a field.

    rivals: words that alone are headers of other fields; beside a single known word they make it two facts, or the
    fact of another column, as in "Array/Trap" or "Observer comments".
    """
    found = _evidence(" ".join(header.split()), field.name, field.headers, rivals)
    if field.reading in NEVER_MEASURED and found.score > FOREIGN:
        unit = unit_in_header(header)
        if unit and unit_of_symbol(unit).kind in ("length", "mass", "temperature"):
            return found._replace(score=FOREIGN)
    return found


@cache
def rival_words(kind: str, name: str) -> frozenset[str]:
    """Words that alone are usual headers of other fields of such a row, and not of this one."""
    fields = sheet_fields(kind)
    sharing = {name, *SHARED_CELLS.get(name, ())}
    own = {word for one in sharing if one in fields for word in _single_words(fields[one])}
    others = {word for other, field in fields.items() if other not in sharing for word in _single_words(field)}
    return frozenset(others - own - HARMLESS_WORDS)


def _single_words(field: SheetField) -> set[str]:
    return {words[0] for _, _, words in _known(field.name, field.headers) if len(words) == 1}


@cache
def _known(name: str, headers: tuple[str, ...]) -> tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]:
    """Each usual header with its words as typed and with their common meaning."""
    return tuple((known, words_of(known), plain_words(known)) for known in (name, *headers))


@cache
def all_usual_headers() -> frozenset[str]:
    """Every usual header of every field, its words run together: none of them is another one misspelt."""
    fields = [field for kind in SHEET_KINDS for field in sheet_fields(kind).values()]
    return frozenset(
        "".join(without_unit(plain)) for field in fields for _, _, plain in _known(field.name, field.headers)
    )


@lru_cache(maxsize=65536)
def _evidence(header: str, name: str, headers: tuple[str, ...], rivals: frozenset[str]) -> HeaderEvidence:
    typed, plain = words_of(header), plain_words(header)
    if not typed:
        return HeaderEvidence(0.0)
    bare = without_unit(plain)
    best = HeaderEvidence(0.0)
    singles = {words[0] for _, _, words in _known(name, headers) if len(words) == 1}
    for known, known_typed, known_plain in _known(name, headers):
        score = _score(typed, plain, bare, known_typed, known_plain, rivals)
        if score > best.score:
            best = HeaderEvidence(score, known)
    if best.score < ALL_WORDS_KNOWN and len(bare) > 1 and set(bare) <= singles:
        best = HeaderEvidence(ALL_WORDS_KNOWN, " and ".join(bare))
    return best


def _score(
    typed: tuple[str, ...],
    plain: tuple[str, ...],
    bare: tuple[str, ...],
    known_typed: tuple[str, ...],
    known: tuple[str, ...],
    rivals: frozenset[str],
) -> float:
    if typed == known_typed:
        return EXACT
    known_bare = without_unit(known)
    if plain == known or bare == known_bare or sorted(bare) == sorted(known_bare):
        return SAME_WORDS
    joined, known_joined = "".join(bare), "".join(known_bare)
    if joined == known_joined or "".join(typed) == "".join(known_typed):
        return SAME_WORDS
    if set(bare) - HARMLESS_WORDS == set(known_bare) - HARMLESS_WORDS != set():
        return BUT_FOR_HARMLESS
    is_long = min(len(joined), len(known_joined)) >= SHORTEST_FOR_LIKENESS
    if is_long and joined not in all_usual_headers() and fuzz.ratio(joined, known_joined) >= LIKE_ENOUGH:
        return NEARLY
    if set(known_bare) < set(bare):
        foreign = FOREIGN_WORDS | rivals if len(known_bare) == 1 else FOREIGN_WORDS
        if foreign & (set(bare) - set(known_bare)):
            return FOREIGN
        stands_at_an_end = bare[-len(known_bare) :] == known_bare or bare[: len(known_bare)] == known_bare
        share = len(known_bare) / len(bare)
        return HOLDS_KNOWN + FOR_SHARE * share - (0 if stands_at_an_end else 0.1)
    if set(bare) < set(known_bare):
        return PART_OF_KNOWN + FOR_SHARE * len(bare) / len(known_bare) - 0.1
    return 0.0
