"""Keys under which names are looked up, so that case, accents, hyphens and endings do not hide a name.

A key is only for finding a name and is never shown. Gender endings follow the Latin declensions named in the
International Code of Zoological Nomenclature, articles 31.2 and 34.2; the doubled -i of people's names is its
article 33.4. How English names vary on field sheets: common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

#: one key letter a declension: -us, -a, -um (and -er, -era, -erum) against -is, -e.
FIRST_DECLENSION, THIRD_DECLENSION = "A", "I"
SHORTEST_STEM = 3
#: "-ii" and "-i" of people's names are one spelling of the same name.
PEOPLE_ENDING = re.compile(r"ii$")
#: "hog-nosed", "hognosed" and "hognose" are one English name.
BODY_PARTS = re.compile(r"(nose|toe|eye)d\b|(back|neck|mouth|head|tail|ear|foot)ed\b|(bell)(?:ied|y)\b")
SPELLINGS = (("grey", "gray"), ("colour", "color"), ("mice", "mouse"))
PLURALS = re.compile(r"(?<=[a-z]{3})(?<!s)s$")
NOT_LETTERS = re.compile(r"[^a-z0-9]+")
#: words of an author's name that are written small and are no epithet.
SMALL_AUTHOR_WORDS = frozenset(
    ("and", "et", "al", "ex", "in", "de", "del", "della", "den", "der", "des", "di", "du", "da", "dos", "la", "le",
     "les", "ten", "ter", "van", "von", "zu", "zur", "zum", "d")
)  # fmt: skip
RANK_MARKS = frozenset(("subsp", "subsp.", "ssp", "ssp.", "var", "var.", "f.", "forma", "morph"))
WRITTEN_NAME = re.compile(
    r"(?P<name>[A-Z][a-zà-ÿ-]+(?: \([A-Z][a-z-]+\))?(?: [a-zà-ÿ.-]+)*)(?P<rest>[ ,]+.*)?", re.DOTALL
)


def plain_letters(text: str) -> str:
    """The text without accents, its apostrophes straight and its dashes plain, spaces single.

    >>> plain_letters("Lacépède\\u2019s  snake")
    "Lacepede's snake"
    """
    if text.isascii():
        return " ".join(text.split())
    for typographic in "\u2018\u2019\u02bc\u00b4\u2032":
        text = text.replace(typographic, "'")
    for dash in "\u2010\u2011\u2012\u2013\u2014\u2212":
        text = text.replace(dash, "-")
    parts = unicodedata.normalize("NFKD", text)
    return " ".join("".join(mark for mark in parts if not unicodedata.combining(mark)).split())


def epithet_key(epithet: str) -> str:
    """An epithet with its gender ending taken to the declension, so that -us, -a and -um agree.

    >>> epithet_key("sexlineata") == epithet_key("sexlineatus"), epithet_key("couchi") == epithet_key("couchii")
    (True, True)
    >>> epithet_key("rhombifera") == epithet_key("rhombifer"), epithet_key("viridus") == epithet_key("viridis")
    (True, False)
    """
    word = PEOPLE_ENDING.sub("i", plain_letters(epithet).lower())
    for ending, kind in (("us", "A"), ("um", "A"), ("a", "A"), ("er", "erA"), ("is", "I"), ("e", "I")):
        stem = word.removesuffix(ending)
        if stem != word and len(stem) >= SHORTEST_STEM and not (ending == "e" and stem.endswith("a")):
            return stem + kind
    return word


@lru_cache(maxsize=100_000)
def scientific_key(name: str) -> str:
    """A scientific name in small letters, every word after the genus with its ending folded.

    >>> scientific_key("Cnemidophorus SEXLINEATA")
    'cnemidophorus sexlineatA'
    """
    words = plain_letters(name.replace("_", " ")).lower().split()
    return " ".join([words[0], *(epithet_key(word) for word in words[1:])]) if words else ""


def english_key(name: str) -> str:
    """A common name as one run of letters: case, plural, hyphen, apostrophe and space do not count.

    >>> english_key("Common Garter-Snakes") == english_key("common gartersnake")
    True
    >>> english_key("Plains Hog-nosed Snake") == english_key("plains hognose snake")
    True
    """
    text = plain_letters(name).lower().replace("'", "")
    for other, ours in SPELLINGS:
        text = text.replace(other, ours)
    text = BODY_PARTS.sub(lambda part: part[1] or part[2] or part[3] + "y", NOT_LETTERS.sub(" ", text))
    return PLURALS.sub("", text.strip()).replace(" ", "")


def english_keys(name: str) -> set[str]:
    """The keys of a checklist's common name: with and without the s of a possessor ("Woodhouse toad")."""
    return {english_key(name), english_key(re.sub(r"'s\b", "", plain_letters(name)))} - {""}


def split_authorship(text: str) -> tuple[str, str]:
    """A written name parted into name and authorship; the rank marks of plants and animals are left out.

    >>> split_authorship("Crotalus viridis (Rafinesque, 1818)")
    ('Crotalus viridis', '(Rafinesque, 1818)')
    >>> split_authorship("Furcifer pardalis"), split_authorship("Hyla femoralis de Witt, 1800")
    (('Furcifer pardalis', ''), ('Hyla femoralis', 'de Witt, 1800'))
    """
    text = " ".join(text.replace("_", " ").split())
    written = WRITTEN_NAME.fullmatch(text)
    if written is None:
        return text, ""
    words = written["name"].split()
    first_author = next((at for at, word in enumerate(words) if at and word in SMALL_AUTHOR_WORDS), len(words))
    name = [word for word in words[:first_author] if word not in RANK_MARKS and not word.startswith("(")]
    author = " ".join(words[first_author:]) + (written["rest"] or "")
    return " ".join(name), author.strip(" ,")


def field_codes_of(name: str) -> tuple[str, str] | None:
    """The usual codes of a species: two and two, three and three letters of genus and epithet.

    Source: common practice; Fisher et al. 2008, USGS Techniques and Methods 2-A5, lists four-letter codes.

    >>> field_codes_of("Crotalus viridis")
    ('CRVI', 'CROVIR')
    """
    words = plain_letters(name).upper().split()
    if len(words) < 2 or min(len(words[0]), len(words[1])) < 2:
        return None
    return words[0][:2] + words[1][:2], words[0][:3] + words[1][:3]
