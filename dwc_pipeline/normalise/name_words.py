"""Words in a name cell that are no part of a name: life stage, sex, count, doubt; and groups such as "snake".

The lists are schemas/vocab/beside_name.csv, instead_of_name.csv and animal_group.csv.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from dwc_pipeline.terms.name_keys import english_key
from dwc_pipeline.terms.taxon import RANK_ORDER, Taxon
from dwc_pipeline.terms.vocabulary import fold_word, load_vocabulary

MOST_WORDS_TOGETHER = 4
#: "x3", "3x", "n=3", "(3)"; a bare number after a name may be a mark or a number of the species: not a count.
COUNT_AFTER = re.compile(
    r"(?P<rest>.*?[^\W\d_.]\.?)[\s,;:-]*(?:\b[xX]\s?|×\s?|\bn\s?=\s?)(?P<count>\d{1,3})", re.DOTALL
)
COUNT_AFTER_TIMES = re.compile(r"(?P<rest>.*?[^\W\d_.]\.?)[\s,;:-]+(?P<count>\d{1,3})\s?[xX×]", re.DOTALL)
COUNT_BEFORE = re.compile(r"(?P<count>\d{1,3})\s?(?:[xX×]\s|×|\s)\s*(?P<rest>[^\W\d_].*)", re.DOTALL)
#: in brackets; a bare number of two digits there is as likely that of a tag
COUNT_ALONE = re.compile(r"(?P<count>(?:[xX×]\s?|n\s?=\s?)\d{1,3}|\d{1,3}\s?[xX×]|\d)")
VAGUE_COUNT = re.compile(
    r"(?:[~>≈<]|(?:about|ca|approx|approximately|over)\b\.?)\s*(?=\d)|(?:several|many|few|a few|lots of)\s", re.I
)
BRACKETED = re.compile(r"(?P<rest>.*\S)\s*[(\[](?P<inside>[^()\[\]]{1,40})[)\]]", re.DOTALL)
SEX_LETTER = re.compile(r"(?P<rest>.*[^\W\d_.]{2})(?:_|\s*[-,/;]\s*|\s+)(?P<sex>[MF♂♀])", re.DOTALL)
SEPARATORS_AT_ENDS = " \t,;:-–—/_."
NUMBER_WORDS = {
    "2": "two",
    "3": "three",
    "4": "four",
    "5": "five",
    "6": "six",
    "7": "seven",
    "8": "eight",
    "9": "nine",
}
NUMBER_IN_NAME = re.compile(r"\b([2-9])[\s-]?(?=(?:lined?|toed?|band(?:ed)?|spot(?:ted)?)\b)", re.IGNORECASE)
NO_ANIMAL_WORD = "no animal"
SEXES = {"M": "male", "F": "female", "♂": "male", "♀": "female"}


class Fact(NamedTuple):
    """What one word beside the name says. kind: as in beside_name.csv, or "count", or "vague count"."""

    kind: str
    words: str
    terms: Mapping[str, str] = MappingProxyType({})


class Peeled(NamedTuple):
    """The rest of the cell once one fact was taken off an end."""

    rest: str
    fact: Fact


@cache
def words_instead_of_names() -> Mapping[str, str]:
    """Folded word -> "no animal", "not available", "missing", "unidentified" or "trap state"."""
    entries = load_vocabulary("instead_of_name").entries
    return MappingProxyType({word: entry.value for word, entry in entries.items() if entry.value})


@cache
def words_beside_names() -> Mapping[str, Fact]:
    """Folded word -> what it says."""
    entries = load_vocabulary("beside_name").entries
    kinds = {"fact", "unknown", "doubt", "escaped", "sign", "remark"}
    return MappingProxyType(
        {
            word: Fact(entry.value, word, entry.also)
            for word, entry in entries.items()
            if entry.value in kinds and word not in {"fact", "doubt", "sign", "remark"}
        }
    )


@cache
def animal_groups() -> Mapping[str, Mapping[str, str]]:
    """Key of a group word -> its columns in animal_group.csv."""
    entries = load_vocabulary("animal_group").entries
    return MappingProxyType(
        {
            english_key(word): MappingProxyType({"word": word, "value": entry.value, **entry.also})
            for word, entry in entries.items()
            if entry.value and entry.also
        }
    )


def number_spelt(text: str) -> str:
    """ "3-toed box turtle": a number that is part of a name, spelt out.

    >>> number_spelt("6 lined racerunner"), number_spelt("3 toads")
    ('six-lined racerunner', '3 toads')
    """
    return NUMBER_IN_NAME.sub(lambda found: NUMBER_WORDS[found[1]] + "-", text)


def meaning_instead_of_name(text: str) -> str:
    """What a cell says that holds no name; "" if it may hold one. "none - all traps empty" says one thing twice.

    >>> meaning_instead_of_name("NOCAP"), meaning_instead_of_name("N/A"), meaning_instead_of_name("racer")
    ('no animal', 'not available', '')
    """
    found = words_instead_of_names().get(fold_word(text.removeprefix("#")), "")
    parts = re.split(r"\s*[,;:]\s*|\s+[-–—]\s+", text)
    if found or len(parts) < 2:
        return found
    meanings = {words_instead_of_names().get(fold_word(part), "") for part in parts}
    return NO_ANIMAL_WORD if meanings == {NO_ANIMAL_WORD} else ""


def group_taxon(group: Mapping[str, str], taxa: Mapping[str, Taxon]) -> Taxon:
    """The taxon that is certain from a group word: the checklist's own where it knows it."""
    for name in (group["value"], group["safe_name"]):
        if name in taxa:
            return taxa[name]
    ancestors = {rank: group[rank] for rank in ("order", "class", "phylum", "kingdom") if group.get(rank)}
    width = RANK_ORDER[group["safe_rank"]]
    return Taxon(
        name=group["safe_name"],
        rank=group["safe_rank"],
        ancestors=MappingProxyType({rank: name for rank, name in ancestors.items() if RANK_ORDER[rank] > width}),
        target=False,
        is_listed=False,
    )


def peels(text: str) -> tuple[Peeled, ...]:
    """One fact taken off an end of the cell, brackets first, then the end, then the start; () if there is none.

    Two ways only for "toadlet", which is a word beside a name or its last word made small.

    >>> peels("wolf spider x3")[0].rest, peels("juv racer")[0].fact.terms["lifeStage"]
    ('wolf spider', 'juvenile')
    """
    bracketed = BRACKETED.fullmatch(text)
    if bracketed and (fact := _fact(bracketed["inside"])) is not None:
        return (Peeled(_trimmed(bracketed["rest"]), fact),)
    for pattern in (COUNT_AFTER, COUNT_AFTER_TIMES):
        counted = pattern.fullmatch(text)
        if counted:
            return (Peeled(_trimmed(counted["rest"]), _count(counted["count"])),)
    lettered = SEX_LETTER.fullmatch(text)
    if lettered:
        fact = Fact("fact", lettered["sex"], MappingProxyType({"sex": SEXES[lettered["sex"]]}))
        return (Peeled(_trimmed(lettered["rest"]), fact),)
    if text.endswith("?"):
        return (_doubted(text),)
    found = (_small_one(text), _word_at_an_end(text) or _count_at_the_start(text))
    return tuple(peeled for peeled in found if peeled is not None)


def _doubted(text: str) -> Peeled:
    """A question mark at the end doubts the word it stands after: "racer F?" is a racer, of unknown sex."""
    core = text.rstrip("? ")
    lettered = SEX_LETTER.fullmatch(core)
    if lettered:
        return Peeled(_trimmed(lettered["rest"]), Fact("remark", f"{lettered['sex']}?"))
    words = core.split()
    if len(words) > 1 and (fact := _word(words[-1])) is not None and fact.kind == "fact":
        return Peeled(_trimmed(" ".join(words[:-1])), Fact("remark", f"{words[-1]}?"))
    return Peeled(_trimmed(core), Fact("doubt", "?"))


def _word_at_an_end(text: str) -> Peeled | None:
    parts = re.split(r"([\s,;:/_–—-]+)", text)
    for size in range(min(MOST_WORDS_TOGETHER, len(parts) // 2), 0, -1):
        inner = 2 * size - 1
        if (fact := _word("".join(parts[-inner:]))) is not None:
            return Peeled(_trimmed("".join(parts[:-inner])), fact)
        if (fact := _word("".join(parts[:inner]))) is not None:
            return Peeled(_trimmed("".join(parts[inner:])), fact)
    return None


def _small_one(text: str) -> Peeled | None:
    """ "woodhouse's toadlet": the stage is part of the last word."""
    found = re.fullmatch(r"(?P<rest>.+\s(?:\w+-)?(?:toad|frog))lets?", text, re.IGNORECASE)
    return Peeled(found["rest"], words_beside_names()["toadlet"]) if found else None


def _count_at_the_start(text: str) -> Peeled | None:
    counted = COUNT_BEFORE.fullmatch(text)
    if counted:
        return Peeled(_trimmed(counted["rest"]), _count(counted["count"]))
    vague = VAGUE_COUNT.match(text)
    if vague:
        number = re.match(r"\d+\s*", text[vague.end() :])
        end = vague.end() + (number.end() if number else 0)
        return Peeled(_trimmed(text[end:]), Fact("vague count", text[:end].strip()))
    return None


def _fact(text: str) -> Fact | None:
    counted = COUNT_ALONE.fullmatch(text.strip())
    if counted:
        return _count(re.sub(r"\D", "", counted["count"]))
    if text.strip() in SEXES:
        return Fact("fact", text.strip(), MappingProxyType({"sex": SEXES[text.strip()]}))
    return Fact("doubt", "?") if text.strip() == "?" else _word(text)


def _word(text: str) -> Fact | None:
    return words_beside_names().get(fold_word(text))


def _count(digits: str) -> Fact:
    return Fact("count", digits, MappingProxyType({"individualCount": str(int(digits))}))


def _trimmed(text: str) -> str:
    return text.strip(SEPARATORS_AT_ENDS)
