"""Comparing a typed authorship with the checklist's. It never decides which name it is, only what is told.

Source: International Code of Zoological Nomenclature, articles 51.2 and 51.3 (brackets round the author).
"""

from __future__ import annotations

import re

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise.name_grammar import YEAR, ParsedName
from dwc_pipeline.normalise.name_rules import AUTHORSHIP_DIFFERS
from dwc_pipeline.terms.name_keys import SMALL_AUTHOR_WORDS, plain_letters
from dwc_pipeline.terms.taxon import NameUse


def surnames(authorship: str) -> list[str]:
    """The words of an authorship that name people, in small letters, abbreviations kept with their full stop.

    >>> surnames("(Baird & Girard, 1853)"), surnames("L., 1758")
    (['baird', 'girard'], ['l.'])
    """
    words = re.findall(r"[a-z'-]+\.?", plain_letters(re.sub(YEAR, "", authorship)).lower())
    return [word for word in words if word.rstrip(".") not in SMALL_AUTHOR_WORDS]


def is_authorship_of(typed: str, listed: str) -> bool:
    """True if a surname agrees; "L." and "Linn." agree with "Linnaeus".

    >>> is_authorship_of("Linn.", "(Linnaeus, 1758)"), is_authorship_of("Shed", "(Say, 1823)")
    (True, False)
    """
    ours = surnames(listed)
    return any(
        word == our or (word.endswith(".") and our.startswith(word[:-1])) for word in surnames(typed) for our in ours
    )


def authorship_flags(parsed: ParsedName, use: NameUse) -> tuple[Flag, ...]:
    """What differs between the typed and the listed authorship; nothing where either is missing."""
    if not parsed.authorship or not use.authorship:
        return ()
    listed_year = re.search(YEAR, use.authorship)
    if not is_authorship_of(parsed.authorship, use.authorship):
        differs = "names another author"
    elif parsed.year and listed_year and parsed.year != listed_year[0]:
        differs = "has another year"
    elif parsed.year and parsed.has_brackets != ("(" in use.authorship):
        differs = "differs in its brackets"
    else:
        return ()
    note = f"'{parsed.authorship}' {differs}: the checklist has {use.listed} {use.authorship}."
    return (Flag(AUTHORSHIP_DIFFERS.id, note),)
