"""Common names and field codes, read against the checklist."""

from __future__ import annotations

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_match import IS_WORDS, Match, Outcome, distinct_names, question, widening
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import english_key
from dwc_pipeline.terms.taxon import CodeUse, Taxon

#: codes made of letters of the name have four or six; listed codes may have any length.
LONGEST_CODE = 6


def read_english(text: str, checklist: Checklist) -> Outcome:
    """A common name of the checklist, whole. A taxon's second common name that also ends another taxon's name is
    asked: "copperhead"."""
    key = english_key(text)
    uses = checklist.english.get(key, ()) if IS_WORDS.fullmatch(text) else ()
    if not uses:
        return None
    taxa = list(dict.fromkeys(use.taxon for use in sorted(uses, key=lambda use: not use.is_first)))
    if not any(use.is_first for use in uses):
        longer = [use.taxon for other, more in checklist.english.items() if other.endswith(key) for use in more]
        taxa += [taxon for taxon in dict.fromkeys(longer) if taxon not in taxa]
    if len({taxon.species or taxon.name for taxon in taxa}) > 1:
        note = f"'{text}' can be {' or '.join(f'{taxon.name} ({_called(taxon)})' for taxon in taxa)}."
        return question(rules.TWO_READINGS, note, widening(taxa, checklist))
    return Match(
        taxa[0], "common-name", f"'{text}' is the common name of {taxa[0].name} in the checklist.", taxa[0].name
    )


def _called(taxon: Taxon) -> str:
    return taxon.common_names[0] if taxon.common_names else taxon.rank


def read_code(text: str, checklist: Checklist) -> Outcome:
    """A field code: the checklist's own, or one made of the letters of present and old names. Never repaired."""
    code = text.strip().upper()
    uses = checklist.codes.get(code, ())
    listed = [use for use in uses if use.kind == "listed"]
    if listed:
        return _listed_code(code, listed, checklist)
    return _made_code(code, uses, checklist) if uses and len(code) <= LONGEST_CODE else None


def _listed_code(code: str, listed: list[CodeUse], checklist: Checklist) -> Outcome:
    taxa = list(dict.fromkeys(use.taxon for use in listed))
    if len(taxa) > 1:
        note = f"The checklist lists the code {code} for {' and for '.join(distinct_names(taxa))}."
        return question(rules.CODE_TWO_READINGS, note, widening(taxa, checklist))
    return Match(taxa[0], "field-code", f"{code} is the field code of {taxa[0].name} in the checklist.", taxa[0].name)


def _made_code(code: str, uses: tuple[CodeUse, ...], checklist: Checklist) -> Outcome:
    """A code that the checklist does not list, made from the letters of present and old names."""
    strong = [use for use in uses if use.kind in ("current", "old")] or list(uses)
    if not any(use.kind == "current" for use in uses):
        strong = list(uses)
    taxa = list(dict.fromkeys(use.taxon for use in strong))
    readings = list(dict.fromkeys(use.taxon.name for use in [*strong, *uses]))
    genus = next((use.taxon.lineage.get("genus", "") for use in strong if len(code) == 4 and code.endswith("SP")), "")
    if len(taxa) > 1 or genus or any(use.regional for use in strong):
        names = " or ".join(dict.fromkeys(use.name for use in uses))
        wider = f", or a species of {genus} (sp.)" if genus else ""
        return question(rules.CODE_TWO_READINGS, f"The code {code} can stand for {names}{wider}.", [*readings, genus])
    others = [use for use in uses if use.taxon is not taxa[0]]
    flags = tuple(
        Flag(
            rules.OLD_CODE_TOO.id, f"{code} was also the code of {use.name}, now {use.taxon.name}.", (use.taxon.name,)
        )
        for use in others[:1]
    )
    note = f"{code} is made of the letters of {strong[0].name}."
    return Match(taxa[0], "field-code", note, listed=taxa[0].name, flags=flags)
