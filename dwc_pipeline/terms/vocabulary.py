"""Word lists (schemas/vocab/<term>.csv) and the reading of a cell against one of them.

A word is read only if it stands in the list once capitals, spaces, dots and a plural s are set aside; a
word that merely looks like one is offered to the person and never applied.

>>> judge_word("Males.", load_vocabulary("sex")).value
'male'
>>> judge_word("juv", load_vocabulary("sex")).also["lifeStage"]
'juvenile'
>>> judge_word("mael", load_vocabulary("sex")).readings
('male',)
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from types import MappingProxyType
from typing import NamedTuple

from rapidfuzz import fuzz, process

from dwc_pipeline.core.findings import READINGS_SEPARATOR
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.verdict import EMPTY, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.terms.schema import schemas_folder

NOT_IN_LIST = declare(
    Rule(
        id="word-not-in-list",
        severity=Severity.WARNING,
        what="A word is not in the list of words for its column.",
        why="A word that nobody has explained cannot be counted: a sex, stage or trap state would be guessed.",
        remedy="Correct the cell, or say what the word means: answer the question, or add it under [table.words].",
        asks=True,
    )
)
TWO_READINGS = declare(
    Rule(
        id="word-has-two-readings",
        severity=Severity.WARNING,
        what="A word, or two words in one cell, can mean two things.",
        why="Sheets differ in their habits: the same letter closes a trap on one and ticks it off on another.",
        remedy="Say which is meant on this sheet: answer the question, or add the word under [table.words].",
        asks=True,
    )
)
DOUBTFUL = declare(
    Rule(
        id="word-is-doubtful",
        severity=Severity.WARNING,
        what="A word of the list carries a question mark.",
        why="A doubtful sex, stage or fate would be counted as a certain one.",
        remedy="Answer with the word if it is certain enough, or clear the cell; the verbatim value stays.",
        asks=True,
    )
)

#: terms whose cells may name several values at once; written with " | " between them, as Darwin Core recommends
SEVERAL_VALUES = frozenset({"reproductiveCondition", "protocolNames", "sky"})
SEPARATORS = re.compile(r"\s*(?:[;|,/&+()\n]|\band\b)\s*")
#: values that no animal and no sky has at once, beside those that deny each other in words ("gravid", "not gravid")
EXCLUDE_EACH_OTHER = (
    frozenset({"gravid", "spent"}),
    frozenset({"gravid", "not reproductive"}),
    frozenset({"calm", "wind"}),
    *(
        frozenset({"clear", falling})
        for falling in ("rain", "light rain", "heavy rain", "showers", "drizzle", "snow")
    ),
    *(
        frozenset(pair)
        for pair in combinations(("clear", "mostly clear", "partly cloudy", "mostly cloudy", "overcast"), 2)
    ),
)
#: shortest word whose plural s is set aside, so that no code loses a letter
SHORTEST_PLURAL = 4
#: lists in which a plural is another word: a dozen is 12, dozens is no number
WITHOUT_PLURALS = frozenset({"number_words"})
#: how alike two spellings must be (0 to 100) to be offered as what could have been meant; our choice
SIMILAR_ENOUGH = 70
MOST_SUGGESTIONS = 3
#: a cell with more words is a sentence, not two facts
MOST_WORDS_TOGETHER = 6


class Entry(NamedTuple):
    """What one word means: its value in the list, and further terms that it fills.

    value: "" where the word says nothing for this term; two values joined by " | " where it has two meanings.
    """

    value: str
    also: Mapping[str, str]


@dataclass(frozen=True)
class Vocabulary:
    """The words of one term. entries: folded word -> meaning. values: the standard values, in list order."""

    term: str
    entries: Mapping[str, Entry]
    values: tuple[str, ...]

    def find(self, verbatim: str) -> Entry | None:
        """The meaning of a word, exact after folding; None if the list does not have it."""
        word = fold_word(verbatim)
        if word in self.entries:
            return self.entries[word]
        if len(word) < SHORTEST_PLURAL or not word.endswith("s") or self.term in WITHOUT_PLURALS:
            return None
        return self.entries.get(word[:-1]) or (self.entries.get(word[:-2]) if word.endswith("xes") else None)


def fold_word(text: str) -> str:
    """A word without what typing adds: capitals, dots, underscores, hyphens, quotes and doubled spaces.

    A point before a digit stays, so that "1.5" never becomes "15".

    >>> fold_word(" Sub-Adult. "), fold_word("A.O.R."), fold_word("--")
    ('sub adult', 'aor', '--')
    """
    plain = unicodedata.normalize("NFC", text).replace("\ufe0f", "").replace("’", "'").casefold()
    folded = re.sub(r"(?<=\w)-(?=\w)", " ", plain.replace("_", " "))
    folded = re.sub(r"[\s,;:]+", " ", re.sub(r"\.(?!\d)", "", folded)).strip(" \"'“”`!")
    folded = re.sub(r"^\(([^()]+)\)$", r"\1", folded)
    return folded or plain.strip()


@cache
def load_vocabulary(term: str) -> Vocabulary:
    """The word list schemas/vocab/<term>.csv, with the words for "nothing written down" added.

    Raises FileNotFoundError if there is no such list.
    """
    entries = _read_list(term)
    values = dict.fromkeys(
        part for entry in entries.values() for part in entry.value.split(READINGS_SEPARATOR) if part
    )
    entries |= {
        fold_word(value): Entry(value, MappingProxyType({})) for value in values if fold_word(value) not in entries
    }
    for word, entry in _read_list("not_told").items():
        entries.setdefault(word, entry)
    return Vocabulary(term, MappingProxyType(entries), tuple(values))


def _read_list(term: str) -> dict[str, Entry]:
    text = (schemas_folder() / "vocab" / f"{term}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    entries = {}
    for row in csv.DictReader(lines):
        also = {name: text for name, text in row.items() if name not in ("verbatim", "value") and text}
        entries[fold_word(row["verbatim"])] = Entry(row["value"] or "", MappingProxyType(also))
    return entries


def vocabulary_with(vocabulary: Vocabulary, extra: Mapping[str, str]) -> Vocabulary:
    """The list with a survey's own words put over it: word -> value, or -> another word of the list."""
    if not extra:
        return vocabulary
    own = {
        fold_word(word): vocabulary.find(meaning) if meaning and vocabulary.find(meaning) else Entry(meaning, {})
        for word, meaning in extra.items()
    }
    return Vocabulary(vocabulary.term, {**vocabulary.entries, **own}, vocabulary.values)  # type: ignore[dict-item]


def judge_word(verbatim: str, vocabulary: Vocabulary, extra: Mapping[str, str] = MappingProxyType({})) -> Verdict:
    """The reading of a cell that holds a word of the list.

    extra: the survey's own words and their meaning; they go before the list.

    A word for "not told" gives `empty`, with the word itself in `also["remark"]`. A word that fills only
    other terms (an age in the sex column) gives `kept` with value "". Several words are read together if
    each is in the list and they do not contradict each other.
    """
    text = verbatim.strip()
    if not text:
        return EMPTY
    words = vocabulary_with(vocabulary, extra)
    entry = words.find(text)
    if entry is not None:
        return _verdict(verbatim, words.term, entry)
    if text.endswith("?") and (doubted := words.find(text.rstrip("? "))) is not None and doubted.value:
        note = f"'{text}' carries a question mark: whoever wrote it was not certain."
        return unreadable(DOUBTFUL.id, note, tuple(doubted.value.split(READINGS_SEPARATOR)))
    several = _several(verbatim, words) if words.term in SEVERAL_VALUES else _facts_together(verbatim, words)
    return several or unreadable(
        NOT_IN_LIST.id, f"'{text}' is not in the list of words for {words.term}.", near_values(text, words)
    )


def _verdict(verbatim: str, term: str, entry: Entry) -> Verdict:
    text = verbatim.strip()
    readings = tuple(entry.value.split(READINGS_SEPARATOR))
    if len(readings) > 1:
        return ambiguous(TWO_READINGS.id, f"'{text}' can mean {' or '.join(readings)}.", readings, also=entry.also)
    if entry.value:
        return kept_or_changed(
            verbatim, entry.value, "word-list", f"'{text}' stands for {entry.value}.", also=entry.also
        )
    if entry.also:
        told = ", ".join(f"{name} {value}" for name, value in entry.also.items())
        return Verdict(Status.KEPT, note=f"'{text}' says nothing of {term}; it says {told}.", also=entry.also)
    remark = {"remark": f"{term}: {text}"} if re.search(r"[\w?]", text) else {}
    return Verdict(Status.EMPTY, note=f"'{text}' says that {term} is not known.", also=remark)


def _several(verbatim: str, words: Vocabulary) -> Verdict | None:
    """Several values in one cell; None if a part is unknown, has two meanings, or denies another part."""
    found = [words.find(part) for part in SEPARATORS.split(verbatim.strip()) if part]
    values = list(dict.fromkeys(entry.value for entry in found if entry is not None))
    if len(found) < 2 or None in found or not all(values) or any(READINGS_SEPARATOR in value for value in values):
        return None
    if any(f"not {value}" in values for value in values) or any(pair <= set(values) for pair in EXCLUDE_EACH_OTHER):
        return ambiguous(TWO_READINGS.id, f"'{verbatim.strip()}' contradicts itself.", tuple(values))
    also = _merge(entry.also for entry in found if entry is not None)
    value = READINGS_SEPARATOR.join(values)
    return kept_or_changed(
        verbatim, value, "word-list", f"'{verbatim.strip()}' names {len(values)} values.", also=also or {}
    )


def _facts_together(verbatim: str, words: Vocabulary) -> Verdict | None:
    """Words that are each in the list, read together ("adult male"); None if one is not, or says nothing."""
    tokens = [token for token in re.split(r"[\s,;/|&+()-]+", verbatim.strip()) if token]
    parts = _cut(tokens, words) if 2 <= len(tokens) <= MOST_WORDS_TOGETHER else None
    if parts is None or not all(entry.value or entry.also for entry in parts):
        return None
    values = list(dict.fromkeys(part for entry in parts for part in entry.value.split(READINGS_SEPARATOR) if part))
    also = _merge(entry.also for entry in parts)
    if also is None:
        return None
    if len(values) > 1:
        return ambiguous(
            TWO_READINGS.id, f"'{verbatim.strip()}' names {' and '.join(values)}.", tuple(values), also=also
        )
    return _verdict(verbatim, words.term, Entry(values[0] if values else "", also))


def _cut(tokens: list[str], words: Vocabulary) -> list[Entry] | None:
    """The cell cut into listed words, longest first; None if some token belongs to none."""
    if not tokens:
        return []
    for length in range(len(tokens), 0, -1):
        entry = words.find(" ".join(tokens[:length]))
        if entry is not None:
            rest = _cut(tokens[length:], words)
            if rest is not None:
                return [entry, *rest]
    return None


def _merge(facts: Iterable[Mapping[str, str]]) -> dict[str, str] | None:
    """All facts in one mapping; None if two of them contradict each other."""
    merged: dict[str, str] = {}
    for one in facts:
        for name, value in one.items():
            if merged.setdefault(name, value) != value:
                return None
    return merged


def near_values(text: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """Values whose words look like the text, best first: suggestions only."""
    words = [word for word, entry in vocabulary.entries.items() if entry.value and len(word) > 2]
    hits = process.extract(fold_word(text), words, scorer=fuzz.ratio, score_cutoff=SIMILAR_ENOUGH, limit=10)
    values = (part for word, _, _ in hits for part in vocabulary.entries[word].value.split(READINGS_SEPARATOR))
    return tuple(dict.fromkeys(values))[:MOST_SUGGESTIONS]
