"""What one cell says that may hold a sign, the state of a trap, or animals: `0`, `closed`, `2 HEPL, SCCO`.

Source of what the signs mean for effort: common practice, no source. A sign that sheets use in two ways (X, a dash,
C, O, a tick, a blank) is never read without the survey file or an answer.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from dwc_pipeline.settings import Habits
from dwc_pipeline.terms.vocabulary import fold_word, load_vocabulary

CHECKED, CLOSED, OPENED, NOTHING, ASK, ANIMALS, STATE = (
    "checked", "closed", "opened", "nothing", "ask", "animals", "state",
)  # fmt: skip
DASHES = frozenset({"-", "–", "—", "--", "---", "–-"})
#: Signs that mean one thing on one sheet and another on the next.
SIGNS = frozenset({"x", "xx", "c", "o", "✓", "✔", "√", "/", ".", "*", "y", "yes", "n", "no", "?", "na", "n/a", "u"})
EMPTY_WORDS = frozenset(
    {"none", "empty", "nothing", "no captures", "no capture", "nocap", "no animals", "nil", "no catch", "zero"}
)
OPENED_WORDS = frozenset({"opened", "set", "reopened", "set open"})
#: What a person may answer, or say under [table.words.action], about a sign.
MEANINGS = {
    "closed": CLOSED,
    "no animals": CHECKED,
    "checked": CHECKED,
    "not checked": NOTHING,
    "not recorded": NOTHING,
    "blank": NOTHING,
    "leave out": NOTHING,
    "opened": OPENED,
}
READINGS = ("no animals", "closed", "not checked", "opened")
BY_HABIT_OF_BLANK = {"no animals": CHECKED, "not checked": NOTHING, "not recorded": NOTHING}
BY_HABIT_OF_DASH = {"closed": CLOSED, "no animals": CHECKED, "blank": NOTHING, "not applicable": CLOSED}
BY_HABIT_OF_ZERO = {"blank": NOTHING}
BY_HABIT_OF_NA = {"no animals": CHECKED, "missing": NOTHING, "code": ANIMALS}

COUNT = r"(?:~\s*)?\d+\+?"
BEFORE = re.compile(rf"(?P<count>{COUNT})\s*[x×]?\s+(?P<name>\D.*)|(?P<count2>{COUNT})[x×]?(?P<name2>[A-Z]{{4,6}})")
AFTER = re.compile(rf"(?P<name>\D.*?)\s*(?:[x×=:]\s*(?P<count>{COUNT})|\((?P<bare>{COUNT})\))")
OF_PARTS = re.compile(r"(?P<rest>.+?)\s*\((?P<parts>[^()]*\d[^()]*)\)")
#: Between the animals of a cell. A slash is none: "texanum/barbouri" is one animal of which nobody knows which.
BETWEEN = re.compile(r"[,;\n]|\s\+\s|(?<=[A-Za-z])\+(?=[A-Za-z\d])|\s(?:&|and)\s(?=~?\d)")
LABELS = re.compile(r"[A-Za-z]{1,2}\s?\d+[A-Za-z]?(?:\s*(?:[-,&]|to|and)\s*[A-Za-z]{0,2}\s?\d+)*\s+(?=[a-z])", re.I)
CLOCK = re.compile(r"\s*(?:at|@|from|until)?\s*\d{1,2}:\d{2}\s*$")


class Animal(NamedTuple):
    """An animal named in a cell: its name or code, and its number as typed ("" where none is written)."""

    name: str
    number: str


def cell_meaning(text: str, habits: Habits, words: Mapping[str, str] | None = None) -> str:
    """checked (and empty), closed, opened, state, animals, nothing (the cell says nothing) or ask.

    words: signs of this sheet and what they mean, folded by `fold_word`.

    >>> cell_meaning("2 HEPL", Habits()), cell_meaning("closed", Habits()), cell_meaning("-", Habits())
    ('animals', 'closed', 'ask')
    >>> cell_meaning("X", Habits(), {"x": "closed"}), cell_meaning("F3 flooded", Habits())
    ('closed', 'state')
    """
    plain = text.replace("\u200b", "").strip()
    word = fold_word(plain) if plain else ""
    said = MEANINGS.get((words or {}).get(word, ""))
    if said:
        return said
    if not plain:
        return BY_HABIT_OF_BLANK.get(habits.blank, ASK)
    if plain in DASHES:
        return BY_HABIT_OF_DASH.get(habits.dash, ASK)
    if word in ("0", "o0", "00"):
        return BY_HABIT_OF_ZERO.get(habits.zero, CHECKED)
    if word in ("na", "n/a"):
        return BY_HABIT_OF_NA.get(habits.not_available, ASK)
    if word in SIGNS:
        return ASK
    if word in EMPTY_WORDS:
        return CHECKED
    if word in OPENED_WORDS:
        return OPENED
    return word_of_state(plain) or ANIMALS


def word_of_state(text: str) -> str:
    """closed for a trap that was shut, state for another fault of a trap, "" for anything else.

    >>> word_of_state("not set"), word_of_state("flooded 02:00"), word_of_state("SCCO")
    ('closed', 'state', '')
    """
    rest = re.sub(r"^\d+\s+", "", CLOCK.sub("", LABELS.sub("", text)))
    entry = load_vocabulary("trap_state").find(rest)
    if entry is None or not entry.value or "catching" in entry.value or len(fold_word(rest)) < 3:
        return ""
    return CLOSED if entry.value == "closed" and rest == text else STATE


def parts_of(text: str) -> list[str]:
    """The statements of a cell; what stands in brackets stays with its animal.

    >>> parts_of("2 HEPL (1 M, 1 F), SCCO; F3 closed")
    ['2 HEPL (1 M, 1 F)', 'SCCO', 'F3 closed']
    """
    hidden = re.sub(r"\([^()]*\)", lambda found: "\x00" * len(found[0]), text)
    cuts = [0]
    for found in BETWEEN.finditer(hidden):
        cuts += [found.start(), found.end()]
    cuts.append(len(text))
    parts = [text[start:end].strip() for start, end in zip(cuts[::2], cuts[1::2], strict=True)]
    return [part for part in parts if part]


def states_in(text: str) -> str:
    """The statements of a cell that speak of traps, joined by "; ".

    >>> states_in("2 HEPL; F3 closed")
    'F3 closed'
    """
    return "; ".join(part for part in parts_of(text) if word_of_state(part))


def animals_in(text: str) -> list[Animal]:
    """Names and counts in one cell; statements about traps and empty words left out.

    >>> animals_in("2 HEPL, SCCO; ANCO x3")
    [Animal(name='HEPL', number='2'), Animal(name='SCCO', number=''), Animal(name='ANCO', number='3')]
    >>> animals_in("3 toads (1 juv)"), animals_in("12")
    ([Animal(name='toads', number='3 (1 juv)')], [Animal(name='', number='12')])
    """
    said = [part for part in parts_of(text) if not word_of_state(part) and fold_word(part) not in EMPTY_WORDS]
    found = [one_animal(part) for part in said]
    if found and all(one.number and is_sex_or_stage(one.name) for one in found):
        return [Animal("", ", ".join(said))]  # the name stands elsewhere, and the cell only counts
    return found


def is_sex_or_stage(name: str) -> bool:
    """True for a word that tells sex or age and not which animal."""
    entries = (load_vocabulary(term).find(name) for term in ("sex", "lifeStage"))
    return any(entry is not None and entry.value for entry in entries)


def one_animal(part: str) -> Animal:
    """The name and the count of one statement."""
    if re.fullmatch(COUNT, part):
        return Animal("", part)
    of_parts = OF_PARTS.fullmatch(part)
    if of_parts and not re.fullmatch(COUNT, of_parts["parts"].strip()):
        whole = one_animal(of_parts["rest"])
        parts = of_parts["parts"].strip()
        return Animal(whole.name, f"{whole.number} ({parts})" if whole.number else parts)
    if found := BEFORE.fullmatch(part):
        return Animal((found["name"] or found["name2"]).strip(), (found["count"] or found["count2"]).strip())
    if found := AFTER.fullmatch(part):
        return Animal(found["name"].strip(), (found["count"] or found["bare"]).strip())
    return Animal(part, "")
