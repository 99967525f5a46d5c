"""Withheld words and identifiers in a text, however they are spaced, hyphenated, capitalised or disguised."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from dwc_pipeline.protect.withheld import Withheld

#: letters from which a name is looked for without spaces, inside longer words, and in look-alike signs
LONG_NAME = 8
#: neighbouring words that may together be one identifier, such as a mark written in groups
MOST_PARTS = 6
#: what may follow a name: plural and possessive
ENDINGS = "(?: ?e?s)?"
#: words beside which a short code means a place
PLACE_WORDS = (
    "arrays?|sites?|places?|plots?|stations?|localit(?:y|ies)|locations?|traps?|routes?|roads?|transects?|units?|points?|"
    "waypoints?|pastures?|fields?|ponds?|quadrats?|grids?"
)
_SIGNS = re.compile(r"[\W_]+")
_ACCENTS = re.compile("[\u0300-\u036f]")
_INITIAL = re.compile(r"(?<![^ ])[a-z] (?=[^ ])")
_REPEATED = re.compile(r"(.)\1+")
#: Latin letter -> letters of other alphabets, small capitals and barred letters that look like it; from memory, after
#: the idea of Unicode Technical Standard 39 (confusable characters)
LOOK_ALIKES = {
    "a": "\u0430\u0251\u03b1\u1d00",
    "b": "\u0432\u03b2\u0299",
    "c": "\u0441\u1d04",
    "d": "\u0501\u1d05\u0111",
    "e": "\u0435\u0454\u03b5\u1d07",
    "f": "\ua730",
    "g": "\u0261\u0262",
    "h": "\u043d\u04bb\u029c\u0127",
    "i": "\u0456\u03b9\u026a\u0131",
    "j": "\u0458\u1d0a",
    "k": "\u043a\u03ba\u1d0b",
    "l": "\u029f\u0142",
    "m": "\u043c\u1d0d",
    "n": "\u03b7\u0274",
    "o": "\u043e\u03bf\u1d0f\u00f8",
    "p": "\u0440\u03c1\u1d18",
    "q": "\u051b",
    "r": "\u0433\u0280",
    "s": "\u0455\ua731",
    "t": "\u0442\u03c4\u1d1b",
    "u": "\u03c5\u1d1c",
    "v": "\u03bd\u1d20",
    "w": "\u051d\u03c9\u1d21",
    "x": "\u0445\u03c7",
    "y": "\u0443\u028f",
    "z": "\u03b6\u1d22",
}
_LOOK_ALIKES = {ord(sign): letter for letter, signs in LOOK_ALIKES.items() for sign in signs}
#: digits that stand in for letters, and letters that are taken for each other
_SKELETON = str.maketrans("10i3457", "loleast")


def folded(text: str) -> str:
    """Small letters without accents and digits, every other sign a single space.

    >>> folded("Inés’ NORTH_Dunes")
    'ines north dunes'
    """
    plain = text.casefold()
    if not text.isascii():
        plain = _ACCENTS.sub("", unicodedata.normalize("NFKD", text)).casefold().translate(_LOOK_ALIKES)
    return _SIGNS.sub(" ", plain).strip()


def skeleton(text: str) -> str:
    """The same for signs that look alike and for doubled letters; without spaces.

    >>> skeleton("w1nd mi11") == skeleton("windmil")
    True
    """
    return _REPEATED.sub(r"\1", text.replace(" ", "").translate(_SKELETON))


class WordSearch:
    """Looks for withheld words and identifiers; made once for a package."""

    def __init__(self, withheld: Withheld) -> None:
        words = {folded(word): word for word in sorted(withheld.words | withheld.stems)}
        for plain, word in list(words.items()):
            if plain.count(" ") == 1 and min(map(len, plain.split())) > 1:
                words.setdefault(" ".join(reversed(plain.split())), word)
        words.pop("", None)
        self.words = words
        self.pattern = _any_of(words)
        self.run_together = {skeleton(word): said for word, said in words.items() if _is_long_name(word)}
        self.run_pattern = _inside(self.run_together)
        self.codes = _codes_beside_words(withheld.codes)
        capitals = withheld.capitals | {one.upper() for one in withheld.capitals}
        self.capitals = re.compile(rf"(?<![\w&-])(?:{_either(capitals)})(?![\w&-])")
        self.identifiers = {squashed(one) for one in withheld.identifiers} - {""}
        self.beginnings = {one[:size] for one in self.identifiers for size in range(1, len(one) + 1)}

    def found_in(self, text: str) -> set[str]:
        """What was found, in words that may be shown to the owner of the data."""
        plain = folded(text)
        hits = set(self.pattern.findall(plain))
        without_initials = _INITIAL.sub("", plain)
        if without_initials != plain:
            hits |= set(self.pattern.findall(without_initials))
        found = {f"the withheld word {self.words[hit]!r}" for hit in hits}
        together = skeleton(plain)
        found |= {f"the withheld word {self.run_together[hit]!r}" for hit in self.run_pattern.findall(together)}
        if self.codes.search(plain):
            found.add("the code of a withheld place")
        found |= {f"the name or initials {hit!r}" for hit in self.capitals.findall(text)}
        if self._has_identifier(plain.split()):
            found.add("an identifier or mark of the exact tables")
        return found

    def _has_identifier(self, parts: list[str]) -> bool:
        for start in range(len(parts)):
            joined = ""
            for part in parts[start : start + MOST_PARTS]:
                joined += part
                if joined not in self.beginnings:
                    break
                if joined in self.identifiers:
                    return True
        return False


def squashed(text: str) -> str:
    """An identifier without signs and case."""
    return folded(text).replace(" ", "")


def _is_long_name(word: str) -> bool:
    return len(word) >= LONG_NAME and not word.replace(" ", "").isdigit()


def _either(words: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=lambda one: (-len(one), one))) or r"(?!)"


def _any_of(words: Iterable[str]) -> re.Pattern[str]:
    return re.compile(rf"(?<![^ ])({_either(words)}){ENDINGS}(?![^ ])")


def _inside(words: Iterable[str]) -> re.Pattern[str]:
    return re.compile(_either(words))


def _codes_beside_words(codes: Iterable[str]) -> re.Pattern[str]:
    """Codes such as A3 after a word for a place (`array no. A3`, `arrays A1 and A3`), or before one (`A3 array`)."""
    either = _either(folded(code) for code in codes)
    return re.compile(
        rf"(?<![^ ])(?:(?:{PLACE_WORDS}) (?:(?:codes?|numbers?|nos?|ids?|names?|is|was) )?(?:{either})"
        rf"|(?:{either}) (?:{PLACE_WORDS}))(?![^ ])"
    )
