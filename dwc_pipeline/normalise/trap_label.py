"""Trap labels of an array: "F3", "f-3", "Funnel 3", "pit 2", "P1, P2", "F1-F4", "all funnels".

Writes the labels of the place list, several joined by " | "; `also["labels"]` holds them joined by "|".
A label that the list does not have is asked, never bent to one that it has.

>>> traps = TrapList(("B1", "F1", "F2", "F3", "F4", "P1", "P2"))
>>> judge_trap("Funnel 3", traps).value, judge_trap("F1-F4", traps).also["labels"], judge_trap("B", traps).value
('F3', 'F1|F2|F3|F4', 'B1')
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from rapidfuzz import fuzz, process

from dwc_pipeline.core.findings import READINGS_SEPARATOR
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.trap_lists import fold_label
from dwc_pipeline.core.verdict import EMPTY, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.number import plain_typing
from dwc_pipeline.terms.vocabulary import load_vocabulary

NOT_IN_LIST = declare(
    Rule(
        id="trap-not-in-place-list",
        severity=Severity.ERROR,
        what="A trap is named that its array does not have by the place list.",
        why="The capture or the fault of the trap goes to no trap, so effort and catch of the trap type are wrong.",
        remedy="Correct the label, or add the trap to the place list.",
        asks=True,
    )
)
TWO_READINGS = declare(
    Rule(
        id="trap-has-two-readings",
        severity=Severity.ERROR,
        what="A trap label fits more than one trap of the array.",
        why="Effort and catch are counted by trap and trap type.",
        remedy="Answer with the label that was meant.",
        asks=True,
    )
)
#: first letters of labels by trap type, where the place list gives no types; common practice, no source
TYPE_LETTERS = {"box trap": "B", "funnel trap": "F", "pitfall trap": "P", "cover object": "C"}
TYPE_WORD = r"[A-Za-z][A-Za-z ]*?"
ALL = re.compile(r"(?:all|every)(?: (?:of the )?traps?)?|both traps", re.I)
LONGEST_RANGE = 60


@dataclass(frozen=True)
class TrapList:
    """The traps of one array. labels: in the order of the place list. types: label -> trap type, where given."""

    labels: tuple[str, ...]
    types: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def by_key(self) -> Mapping[str, tuple[str, ...]]:
        """Labels by what remains without capitals, marks and leading zeros."""
        found: dict[str, tuple[str, ...]] = {}
        for label in self.labels:
            key = fold_label(label)
            found[key] = (*found.get(key, ()), label)
        return found

    def of_type(self, trap_type: str) -> tuple[str, ...]:
        """Labels of one trap type, by the place list or else by their first letter."""
        letter = TYPE_LETTERS.get(trap_type, "")
        return tuple(
            label
            for label in self.labels
            if (self.types[label] == trap_type if label in self.types else letter and label[:1].upper() == letter)
        )


def judge_trap(verbatim: str, traps: TrapList) -> Verdict:
    """The trap or traps of the array that a cell names."""
    text = plain_typing(verbatim)
    if not text:
        return EMPTY
    not_told = load_vocabulary("not_told").find(text)
    if not_told is not None and not find_labels(text, traps):
        return Verdict(Status.EMPTY, note=f"'{text}' names no trap.")
    if not traps.labels:
        return Verdict(Status.KEPT, verbatim.strip(), also={"labels": text})
    readings = find_labels(text, traps)
    if len(readings) > 1:
        named = tuple(READINGS_SEPARATOR.join(reading) for reading in readings)
        return ambiguous(TWO_READINGS.id, f"'{text}' fits {', '.join(named)}.", named)
    if not readings:
        near = process.extract(text.upper(), traps.labels, scorer=fuzz.ratio, score_cutoff=60, limit=3)
        note = f"'{text}' is no trap of this array ({', '.join(traps.labels)})."
        return unreadable(NOT_IN_LIST.id, note, tuple(label for label, _, _ in near))
    (labels,) = readings
    note = f"'{text}' is {', '.join(labels)}."
    return kept_or_changed(
        verbatim, READINGS_SEPARATOR.join(labels), "trap-label", note, also={"labels": "|".join(labels)}
    )


def find_labels(text: str, traps: TrapList) -> tuple[tuple[str, ...], ...]:
    """Every reading of a text as labels of the array: () if none, more than one if it fits several traps."""
    text = re.sub(r"^traps?\s+(?=\S*\d)", "", text.strip(), flags=re.I)
    exact = traps.by_key.get(fold_label(text), ())
    if text in traps.labels or len(exact) == 1:
        return ((text,),) if text in traps.labels else (exact,)
    if exact:
        return tuple((label,) for label in exact)
    if ALL.fullmatch(text):
        return (traps.labels,) if traps.labels else ()
    if excepted := re.fullmatch(r"(all.*?)\s+(?:except|but|not)\s+(?:for\s+)?(.+)", text, re.I):
        return _without(find_labels(excepted[1], traps), find_labels(excepted[2], traps))
    return _range(text, traps) or _list(text, traps) or _by_type(text, traps)


def _without(some: tuple[tuple[str, ...], ...], others: tuple[tuple[str, ...], ...]) -> tuple[tuple[str, ...], ...]:
    if len(some) != 1 or len(others) != 1:
        return ()
    return (tuple(label for label in some[0] if label not in others[0]),)


def _range(text: str, traps: TrapList) -> tuple[tuple[str, ...], ...]:
    """Labels from one to another: F1-F4, F1-4, funnels 1 to 4; every one of them must be a trap of the array."""
    ends = re.fullmatch(rf"({TYPE_WORD})\s*(\d+)\s*(?:-|–|to|thru|through)\s*({TYPE_WORD})?\s*(\d+)", text, re.I)
    if not ends:
        return ()
    first, last = int(ends[2]), int(ends[4])
    if not first < last <= first + LONGEST_RANGE or (ends[3] and fold_label(ends[3]) != fold_label(ends[1])):
        return ()
    labels: list[str] = []
    for number in range(first, last + 1):
        found = find_labels(f"{ends[1]} {number}", traps)
        if len(found) != 1 or len(found[0]) != 1:
            return ()
        labels += found[0]
    return (tuple(labels),)


def _list(text: str, traps: TrapList) -> tuple[tuple[str, ...], ...]:
    """Several labels or ranges: "P1, P2", "P1 & F2-F4", "P1,2"; a bare number goes on with the word before it."""
    parts = [part for part in re.split(r"\s*(?:[,;/&+|]|\band\b)\s*", text) if part]
    if len(parts) < 2:
        parts = text.split() if all(re.match(r"[A-Za-z]+\d", part) for part in text.split()) else []
    if len(parts) < 2:
        return ()
    labels: list[str] = []
    word = ""
    for part in parts:
        named = re.match(rf"({TYPE_WORD})\s*\d", part)
        word = named[1] if named else word
        found = find_labels(part if named or not part[0].isdigit() else f"{word} {part}", traps)
        if len(found) != 1:
            return ()
        labels += found[0]
    return (tuple(dict.fromkeys(labels)),)


def _by_type(text: str, traps: TrapList) -> tuple[tuple[str, ...], ...]:
    """Labels by the word for their type: "Funnel 3", "pits", "B"; or by a number that only one trap has."""
    if re.fullmatch(r"\d+", text):
        numbered = [label for label in traps.labels if re.fullmatch(rf"\D+0*{int(text)}", label)]
        return tuple((label,) for label in numbered)
    named = re.fullmatch(rf"(all\s+)?({TYPE_WORD})\s*(?:[#.:-]|no\.?|trap)?\s*(\d+)?", text, re.I)
    if not named:
        return ()
    entry = load_vocabulary("trap_type").find(named[2])
    of_type = traps.of_type(entry.value) if entry is not None else ()
    if named[3]:
        return tuple((label,) for label in of_type if re.sub(r"\D", "", label).lstrip("0") == named[3].lstrip("0"))
    is_all = bool(named[1]) or (len(named[2]) > 2 and named[2].casefold().endswith("s"))
    if is_all and of_type:
        return (of_type,)
    return tuple((label,) for label in of_type)
