"""Which taxon of the person's checklist a name cell stands for.

Reads a scientific name, common name, field code, group word or a word for "nothing caught", with what else
stands in the cell. Writes scientificName and the terms that describe the taxon. Sources: Darwin Core, classes
Taxon and Identification; International Code of Zoological Nomenclature for the form of names; the checklist for
everything else.
"""

from __future__ import annotations

from types import MappingProxyType

from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict
from dwc_pipeline.normalise import name_rules as rules
from dwc_pipeline.normalise.name_forms import subspecies_left_out
from dwc_pipeline.normalise.name_lookup import look_up
from dwc_pipeline.normalise.name_match import MISSING, NO_ANIMAL, Match, NameContext, Outcome, declared_key, question
from dwc_pipeline.normalise.name_readings import asked
from dwc_pipeline.normalise.name_spelling import repair
from dwc_pipeline.normalise.name_verdict import verdict_of
from dwc_pipeline.normalise.name_words import Fact, meaning_instead_of_name, number_spelt, peels
from dwc_pipeline.terms.checklist import Checklist

__all__ = ["NameContext", "judge_name"]

#: a cell with more facts beside its name is a sentence.
MOST_FACTS = 6
#: a longer cell is a remark in the wrong column.
LONGEST_CELL = 200
#: marks that no one sees: soft hyphen, byte order mark, zero-width space and joiners.
UNSEEN = dict.fromkeys((0xAD, 0xFEFF, 0x200B, 0x200C, 0x200D, 0x2060))
QUOTES = "\"“”«»`'‘’*"


def judge_name(verbatim: str, checklist: Checklist, context: NameContext | None = None) -> Verdict:
    """The reading of one name cell.

    The value is the accepted name without authorship; `also` holds the taxon's terms, what other words of the
    cell say (lifeStage, sex, individualCount ...) and in_target_scope. An empty check has the value "" and
    no_animal "true".
    """
    context = context or NameContext()
    text = " ".join(verbatim.translate(UNSEEN).split())
    if not text:
        return EMPTY
    text = number_spelt(text.strip(QUOTES + " ").rstrip(" ,;:") or text)
    if len(text) > LONGEST_CELL:
        return question(rules.NOT_IN_CHECKLIST, f"The cell holds {len(text)} letters: a remark, not a name.")
    declared = context.declared.get(declared_key(text), "")
    meaning = meaning_instead_of_name(declared or text)
    if meaning and not (declared and checklist.accepted(declared)):
        listed = [use.taxon.name for use in checklist.codes.get(text.upper(), ()) if use.kind == "listed"]
        if listed and not declared and meaning != "not available":
            note = f"'{text}' can mean {meaning}, or be the code of {listed[0]}."
            return question(rules.CODE_TWO_READINGS, note, [*listed, meaning])
        return _no_name(text, meaning, checklist, context)
    outcome, facts = _read(text, checklist, context)
    if not isinstance(outcome, Match):
        return outcome
    verdict = verdict_of(verbatim, outcome, facts, context, checklist)
    return _with_star(verbatim, verdict, context) if "*" in verbatim else verdict


def _with_star(verbatim: str, verdict: Verdict, context: NameContext) -> Verdict:
    """The verdict with its star told; stars on both sides are print, and a declared spelling has its meaning."""
    text = verbatim.strip()
    is_print = text.startswith("*") and text.endswith("*")
    if not verdict.is_read or is_print or declared_key(text) in context.declared:
        return verdict
    flag = Flag(rules.MARKED.id, f"'{text}': {verdict.value} is written; what the star stands for is not known.")
    return verdict._replace(flags=(*verdict.flags, flag))


def _no_name(text: str, meaning: str, checklist: Checklist, context: NameContext) -> Verdict:
    if meaning == "not available":
        return _not_available(text, checklist, context)
    if meaning == "no animal":
        return _no_animal(f"'{text}' says that no animal was caught.")
    if meaning == "missing":
        return Verdict(Status.EMPTY, note=f"'{text}' says that no name was written down.")
    if meaning == "trap state":
        return question(rules.TRAP_STATE_IN_NAME, f"'{text}' is the state of a trap, not a name.")
    wide = checklist.narrowest_common([taxon for taxon in checklist.taxa.values() if taxon.is_listed])
    readings = [wide.name if wide else ""]
    return question(rules.UNIDENTIFIED, f"'{text}': an animal that was not identified.", readings)


def _no_animal(note: str) -> Verdict:
    return Verdict(Status.CHANGED, "", rule="no-animal", note=note, also=MappingProxyType({"no_animal": "true"}))


def _not_available(text: str, checklist: Checklist, context: NameContext) -> Verdict:
    """NA, a dash and the like: by the survey file, else asked."""
    code = look_up(text, checklist, context) if text.isalpha() and text.upper() in checklist.codes else None
    if context.na_means.startswith(NO_ANIMAL):
        return _no_animal(f"'{text}': the survey file says that it means no animal.")
    if context.na_means == MISSING:
        return Verdict(Status.EMPTY, note=f"'{text}': the survey file says that it means not recorded.")
    if context.na_means == "code" and isinstance(code, Match):
        return verdict_of(text, code, (), context, checklist)
    named = [code.taxon.name] if isinstance(code, Match) else []
    note = f"'{text}' can mean that nothing was caught, or that the name is missing"
    note += f", or be the code of {named[0]}." if named else "."
    return question(rules.NA_IN_NAME, note, [*named, NO_ANIMAL, MISSING])


def _read(text: str, checklist: Checklist, context: NameContext) -> tuple[Match | Verdict, tuple[Fact, ...]]:
    """The outcome, and the facts taken off the ends of the cell to reach it."""
    cores = _cores(text)
    for core, facts in cores:
        outcome: Outcome = look_up(core, checklist, context)
        if outcome is not None:
            outcome = _with_na(core, outcome, checklist, context)
            return (_or_misspelt(text, outcome, checklist) if facts else outcome), facts
    core, facts = cores[-1]
    outcome = repair(core, checklist) if core else None
    if outcome is not None:
        return outcome, facts
    for core, facts in cores:
        outcome = subspecies_left_out(core, checklist)
        if outcome is not None:
            return outcome, facts
    core, facts = cores[-1]
    return asked(core or text, checklist), facts


def _with_na(core: str, outcome: Match | Verdict, checklist: Checklist, context: NameContext) -> Match | Verdict:
    """ "NA_F" may be a code with the sex, or a missing name with it: NA stays a question unless it is declared."""
    is_na = meaning_instead_of_name(core) == "not available" and declared_key(core) not in context.declared
    if not is_na or context.na_means == "code":
        return outcome
    return question(rules.NA_IN_NAME, f"'{core}' can be a code or a missing name.", [
        outcome.taxon.name if isinstance(outcome, Match) else "", MISSING])  # fmt: skip


def _or_misspelt(text: str, outcome: Match | Verdict, checklist: Checklist) -> Match | Verdict:
    """ "Cryptotis larva" may be a larva of the genus, or C. parva misspelt."""
    if not isinstance(outcome, Match) or outcome.taxon.is_species:
        return outcome
    other = repair(text, checklist)
    names = [other.taxon.name] if isinstance(other, Match) else list(other.readings) if other else []
    if not names:
        return outcome
    note = f"'{text}' can be {outcome.taxon.name} with a word beside it, or {names[0]} misspelt."
    return question(rules.TWO_READINGS, note, [outcome.taxon.name, *names])


def _cores(text: str) -> list[tuple[str, tuple[Fact, ...]]]:
    """The cell, and what is left of it as facts are taken off its ends, in the order to be tried."""
    cores: list[tuple[str, tuple[Fact, ...]]] = [(text, ())]
    if text.endswith(".") and text.rstrip(". "):
        cores.append((text.rstrip(". "), ()))
    at = 0
    while at < len(cores):
        core, facts = cores[at]
        if core and len(facts) < MOST_FACTS:
            cores += [(peeled.rest, (*facts, peeled.fact)) for peeled in peels(core)]
        at += 1
    return [(core.strip(QUOTES + " "), facts) for core, facts in cores]
