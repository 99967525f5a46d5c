"""Columns whose header asks a question and whose cells say yes or no, such as "Released? Y/N".

Only a yes can be told from the header: an animal that was not released may have escaped, died or been kept.
"""

from __future__ import annotations

from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.header_evidence import words_of
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: field -> words of the header -> what a yes means. Source: common practice, no source.
MEANING_OF_YES = {
    "fate": {"released": "released at capture", "release": "released at capture"},
    "vitality": {"alive": "alive", "dead": "dead"},
}


def meanings_of_yes(column: Column, field: str) -> dict[str, str]:
    """What the cells that say yes mean for a field; empty unless all cells say yes or no and the header asks."""
    asked = {meaning for word, meaning in MEANING_OF_YES.get(field, {}).items() if word in words_of(column.header)}
    said = {text: load_vocabulary("yes_no").find(text) for text in column.counts}
    if len(asked) != 1 or any(entry is None or entry.value not in ("true", "false") for entry in said.values()):
        return {}
    meaning = asked.pop()
    return {text: meaning for text, entry in said.items() if entry is not None and entry.value == "true"}
