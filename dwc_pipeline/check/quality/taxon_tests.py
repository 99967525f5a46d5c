"""Tests of scientific names and their identifiers that need no list of names."""

from __future__ import annotations

import re

from dwc_pipeline.check.quality.record import Record, list_terms
from dwc_pipeline.check.quality.registry import implements
from dwc_pipeline.check.quality.response import Response, compliant, internal, not_compliant, verdict

NAME_PARTS = ("dwc:genericName", "dwc:specificEpithet", "dwc:infraspecificEpithet")
#: Words before an infraspecific epithet. Codes of nomenclature, and common practice.
RANK_WORDS = frozenset(
    {"ssp", "subsp", "var", "v", "f", "fo", "forma", "subvar", "subf", "cv", "nothosubsp", "nothovar", "morph", "ab"}
)
#: Words that qualify an identification or a hybrid and are no epithets.
QUALIFIERS = frozenset({"aff", "cf", "nr", "near", "x", "×", "sp", "spp", "indet", "sensu", "agg"})
#: Small words of authors' names.
AUTHOR_WORDS = frozenset(
    {"de", "da", "di", "du", "del", "della", "des", "van", "von", "der", "den", "vom", "zu", "zur", "la", "le"}
    | {"et", "ex", "in", "and", "bis", "fil", "apud", "y", "e", "emend", "non", "nec", "auct"}
)
EPITHET = re.compile(r"[^\W\d_A-Z]+(?:-[^\W\d_A-Z]+)*\.?")
SUBGENUS = re.compile(r"\([A-Z][^\W\d_]+\)")

URN = re.compile(r"urn:[a-z0-9][a-z0-9-]{1,31}:[^\s/?#][^\s]*", re.IGNORECASE)
URI = re.compile(
    r"(?P<scheme>[a-z][a-z0-9+.-]*)://(?P<host>[^\s/?#]+)(?P<path>/[^\s?#]*)?(?:[?#]\S*)?", re.IGNORECASE
)
SCOPED = re.compile(r"(?P<scope>[A-Za-z][\w.-]*):(?P<value>[^\s/:][^\s]*)")
#: Prefixes of terms: "dwc:scientificName" is the name of a term, not an identifier (official row 1159).
TERM_PREFIXES = frozenset({"dwc", "dwciri", "dc", "dcterms", "eco", "urn", "http", "https", "ftp"})


def epithets(scientific_name: str) -> tuple[str, tuple[str, ...]]:
    """The first word of a name and its epithets; authors, ranks, qualifiers and subgenus left out.

    >>> epithets("Hakea decurrens ssp. aff. physocarpa W.R.Barker")
    ('Hakea', ('decurrens', 'physocarpa'))
    """
    words = scientific_name.split()
    if not words:
        return "", ()
    found: list[str] = []
    in_author = False
    for word in words[1:]:
        bare = word.rstrip(".").casefold()
        if bare in RANK_WORDS:
            in_author = False
        elif bare in QUALIFIERS or (not found and SUBGENUS.fullmatch(word)):
            continue
        elif not EPITHET.fullmatch(word) or bare in AUTHOR_WORDS:
            in_author = True
        elif not in_author:
            found.append(word)
    return words[0], tuple(found)


@implements("VALIDATION_POLYNOMIAL_CONSISTENT")
def validation_polynomial_consistent(record: Record) -> Response:
    """Are genus and epithets those of dwc:scientificName?"""
    given = record.filled_among(*NAME_PARTS)
    if record.is_empty("dwc:scientificName") or not given:
        return internal("dwc:scientificName, or all of its parts, are empty")
    genus, found = epithets(record.text("dwc:scientificName"))
    expected = {
        "dwc:genericName": genus,
        "dwc:specificEpithet": found[0] if found else "",
        "dwc:infraspecificEpithet": found[-1] if len(found) > 1 else "",
    }
    wrong = tuple(part for part in given if record.text(part) != expected[part])
    if wrong:
        return not_compliant(f"{list_terms(wrong)} and dwc:scientificName do not agree")
    return compliant("the parts of the name agree with dwc:scientificName")


@implements("VALIDATION_SCIENTIFICNAMEID_COMPLETE")
def validation_scientificnameid_complete(record: Record) -> Response:
    """Is the identifier complete: a URN (an LSID is one), scope:value, or an address with a path?"""
    if record.is_empty("dwc:scientificNameID"):
        return internal("dwc:scientificNameID is empty")
    return verdict(
        _is_complete_identifier(record.text("dwc:scientificNameID")),
        "dwc:scientificNameID is a complete identifier",
        "dwc:scientificNameID does not say where it is an identifier",
    )


def _is_complete_identifier(text: str) -> bool:
    if URN.fullmatch(text):
        return True
    if address := URI.fullmatch(text):
        return len(address["path"] or "") > 1
    scoped = SCOPED.fullmatch(text)
    return scoped is not None and scoped["scope"].casefold() not in TERM_PREFIXES
