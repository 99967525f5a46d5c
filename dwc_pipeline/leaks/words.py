"""Withheld words and identifiers in a text, however they are spaced, hyphenated or capitalised."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from dwc_pipeline.protect.withheld import Withheld

#: letters from which a name of several words is looked for without its spaces too
LONG_NAME = 8
#: neighbouring words that may together be one identifier, such as a mark written in groups
MOST_PARTS = 6
_SIGNS = re.compile(r"[\W_]+")
_ACCENTS = re.compile("[\u0300-\u036f]")


def folded(text: str) -> str:
    """Small letters without accents and digits, every other sign a single space.

    >>> folded("Inés’ NORTH_Dunes")
    'ines north dunes'
    """
    plain = text if text.isascii() else _ACCENTS.sub("", unicodedata.normalize("NFKD", text))
    return _SIGNS.sub(" ", plain.casefold()).strip()


class WordSearch:
    """Looks for withheld words and identifiers; made once for a package."""

    def __init__(self, withheld: Withheld) -> None:
        words = {folded(word): word for word in sorted(withheld.words)} | {
            folded(stem): stem for stem in sorted(withheld.stems)
        }
        words.pop("", None)
        self.words = words
        self.pattern = _any_of(words)
        self.run_together = {word.replace(" ", ""): said for word, said in words.items() if _is_long_name(word)}
        self.run_pattern = _any_of(self.run_together, edges=False)
        self.identifiers = {squashed(one) for one in withheld.identifiers} - {""}
        self.beginnings = {one[:size] for one in self.identifiers for size in range(1, len(one) + 1)}

    def found_in(self, text: str) -> set[str]:
        """What was found, in words that may be shown to the owner of the data."""
        plain = folded(text)
        found = (
            {f"the withheld word {self.words[hit]!r}" for hit in self.pattern.findall(plain)} if self.words else set()
        )
        together = plain.replace(" ", "")
        if self.run_together:
            found |= {f"the withheld word {self.run_together[hit]!r}" for hit in self.run_pattern.findall(together)}
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
    return " " in word and len(word) >= LONG_NAME and not word.replace(" ", "").isdigit()


def _any_of(words: Iterable[str], edges: bool = True) -> re.Pattern[str]:
    either = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
    return re.compile(rf"(?<![^ ])(?:{either})(?![^ ])" if edges else either or r"(?!)")
