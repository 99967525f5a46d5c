"""The parts of a scientific name as typed: genus, epithets, authorship, marks of rank and of doubt.

Grammar only: nothing here knows which names exist. Sources: International Code of Zoological Nomenclature,
chapter 11 (authorship, parentheses round the author) and appendix B; signs of doubt (cf., aff., nr., sp.) as in
Darwin Core, identificationQualifier.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

#: a longer text is a sentence.
LONGEST_NAME = 160
WORD = r"[^\W\d_]+(?:-[^\W\d_]+)*"
CAPITAL = r"[A-ZÀ-ÖØ-ÞĀŁŚŠŽ]"
SMALL = r"(?:and|et|al|ex|in|de|del|della|den|der|des|di|du|da|dos|la|le|les|ten|ter|van|von|zu|zur|zum|d)"
AUTHOR = rf"(?:{CAPITAL}[^\W\d_]*(?:['’.-]+[^\W\d_]*)*|{SMALL}\.?|&)"
YEAR = r"(?:1[5-9]|20)\d\d[a-z]?"
#: brackets may be missing, doubled or left open: that never changes which name it is.
AUTHORSHIP = rf"\(*\s*{AUTHOR}(?:[\s,]+{AUTHOR})*\s*\)*(?:[\s,]*\(?{YEAR}\)*)?"
#: a name typed all in small letters or capitals: only the year shows that an author is meant.
DATED_AUTHORSHIP = rf"\(*\s*(?:{WORD}\.?|&)(?:[\s,]+(?:{WORD}\.?|&))*\s*\)*[\s,]*\(?{YEAR}\)*"
DOUBT = r"(?P<doubt>\s*\(?\?+\)?)?"
SIGN = r"(?:cfr?|conf|aff|nr|near)\b\.?"
GENUS = rf"(?P<genus>{WORD})(?P<dot>\.)?"
SUBGENUS = rf"(?:\s*\((?P<subgenus>{WORD})\))?"
#: between words a space, which only a full stop or bracket makes unnecessary.
GAP = r"(?:\s+|(?<=[.)]))"
#: a question mark belongs to the word it touches, or to the next where it stands alone.
ASKED = r"(?<=\s)\?"
MARK = r"(?P<mark>subsp|ssp|var|f|forma|morph)\b\.?"
OPEN = re.compile(
    rf"{GENUS}\s*(?P<open>spp?\b\.?|species\b)(?P<which>\s(?:nov\.?|n\.|[A-Z]|\d{{1,2}}))?{DOUBT}", re.I
)
OPEN_INFRA = re.compile(rf"{GENUS}{GAP}(?P<epithet>{WORD})\s+(?P<open>subspp?\.?|sspp?\.?)", re.I)
DOUBTED_EPITHET = re.compile(
    rf"{GENUS}{GAP}(?:(?P<sign>{SIGN})\s*|{ASKED}\s*)(?P<epithet>{WORD})(?:\s+{DATED_AUTHORSHIP})?", re.I
)
DOUBTED_INFRA = re.compile(
    rf"{GENUS}{GAP}(?P<epithet>{WORD})\s+(?:(?P<sign>{SIGN})\s*|{ASKED})(?P<infra>{WORD})", re.I
)
DOUBTED_NAME = re.compile(rf"(?:(?:{SIGN})\s*|\?\s*)(?P<name>{WORD}.*)", re.I)
FORMS = tuple(
    re.compile(rf"{head}(?:[\s,]+(?P<authorship>{author}))?{DOUBT}")
    for head in (
        rf"{GENUS}{SUBGENUS}{GAP}(?P<epithet>{WORD})(?P<dot2>\.)?(?:{GAP}{MARK})?{GAP}(?P<infra>{WORD})",
        rf"{GENUS}{SUBGENUS}{GAP}(?P<epithet>{WORD})",
        GENUS,
    )
    for author in ((AUTHORSHIP,) if head == GENUS else (AUTHORSHIP, DATED_AUTHORSHIP))
)
#: shorter words after a name are signs such as F or ad, never epithets.
SHORTEST_EPITHET = 2
SHORTEST_INFRA = 3
#: words that no name has as an epithet; without this "Bufo sp" would be a species.
NO_EPITHETS = frozenset(
    ("sp", "spp", "species", "cf", "cfr", "conf", "aff", "nr", "near", "ssp", "subsp", "var", "x", "or", "and", "et")
)


@dataclass(frozen=True)
class ParsedName:
    """One way to read a typed name.

    genus_is_short: genus given by its first letters. epithet_is_short: likewise in "P. c. sayi".
    qualifier: sign of doubt with the words it stands before, as typed. qualifier_on: "" for none, "name" before
    the whole name, "epithet", "infraspecies", "open" for sp. and spp., "open infraspecies", "end" for a question
    mark after the name.
    """

    genus: str
    epithet: str = ""
    infra: str = ""
    genus_is_short: bool = False
    epithet_is_short: bool = False
    subgenus: str = ""
    rank_mark: str = ""
    authorship: str = ""
    qualifier: str = ""
    qualifier_on: str = ""

    @property
    def name(self) -> str:
        """Genus and epithets in the usual letters, without what is doubted."""
        epithet = "" if self.qualifier_on == "epithet" else self.epithet
        infra = "" if self.qualifier_on == "infraspecies" else self.infra
        return " ".join(part for part in (self.genus, epithet, infra) if part)

    @property
    def year(self) -> str:
        """The year of the authorship; "" for none."""
        found = re.search(YEAR, self.authorship)
        return found[0] if found else ""

    @property
    def has_brackets(self) -> bool:
        """True if the author stands in brackets."""
        return "(" in self.authorship or ")" in self.authorship


def parse_name(text: str) -> tuple[ParsedName, ...]:
    """Every way in which the grammar can read the text, the fullest first; empty if it is no name.

    >>> parse_name("Crotalus viridis (Rafinesque, 1818)")[0].authorship
    '(Rafinesque, 1818)'
    >>> [name.name for name in parse_name("crotalus viridis")]
    ['Crotalus viridis']
    >>> parse_name("Thamnophis cf. radix")[0].qualifier
    'cf. radix'
    >>> parse_name("12 June")
    ()
    """
    text = " ".join(text.replace("_", " ").split())
    if not text or len(text) > LONGEST_NAME:
        return ()
    doubted = DOUBTED_NAME.fullmatch(text)
    if doubted and doubted["name"]:
        inner = parse_name(doubted["name"])
        return tuple(_replaced(name, qualifier=text, qualifier_on="name") for name in inner if not name.qualifier)
    for pattern, reading in ((OPEN, _open), (OPEN_INFRA, _open_infra), (DOUBTED_EPITHET, _doubted_epithet)):
        found = pattern.fullmatch(text)
        if found:
            return (reading(found),)
    found = DOUBTED_INFRA.fullmatch(text)
    if found and found["epithet"].lower() not in NO_EPITHETS:
        return (_doubted_infra(found),)
    readings: dict[ParsedName, None] = {}
    for form in FORMS:
        found = form.fullmatch(text)
        if found and (name := _plain(found)) is not None:
            readings[name] = None
    return tuple(readings)


def split_pair(text: str) -> tuple[str, str, str] | None:
    """A hybrid or a choice between two names: the sign "×" or "/", and both sides, the genus carried over.

    >>> split_pair("Spea bombifrons x multiplicata")
    ('×', 'Spea bombifrons', 'Spea multiplicata')
    >>> split_pair("Scaphiopus/Spea")
    ('/', 'Scaphiopus', 'Spea')
    """
    for sign, pattern in (("×", r"\s+[xX]\s+|\s*×\s*"), ("/", r"\s*/\s*|\s+or\s+")):
        sides = re.split(pattern, " ".join(text.replace("_", " ").split()))
        if len(sides) == 2 and all(re.search(r"[^\W\d_]{2}", side) for side in sides):
            left, right = sides
            words = left.split()
            if len(words) > 1 and re.fullmatch(r"[a-zà-ÿ-]+", right) and words[0][0].isupper():
                right = f"{words[0]} {right}"
            return sign, left, right
    return None


def _plain(found: re.Match[str]) -> ParsedName | None:
    part = found.groupdict()
    epithet, infra = (part.get("epithet") or "").lower(), (part.get("infra") or "").lower()
    if {epithet, infra} & NO_EPITHETS:
        return None
    if part["dot"] and not epithet:
        return None
    if (0 < len(epithet) < SHORTEST_EPITHET and not part.get("dot2")) or 0 < len(infra) < SHORTEST_INFRA:
        return None
    doubt = (part["doubt"] or "").strip()
    return ParsedName(
        genus=part["genus"].capitalize(),
        epithet=epithet,
        infra=infra,
        genus_is_short=bool(part["dot"]) or len(part["genus"]) == 1,
        epithet_is_short=bool(part.get("dot2")),
        subgenus=part.get("subgenus") or "",
        rank_mark=part.get("mark") or "",
        authorship=(part["authorship"] or "").strip(" ,"),
        qualifier="?" if doubt else "",
        qualifier_on="end" if doubt else "",
    )


def _open(found: re.Match[str]) -> ParsedName:
    sign = found["open"].rstrip(".").lower()
    written = "sp." if sign == "species" else f"{sign}."
    return ParsedName(
        genus=found["genus"].capitalize(),
        genus_is_short=bool(found["dot"]),
        qualifier=written + (found["which"] or "") + ("?" if found["doubt"] else ""),
        qualifier_on="open",
    )


def _open_infra(found: re.Match[str]) -> ParsedName:
    return ParsedName(
        genus=found["genus"].capitalize(),
        genus_is_short=bool(found["dot"]),
        epithet=found["epithet"].lower(),
        qualifier=found["open"].rstrip(".").lower() + ".",
        qualifier_on="open infraspecies",
    )


def _sign(found: re.Match[str], before: str) -> str:
    sign = (found["sign"] or "?").rstrip(".").lower()
    return f"?{before}" if sign == "?" else f"{sign} {before}" if sign == "near" else f"{sign}. {before}"


def _doubted_epithet(found: re.Match[str]) -> ParsedName:
    epithet = found["epithet"].lower()
    return ParsedName(
        genus=found["genus"].capitalize(),
        genus_is_short=bool(found["dot"]),
        epithet=epithet,
        qualifier=_sign(found, epithet),
        qualifier_on="epithet",
    )


def _doubted_infra(found: re.Match[str]) -> ParsedName:
    infra = found["infra"].lower()
    return ParsedName(
        genus=found["genus"].capitalize(),
        genus_is_short=bool(found["dot"]),
        epithet=found["epithet"].lower(),
        infra=infra,
        qualifier=_sign(found, infra),
        qualifier_on="infraspecies",
    )


def _replaced(name: ParsedName, qualifier: str, qualifier_on: str) -> ParsedName:
    return ParsedName(**{**name.__dict__, "qualifier": qualifier, "qualifier_on": qualifier_on})
