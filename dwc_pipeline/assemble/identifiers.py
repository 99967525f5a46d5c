"""Identifiers that last: a natural key, an ordinal within it, and a register of what was given out before.

An identifier is `stem-ordinal`, the stem made of place and day (events) or of the event and the trap (animals).
Re-sorting rows changes nothing, since new ordinals follow the content and not the row order. A corrected row
keeps its identifier, since the register remembers what the row said last. Where the register cannot tell a
corrected row from another animal, the row gets a new identifier: two identifiers for one animal can be mended,
two animals under one identifier cannot. A retired ordinal is never given to anything else; the row itself gets
it back if it returns unaltered.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Hashable, Mapping
from functools import partial
from hashlib import sha256
from typing import NamedTuple

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import without_gaps
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

IDENTIFIER_KEPT = declare(
    Rule(
        "identifier-kept-for-a-changed-row",
        Severity.NOTE,
        "The cells of a row were changed, and it keeps its identifier with no measure, mark or number to prove it.",
        "It was the only row of its trap and check that changed, so it was taken for a correction. If the row was "
        "replaced by that of another animal, two animals share one identifier in two editions of the data.",
        "Nothing, if the row was corrected. If another animal took its place, run once without the row and once with "
        "it: it then gets an identifier of its own.",
    )
)

#: stem: of the row as it was last seen, which differs from the identifier where day or trap were corrected.
#: features: what the row said last, as JSON. retired: "yes" if the last run had no such row, else "".
#: cells: digest of the row as typed, whatever the checklist and the survey file make of it; "" if not known.
REGISTER_FIELDS = ("kind", "identifier", "stem", "features", "retired", "cells")
#: the fields of registers of every edition
OLDEST_FIELDS = REGISTER_FIELDS[:-1]
RETIRED = "yes"
#: Features that are all but unique to one animal, so that they know it again under another day or trap.
TELLING = (
    "recordNumber",
    "snout_vent_length",
    "total_length",
    "straight_carapace_length",
    "body_mass",
    "tail_length",
)
#: How many of them must be given before an animal is known again under another day or trap; our choice.
ENOUGH_TO_TELL = 2
PARTS_OF_STEM = re.compile(r"(?P<place>.+-[a-z])(?P<day>\d{8})-\d+-(?P<trap>.+)")

Features = Mapping[str, str]


class Pair(NamedTuple):
    """A row and the register line that it continues; is_weak where nothing in the row proves it."""

    row: Hashable
    line: int
    is_weak: bool = False


#: Rows and lines of one stem that do not say the same, each with its features -> which row continues which line.
Matcher = Callable[[Mapping[Hashable, Features], Mapping[int, Features]], list[Pair]]


class Assigned(NamedTuple):
    """identifiers: per row. register: all lines of this kind, old and new, in the order of the identifiers.

    kept_on_little: for rows that kept their identifier although nothing in them proves it: what they said before.
    """

    identifiers: pd.Series
    register: pd.DataFrame
    kept_on_little: pd.Series


def assign_identifiers(
    kind: str,
    stem: pd.Series,
    features: pd.DataFrame,
    register: pd.DataFrame,
    match_changed: Matcher,
    cells: pd.Series | None = None,
) -> Assigned:
    """An identifier for each row, the one given out before wherever the row is the same thing.

    stem: text per row, index without duplicates. features: text columns that describe the row, "" where unknown.
    register: columns REGISTER_FIELDS; may be empty. match_changed: which changed rows of a stem are the same thing.
    cells: `digests` of the rows as typed, same index.
    """
    typed = pd.Series("", index=stem.index, dtype=object) if cells is None else cells
    old = lines_of(register, kind)
    told = described(features)
    in_use, retired = old[old["retired"] == ""], old[old["retired"] != ""]
    matched = pd.Series(-1, index=stem.index)
    match_exactly(matched, in_use, stem, told)
    match_as_typed(matched, in_use, stem, typed)
    weak = match_changed_rows(matched, in_use, stem, told, match_changed)
    match_moved(matched, in_use, stem, told)
    # Last, so that a row that was only corrected never takes the number of one that it now happens to equal.
    match_exactly(matched, retired, stem, told)
    return registered(kind, matched, weak, old, stem, told, typed)


def lines_of(register: pd.DataFrame, kind: str) -> pd.DataFrame:
    """The register lines of one kind; what a register of an earlier edition lacks is blank."""
    if register.empty:
        return pd.DataFrame(columns=list(REGISTER_FIELDS), dtype=object)
    own = register[register["kind"] == kind].reindex(columns=list(REGISTER_FIELDS))
    return own.astype(object).where(own.notna(), "").reset_index(drop=True)


def described(features: pd.DataFrame) -> pd.Series:
    """Each row's features as one text, blank ones and doubled spaces left out."""
    parts = [on_distinct(features[name], partial(members, str(name))) for name in features]
    telling = [part.to_numpy() for part in parts if (part != "").any()]
    if not telling:
        return pd.Series("{}", index=features.index, dtype=object)
    texts = ["{" + ", ".join(filter(None, row)) + "}" for row in zip(*telling, strict=True)]
    return pd.Series(texts, index=features.index, dtype=object)


def digests(cells: pd.DataFrame) -> pd.Series:
    """A short text for each row of cells as typed that changes with any of them.

    Blank cells, doubled spaces and the order of the columns count for nothing: each filled cell has a number of its
    own, made of its column's name and its text, and the digest is their sum.
    """
    total = np.zeros(len(cells), dtype=np.uint64)
    for name in cells:
        total += on_distinct(cells[name], partial(numbers_of, str(name))).to_numpy()
    return on_distinct(pd.Series(total, index=cells.index), lambda sums: sums.map("{:016x}".format).astype(object))


def numbers_of(name: str, values: pd.Series) -> pd.Series:
    """A number for each text of a column, spread evenly over 64 bits; 0 for a blank one."""
    told = np.array([" ".join(value.split()) for value in values], dtype=object)
    of_column = np.uint64(int.from_bytes(sha256(name.encode()).digest()[:8], "big") | 1)
    numbers = pd.util.hash_array(told, categorize=False) * of_column
    return pd.Series(np.where(told == "", np.uint64(0), numbers), index=values.index)


def members(name: str, values: pd.Series) -> pd.Series:
    """The values as members of JSON objects; "" for a blank one."""
    in_json = json.JSONEncoder(ensure_ascii=False).encode
    key = in_json(name)
    told = [" ".join(value.split()) for value in values]
    texts = [f"{key}: {in_json(text)}" if text else "" for text in told]
    return pd.Series(texts, index=values.index, dtype=object)


def match_exactly(matched: pd.Series, lines: pd.DataFrame, stem: pd.Series, told: pd.Series) -> None:
    """Rows that say just what a register line says; twins are paired in order. Fills `matched`."""
    open_rows = matched.index[matched < 0]
    if not len(open_rows) or lines.empty:
        return
    mine = pd.DataFrame({"stem": stem[open_rows], "features": told[open_rows], "row": open_rows})
    theirs = pd.DataFrame({"stem": lines["stem"], "features": lines["features"], "line": lines.index})
    keys = ["stem", "features"]
    mine["twin"], theirs["twin"] = mine.groupby(keys).cumcount(), theirs.groupby(keys).cumcount()
    pairs = mine.merge(theirs, on=[*keys, "twin"])
    matched.loc[pairs["row"]] = pairs["line"].to_numpy()


def match_as_typed(matched: pd.Series, lines: pd.DataFrame, stem: pd.Series, cells: pd.Series) -> None:
    """Rows whose cells are as before and only read in another way: by another checklist, survey file or answer.

    Fills `matched`. cells: digests of the rows as typed, "" where not known.
    """
    free = lines[~lines.index.isin(matched[matched >= 0]) & (lines["cells"] != "")]
    match_exactly(matched, free.assign(features=free["cells"]), stem, cells)


def match_changed_rows(
    matched: pd.Series, in_use: pd.DataFrame, stem: pd.Series, told: pd.Series, match_changed: Matcher
) -> dict[Hashable, str]:
    """Rows of a stem that continue a register line with other words. Fills `matched`; returns the weak ones."""
    free = in_use[~in_use.index.isin(matched[matched >= 0])]
    open_rows = matched.index[matched < 0]
    if not len(open_rows) or free.empty:
        return {}
    rows_of_stem = stem[open_rows].groupby(stem[open_rows]).groups
    weak: dict[Hashable, str] = {}
    for one, lines in free.groupby("stem", sort=True):
        if one not in rows_of_stem:
            continue
        rows = {row: json.loads(told[row]) for row in rows_of_stem[one]}
        for pair in match_changed(rows, {int(line): json.loads(text) for line, text in lines["features"].items()}):
            matched.loc[pair.row] = pair.line
            if pair.is_weak:
                weak[pair.row] = str(lines.at[pair.line, "features"])
    return weak


def match_moved(matched: pd.Series, in_use: pd.DataFrame, stem: pd.Series, told: pd.Series) -> None:
    """Rows whose day, place or trap was corrected and that say all else as before. Fills `matched`.

    Only rows that say enough to be known anywhere, whose words are unique on both sides, and of whose place, day
    and trap at most one has changed.
    """
    free = in_use[~in_use.index.isin(matched[matched >= 0])]
    open_rows = matched.index[matched < 0]
    if not len(open_rows) or free.empty:
        return
    mine = pd.DataFrame({"features": told[open_rows], "new_stem": stem[open_rows], "row": open_rows})
    theirs = pd.DataFrame({"features": free["features"], "old_stem": free["stem"], "line": free.index})
    mine = mine[mine["features"].map(tells_enough).astype(bool)]
    pairs = mine.drop_duplicates("features", keep=False).merge(
        theirs.drop_duplicates("features", keep=False), on="features"
    )
    near = [is_near(*stems) for stems in zip(pairs["old_stem"], pairs["new_stem"], strict=True)]
    pairs = pairs[np.array(near, dtype=bool)]
    matched.loc[pairs["row"]] = pairs["line"].to_numpy()


def tells_enough(told: str) -> bool:
    """True if the words of a row know its animal anywhere.

    >>> tells_enough('{"scientificName": "Spea bombifrons", "body_mass": "12.3"}')
    False
    """
    said = json.loads(told)
    return sum(name in said for name in TELLING) >= ENOUGH_TO_TELL


def is_near(old_stem: str, new_stem: str) -> bool:
    """True if at most one of place, day and trap differs; a stem without them differs in nothing."""
    old, new = PARTS_OF_STEM.fullmatch(old_stem), PARTS_OF_STEM.fullmatch(new_stem)
    if old is None or new is None:
        return True
    differing = [part for part in ("place", "day", "trap") if old[part] != new[part]]
    return len(differing) <= 1


def registered(
    kind: str,
    matched: pd.Series,
    weak: Mapping[Hashable, str],
    old: pd.DataFrame,
    stem: pd.Series,
    told: pd.Series,
    typed: pd.Series | None = None,
) -> Assigned:
    """Identifiers from the matches, new ones for all other rows, and the register that remembers both."""
    known = matched >= 0
    identifiers = pd.Series("", index=stem.index, dtype=object)
    identifiers[known] = old["identifier"].reindex(matched[known]).to_numpy()
    start, ordinal = taken_apart(old["identifier"])
    ordinals = new_ordinals(stem[~known], told[~known], ordinal.groupby(start).max())
    identifiers[~known] = stem[~known] + "-" + ordinals.astype(str)
    kept = old.assign(retired=RETIRED, start=start, ordinal=ordinal)
    lines = matched[known].to_numpy()
    kept.loc[lines, "features"] = told[known].to_numpy()
    kept.loc[lines, "stem"] = stem[known].to_numpy()
    kept.loc[lines, "retired"] = ""
    digest = pd.Series("", index=stem.index, dtype=object) if typed is None else typed
    kept.loc[lines, "cells"] = digest[known].to_numpy()
    fresh = pd.DataFrame(
        {
            "kind": kind,
            "identifier": identifiers[~known],
            "stem": stem[~known],
            "features": told[~known],
            "retired": "",
            "cells": digest[~known],
            "start": stem[~known],
            "ordinal": ordinals,
        }
    )
    filled = [part for part in (kept, fresh) if len(part)]
    every = pd.concat(filled, ignore_index=True) if filled else kept
    return Assigned(identifiers, sorted_lines(every), pd.Series(weak, dtype=object))


def in_order(register: pd.DataFrame) -> pd.DataFrame:
    """Register lines in the order of kind and identifier, ordinals counted as numbers."""
    start, ordinal = taken_apart(register["identifier"])
    return sorted_lines(register.assign(start=start, ordinal=ordinal))


def sorted_lines(lines: pd.DataFrame) -> pd.DataFrame:
    """Register lines from such with start and ordinal of their identifiers, in the order of these."""
    order = lines.sort_values(["kind", "start", "ordinal"], kind="stable")
    return without_gaps(order.reindex(columns=list(REGISTER_FIELDS)).astype(object)).reset_index(drop=True)


def taken_apart(identifiers: pd.Series) -> tuple[pd.Series, pd.Series]:
    """The stem an identifier was given out for, and its ordinal."""
    parts = identifiers.astype(str).str.extract(r"^(.*)-(\d+)$")
    return parts[0].astype(object), parts[1].fillna("0").astype(np.int64)


def new_ordinals(stem: pd.Series, told: pd.Series, highest: pd.Series) -> pd.Series:
    """Ordinals in the order of what the rows say, after the highest ever given out for the stem."""
    frame = pd.DataFrame({"stem": stem, "told": told}).sort_values(["stem", "told"], kind="stable")
    after = frame["stem"].map(highest).astype("float64").fillna(0).astype(np.int64)
    return (frame.groupby("stem").cumcount() + 1 + after).reindex(stem.index).astype(np.int64)


def doubtful_identifiers(given: Assigned) -> pd.DataFrame:
    """A note for each animal that kept its identifier although nothing in its row proves it."""
    rows = given.kept_on_little.index
    identifier = given.identifiers.reindex(rows)
    return findings_on_rows(
        IDENTIFIER_KEPT,
        "capture",
        rows,
        "verbatimIdentification",
        value=identifier,
        cause=identifier,
        message=identifier + " is kept; the row said before: " + given.kept_on_little.map(in_words),
    )


def in_words(features: str) -> str:
    """The features of a register line as a person reads them.

    >>> in_words('{"sex": "male", "mark": "A1"}')
    'sex male, mark A1'
    """
    return ", ".join(f"{name} {value}" for name, value in json.loads(features).items()) or "nothing"
