"""Names that are nearly those of the checklist: when a repair is safe, and what is offered when it is not.

Distance: optimal string alignment (insertion, deletion, substitution, swap of neighbours), small letters, after
gender endings are folded. Thresholds: ours, chosen on a list of 102 species whose closest accepted pairs are 4
apart; a repair needs a distance of 1, or 2 in a name of 12 letters or more, the next other species at least 2
farther, the same first letter and a genus within 1.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from rapidfuzz import process
from rapidfuzz.distance import OSA

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_grammar import ParsedName, parse_name
from dwc_pipeline.normalise.name_match import Match, Outcome, question
from dwc_pipeline.normalise.name_words import animal_groups, group_taxon
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import (
    FIRST_DECLENSION,
    THIRD_DECLENSION,
    english_key,
    scientific_key,
)
from dwc_pipeline.terms.taxon import NameUse, Taxon

LONG_NAME = 12
CLEARANCE = 2
#: shorter genera and common names differ by one letter from too many others.
SHORTEST_REPAIRED_GENUS = 5
SHORTEST_REPAIRED_WORD = 8
#: an epithet may lose one letter in three, and no more.
LETTERS_PER_EDIT = 3
#: a number or a letter by itself, as in "bullsnake 2" and "bullsnake B", is a label and no spelling mistake.
ONLY_WORDS = re.compile(r"[^\W\d_]{2}[^\W\d_'’.-]*(?:[\s'’.-]+(?:[^\W\d_]{2,}|(?<=['’])s))*")


@dataclass(frozen=True)
class Spellings:
    """The names of a checklist as texts to measure against, with what each stands for, in the same order."""

    keys: tuple[str, ...]
    uses: tuple[NameUse, ...]
    english: tuple[str, ...]
    english_taxa: tuple[Taxon, ...]

    @cached_property
    def taxa(self) -> tuple[Taxon, ...]:
        """The taxa that the scientific names stand for."""
        return tuple(use.taxon for use in self.uses)

    @cached_property
    def epithets(self) -> dict[str, frozenset[Taxon]]:
        """Each epithet of a species and its taxa: one of another taxon is no misspelling of this one's."""
        found: dict[str, frozenset[Taxon]] = {}
        for words, taxon in zip(self.words, self.taxa, strict=True):
            for word in words[1:2]:
                found[word] = found.get(word, frozenset()) | {taxon}
        return found

    @cached_property
    def words(self) -> tuple[tuple[str, ...], ...]:
        """The words of each scientific key."""
        return tuple(tuple(key.split()) for key in self.keys)


@lru_cache(maxsize=8)
def spellings(checklist: Checklist) -> Spellings:
    """The texts to measure against, made once for a checklist."""
    pairs = [(key, use) for key, uses in checklist.names.items() for use in uses]
    words = [(key, use.taxon) for key, uses in checklist.english.items() for use in uses]
    words += [(key, group_taxon(group, checklist.taxa)) for key, group in animal_groups().items()]
    return Spellings(
        tuple(key for key, _ in pairs),
        tuple(use for _, use in pairs),
        tuple(key for key, _ in words),
        tuple(taxon for _, taxon in words),
    )


def distances(text: str, others: tuple[str, ...]) -> np.ndarray:
    """Optimal string alignment distance of the text to each of the others."""
    if not others:
        return np.empty(0, dtype=int)
    measured: np.ndarray = process.cdist([text], others, scorer=OSA.distance, dtype=np.int32)[0].astype(int)
    return measured


def repair(text: str, checklist: Checklist) -> Outcome:
    """The only name that is near enough, told to the person; a Verdict where it must be asked; None for none."""
    found = [_repair_scientific(parsed, checklist) for parsed in parse_name(text)[:1] if not parsed.genus_is_short]
    found.append(_repair_english(text, checklist))
    outcomes = [outcome for outcome in found if outcome is not None]
    taxa = list(dict.fromkeys(outcome.taxon.name for outcome in outcomes if isinstance(outcome, Match)))
    if len(taxa) > 1:
        return question(rules.TWO_READINGS, f"'{text}' is close to {' and to '.join(taxa)}.", taxa)
    return outcomes[0] if outcomes else None


def _repair_scientific(parsed: ParsedName, checklist: Checklist) -> Outcome:
    if parsed.qualifier_on not in ("", "end") or parsed.epithet_is_short:
        return None
    typed = scientific_key(parsed.name)
    all_names = spellings(checklist)
    far = distances(typed, all_names.keys)
    near = np.flatnonzero(far <= CLEARANCE)
    if not len(near):
        return None
    best = int(near[np.argmin(far[near])])
    use, distance = all_names.uses[best], int(far[best])
    others = [
        int(far[at]) for at in np.flatnonzero(far < distance + CLEARANCE) if all_names.uses[at].taxon is not use.taxon
    ]
    if others or not distance or not _is_safe(typed, all_names.keys[best], distance, parsed, checklist):
        return None
    letters = "1 letter" if distance == 1 else f"{distance} letters"
    note = f"'{parsed.name}' was read as {use.listed}: {letters} different, no other name is near."
    if use.regional:
        return question(rules.REGIONAL_SYNONYM, f"'{parsed.name}' is close to {use.listed}, a name that stands for "
                        f"{use.taxon.name} only here.", [use.taxon.name, use.listed])  # fmt: skip
    same_stem = _stem(typed) == _stem(all_names.keys[best])
    return _guarded(_repaired(use, note, parsed.qualifier), checklist, ending_only=same_stem)


def _is_safe(typed: str, key: str, distance: int, parsed: ParsedName, checklist: Checklist) -> bool:
    """The conditions on the parts of a name, see the head of the module."""
    theirs, ours = typed.split(), key.split()
    if len(theirs) != len(ours) or typed[0] != key[0] or distance > (2 if len(typed) >= LONG_NAME else 1):
        return False
    in_genus = OSA.distance(theirs[0], ours[0])
    if in_genus and (
        in_genus > 1 or len(theirs[0]) < SHORTEST_REPAIRED_GENUS or _is_known_genus(parsed.genus, checklist)
    ):
        return False
    if len(theirs) == 1:
        return distance == 1 and len(typed) >= SHORTEST_REPAIRED_WORD
    known = spellings(checklist).epithets
    own = known.get(ours[-1], frozenset())
    return all(
        _is_near(one, other) and (one == other or not known.get(one, frozenset()) - own)
        for one, other in zip(theirs[1:], ours[1:], strict=True)
    )


def _is_near(typed: str, key: str) -> bool:
    """True for one edit, or for two in an epithet long enough that starts with the same letter."""
    edits = OSA.distance(typed, key)
    return edits <= 1 or (edits <= len(typed) // LETTERS_PER_EDIT and typed[0] == key[0])


def _is_known_genus(genus: str, checklist: Checklist) -> bool:
    return genus in checklist.taxa or genus.lower() in checklist.old_genera


def _repaired(use: NameUse, note: str, qualifier: str = "") -> Match:
    remarks = (f"typed as a spelling of {use.listed}, a synonym of {use.taxon.name}",) if use.is_synonym else ()
    return Match(
        use.taxon,
        "spelling-repaired",
        note,
        listed=use.listed,
        listed_authorship=use.authorship,
        is_synonym=use.is_synonym,
        qualifier=qualifier,
        is_doubtful=bool(qualifier),
        flags=(Flag(rules.REPAIRED.id, note, (use.taxon.name,)),),
        remarks=remarks,
    )


def _guarded(match: Match, checklist: Checklist, *, ending_only: bool) -> Outcome:
    """A repair to a venomous or protected taxon is asked; if only the Latin ending differs it is told as an error."""
    taxon = match.taxon
    members = (taxon, *checklist.members.get(taxon.name, ()))
    is_venomous, is_protected = any(one.is_venomous for one in members), any(one.sensitive for one in members)
    traits = [word for word, holds in (("venomous", is_venomous), ("protected", is_protected)) if holds]
    if not traits:
        return match
    note = f"{match.note} {taxon.name} is, or holds, a {' and '.join(traits)} species: confirm it."
    if not ending_only:
        return question(rules.VENOMOUS_BY_REPAIR, note, [taxon.name])
    return match._replace(flags=(*match.flags, Flag(rules.VENOMOUS_BY_REPAIR.id, note, (taxon.name,))))


def _stem(key: str) -> str:
    """A name's key without the letter that stands for its gender ending."""
    return " ".join(word.rstrip(FIRST_DECLENSION + THIRD_DECLENSION) for word in key.split())


def _repair_english(text: str, checklist: Checklist) -> Outcome:
    typed = english_key(text)
    if len(typed) < SHORTEST_REPAIRED_WORD or not ONLY_WORDS.fullmatch(text):
        return None
    names = spellings(checklist)
    far = distances(typed, names.english)
    near = np.flatnonzero(far < 1 + CLEARANCE)
    taxa = list(dict.fromkeys(names.english_taxa[at] for at in near))
    if len(taxa) != 1 or far[near].min() != 1:
        return None
    at = int(near[np.argmin(far[near])])
    uses = checklist.english.get(names.english[at], ())
    if names.english[at][0] != typed[0] or not uses:  # without uses it is a group word, and those are never repaired
        return None
    called = next((use.listed for use in uses if use.taxon is taxa[0]), text)
    note = f"'{text}' was read as {called} ({taxa[0].name}): 1 letter different, no other name is near."
    return _guarded(_repaired(NameUse(taxa[0].name, taxa[0].authorship, taxa[0]), note), checklist, ending_only=False)
