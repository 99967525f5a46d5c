"""Columns whose header asks a question and whose cells say yes or no, such as "Released? Y/N" or "Recap? Y/N"."""

from __future__ import annotations

from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.header_evidence import words_of
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: field -> words of the header -> what yes and no mean, "" where the header cannot tell: an animal that was not
#: released may have escaped, died or been kept. Source: common practice, no source.
MEANINGS = {
    "fate": dict.fromkeys(("released", "release"), ("released at capture", "")),
    "vitality": {"alive": ("alive", ""), "dead": ("dead", "")},
    "capture_status": {
        **dict.fromkeys(("recap", "recapture", "recaptured", "recaptura"), ("recapture", "new")),
        "new": ("new", "recapture"),
    },
}


def meanings_of_yes(column: Column, field: str) -> dict[str, str]:
    """What the cells that say yes or no mean for a field; empty unless all cells do and the header asks one thing.

    A yes must be among them: a lone N under "New" may stand for new. Numbers may be counts, and are no answers.
    """
    asked = {meant for word, meant in MEANINGS.get(field, {}).items() if word in words_of(column.header)}
    said = {text: load_vocabulary("yes_no").find(text) for text in column.counts}
    told = {text: "" if entry is None else entry.value for text, entry in said.items()}
    blank = {text for text, entry in said.items() if entry is not None and not entry.value}
    answers = {text: value for text, value in told.items() if text not in blank}
    if len(asked) != 1 or "true" not in answers.values() or not set(answers.values()) <= {"true", "false"}:
        return {}
    if any(text.strip().isdigit() for text in answers):
        return {}
    yes, no = asked.pop()
    meant = {text: yes if value == "true" else no for text, value in answers.items()}
    return {text: meaning for text, meaning in meant.items() if meaning}
