"""What changed between two versions of a data set, animal by animal and term by term."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pandas as pd

from dwc_pipeline.read.output_tables import read_version

KEYS = {"event": "eventID", "occurrence": "occurrenceID", "measurement": "measurementID", "humboldt": "eventID"}
NEW, GONE, CHANGED = "new", "gone", "changed"
COMPARISON_COLUMNS = ("table", "identifier", "about", "what", "term", "old", "new")
CALLED = {
    "event": ("event", "events"),
    "occurrence": ("animal", "animals"),
    "measurement": ("measurement", "measurements"),
    "humboldt": ("scope or effort", "scopes and efforts"),
}
#: what tells a person which row is meant, beside its identifier
LABELS = {
    "event": ("eventType", "eventDate"),
    "occurrence": ("scientificName", "eventID"),
    "measurement": ("measurementType", "measurementValue", "measurementUnit"),
    "humboldt": (),
}
#: follow from eventDate, and only repeat its change
DERIVED = ("year", "month", "day", "startDayOfYear", "endDayOfYear")
MOST_SHOWN = 200


def compare_versions(old: Path, new: Path) -> pd.DataFrame:
    """The changes between two output folders or archives, one line each: COMPARISON_COLUMNS, all text.

    A row that is new or gone is one line; a row that is in both is one line for every term that differs. Numbers
    that are equal are no change, however they are written.
    Raises UnreadableFile if one of them cannot be read.
    """
    return changes_between(read_version(old), read_version(new))


def changes_between(old: Mapping[str, pd.DataFrame], new: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """The same for tables in memory."""
    parts = [
        _changes(name, old.get(name, pd.DataFrame()), new.get(name, pd.DataFrame()))
        for name in KEYS
        if name in old or name in new
    ]
    made = pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=list(COMPARISON_COLUMNS))
    return made[list(COMPARISON_COLUMNS)]


def _changes(name: str, old: pd.DataFrame, new: pd.DataFrame) -> pd.DataFrame:
    before, after = _keyed(name, old), _keyed(name, new)
    here, there = after.index.difference(before.index), before.index.difference(after.index)
    parts = [
        _lines(name, here, _labels(name, after.loc[here]), NEW),
        _lines(name, there, _labels(name, before.loc[there]), GONE),
    ]
    both = before.index.intersection(after.index)
    columns = [one for one in dict.fromkeys([*before, *after]) if one not in DERIVED and one != KEYS[name]]
    first = before.reindex(index=both, columns=columns, fill_value="")
    second = after.reindex(index=both, columns=columns, fill_value="")
    labels = _labels(name, second)
    for column in columns:
        differs = (first[column] != second[column]) & ~_same_number(first[column], second[column])
        hit = differs[differs].index
        if len(hit):
            lines = _lines(name, hit, labels.loc[hit], CHANGED)
            lines["term"], lines["old"], lines["new"] = (
                column,
                first.loc[hit, column].to_numpy(),
                second.loc[hit, column].to_numpy(),
            )
            parts.append(lines)
    return pd.concat(parts, ignore_index=True)


def _keyed(name: str, table: pd.DataFrame) -> pd.DataFrame:
    """The table by its identifier; rows that share one are told apart by their number among them."""
    if KEYS[name] not in table:
        return pd.DataFrame(index=pd.MultiIndex.from_arrays([[], []], names=["id", "number"]))
    number = table.groupby(KEYS[name]).cumcount()
    return table.set_axis(pd.MultiIndex.from_arrays([table[KEYS[name]], number], names=["id", "number"]))


def _labels(name: str, table: pd.DataFrame) -> pd.Series:
    said = pd.Series("", index=table.index, dtype=object)
    for column in LABELS[name]:
        if column in table:
            said = (said + " " + table[column]).str.strip()
    return said


def _lines(name: str, index: pd.Index, labels: pd.Series, what: str) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "table": name,
            "identifier": index.get_level_values(0),
            "about": labels.to_numpy(),
            "what": what,
            "term": "",
            "old": "",
            "new": "",
        }
    )


def _same_number(first: pd.Series, second: pd.Series) -> pd.Series:
    left, right = (pd.to_numeric(one.where(one != ""), errors="coerce") for one in (first, second))
    return pd.Series(np.isclose(left, right, rtol=0, atol=1e-12), index=first.index)


def comparison_lines(changes: pd.DataFrame) -> list[str]:
    """The changes in sentences: first the numbers, then each row with what is different."""
    if changes.empty:
        return ["nothing changed"]
    lines = [_counts(name, block) for name, block in changes.groupby("table", sort=False)]
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


def _counts(name: str, block: pd.DataFrame) -> str:
    said = []
    for what in (NEW, GONE, CHANGED):
        count = block.loc[block["what"] == what, "identifier"].nunique()
        if count:
            said.append(f"{count} {what}")
    return f"{CALLED[name][1]}: {', '.join(said)}"
