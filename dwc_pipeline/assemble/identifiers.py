"""Identifiers that last: a natural key, an ordinal within it, and a register of what was given out before.

An identifier is `stem-ordinal`, the stem made of place and day (events) or of the event and the trap (animals).
Re-sorting rows changes nothing, since new ordinals follow the content and not the row order. A corrected row
keeps its identifier, since the register remembers what the row said when it was given out. A retired ordinal is
never given out again.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd

REGISTER_FIELDS = ("kind", "identifier", "stem", "ordinal", "features")
#: How many of the features that both sides give must agree for a corrected row to be the same animal.
LEAST_AGREEMENT = 0.5


class Assigned(NamedTuple):
    """identifiers: per row. register: all register lines of this kind, old and new."""

    identifiers: pd.Series
    register: pd.DataFrame


def assign_identifiers(kind: str, stem: pd.Series, features: pd.DataFrame, register: pd.DataFrame) -> Assigned:
    """An identifier for each row, the one given out before wherever the row is the same thing.

    stem: text per row. features: text columns that describe the row, "" where unknown; most telling first.
    register: columns REGISTER_FIELDS; may be empty.
    """
    old = register[register["kind"] == kind] if len(register) else pd.DataFrame(columns=list(REGISTER_FIELDS))
    told = described(features)
    matched = pd.Series(-1, index=stem.index)
    match_exactly(matched, old, stem, told, by_stem=True)
    match_corrected(matched, old, stem, features)
    match_exactly(matched, old, stem, told, by_stem=False)
    identifiers = pd.Series("", index=stem.index, dtype=object)
    known = matched >= 0
    identifiers[known] = old["identifier"].reindex(matched[known]).to_numpy()
    ordinals = new_ordinals(stem[~known], told[~known], old)
    identifiers[~known] = stem[~known] + "-" + ordinals.astype(str)
    fresh = pd.DataFrame(
        {
            "kind": kind,
            "identifier": identifiers[~known],
            "stem": stem[~known],
            "ordinal": ordinals.astype(str),
            "features": told[~known],
        }
    ).sort_values(["stem", "ordinal"])
    kept = old.copy()
    kept.loc[matched[known].to_numpy(), "features"] = told[known].to_numpy()
    return Assigned(identifiers, pd.concat([kept, fresh], ignore_index=True)[list(REGISTER_FIELDS)])


def described(features: pd.DataFrame) -> pd.Series:
    """Each row's features as one text, blank ones left out."""
    records = features.to_dict("records")
    return pd.Series(
        [
            json.dumps({name: value for name, value in record.items() if value}, ensure_ascii=False)
            for record in records
        ],
        index=features.index,
        dtype=object,
    )


def match_exactly(matched: pd.Series, old: pd.DataFrame, stem: pd.Series, told: pd.Series, by_stem: bool) -> None:
    """Rows that say just what a register line says; twins are paired in order. Fills `matched`.

    Without the stem (a date or trap was corrected) only descriptions that are unique on both sides count.
    """
    free_old = old[~old.index.isin(matched[matched >= 0])]
    open_rows = matched.index[matched < 0]
    mine = pd.DataFrame({"stem": stem[open_rows], "features": told[open_rows], "row": open_rows})
    theirs = pd.DataFrame({"stem": free_old["stem"], "features": free_old["features"], "line": free_old.index})
    keys = ["stem", "features"] if by_stem else ["features"]
    if not by_stem:
        mine = mine[(mine["features"] != "{}") & ~mine["features"].duplicated(keep=False)]
        theirs = theirs[~theirs["features"].duplicated(keep=False)]
        mine = mine[mine["features"].str.count('": "') >= 3]  # too little is said to know the animal elsewhere
    mine["twin"], theirs["twin"] = mine.groupby(keys).cumcount(), theirs.groupby(keys).cumcount()
    pairs = mine.merge(theirs, on=[*keys, "twin"])
    matched.loc[pairs["row"]] = pairs["line"].to_numpy()


def match_corrected(matched: pd.Series, old: pd.DataFrame, stem: pd.Series, features: pd.DataFrame) -> None:
    """Rows of the same stem whose features mostly agree with a register line. Fills `matched`."""
    free_old = old[~old.index.isin(matched[matched >= 0])]
    open_rows = matched.index[matched < 0]
    shared = set(stem[open_rows]) & set(free_old["stem"])
    for one in sorted(shared):
        rows = [row for row in open_rows if stem[row] == one]
        lines = free_old[free_old["stem"] == one]
        remembered = {line: json.loads(text) for line, text in lines["features"].items()}
        said = {row: features.loc[row].to_dict() for row in rows}
        scores = sorted(
            (
                (*agreement(said[row], remembered[line], features.columns), -position, row, line)
                for position, row in enumerate(rows)
                for line in remembered
            ),
            key=lambda score: score[:3],
            reverse=True,
        )
        taken: set[int] = set()
        for share, _, _, row, line in scores:
            if share >= LEAST_AGREEMENT and matched[row] < 0 and line not in taken:
                matched.loc[row] = line
                taken.add(line)


def agreement(said: dict[str, str], remembered: dict[str, str], names: Sequence[str]) -> tuple[float, float]:
    """Share of the features given on both sides that agree, and their weight (earlier features tell more)."""
    compared = [name for name in names if said.get(name) and remembered.get(name)]
    agree = [name for name in compared if said[name] == remembered[name]]
    if not compared:
        return (1.0 if not any(said.values()) and not remembered else 0.0), 0.0
    order = list(names)
    return len(agree) / len(compared), sum(len(order) - order.index(name) for name in agree)


def new_ordinals(stem: pd.Series, told: pd.Series, old: pd.DataFrame) -> pd.Series:
    """Ordinals after the highest ever given out for the stem, in the order of what the rows say."""
    highest = old.assign(ordinal=old["ordinal"].astype(int)).groupby("stem")["ordinal"].max() if len(old) else {}
    frame = pd.DataFrame({"stem": stem, "told": told}).sort_values(["stem", "told"], kind="stable")
    after = frame["stem"].map(highest).fillna(0).astype(int) if len(old) else 0
    ordinals = frame.groupby("stem").cumcount() + 1 + after
    return ordinals.reindex(stem.index).astype(np.int64)
