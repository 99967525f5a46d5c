"""The word lists that the vocabulary tests compare with, and the reading of a word for an amendment.

schemas/quality/<term>.csv: kind `term` and `label` are in the vocabulary, `synonym` is only read by an amendment.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from dwc_pipeline.check.quality.emptiness import trimmed
from dwc_pipeline.check.quality.registry import read_facts

#: An abbreviation shorter than this is read only if it is listed. [letters]
SHORTEST_ABBREVIATION = 3
#: A word with a letter left out is read only from this length. [letters]
SHORTEST_MISSPELLING = 4
NOT_A_LETTER = re.compile(r"[\W_]+")


@dataclass(frozen=True)
class WordList:
    """terms: the values of the vocabulary. labels, synonyms: other writings -> value."""

    terms: tuple[str, ...]
    labels: dict[str, str]
    synonyms: dict[str, str]

    def readings(self, text: str) -> tuple[str, ...]:
        """The values that a text could stand for: one is a reading, several are none.

        First the word itself, capitals, spaces and marks set aside; then an abbreviation that begins one value
        only; then one value with a single letter left out.
        """
        word = _fold(trimmed(text))
        named = {value for name, value in self._names() if _fold(name) == word}
        if named or not word:
            return tuple(sorted(named))
        if len(word) >= SHORTEST_ABBREVIATION:
            begun = {value for value in self.terms if _fold(value).startswith(word)}
            if begun:
                return tuple(sorted(begun))
        if len(word) >= SHORTEST_MISSPELLING:
            return tuple(sorted(value for value in self.terms if _lacks_one_letter(word, _fold(value))))
        return ()

    def _names(self) -> list[tuple[str, str]]:
        return [*((value, value) for value in self.terms), *self.labels.items(), *self.synonyms.items()]


@cache
def word_list(name: str) -> WordList:
    """The word list of schemas/quality/<name>.csv."""
    rows = read_facts(name)
    kinds = {
        kind: {row["verbatim"]: row["value"] for row in rows if row["kind"] == kind}
        for kind in ("term", "label", "synonym")
    }
    return WordList(tuple(kinds["term"]), kinds["label"], kinds["synonym"])


def _fold(text: str) -> str:
    return NOT_A_LETTER.sub("", text.casefold()) or text.casefold()


def _lacks_one_letter(word: str, value: str) -> bool:
    return len(word) + 1 == len(value) and any(value[:i] + value[i + 1 :] == word for i in range(len(value)))
