"""Traps that could not catch, in words: "P3 flooded; F2 closed", "all closed", "F1-F3 flooded 02:00".

`also["states"]` is a JSON list, one entry a phrase: labels (a list; empty where the phrase names no trap and
speaks of the trap or traps of its row), state (catching, closed, out of order, missing, not checked), effort
(full, none, half, unknown), time ("02:00" or "") and words (as typed). With a known time, a trap out of order
or closed has caught up to that time, and a trap that is catching (reopened) from that time on; the share in
`effort` does not apply then. The time at which a fault was only found is left out.

The value is the state where the cell speaks only of its row's traps, else "".

Source: half an interval for a trap found sprung or disturbed: Nelson & Clark 1973, J. Mammal. 54:295, as quoted
in later work; the words and the rest: common practice, no source.

>>> traps = TrapList(("F1", "F2", "P3"))
>>> judge_trap_state("flooded 02:00 storm", traps).also["states"]
'[{"labels": [], "state": "out of order", "effort": "half", "time": "02:00", "words": "flooded 02:00 storm"}]'
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from dwc_pipeline.core.answers import WAITS
from dwc_pipeline.core.findings import READINGS_SEPARATOR
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.verdict import EMPTY, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.number import plain_typing
from dwc_pipeline.normalise.trap_label import NOT_IN_LIST, TWO_READINGS, TrapList, find_labels
from dwc_pipeline.terms.vocabulary import Entry, Vocabulary, load_vocabulary, near_values, vocabulary_with

UNKNOWN_STATE = declare(
    Rule(
        id="trap-state-not-in-list",
        severity=Severity.WARNING,
        what="What is said of a trap is in no list of trap states.",
        why="Whether the trap could catch decides its effort: full, half or none of the interval.",
        remedy="Say what the words mean: answer the question, or add them under [table.words].",
        asks=True,
    )
)
STATE_TWO_READINGS = declare(
    Rule(
        id="trap-state-has-two-readings",
        severity=Severity.WARNING,
        what="A sign such as X or a dash can mean closed, or checked and empty.",
        why="A closed trap has no effort, an empty one has all of it.",
        remedy="Say which is meant on this sheet: answer the question, or add the sign under [table.words].",
        asks=True,
    )
)

#: words that say nothing of the state itself; "not", "until", "since" and "before" are left out on purpose
FILLERS = frozenset(
    {
        "was",
        "were",
        "is",
        "are",
        "found",
        "at",
        "by",
        "due",
        "to",
        "because",
        "of",
        "the",
        "a",
        "with",
        "from",
        "in",
        "on",
        "still",
        "and",
        "trap",
        "traps",
        "this",
        "hrs",
        "h",
        "@",
        "check",
        "when",
        "morning",
        "for",
    }
)
#: words that make a time the time of finding, not the time at which the trap failed
FOUND_THEN = re.compile(r"\b(?:found|when checked|at check|this morning|at the check)\b", re.I)
#: words that make a fault last the whole interval
WHOLE_INTERVAL = re.compile(r"\b(?:all|whole|entire|the whole)\s+(?:session|night|interval|time|period)\b", re.I)
CLOCK = re.compile(
    r"(?:@|\bat\b|\bca\.?|~)?\s*(?<![/\d-])\b((?:[01]?\d|2[0-3]):[0-5]\d|(?:[01]\d|2[0-3])[0-5]\d)\s*(?:hrs?|h)?\b(?!\s*[ap]m)",
    re.I,
)
TWELVE_HOURS = re.compile(r"(?:@|\bat\b)?\s*\b(1[0-2]|0?[1-9])(?::([0-5]\d))?\s*([ap])\.?m\b\.?", re.I)
WATER = re.compile(
    r"(\d+(?:\.\d+)?|\d/\d|a little|some|little|bit of)\s*(?:\"|in\.?|inch(?:es)?|cm)?\s*(?:of\s+)?(?:water)\b", re.I
)
#: labels at one end of a phrase are looked for in so many words
MOST_LABEL_WORDS = 24
#: depth of water up to which a pit goes on catching; deeper water is asked. [inches] our choice
SHALLOW_INCHES = 2.0
CM_AN_INCH = 2.54


class Phrase(NamedTuple):
    """One statement: which traps, which state, from when, in which words."""

    labels: tuple[str, ...]
    entry: Entry
    time: str
    words: str


class Unsettled(Exception):
    """A phrase that cannot be read; carries the verdict on the whole cell."""

    def __init__(self, verdict: Verdict) -> None:
        self.verdict = verdict
        super().__init__(verdict.note)


#: a plural with its numbers: "pits 2 and 3", "funnels 1, 4 & 5"
SEVERAL_NUMBERS = re.compile(
    r"\b(pits|buckets|funnels|boxes|traps)\s+#?(\d+(?:\s*(?:,\s*and|,|&|\+|and)\s*#?\d+)+)\b", re.I
)

#: a label with the numbers of others: "F1,2,3"; with a space behind the comma the number may count something
LABEL_AND_NUMBERS = re.compile(
    r"\b([A-Za-z]{1,2})(\d{1,2})((?:[,&+]\d{1,2})+)\b(?![\"%:/.]|\s*(?:in|inch|cm|am|pm)\b)"
)


def judge_trap_state(
    verbatim: str, traps: TrapList, extra: Mapping[str, str] = MappingProxyType({}), header_state: str = ""
) -> Verdict:
    """What a cell says of the traps of its array.

    extra: the survey's own words and their state. header_state: the state that the column's header gives to
    traps named without a word ("closed" for a column "traps closed"); "" where it gives none.

    If one phrase cannot be read the whole cell is asked, so that no state is lost unseen. Where all phrases name
    their traps, `also["states"]` then holds what is known, and effort "unknown" for the traps of that phrase.
    """
    text = plain_typing(verbatim)
    if not text:
        return EMPTY
    words = vocabulary_with(load_vocabulary("trap_state"), extra)
    entry = words.find(text)
    if entry is not None and not entry.value and not entry.also and load_vocabulary("not_told").find(text):
        return Verdict(Status.EMPTY, note=f"'{text}' says nothing of the traps.")
    phrases: list[Phrase] = []
    lost: list[tuple[str, Verdict]] = []
    try:
        for clause in _clauses(text, traps):
            try:
                phrases.append(_phrase(clause, traps, words, header_state))
            except Unsettled as unsettled:
                lost.append((clause, unsettled.verdict))
        if lost:
            return _of_named_traps(lost, phrases, traps)
        _agree(phrases, text)
    except Unsettled as unsettled:
        return unsettled.verdict
    also = {"states": json.dumps([_as_state(phrase) for phrase in phrases])}
    of_row = {phrase.entry.value for phrase in phrases if not phrase.labels}
    if len(of_row) == 1 and all(not phrase.labels for phrase in phrases):
        return kept_or_changed(verbatim, of_row.pop(), "word-list", f"'{text}' is a trap state.", also=also)
    told = "; ".join(f"{', '.join(phrase.labels)} {phrase.entry.value}{_since(phrase)}" for phrase in phrases)
    return Verdict(Status.KEPT, note=f"'{text}' is read as: {told}. The effort is reckoned by it.", also=also)


def _since(phrase: Phrase) -> str:
    """The hour of a phrase in words, "" where it gives none."""
    return f" from {phrase.time}" if phrase.time else ""


def _as_state(phrase: Phrase) -> dict[str, object]:
    """One entry of `also["states"]`."""
    return {
        "labels": list(phrase.labels),
        "state": phrase.entry.value,
        "effort": phrase.entry.also.get("effort", ""),
        "time": phrase.time,
        "words": phrase.words,
    }


def _of_named_traps(lost: list[tuple[str, Verdict]], phrases: list[Phrase], traps: TrapList) -> Verdict:
    """The verdict on the first phrase not read, with the states of all traps if each phrase names its own."""
    verdict = lost[0][1]
    doubted = []
    for clause, _ in lost:
        readings = find_labels(split_labels(clause, traps)[0], traps)
        if len(readings) != 1:
            return verdict
        doubted.append(Phrase(readings[0], Entry("", {"effort": "unknown"}), "", f"{clause}: {WAITS}"))
    every = [*phrases, *doubted]
    named = [label for phrase in every for label in phrase.labels]
    if not all(phrase.labels for phrase in every) or len(set(named)) < len(named):
        return verdict
    return verdict._replace(also={"states": json.dumps([_as_state(phrase) for phrase in every])})


def _clauses(text: str, traps: TrapList) -> list[str]:
    """The cell cut into phrases, each with its labels and its words. Raises Unsettled if the cut is not certain."""
    text = SEVERAL_NUMBERS.sub(_with_word_for_each, text)
    text = LABEL_AND_NUMBERS.sub(lambda found: _with_letter_for_each(found, traps), text)
    clauses: list[str] = []
    for part in re.split(r"\s*(?:;|\n|\.\s+(?=[A-Za-z]+\d|all\b))\s*", text.rstrip(". ")):
        pieces = [piece for piece in re.split(r"\s*(?:,|&|\+|\band\b)\s*", part) if piece]
        clauses += _joined(pieces, [split_labels(piece, traps) for piece in pieces], text)
    return clauses


def _with_word_for_each(several: re.Match[str]) -> str:
    """ "pits 2 and 3" as "pit 2, pit 3"."""
    word = re.sub(r"(?<=x)es$|s$", "", several[1])
    return ", ".join(f"{word} {number}" for number in re.findall(r"\d+", several[2]))


def _with_letter_for_each(several: re.Match[str], traps: TrapList) -> str:
    """ "F1,2,3" as "F1, F2, F3" if each is a trap of the array."""
    labels = [several[1] + number for number in (several[2], *re.findall(r"\d+", several[3]))]
    return ", ".join(labels) if all(len(find_labels(label, traps)) == 1 for label in labels) else several[0]


def _joined(pieces: list[str], splits: list[tuple[str, str, bool]], text: str) -> list[str]:
    """Pieces between commas put together again: labels with the words that belong to them."""
    orders = {leads for labels, rest, leads in splits if labels and rest}
    if len(orders) > 1:  # "closed F2, F3, P1 flooded": does F3 go with what stands before or behind it?
        raise Unsettled(unreadable(UNKNOWN_STATE.id, f"'{text}': which trap goes with which words is not certain."))
    labels_lead = orders != {False}
    clauses: list[str] = []
    waiting = ""
    for piece, (labels, rest, _) in zip(pieces, splits, strict=True):
        if labels and not rest and labels_lead:
            waiting = f"{waiting}, {piece}" if waiting else piece
        elif labels and not rest and clauses:
            clauses[-1] = f"{clauses[-1]}, {piece}"
        elif labels or waiting or not clauses:
            clauses.append(f"{waiting}, {piece}" if waiting and labels else f"{waiting} {piece}".strip())
            waiting = ""
        else:  # more words for the traps of the phrase before: "P3 flooded, storm"
            clauses[-1] = f"{clauses[-1]} {piece}"
    return [*clauses, waiting] if waiting else clauses


def split_labels(phrase: str, traps: TrapList) -> tuple[str, str, bool]:
    """The part of a phrase that names traps, the rest, and whether the labels lead: the longest part at one end.

    >>> split_labels("P1, P2 flooded", TrapList(("P1", "P2")))
    ('P1, P2', 'flooded', True)
    """
    tokens = re.sub(r"(?<=\d)\s*[:=](?!\d)", " ", phrase).split()
    for end in range(min(len(tokens), MOST_LABEL_WORDS), 0, -1):
        head = " ".join(tokens[:end]).strip(" :,-=")
        if _names_traps(head, traps):
            return head, " ".join(tokens[end:]).strip(" :,-="), True
    for start in range(max(1, len(tokens) - MOST_LABEL_WORDS), len(tokens)):
        tail = " ".join(tokens[start:]).strip(" :,-=")
        if _names_traps(tail, traps):
            return tail, " ".join(tokens[:start]).strip(" :,-="), False
    return "", phrase, True


def _names_traps(text: str, traps: TrapList) -> bool:
    if not text or re.fullmatch(r"[\d\s:/.,-]+", text) or len(text) == 1:
        return False  # a bare number is rather a time or a count, a single letter rather a state
    return bool(find_labels(text, traps))


def _phrase(clause: str, traps: TrapList, words: Vocabulary, header_state: str) -> Phrase:
    named, rest, _ = split_labels(clause, traps)
    labels: tuple[str, ...] = ()
    if named:
        readings = find_labels(named, traps)
        if len(readings) != 1:
            shown = tuple(READINGS_SEPARATOR.join(reading) for reading in readings)
            raise Unsettled(ambiguous(TWO_READINGS.id, f"'{named}' fits {', '.join(shown)}.", shown))
        labels = readings[0]
    elif unknown := re.match(r"(?:[BFPC]|box|funnel|pit|trap)s?\s*-?\d+\b", clause, re.I):
        note = f"'{unknown[0]}' is no trap of this array ({', '.join(traps.labels)})."
        raise Unsettled(unreadable(NOT_IN_LIST.id, note))
    time, rest = _take_time(rest)
    lasted = WHOLE_INTERVAL.search(rest)
    rest = WHOLE_INTERVAL.sub(" ", rest).strip()
    time = "" if FOUND_THEN.search(clause) else time
    entry = _state(rest or (header_state if labels else ""), clause, words)
    if lasted and entry.also.get("effort") == "half":
        entry = Entry(entry.value, {**entry.also, "effort": "none"})
    return Phrase(labels, entry, time, clause)


def _agree(phrases: list[Phrase], text: str) -> None:
    """Raises Unsettled if a trap is in two states, or if only some of several phrases name their traps."""
    if len({bool(phrase.labels) for phrase in phrases}) > 1:
        raise Unsettled(unreadable(UNKNOWN_STATE.id, f"'{text}': one part does not say of which traps it speaks."))
    states: dict[str, str] = {}
    for phrase in phrases:
        for label in phrase.labels or ("the trap",):
            before = states.setdefault(label, phrase.entry.value)
            if before != phrase.entry.value:
                note = f"'{text}' gives {label} as {before} and as {phrase.entry.value}."
                raise Unsettled(ambiguous(STATE_TWO_READINGS.id, note, (before, phrase.entry.value)))


def _take_time(text: str) -> tuple[str, str]:
    """The clock time in a phrase as hh:mm, and the phrase without it; two times are left for a person."""
    if twelve := TWELVE_HOURS.search(text):
        hour = int(twelve[1]) % 12 + (12 if twelve[3].lower() == "p" else 0)
        return f"{hour:02d}:{twelve[2] or '00'}", TWELVE_HOURS.sub(" ", text, count=1).strip()
    clock = CLOCK.search(text)
    if not clock:
        return "", text
    digits = clock[1] if ":" in clock[1] else f"{clock[1][:-2]}:{clock[1][-2:]}"
    return digits.zfill(5), CLOCK.sub(" ", text, count=1).strip()


def _state(text: str, clause: str, words: Vocabulary) -> Entry:
    """The state that words name; every word must be in the list, a filler or a cause."""
    water = WATER.search(text)
    if water and _is_shallow(water[0]):
        text = WATER.sub(" some water ", text)
    exact = words.find(text)
    entries = [exact] if exact is not None else _listed_words(text, words)
    states = list(dict.fromkeys(entry.value for entry in entries if entry.value))
    if len(states) == 1 and READINGS_SEPARATOR not in states[0]:
        return next(entry for entry in entries if entry.value)
    if states:
        readings = tuple(dict.fromkeys(one for state in states for one in state.split(READINGS_SEPARATOR)))
        note = f"'{clause}' can mean {' or '.join(readings)}."
        raise Unsettled(ambiguous(STATE_TWO_READINGS.id, note, readings))
    note = f"'{clause}' says nothing that the list of trap states knows."
    raise Unsettled(unreadable(UNKNOWN_STATE.id, note, near_values(text, words)))


def _listed_words(text: str, words: Vocabulary) -> list[Entry]:
    """The listed words of a phrase, longest first; [] if a word is neither listed nor a filler."""
    tokens = re.findall(r"[^\s,()]+", text.casefold())
    found: list[Entry] = []
    at = 0
    while at < len(tokens):
        for length in range(min(4, len(tokens) - at), 0, -1):
            entry = words.find(" ".join(tokens[at : at + length]))
            if entry is not None:
                found.append(entry)
                at += length
                break
        else:
            if tokens[at].strip(".:") not in FILLERS:
                return []
            at += 1
    return found


def _is_shallow(words: str) -> bool:
    depth = re.match(r"(\d+(?:\.\d+)?)(/\d)?", words)
    if not depth:
        return True
    number = 0.5 if depth[2] else float(depth[1])
    return number / (CM_AN_INCH if "cm" in words else 1) <= SHALLOW_INCHES
