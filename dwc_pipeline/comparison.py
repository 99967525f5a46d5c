"""What changed between two versions of a data set, in sentences."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.versions import CALLED, CHANGED, Comparison, counts_of

MOST_SHOWN = 200


def comparison_lines(comparison: Comparison) -> list[str]:
    """The changes in sentences: the numbers, each row with what is different, and what was not compared."""
    notes = ["", *comparison.notes] if comparison.notes else []
    return [*change_lines(comparison.changes), *notes]


def change_lines(changes: pd.DataFrame) -> list[str]:
    """The changes alone."""
    if changes.empty:
        return ["nothing changed"]
    lines = [f"{CALLED[str(name)][1]}: {counts_of(block)}" for name, block in changes.groupby("table", sort=False)]
    shown: list[str] = []
    for (name, identifier, what, about), block in changes.groupby(
        ["table", "identifier", "what", "about"], sort=False
    ):
        head = f"{CALLED[str(name)][0]} {identifier}" + (f" ({about})" if about else "")
        if what != CHANGED:
            shown.append(f"{head}: {what}")
            continue
        shown += [f"{head}: {_told(*row)}" for row in zip(block["term"], block["old"], block["new"], strict=True)]
    hidden = len(shown) - MOST_SHOWN
    more = [f"... and {hidden} more; all of them with --json"] if hidden > 0 else []
    return [*lines, "", *shown[:MOST_SHOWN], *more]


def _told(term: str, old: str, new: str) -> str:
    if not old:
        return f"{term} is now {new!r}; it was not given"
    if not new:
        return f"{term} {old!r} was taken out"
    return f"{term} {old!r} became {new!r}"
