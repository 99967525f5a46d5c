"""What changed between two versions of a data set, as a table: animal by animal and term by term."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.output_tables import PACKAGE, Version, as_version, read_version

KEYS = {
    "event": "eventID", "occurrence": "occurrenceID", "measurement": "measurementID", "humboldt": "eventID",
    "taxon": "taxonID",
}  # fmt: skip
#: what tells rows apart that have no identifier of their own
INSTEAD = {
    "event": ("parentEventID", "eventDate"),
    "occurrence": ("eventID", "catalogNumber", "recordNumber", "scientificName"),
    "measurement": ("eventID", "occurrenceID", "measurementType"),
    "humboldt": (),
    "taxon": ("scientificName",),
}
NEW, GONE, CHANGED = "new", "gone", "changed"
COMPARISON_COLUMNS = ("table", "identifier", "about", "what", "term", "old", "new")
CALLED = {
    "event": ("event", "events"),
    "occurrence": ("animal", "animals"),
    "measurement": ("measurement", "measurements"),
    "humboldt": ("scope or effort", "scopes and efforts"),
    "taxon": ("taxon", "taxa"),
}
#: what tells a person which row is meant, beside its identifier
LABELS = {
    "event": ("eventType", "eventDate"),
    "occurrence": ("scientificName", "eventID"),
    "measurement": ("measurementType", "measurementValue", "measurementUnit"),
    "humboldt": (),
    "taxon": ("scientificName",),
}
#: follow from eventDate, and only repeat its change
DERIVED = ("year", "month", "day", "startDayOfYear", "endDayOfYear")
#: mean another thing in a data package than in an archive
SAID_OTHERWISE = ("eventCategory", "organismQuantity", "organismQuantityType", "identificationRemarks")
MOST_TERMS = 5


@dataclass(frozen=True)
class Comparison:
    """changes: one line each, COMPARISON_COLUMNS, all text. notes: what was not compared, in sentences."""

    changes: pd.DataFrame
    notes: tuple[str, ...] = ()


def compare_paths(old: Path, new: Path) -> Comparison:
    """The changes between two output folders, archives or data packages, of one kind or of two.

    A row that is new or gone is one line; a row that is in both is one line for every term that differs. Numbers
    that are equal are no change, however they are written. Of two kinds, terms that only one has are not compared.
    Raises UnreadableFile if one of them cannot be read, or if they hold quite different things.
    """
    return compare(read_version(old), read_version(new))


def compare(old: Version, new: Version) -> Comparison:
    """The same for versions that were read."""
    lists = [set(one.tables) == {"taxon"} for one in (old, new)]
    if lists[0] != lists[1]:
        taxa, other = (old, new) if lists[0] else (new, old)
        raise UnreadableFile(
            f"{taxa.name} is a list of taxa and {other.name} holds events or occurrences: they cannot be two "
            f"versions of one data set. Compare a list with a list."
        )
    notes = []
    before, after = dict(old.tables), dict(new.tables)
    if ("event" in before) != ("event" in after):
        flat, deep = (before, after) if "event" in after else (after, before)
        _bring_to_occurrences(deep, text_columns(flat.get("occurrence")))
        notes.append("One of the two has no events: their terms are compared where they stand on the animals.")
    if old.kind != new.kind and PACKAGE in (old.kind, new.kind):
        notes += _common_terms(before, after)
    for one in (old, new):
        if one.left_out:
            notes.append(f"Not compared in {one.name}: {', '.join(dict.fromkeys(one.left_out))}.")
    if _share_nothing(before, after):
        notes.append(
            "No identifier is in both: these may be two data sets, or identifiers were given anew. "
            "Everything is told as gone and new."
        )
    return Comparison(changes_between(before, after), tuple(notes))


def text_columns(frame: pd.DataFrame | None) -> list[str]:
    """The columns of a table; none where there is no table."""
    return [] if frame is None else [str(name) for name in frame]


def _bring_to_occurrences(tables: dict[str, pd.DataFrame], wanted: list[str]) -> None:
    """Put terms of the events on the occurrences that hang on them, and leave the events out."""
    event, occurrence = tables.pop("event"), tables.get("occurrence")
    tables.pop("humboldt", None)
    if occurrence is None or "eventID" not in event or "eventID" not in occurrence:
        return
    at = event.drop_duplicates("eventID").set_index("eventID")
    terms = [name for name in wanted if name in at and name not in occurrence]
    tables["occurrence"] = occurrence.assign(**{name: mapped(occurrence["eventID"], at[name]) for name in terms})


def _common_terms(before: dict[str, pd.DataFrame], after: dict[str, pd.DataFrame]) -> list[str]:
    """Keep the tables and terms that both kinds have; a sentence for each table about those that are left."""
    told = []
    for name in KEYS:
        one, other = before.get(name), after.get(name)
        if one is None or other is None:
            before.pop(name, None)
            after.pop(name, None)
            continue
        common = [column for column in one if column in other and column not in SAID_OTHERWISE]
        apart = sorted({*map(str, one), *map(str, other)} - set(common))
        before[name], after[name] = one[common], other[common]
        if apart:
            told.append(f"Not compared of {CALLED[name][1]}, as only one kind has them: {', '.join(apart)}.")
    return told


def _share_nothing(before: Mapping[str, pd.DataFrame], after: Mapping[str, pd.DataFrame]) -> bool:
    pairs = [
        (set(before[name][KEYS[name]]), set(after[name][KEYS[name]]))
        for name in ("event", "occurrence", "taxon")
        if name in before and name in after and KEYS[name] in before[name] and KEYS[name] in after[name]
    ]
    return bool(pairs) and any(one and other for one, other in pairs) and not any(one & other for one, other in pairs)


def changes_since(previous: Version, tables: Mapping[str, pd.DataFrame]) -> Comparison:
    """What changed from a release to tables of ours as they are written, all text."""
    here = {name: as_version(tables[name], name) for name in KEYS if name in tables}
    return compare(previous, Version("this version", "output folder", here))


def in_short(changes: pd.DataFrame) -> str:
    """The changes in one sentence for a description: how many rows of each table, and which terms most.

    >>> in_short(pd.DataFrame(columns=list(COMPARISON_COLUMNS)))
    'no row of the data changed'
    """
    if changes.empty:
        return "no row of the data changed"
    parts = []
    for name, block in changes.groupby("table", sort=False):
        counts = counts_of(block)
        terms = block.loc[block["what"] == CHANGED, "term"].value_counts().head(MOST_TERMS)
        most = ", ".join(
            f"{term} {count}" for term, count in sorted(terms.items(), key=lambda one: (-one[1], one[0]))
        )
        parts.append(f"{CALLED[str(name)][1]}: {counts}" + (f" ({most})" if most else ""))
    return "; ".join(parts)


def counts_of(block: pd.DataFrame) -> str:
    """How many rows of a table are new, gone and changed."""
    numbers = {what: block.loc[block["what"] == what, "identifier"].nunique() for what in (NEW, GONE, CHANGED)}
    return ", ".join(f"{count} {what}" for what, count in numbers.items() if count)


def changes_between(old: Mapping[str, pd.DataFrame], new: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """The changes between tables in memory."""
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
    """The table by its identifier; rows that share one, or have none, are told apart by what they say."""
    own = text_column(table, KEYS[name])
    instead = pd.Series("", index=table.index, dtype=object)
    for column in INSTEAD[name]:
        instead = instead + " | " + text_column(table, column)
    keys = own.where(own != "", "(no identifier)" + instead)
    number = keys.groupby(keys).cumcount()
    return table.set_axis(pd.MultiIndex.from_arrays([keys, number], names=["id", "number"]))


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
