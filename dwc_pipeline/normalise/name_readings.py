"""What is offered to a person for a name that could not be read: best first, never applied."""

from __future__ import annotations

import re

import numpy as np
from rapidfuzz.distance import OSA

from dwc_pipeline.core.verdict import Verdict
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_grammar import ParsedName, parse_name
from dwc_pipeline.normalise.name_match import NO_ANIMAL, question
from dwc_pipeline.normalise.name_spelling import distances, spellings
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import english_key, epithet_key, scientific_key

#: how far a name may be, as a share of its length, to be offered.
FARTHEST_SCIENTIFIC, FARTHEST_COMMON = 0.4, 0.3
FARTHEST_EPITHET = 2
SHORTEST_PART = 5
MOST_OFFERED = 5
#: one word in capitals of a code's length.
LOOKS_LIKE_A_CODE = re.compile(r"[A-Z0-9]{2,6}")
DENIED = re.compile(r"(?:no|not|without)\s+(?:an?\s+|any\s+)?(?P<what>.+)", re.IGNORECASE)
DITTO = re.compile(r"[\"'”″〃`\s]+|ditto|do\.?|same|same as above|as above|idem", re.IGNORECASE)


def asked(text: str, checklist: Checklist) -> Verdict:
    """The question about a text that nothing could read."""
    if DITTO.fullmatch(text):
        return question(rules.NOT_IN_CHECKLIST, f"'{text}' repeats another cell; write the name out.")
    denied = DENIED.fullmatch(text)
    if denied:
        note = f"'{text}' can say that nothing was caught, or only what was not."
        return question(rules.NOT_IN_CHECKLIST, note, [NO_ANIMAL])
    offered = readings_for(text, checklist)
    note = f"'{text}' is not in the checklist"
    note += "; the nearest are offered." if offered else ", and nothing in it is near."
    return question(rules.NOT_IN_CHECKLIST, note, offered)


def readings_for(text: str, checklist: Checklist) -> list[str]:
    """Names that an unread text could stand for, best first: accepted names only."""
    if LOOKS_LIKE_A_CODE.fullmatch(text):
        return _names_of_near_codes(text, checklist)
    offered = [*_common_names_holding(text, checklist), *_near_names(text, checklist)]
    for name in parse_name(text)[:1]:
        offered += _by_the_parts(name, checklist)
    return list(dict.fromkeys(offered))[:MOST_OFFERED]


def _by_the_parts(name: ParsedName, checklist: Checklist) -> list[str]:
    """Taxa with the same epithet, the genus, and the taxa that an old genus has become."""
    offered = []
    key = epithet_key(name.epithet)
    names = spellings(checklist)
    for words, taxon in zip(names.words, names.taxa, strict=True) if key else ():
        is_near = name.genus_is_short and words[0].startswith(name.genus.lower()) and len(words) == 2
        if key in words[1:] or (is_near and OSA.distance(key, words[1]) <= FARTHEST_EPITHET):
            offered.append(taxon.name)
    genus = checklist.taxa.get(name.genus)
    if genus is not None and not genus.is_species:
        offered.append(genus.name)
    return offered + [taxon.name for taxon in checklist.old_genera.get(name.genus.lower(), ())]


def _names_of_near_codes(text: str, checklist: Checklist) -> list[str]:
    near = [
        uses for code, uses in checklist.codes.items() if len(code) == len(text) and OSA.distance(code, text) == 1
    ]
    current = [use.taxon.name for uses in near for use in uses if use.kind in ("listed", "current")]
    return list(dict.fromkeys(current))[:MOST_OFFERED]


def _common_names_holding(text: str, checklist: Checklist) -> list[str]:
    """Taxa whose common name holds the typed word ("garter", "box turtle"); their genus first if they share one."""
    typed = english_key(text)
    if len(typed) < SHORTEST_PART:
        return []
    taxa = list(dict.fromkeys(use.taxon for key, uses in checklist.english.items() if typed in key for use in uses))
    genera = {taxon.lineage.get("genus", "") for taxon in taxa if taxon.is_species}
    shared = [genus for genus in genera if genus] if len(genera) == 1 and len(taxa) > 1 else []
    return [*shared, *(taxon.name for taxon in taxa)]


def _near_names(text: str, checklist: Checklist) -> list[str]:
    names = spellings(checklist)
    scored: list[tuple[float, str]] = []
    for typed, keys, taxa, share in (
        (scientific_key(text), names.keys, names.taxa, FARTHEST_SCIENTIFIC),
        (english_key(text), names.english, names.english_taxa, FARTHEST_COMMON),
    ):
        far = distances(typed, keys)
        scored += [(far[at] / len(typed), taxa[at].name) for at in np.flatnonzero(far <= share * len(typed))]
    return [name for _, name in sorted(scored, key=lambda pair: pair[0])]
