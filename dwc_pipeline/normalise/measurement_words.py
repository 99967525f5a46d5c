"""Words beside the number of a measured cell: remarks, doubt, tails, methods, bags, the direction of the wind."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from dwc_pipeline.core.verdict import Flag
from dwc_pipeline.normalise.measurement_rules import DOUBTFUL
from dwc_pipeline.normalise.number import NUMBER
from dwc_pipeline.normalise.quantity import Quantity
from dwc_pipeline.normalise.units import find_unit
from dwc_pipeline.terms.vocabulary import load_vocabulary

APPROXIMATE = re.compile(
    r"^(?:(?:~|≈)|(?:±|\+/-)(?=\s*\d)|ca?\.?(?=\s*\d)"
    r"|(?:circa|approx|approximately|about|around|roughly|abt|guess|guessed|est|estimate|estimated)(?![a-z])\.?)[\s:=]*",
    re.I,
)
APPROXIMATE_AFTER = re.compile(
    r"(?:\s*~|\s*\b(?:approx(?:imately)?|est(?:imated?)?|guess(?:ed)?|or so|by eye)\b\.?|\s*-?ish|(?<=\d)\s*±)$", re.I
)
APPROXIMATE_REMARK = re.compile(
    r"est(?:imated?)?\.?|approx(?:imate(?:ly)?)?\.?|guess(?:ed)?|by eye|~|or so|ish", re.I
)
APPROXIMATELY = "approximate"
#: one letter at a number may be a digit misread, 148B for 1488
GLUED_LOOK_ALIKE = re.compile(r"^[bi]\d|\d[bi]$", re.I)
BAG_WORDS = re.compile(r"[\s,]*\b(?:in bag|with bag|w/ ?bag|incl\.? bag|\+ ?bag|gross)$", re.I)
DIRECTION = r"([NS][NS]?[EW]|[EW][NS][EW]|[NSEW])"
#: what a cell may call its own quantity, beside the number
OWN_NAMES = {
    "snout-vent length": "svl|snout-vent",
    "body mass": "wt|weight|mass",
    "tail length": "tail",
    "total length": "tl|total",
}
WIND_DIRECTION = re.compile(rf"^{DIRECTION}[\s,@]*(?=\d)|(?<=[\dhst])[\s,@]+{DIRECTION}$", re.I)


@dataclass
class Facts:
    """What was taken off the cell before its number was read."""

    also: dict[str, str] = field(default_factory=dict)
    flags: list[Flag] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def doubt(self, word: str) -> None:
        """Keep the doubt about the number, as its qualifier and as a remark of the measurement."""
        self.also["qualifier"] = word
        self.remarks.append(word)

    @property
    def is_approximate(self) -> bool:
        """True if the number was guessed or rounded by eye, so that its digits say nothing of its accuracy."""
        return self.also.get("qualifier") == APPROXIMATELY

    def everything(self) -> dict[str, str]:
        """All facts, the remarks joined."""
        joined = {"measurementRemarks": "; ".join(self.remarks)} if self.remarks else {}
        return {**self.also, **joined}


def take_off_words(text: str, quantity: Quantity, facts: Facts) -> str | None:
    """The cell without remarks, doubt, tail and method words, which go to `facts`; None if the bag is included."""
    if quantity.target.kind == "mass" and BAG_WORDS.search(text.replace("(", "").replace(")", "")):
        facts.remarks.append(text)
        return None
    text = _without_own_name(text, quantity)
    if (remark := re.fullmatch(r"(.*\S)\s*[(\[]([^()\[\]]*)[)\]]", text)) and find_unit(remark[2]) is None:
        text = _take_remark(remark[1], remark[2].strip(), quantity, facts, text)
    if "tail words" in quantity.allow:
        text = _take_tail(text, facts)
    text = _take_listed_words(text, facts)
    if doubted := re.fullmatch(r"([^?]*\d[^?]*?)\s*\?+\s*([a-z°%'\"]*)", text, re.I):
        text = f"{doubted[1]} {doubted[2]}".strip()
        note = f"'{text}' carries a question mark: doubtful, or a digit that could not be read."
        facts.flags.append(Flag(DOUBTFUL.id, note))
        facts.doubt("doubtful")
    shorter = APPROXIMATE_AFTER.sub("", APPROXIMATE.sub("", text))
    if shorter != text:
        facts.doubt(APPROXIMATELY)
    if quantity.target.kind == "speed" and (direction := WIND_DIRECTION.search(shorter)):
        facts.also["wind_direction"] = (direction[1] or direction[2]).upper()
        facts.remarks.append(f"direction {facts.also['wind_direction']}")
        shorter = WIND_DIRECTION.sub("", shorter, count=1)
    return shorter.strip()


def _without_own_name(text: str, quantity: Quantity) -> str:
    """ "SVL 45", "45 mm SVL" in a column of snout-vent lengths without the name; other cells as they are."""
    names = OWN_NAMES.get(quantity.name)
    if names is None:
        return text
    named = re.fullmatch(
        rf"(?:{names})\b\.?\s*[:=]?\s*(\d.*)|({NUMBER}\s*(?:[a-z]{{1,2}})?)\s*\(?\b(?:{names})\)?\.?", text, re.I
    )
    return (named[1] or named[2]).strip() if named else text


def _take_remark(before: str, remark: str, quantity: Quantity, facts: Facts, text: str) -> str:
    """The cell without its bracketed remark; unchanged if the bracket holds a number of its own."""
    if remark in ("?", "??"):
        return f"{before}?"
    if APPROXIMATE_REMARK.fullmatch(remark):
        return f"{before} est"
    if re.search(r"\d", remark):
        return text
    condition = load_vocabulary("tail_condition").find(remark) if "tail words" in quantity.allow else None
    if condition is not None and condition.value:
        facts.also["tail_condition"] = condition.value
    elif not _note_listed(remark, facts):
        facts.remarks.append(remark)
    return before


def _take_tail(text: str, facts: Facts) -> str:
    """The cell without words for the state of the tail ("45 brk", "45+", "stub 12")."""
    if plus := re.fullmatch(rf"({NUMBER})\s*\+\s*(mm|cm|in)?|({NUMBER}\s*(?:mm|cm|in))\s*\+", text, re.I):
        facts.also["tail_condition"] = "broken"
        return f"{plus[1] or ''} {plus[2] or ''}".strip() if plus[1] else plus[3]
    words = load_vocabulary("tail_condition")
    for pattern in (
        r"(?P<word>[a-z][a-z. ]*?)[\s,:/]*(?P<rest>\d.*)?",
        r"(?P<rest>.*\d)[\s,:/]*(?P<word>[a-z][a-z. ]*)",
    ):
        parts = re.fullmatch(pattern, text, re.I)
        entry = words.find(parts["word"]) if parts else None
        if parts and GLUED_LOOK_ALIKE.search(text):
            return text
        if parts and entry is not None and entry.value:
            facts.also["tail_condition"] = entry.value
            return (parts["rest"] or "").strip()
    if (after_unit := re.fullmatch(r"(.*\d\s*(?:mm|cm|in))[\s,:]+([a-z][a-z. ]*)", text, re.I)) is not None:
        entry = words.find(after_unit[2])
        if entry is not None and entry.value:
            facts.also["tail_condition"] = entry.value
            return after_unit[1]
    return text


def _take_listed_words(text: str, facts: Facts) -> str:
    """The cell without leading or trailing words of the list of remarks and methods ("12.5 g wet", "ruler 45")."""
    if (leading := re.fullmatch(r"([a-z]+(?: [a-z]+)*)[\s,:]+(\S*\d.*)", text, re.I)) and _note_listed(
        leading[1], facts
    ):
        text = leading[2]
    while trailing := re.fullmatch(r"(.*?[\d.a-z%\"'°])[\s,;]+([a-z]+(?: [a-z]+)*)", text, re.I):
        tokens = trailing[2].split()
        start = next((at for at in range(len(tokens)) if _note_listed(" ".join(tokens[at:]), facts)), None)
        if start is None:
            break
        text = " ".join([trailing[1], *tokens[:start]])
    return text


def _note_listed(words: str, facts: Facts) -> bool:
    """True if the words are listed as a remark or method; they are then among the facts."""
    entry = load_vocabulary("measurement_remark").find(words)
    if entry is None or not (entry.value or entry.also):
        return False
    facts.also |= entry.also
    facts.remarks += [entry.value] if entry.value else []
    return True
