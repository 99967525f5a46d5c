"""Common names and field codes, read against the checklist."""

from __future__ import annotations

import re

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_match import IS_WORDS, Match, Outcome, distinct_names, question, widening
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.name_keys import english_key
from dwc_pipeline.terms.taxon import RANK_ORDER, CodeUse, EnglishUse, Taxon

#: codes made of letters of the name have four or six; listed codes may have any length.
LONGEST_CODE = 6
#: no word of English has a capital within it, or starts with these three consonants: "CrVi", "crvi".
NO_WORD = re.compile(r"[A-Z]?[a-z]+[A-Z]|(?!(?:sc|sp|st|sh|th|ch|ph)[lr])[b-df-hj-np-tv-xz]{3}[a-z]")


def read_english(text: str, checklist: Checklist) -> Outcome:
    """A common name of the checklist, whole. A taxon's second common name that also ends another taxon's name is
    asked: "copperhead"."""
    key = english_key(text)
    uses = checklist.english.get(key, ()) if IS_WORDS.fullmatch(text) else ()
    if not uses:
        return None
    taxa = list(dict.fromkeys(use.taxon for use in sorted(uses, key=lambda use: (not use.is_first, _width(use)))))
    if not any(use.is_first for use in uses):
        longer = [use.taxon for other, more in checklist.english.items() if other.endswith(key) for use in more]
        taxa += [taxon for taxon in dict.fromkeys(longer) if taxon not in taxa]
    if len({taxon.species or taxon.name for taxon in taxa}) > 1:
        note = f"'{text}' can be {' or '.join(f'{taxon.name} ({_called(taxon)})' for taxon in taxa)}."
        return question(rules.TWO_READINGS, note, widening(taxa, checklist))
    return Match(
        taxa[0], "common-name", f"'{text}' is the common name of {taxa[0].name} in the checklist.", taxa[0].name
    )


def _width(use: EnglishUse) -> int:
    """A species before its subspecies."""
    return -RANK_ORDER.get(use.taxon.rank, 0) if use.taxon.is_species else 0


def _called(taxon: Taxon) -> str:
    return taxon.common_names[0] if taxon.common_names else taxon.rank


def read_code(text: str, checklist: Checklist) -> Outcome:
    """A field code: the checklist's own, or one made of the letters of present and old names. Never repaired."""
    code = text.strip().upper()
    uses = checklist.codes.get(code, ())
    listed = [use for use in uses if use.kind == "listed"]
    if not uses or (not listed and len(code) > LONGEST_CODE):
        return None
    outcome = _listed_code(code, listed, uses, checklist) if listed else _made_code(code, uses, checklist)
    as_listed = text.strip() == code or any(use.name == text.strip() for use in listed)
    return outcome if as_listed or not isinstance(outcome, Match) else _small_code(text, outcome)


def _small_code(text: str, match: Match) -> Outcome:
    """ "site" may be a word; a venomous or protected species is not read from it."""
    note = f"'{text}' was read as the code of {match.taxon.name} although it is not in capitals."
    may_be_word = not NO_WORD.match(text.strip())
    if may_be_word and (match.taxon.is_venomous or match.taxon.sensitive):
        return question(rules.CODE_TWO_READINGS, f"'{text}' can be a word, or the code of {match.taxon.name}.",
                        [match.taxon.name])  # fmt: skip
    return match._replace(flags=(*match.flags, Flag(rules.SMALL_CODE.id, note)))


def _listed_code(code: str, listed: list[CodeUse], uses: tuple[CodeUse, ...], checklist: Checklist) -> Outcome:
    taxa = list(dict.fromkeys(use.taxon for use in listed))
    if len(taxa) > 1:
        note = f"The checklist lists the code {code} for {' and for '.join(distinct_names(taxa))}."
        return question(rules.CODE_TWO_READINGS, note, widening(taxa, checklist))
    # a taxon that has a code of its own on the list is not meant by the letters of its name
    others = [use for use in uses if use.kind == "current" and use.taxon not in checklist.with_listed_code]
    note = f"{code} is the field code of {taxa[0].name} in the checklist."
    return Match(taxa[0], "field-code", note, taxa[0].name, flags=_fits_too(code, others))


def _fits_too(code: str, others: list[CodeUse]) -> tuple[Flag, ...]:
    return tuple(
        Flag(rules.FITS_TOO.id, f"{code} also fits {use.name} ({use.taxon.name}).", (use.taxon.name,))
        for use in others[:1]
    )


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
    note = f"{code} is made of the letters of {strong[0].name}."
    return Match(taxa[0], "field-code", note, listed=taxa[0].name, flags=_fits_too(code, others))
