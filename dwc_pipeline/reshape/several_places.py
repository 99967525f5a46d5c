"""Rows of a trap log that speak of several arrays: `all`, `A1-A4`, `A1, A3`. Each becomes one row an array."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from dwc_pipeline.core.changes import changes_on_rows, join_changes
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.findings import as_findings, finding_at, join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.reshape.block import Block
from dwc_pipeline.terms.vocabulary import load_vocabulary

SEVERAL_ARRAYS = declare(
    Rule(
        "log-row-for-several-arrays",
        Severity.NOTE,
        "A row of the trap log speaks of several arrays; it was read as one row for each of them.",
        "If an array was left out on that day, its effort is too high.",
        "Write one row for each array where they differ.",
    )
)
NUMBER_OF_SEVERAL = declare(
    Rule(
        "number-for-several-arrays",
        Severity.WARNING,
        "A row that speaks of several arrays has a number, and nobody can tell whether it is that of each or of all.",
        "Taken for each array it multiplies the effort or the catch by the number of arrays.",
        "Write one row for each array with its own number. Until then the number is left out.",
    )
)
ALL_WORDS = re.compile(r"(?:all|every|each)(?: of)?(?: the)?(?: \d+)?(?: open)?(?: arrays?| sites?)?|arrays", re.I)
RANGE = re.compile(r"(.+?)\s*(?:-|–|—|\bto\b|\bthrough\b|\bthru\b)\s*(.+)", re.I)
BETWEEN = re.compile(r"\s*(?:[,;&+\n]|\band\b)\s*", re.I)
LEADING_WORD = re.compile(r"^(?:the\s+)?(?:arrays?|sites?)\s+", re.I)
#: numbers of a log row that belong to one array
NUMBERS = ("traps_open", "captures_typed", "trap_nights_typed")


def arrays_of(blocks: Sequence[Block]) -> tuple[str, ...]:
    """The arrays of the site list as typed, in its order; routes and search sites left out."""
    kinds = load_vocabulary("place_kind")
    found: dict[str, None] = {}
    for block in blocks:
        if "place" not in block.text:
            continue
        for code, word in zip(block.text["place"], text_column(block.text, "place_kind"), strict=True):
            entry = kinds.find(word) if word.strip() else None
            if code.strip() and (not word.strip() or (entry is not None and entry.value == "array")):
                found[code.strip()] = None
    return tuple(found)


def places_named(text: str, arrays: Sequence[str]) -> tuple[str, ...]:
    """The arrays that a text names together; () if it names one, or if some part of it is not understood.

    >>> places_named("A1-A3", ["A1", "A2", "A3", "B1"]), places_named("all", ["A1", "B1"])
    (('A1', 'A2', 'A3'), ('A1', 'B1'))
    >>> places_named("A1 and B1", ["A1", "B1"]), places_named("A1-A9", ["A1", "A9"]), places_named("A1", ["A1"])
    (('A1', 'B1'), (), ())
    """
    codes = {folded(code): code for code in arrays}
    if len(codes) < len(arrays) or folded(text) in codes:
        return ()
    if ALL_WORDS.fullmatch(text.strip()):
        return tuple(arrays)
    named: dict[str, None] = {}
    for part in BETWEEN.split(LEADING_WORD.sub("", text.strip())):
        own = one_or_range(LEADING_WORD.sub("", part.strip()), codes)
        if not own:
            return ()
        named |= dict.fromkeys(own)
    return tuple(named) if len(named) > 1 else ()


def one_or_range(part: str, codes: Mapping[str, str]) -> tuple[str, ...]:
    """The arrays of "A3" or of "A1-A4"; a range holds only arrays of the list, and all that lie between."""
    if folded(part) in codes:
        return (codes[folded(part)],)
    ends = RANGE.fullmatch(part)
    if not ends:
        return ()
    first, last = (re.fullmatch(r"(\D*)(\d+)", folded(end)) for end in ends.groups())
    if not first or not last or (last[1] not in ("", first[1])) or int(first[2]) >= int(last[2]):
        return ()
    wanted = [f"{first[1]}{number}" for number in range(int(first[2]), int(last[2]) + 1)]
    return tuple(codes[one] for one in wanted) if all(one in codes for one in wanted) else ()


def folded(text: str) -> str:
    """A code without capitals, marks and leading zeros."""
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"[^a-z0-9]+", "", text.casefold()))


def spread_over_places(table: RawTable, block: Block, arrays: Sequence[str]) -> Block:
    """The block with one row for each array of the rows that speak of several; each is a change."""
    if "place" not in block.text or not arrays:
        return block
    named = {text: places_named(text, arrays) for text in block.text["place"].unique()}
    if not any(named.values()):
        return block
    places = block.text["place"].map(lambda text: list(named[text]) or [text])
    counts = places.map(len).to_numpy()
    positions = np.repeat(np.arange(len(places)), counts)
    spread = block.taken(positions)
    text = spread.text.assign(place=np.array([one for several in places for one in several], dtype=object))
    several = pd.Series(counts[positions] > 1, index=text.index)
    rows = text.index[several]
    note = "the row speaks of several arrays"
    changes = [
        changes_on_rows(
            "trap_log", rows, "place", spread.text.loc[rows, "place"], text.loc[rows, "place"], "several-places", note
        )
    ]
    findings = [block.findings, told_once(table, block, named)]
    for field in [one for one in NUMBERS if one in text]:
        filled = text.index[several & (text[field].str.strip() != "")]
        if not len(filled):
            continue
        note = "a number for several arrays: of each, or of all together?"
        changes.append(
            changes_on_rows("trap_log", filled, field, text.loc[filled, field], "", "number-of-several", note)
        )
        findings.append(numbers_told(table, spread, filled, field))
        text.loc[filled, field] = ""
    return replace(
        block,
        text=text,
        sheet_rows=spread.sheet_rows,
        stored=spread.stored,
        cells=spread.cells,
        changes=join_changes([spread.changes, *changes]),
        findings=join_findings(findings),
    )


def told_once(table: RawTable, block: Block, named: Mapping[str, tuple[str, ...]]) -> pd.DataFrame:
    """A note for each distinct text that names several arrays, at its first cell."""
    firsts = block.text["place"].drop_duplicates()
    return as_findings(
        finding_at(
            SEVERAL_ARRAYS,
            file=table.file,
            sheet=table.sheet,
            row=int(block.sheet_rows[position]),
            column=block.columns.get("place", ""),
            field="place",
            value=text,
            cause=f"{table.file}\x1f{table.sheet}\x1f{text}",
            message=f'"{text.strip()}" was read as {", ".join(named[text])}',
        )
        for position, text in firsts.items()
        if named[text]
    )


def numbers_told(table: RawTable, block: Block, rows: pd.Index, field: str) -> pd.DataFrame:
    """A finding for each sheet row whose number was left out."""
    firsts = block.sheet_rows[rows].drop_duplicates()
    return as_findings(
        finding_at(
            NUMBER_OF_SEVERAL,
            file=table.file,
            sheet=table.sheet,
            row=int(row),
            column=block.columns.get(field, ""),
            field=field,
            value=block.text.at[position, field],
            message="is this number that of each array, or of all together?",
            cause="\x1f".join((table.file, table.sheet, field, *table.text.loc[int(row)])),
        )
        for position, row in firsts.items()
    )
