"""From a reading and the facts beside the name to the verdict: the value and every term the cell fills."""

from __future__ import annotations

from types import MappingProxyType

from dwc_pipeline.core.verdict import Flag, Verdict, kept_or_changed
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_match import Match, NameContext, question
from dwc_pipeline.normalise.name_words import Fact
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.taxon import Taxon

ESCAPED = "escaped before processing"


def verdict_of(
    verbatim: str, match: Match, facts: tuple[Fact, ...], context: NameContext, checklist: Checklist
) -> Verdict:
    """The verdict on a cell whose name was read; a question where the words beside the name do not allow it."""
    refused = _refused(verbatim, match, facts)
    if refused is not None:
        return refused
    as_typed = context.keep_synonyms_as_typed and match.is_synonym and not match.value
    value = match.value or (match.listed if as_typed else match.taxon.name)
    doubts = [fact.words for fact in facts if fact.kind == "doubt"]
    also = _taxon_terms(match, as_typed)
    also |= _identification_terms(match, facts, doubts)
    also |= match.further
    for fact in facts:
        also |= fact.terms
    if any(fact.kind == "escaped" for fact in facts):
        also["fate"] = ESCAPED
    also["in_target_scope"] = "true" if is_in_scope(match.taxon, context, checklist) else "false"
    flags = [*match.flags, *_flags(match, facts, doubts)]
    return kept_or_changed(
        verbatim,
        value,
        match.how,
        match.note,
        also=MappingProxyType({term: text for term, text in also.items() if text}),
        flags=tuple(flags),
    )


def _refused(verbatim: str, match: Match, facts: tuple[Fact, ...]) -> Verdict | None:
    """The question that the words beside the name raise, if any."""
    taxon = match.taxon
    kinds = {fact.kind for fact in facts}
    told: dict[str, str] = {}
    for fact in facts:
        for term, text in fact.terms.items():
            if told.setdefault(term, text) != text:
                note = f"'{verbatim.strip()}' says both {told[term]} and {text}."
                return question(rules.WORDS_CONTRADICT, note, [taxon.name])
    if told.get("individualCount") == "0":
        return question(rules.WORDS_CONTRADICT, f"'{verbatim.strip()}' names an animal and counts 0.", [taxon.name])
    if "sign" in kinds:
        note = f"'{verbatim.strip()}' tells of a sign of {taxon.name}, not of an animal in the hand."
        return question(rules.SIGN_ONLY, note, [taxon.name])
    if "escaped" in kinds and not taxon.is_species:
        note = f"'{verbatim.strip()}': it got away; {taxon.name} is what the words tell."
        return question(rules.ESCAPED_UNNAMED, note, [taxon.name, *_wider(taxon)])
    if "unknown" in kinds and taxon.is_species:
        note = f"'{verbatim.strip()}' names a species and calls it unknown."
        return question(rules.WHOLE_NAME_DOUBTFUL, note, [taxon.name, *_wider(taxon)])
    return None


def _wider(taxon: Taxon) -> list[str]:
    return [name for rank, name in taxon.ancestors.items() if rank not in ("phylum", "kingdom")]


def _taxon_terms(match: Match, as_typed: bool) -> dict[str, str]:
    taxon = match.taxon
    terms = dict(taxon.name_columns())
    if as_typed:
        words = match.listed.split()
        terms |= {
            "scientificNameAuthorship": match.listed_authorship,
            "specificEpithet": words[1] if len(words) > 1 else "",
            "infraspecificEpithet": words[2] if len(words) > 2 else "",
            "taxonomicStatus": "synonym",
            "acceptedNameUsage": taxon.full_name,
            "taxonID": "",
        }
    elif taxon.is_listed and not match.value:
        terms |= {"taxonomicStatus": "accepted", "acceptedNameUsage": taxon.full_name}
    return terms


def _identification_terms(match: Match, facts: tuple[Fact, ...], doubts: list[str]) -> dict[str, str]:
    qualifiers = [match.qualifier, *doubts]
    remarks = [*match.remarks, *(fact.words for fact in facts if fact.kind in ("unknown", "remark", "vague count"))]
    return {
        "identificationQualifier": "; ".join(part for part in qualifiers if part),
        "identificationVerificationStatus": "doubtful" if match.is_doubtful or doubts else "",
        "identificationRemarks": "; ".join(remarks),
    }


def _flags(match: Match, facts: tuple[Fact, ...], doubts: list[str]) -> list[Flag]:
    flags = []
    if match.is_doubtful or doubts:
        sign = match.qualifier or "; ".join(doubts) or match.note
        flags.append(
            Flag(rules.DOUBTFUL.id, f"{match.value or match.taxon.name}: the identification is doubtful ({sign}).")
        )
    flags += [
        Flag(rules.VAGUE_COUNT.id, f"'{fact.words}' is no number; the count is left open.")
        for fact in facts
        if fact.kind == "vague count"
    ]
    return flags


def is_in_scope(taxon: Taxon, context: NameContext, checklist: Checklist) -> bool:
    """True if the taxon belongs to what the survey set out to record; by-catch does not. Where neither survey file
    nor checklist says anything, every taxon of the checklist does."""
    if any(taxon.is_within(group) for group in context.bycatch_groups):
        return False
    if context.target_taxa:
        members = (taxon, *checklist.members.get(taxon.name, ()))
        return any(member.is_within(group) for member in members for group in context.target_taxa)
    return taxon.target is not False
