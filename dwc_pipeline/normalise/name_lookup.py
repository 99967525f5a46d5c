"""Looking up a name cell: exact but for case, spaces and endings.

Each function gives a Match, a Verdict that asks, or None where the checklist knows nothing of the text.
"""

from __future__ import annotations

import re
from dataclasses import replace
from types import MappingProxyType

from dwc_pipeline.core.verdict import NOTHING_ELSE, Flag
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_forms import read_scientific
from dwc_pipeline.normalise.name_grammar import parse_name, split_pair
from dwc_pipeline.normalise.name_match import (
    IS_WORDS,
    TOO_WIDE,
    Match,
    NameContext,
    Outcome,
    declared_key,
    distinct_names,
    question,
    widening,
)
from dwc_pipeline.normalise.name_short_forms import read_code, read_english
from dwc_pipeline.normalise.name_words import animal_groups, group_taxon
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import english_key
from dwc_pipeline.terms.taxon import RANK_ORDER, Taxon

SEVERAL = re.compile(r"\s*(?:[,;&+]|\band\b)\s*", re.IGNORECASE)
MOST_NAMES = 6
NAMED_TWICE = re.compile(r"(?P<first>[^()=]{3,})(?:\((?P<second>[^()]{3,})\)|\s=\s(?P<third>.{3,}))")
#: "snake sp." is a group like "snake"; the sign is kept.
OPEN_SIGNS = (("", ""), (" sp", "sp."), (" sp.", "sp."), (" spp", "spp."), (" spp.", "spp."))


def look_up(text: str, checklist: Checklist, context: NameContext) -> Outcome:
    """The exact reading of a text: declared words first, then names, common names and codes together, then groups."""
    declared = _declared(text, checklist, context)
    if declared is not None:
        return declared
    found = [read_scientific(text, checklist), read_english(text, checklist), read_code(text, checklist)]
    outcomes = [outcome for outcome in found if outcome is not None]
    matches = {outcome.taxon.name: outcome for outcome in outcomes if isinstance(outcome, Match)}
    if len(matches) > 1:
        readings = widening([match.taxon for match in matches.values()], checklist)
        return question(rules.TWO_READINGS, f"'{text}' can mean {' or '.join(matches)}.", readings)
    for outcome in outcomes:
        if not isinstance(outcome, Match):
            return outcome
    if matches:
        return next(iter(matches.values()))
    for read in (_pair, _twice, _several):
        composite = read(text, checklist, context)
        if composite is not None:
            return composite
    return _group(text, checklist)


def _declared(text: str, checklist: Checklist, context: NameContext) -> Outcome:
    name = context.declared.get(declared_key(text))
    if name is None:
        return None
    note = f"The survey file says that '{text}' means {name}."
    taxon = checklist.accepted(name)
    if taxon is not None:
        return Match(taxon, "declared-word", note, listed=taxon.name)
    inner = look_up(name, checklist, NameContext())
    if isinstance(inner, Match):
        return inner._replace(how="declared-word", note=note)
    parsed = parse_name(name)
    genus = checklist.taxon(parsed[0].genus) if parsed else None
    rank = ("genus", "species", "subspecies")[len(parsed[0].name.split()) - 1] if parsed else ""
    ancestors = ({"genus": genus.name} | dict(genus.ancestors)) if genus and rank != "genus" else {}
    flag = Flag(rules.OUTSIDE_CHECKLIST.id, f"{name} is not in the checklist; the survey file declares it.")
    outside = Taxon(parsed[0].name if parsed else name, rank, ancestors=MappingProxyType(ancestors), is_listed=False)
    return Match(outside, "declared-word", note, flags=(flag,))


def _pair(text: str, checklist: Checklist, context: NameContext) -> Outcome:
    """A hybrid, or a choice between two names."""
    pair = split_pair(text)
    if pair is None:
        return None
    sign, left, right = pair
    sides = [look_up(side, checklist, context) for side in (left, right)]
    matches = [side for side in sides if isinstance(side, Match) and not side.is_doubtful]
    if len(matches) != 2:
        return None
    first, second = (match.taxon for match in matches)
    if first is second:
        return matches[0]._replace(remarks=(f"typed as {text}",))
    common = checklist.narrowest_common((first, second))
    if common is None or common.rank in TOO_WIDE:
        note = f"'{text}' names {first.name} and {second.name}, which have little in common."
        return question(rules.TWO_NAMES, note, [first.name, second.name, common.name if common else ""])
    names = (first.name, second.name)
    return _hybrid(names, common, first.is_species and second.is_species) if sign == "×" else _choice(names, common)


def _twice(text: str, checklist: Checklist, context: NameContext) -> Outcome:
    """One animal named twice, "Prairie Rattlesnake (Crotalus viridis)": the narrower name if the two agree."""
    written = NAMED_TWICE.fullmatch(text)
    if written is None:
        return None
    sides = [
        look_up(side.strip(), checklist, context)
        for side in (written["first"], written["second"] or written["third"])
    ]
    matches = [side for side in sides if isinstance(side, Match) and not side.value]
    if len(matches) != 2:
        return None
    narrow, wide = sorted(matches, key=lambda match: RANK_ORDER.get(match.taxon.rank, len(RANK_ORDER)))
    if narrow.taxon.is_within(wide.taxon.name):
        note = f"Both names of '{text}' agree: {narrow.taxon.name}."
        told = MappingProxyType({**wide.further, **narrow.further})  # "Spea sp. (tadpoles)" tells the stage too
        return narrow._replace(how="named-twice", note=note, further=told)
    readings = widening([match.taxon for match in matches], checklist)
    return question(rules.TWO_NAMES, f"'{text}': one name is {readings[0]}, the other {readings[1]}.", readings)


def _several(text: str, checklist: Checklist, context: NameContext) -> Outcome:
    """Several animals in one cell: "racer, bullsnake"."""
    parts = SEVERAL.split(text)
    if not 2 <= len(parts) <= MOST_NAMES:
        return None
    matches = [match for part in parts if isinstance(match := look_up(part, checklist, context), Match)]
    if len(matches) != len(parts):
        return None
    names = distinct_names([match.taxon for match in matches])
    return question(rules.TWO_NAMES, f"'{text}' names {len(parts)} animals: {', '.join(names)}.", names)


def _hybrid(names: tuple[str, str], common: Taxon, are_species: bool) -> Outcome:
    if not are_species:
        return None
    formula = " × ".join(names)
    return Match(
        replace(common, rank="species", authorship="", taxon_id="", common_names=(), ancestors=common.lineage),
        "hybrid-formula",
        f"A hybrid; it counts under {common.name}.",
        value=formula,
        remarks=(f"hybrid, counted under {common.name}",),
        further=MappingProxyType({"counts_as": common.name}),
    )


def _choice(names: tuple[str, str], common: Taxon) -> Match:
    either = " or ".join(names)
    note = f"{either}: written as {common.name}, the narrowest taxon that holds both."
    return Match(common, "narrowest-common-taxon", note, common.name, is_doubtful=True, remarks=(f"either {either}",))


def _group(text: str, checklist: Checklist) -> Outcome:
    """A word such as "snake", with or without sp. after it."""
    if not IS_WORDS.fullmatch(text):
        return None
    for suffix, qualifier in OPEN_SIGNS:
        stem = text.removesuffix(suffix)
        group = animal_groups().get(english_key(stem)) if text.endswith(suffix) else None
        if group is None:
            continue
        taxon = group_taxon(group, checklist.taxa)
        shortened = _called_for_short(stem, taxon, checklist)
        if shortened:
            names = [taxon.name, *distinct_names(shortened)]
            return question(rules.TWO_READINGS, f"'{text}' can be a group, or {names[1]} for short.", names)
        note = f"'{text}' names a group: {taxon.name} is what is certain."
        return Match(
            taxon,
            "group-word",
            note,
            listed=taxon.name,
            qualifier=qualifier,
            flags=(Flag(rules.GROUP_ONLY.id, note),),
            remarks=(f"identified as {stem.lower()} only",),
            further=MappingProxyType({"lifeStage": group["lifeStage"]}) if group.get("lifeStage") else NOTHING_ELSE,
        )
    return None


def _called_for_short(word: str, group: Taxon, checklist: Checklist) -> list[Taxon]:
    """Species outside the group whose common name holds the word before its last, as cricket frog does."""
    key = english_key(word)
    return [
        use.taxon
        for uses in checklist.english.values()
        for use in uses
        if use.taxon.is_species
        and not use.taxon.is_within(group.name)
        and key in [english_key(part) for part in use.listed.split()[:-1]]
    ]
