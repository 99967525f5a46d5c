"""How many animals, from a cell such as "3", "~20" or "2 M, 1 F". Writes individualCount, a whole number.

A vague count ("~20", ">50", "several", "2-3") is not a number: the status is `kept` with value "", because
nothing was altered; the words go to organismQuantity, with organismQuantityType "approximate number of
individuals", and the finding `count-is-vague` says so. Counts by sex or age fill `also["parts"]`, a JSON
list of {"count", "sex", "lifeStage"} whose counts add up to the value.

Source: Darwin Core, definitions of individualCount and organismQuantity. "~" for an estimate, "3+" for at
least three: common practice, no source.

>>> judge_count("three").value, judge_count("2 M, 1 F").value, judge_count("~20").also["organismQuantity"]
('3', '3', '~20')
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.number import plain_typing
from dwc_pipeline.terms.vocabulary import Vocabulary, judge_word, load_vocabulary

NOT_A_COUNT = declare(
    Rule(
        id="count-not-a-whole-number",
        severity=Severity.ERROR,
        what="A count is negative, fractional or not a number at all.",
        why="Catch and abundance are sums of counts; a guessed count is a guessed animal.",
        remedy="Correct the cell, or answer with the number of animals.",
        source="Darwin Core, definition of individualCount",
        asks=True,
    )
)
TWO_COUNTS = declare(
    Rule(
        id="count-has-two-readings",
        severity=Severity.ERROR,
        what="A count can be read as two different numbers of animals.",
        why="Catch and abundance are sums of counts.",
        remedy="Answer with the number of animals.",
        asks=True,
    )
)
VAGUE = declare(
    Rule(
        id="count-is-vague",
        severity=Severity.WARNING,
        what="A count is an estimate, a limit or a word such as 'several'.",
        why="It cannot be added up; it is kept in words as organismQuantity, and individualCount stays empty.",
        remedy="Nothing, if nobody counted. Otherwise write the number.",
        source="Darwin Core, definitions of individualCount and organismQuantity",
    )
)
COUNT_DOUBTFUL = declare(
    Rule(
        id="count-doubtful",
        severity=Severity.WARNING,
        what="A count carries a question mark.",
        why="The mark may mean doubt about the number, or a digit that could not be read.",
        remedy="Look at the paper sheet; correct the number or remove the question mark.",
    )
)

QUANTITY_TYPE = "approximate number of individuals"
#: what words beside a count may tell of all its animals, and of a part of them
OF_PARTS = ("sex", "lifeStage")
FACTS = (*OF_PARTS, "reproductiveCondition")
#: nouns that may follow a count and say nothing more
NOUNS = r"(?:individuals?|indivs?\.?|inds?\.?|animals?|specimens?|spec\.?|captures?|caught|seen|total|each|ea\.?)"
WHOLE = r"(?:\d{1,3}(?:,\d{3})+|\d+)"
BEFORE = r"(?:~|≈|±|ca?\.?\s*(?=\d)|circa|about|abt\.?|approx\w*\.?|around|est\w*\.?)"
#: a small letter at the end of a number may point to a note below the table
FOOTNOTE = re.compile(r"\d+[ae]")
#: a small L or an I behind a number without a space may be the digit one: "1l" is a larva, or 11
LETTER_OR_ONE = re.compile(r"(\d+)(l|i|I)")
LIMIT = r"(?:[<>]=?|=[<>]|≤|≥|at least|at most|more than|less than|over|under|up to|min\.?|max\.?|minimum|maximum)"
AFTER = r"(?:-?ish|est\.?|approx\.?|\(est\.?\)|\(approx\.?\)|±\s*\d*|\+/-\s*\d*|\+|or more|plus|or so)"
VAGUE_FORM = re.compile(
    rf"(?:(?:{BEFORE}|{LIMIT})\s*{WHOLE}|{WHOLE}\s*{AFTER}|{WHOLE}\s*(?:-|to|or)\s*{WHOLE})(?:\s*{NOUNS})?", re.I
)


@dataclass(frozen=True)
class CountWords:
    """The word lists that a count cell may draw on, and the survey's own words for it ("tr" = "several")."""

    sex: Vocabulary = field(default_factory=lambda: load_vocabulary("sex"))
    life_stage: Vocabulary = field(default_factory=lambda: load_vocabulary("lifeStage"))
    extra: Mapping[str, str] = field(default_factory=dict)


def judge_count(verbatim: str, context: CountWords | None = None) -> Verdict:
    """The number of animals that a cell stands for."""
    words = context or CountWords()
    text = plain_typing(verbatim)
    text = words.extra.get(text, text)
    if not text:
        return EMPTY
    text = re.sub(r"^\((\d+)\)$", r"\1", text)
    plain = re.fullmatch(rf"(?:n\s*=\s*|total\s*[:=]?\s*|[x×]\s*)?({WHOLE}|\d+\.0+)\s*(?:x|{NOUNS})?", text, re.I)
    if plain:
        return _whole(verbatim, text, plain[1])
    if listed := _listed(verbatim, text):
        return listed
    if vague := _vague_number(text, words):
        return vague
    if doubted := re.fullmatch(rf"({WHOLE})\s*\(?\?+\)?", text):
        note = f"'{text}' carries a question mark: doubtful, or a digit that could not be read."
        value = doubted[1].replace(",", "")
        return kept_or_changed(verbatim, value, "count", note, flags=(Flag(COUNT_DOUBTFUL.id, note),))
    return _parts(verbatim, text, words) or _not_a_count(text)


def _whole(verbatim: str, text: str, number: str) -> Verdict:
    if re.fullmatch(r"\d{1,3}\.000", number):
        thousands = str(int(number.replace(".", "")))
        readings = (str(int(number.split(".")[0])), thousands)
        return ambiguous(
            TWO_COUNTS.id, f"'{text}' is {readings[0]}, or {thousands} with a point for thousands.", readings
        )
    value = str(int(number.replace(",", "").split(".")[0]))
    return kept_or_changed(verbatim, value, "count", f"'{text}' is {value}.")


def _listed(verbatim: str, text: str) -> Verdict | None:
    """Numbers and vague amounts in words, and words for "not told"; None for all others."""
    word = re.sub(rf"\s+{NOUNS}$", "", text, flags=re.I)
    for candidate in (text, word):
        number = load_vocabulary("number_words").find(candidate)
        if number is not None:
            if number.value:
                return kept_or_changed(verbatim, number.value, "count", f"'{text}' is {number.value}.")
            return Verdict(Status.EMPTY, note=f"'{text}' gives no count.")
        vague = load_vocabulary("vague_count").find(candidate)
        if vague is not None and vague.value:
            return _vague(text)
    return None


def _vague(text: str, facts: Mapping[str, str] = MappingProxyType({})) -> Verdict:
    note = f"'{text}' is no exact number of animals; it is kept in words."
    also = {"organismQuantity": text, "organismQuantityType": QUANTITY_TYPE, **facts}
    return Verdict(Status.KEPT, note=note, also=also, flags=(Flag(VAGUE.id, note),))


def _vague_number(text: str, words: CountWords) -> Verdict | None:
    """A vague number, with or without a word for sex or stage ("50+ tadpoles"); None for all others."""
    if VAGUE_FORM.fullmatch(text):
        return _vague(text)
    named = re.fullmatch(r"(.*?[\d+])\s*([a-z♂♀][a-z♂♀. ]*)", text, re.I)
    facts = _facts(named[2], words) if named and VAGUE_FORM.fullmatch(named[1]) else None
    return _vague(text, facts) if facts else None


def _parts(verbatim: str, text: str, words: CountWords) -> Verdict | None:
    """Counts by sex and age: "2 M, 1 F", "1 ad + 3 juv", "3 (1 juv)"; None if some part is not understood."""
    if FOOTNOTE.fullmatch(text):
        return None
    if ending := LETTER_OR_ONE.fullmatch(text):
        readings = (str(int(ending[1])), f"{int(ending[1])}1")
        note = f"'{text}' is {readings[0]} with a letter for what they are, or {readings[1]}."
        return ambiguous(TWO_COUNTS.id, note, readings)
    whole_and_some = re.fullmatch(rf"({WHOLE})\s*\(([^()]+)\)", text)
    if whole_and_some and not re.search(r"\d", whole_and_some[2]):  # "3 (M)": all of them
        text, whole_and_some = f"{whole_and_some[1]} {whole_and_some[2]}", None
    parts = _cut(whole_and_some[2] if whole_and_some else text, words)
    if not parts:
        return None
    total = sum(int(part["count"]) for part in parts)
    if whole_and_some:
        stated = int(whole_and_some[1].replace(",", ""))
        if total > stated:
            note = f"'{text}': the parts add up to {total}, over {stated}."
            return ambiguous(TWO_COUNTS.id, note, (str(stated), str(total)))
        if total < stated and len(parts) > 1:  # all parts told, and one is missing
            note = f"'{text}': the parts add up to {total}, not {stated}."
            return ambiguous(TWO_COUNTS.id, note, (str(stated), str(total)))
        parts += [{"count": stated - total}] if stated > total else []
        total = stated
    of_animals = [{name: value for name, value in part.items() if name in ("count", *OF_PARTS)} for part in parts]
    also = {"parts": json.dumps(of_animals)}
    if len(parts) == 1:
        also |= {name: str(value) for name, value in parts[0].items() if name != "count"}
    told = " + ".join(" ".join(str(value) for value in part.values()) for part in parts)
    return kept_or_changed(verbatim, str(total), "count", f"'{text}' is {told}.", also=also)


def _cut(text: str, words: CountWords) -> list[dict[str, int | str]]:
    """The parts of a count by sex and age; [] if some part is not understood."""
    found: list[dict[str, int | str]] = []
    number_words = load_vocabulary("number_words")
    pieces = re.split(r"\s*(?:[,;+&/:]|\band\b)\s*|(?<=[a-z♂♀.])\s*(?=\d)", text.strip(), flags=re.I)
    for piece in pieces:
        parts = re.fullmatch(r"(\d+)\s*[x×]?\s*([^\d]+)|([^\d]+?)\s*[:=x×]?\s*(\d+)|(an?|\w+)\s+(\D+)", piece, re.I)
        if not parts:
            return []
        number, named = parts[1] or parts[4] or parts[5], parts[2] or parts[3] or parts[6]
        if number.lower() in ("a", "an"):
            number = "1"
        elif not number.isdigit():
            entry = number_words.find(number)
            number = entry.value if entry is not None else ""
        facts = _facts(named, words)
        if not number or facts is None:
            return []
        found.append({"count": int(number), **facts})
    return found


def _facts(named: str, words: CountWords) -> dict[str, str] | None:
    """Sex, stage and reproductive state that words name, {} for "unknown"; None if they are not understood."""
    for term, vocabulary in (("sex", words.sex), ("lifeStage", words.life_stage)):
        verdict = judge_word(named, vocabulary)
        facts = {**({term: verdict.value} if verdict.value else {}), **verdict.also}
        facts = {name: value for name, value in facts.items() if name in FACTS}
        says_unknown = verdict.status is Status.EMPTY and re.search(r"[a-z]", named, re.I)  # not "-2" or "?4"
        if says_unknown or (verdict.is_read and facts.keys() & set(OF_PARTS)):
            return facts
    return None


def _not_a_count(text: str) -> Verdict:
    if trio := re.fullmatch(r"(\d+)\.(\d+)\.(\d+)", text):
        total = sum(int(part) for part in trio.groups())
        note = f"'{text}' may mean {trio[1]} males, {trio[2]} females and {trio[3]} of unknown sex."
        return ambiguous(TWO_COUNTS.id, note, (str(total),))
    if re.fullmatch(r"\d*[.,]\d+|(?:\d+ )?\d/\d", text):
        return unreadable(NOT_A_COUNT.id, f"'{text}': a count cannot be a fraction.")
    if re.fullmatch(rf"{WHOLE}(?:\s*[+&]\s*{WHOLE})+", text):
        total = sum(int(part.replace(",", "")) for part in re.findall(WHOLE, text))
        return unreadable(NOT_A_COUNT.id, f"'{text}' holds several numbers.", (str(total),))
    if re.fullmatch(r"-\s*\d+", text):
        return unreadable(NOT_A_COUNT.id, f"'{text}': a count cannot be negative.", (text.lstrip("- "),))
    numbers = tuple(dict.fromkeys(re.findall(r"\d+", text)))[:3]
    return unreadable(NOT_A_COUNT.id, f"'{text}' is no number of animals that can be read.", numbers)
