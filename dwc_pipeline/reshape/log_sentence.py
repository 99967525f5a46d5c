"""A trap log that is one sentence a cell: `all arrays open 5-12 May`, `closed A3 16 May`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from dwc_pipeline.core.changes import changes_on_rows, join_changes
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.findings import as_findings, finding_at, join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.reshape.block import Block
from dwc_pipeline.reshape.several_places import ALL_WORDS, LEADING_WORD, folded, places_named

SENTENCE_NOT_UNDERSTOOD = declare(
    Rule(
        "log-sentence-not-understood",
        Severity.ERROR,
        "A sentence of the trap log could not be taken apart into arrays, what was done, and dates.",
        "The openings, checks or closings it speaks of are missing from the effort.",
        'Write it as "arrays, opened or closed or open, date or first and last date", such as "A1-A4 open 5-12 May", '
        "or as rows with columns for array, action and date.",
    )
)
SENTENCE = "sentence"
FIELDS = ("place", "action", "eventDate", "end_date")
VERB = re.compile(
    r"\b(?:(?P<opened>re-?opened|opened|set(?: open)?)|(?P<open>open)|(?P<closed>closed|shut|pulled)"
    r"|(?P<checked>checked))\b",
    re.I,
)
FILLERS = re.compile(r"^(?:\s|[:,]|were|was|are|is|on|from|between|the\b)+|[\s:,.]+$", re.I)
UNTIL = re.compile(r"\s+(?:-|–|—|to|until|till|through|thru|and)\s+|\s*[–—]\s*", re.I)
ISO = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")
MONTH, YEAR = r"(?P<month>[A-Za-z]{3,9}\.?)", r"(?P<year>,?\s*\d{4})?"
DAYS = r"(?P<first>\d{1,2})\s*-\s*(?P<last>\d{1,2})"
DAYS_MONTH = re.compile(rf"{DAYS}\s*{MONTH}{YEAR}")
MONTH_DAYS = re.compile(rf"{MONTH}\s*{DAYS}{YEAR}")
DATE = re.compile(r"(?=.*\d)[\w/., -]{3,20}")


class Statement(NamedTuple):
    """What one sentence says, as texts for the fields of a log row."""

    place: str
    action: str
    first: str
    last: str


def statement(text: str, arrays: Sequence[str]) -> Statement | None:
    """A sentence taken apart; None if any part of it is left over or has two readings.

    >>> statement("all arrays open 5-12 May", ["A1", "A2"])
    Statement(place='all arrays', action='', first='5 May', last='12 May')
    >>> statement("closed A2 on 16 May", ["A1", "A2"])
    Statement(place='A2', action='closed', first='16 May', last='')
    """
    verbs = list(VERB.finditer(text))
    if len(verbs) != 1:
        return None
    before, after = text[: verbs[0].start()].strip(" :,"), text[verbs[0].end() :]
    place, dates = (before, trimmed(after)) if before else place_first(trimmed(after), arrays)
    if not is_place(place, arrays):
        return None
    first, last = first_and_last(dates)
    kind = str(verbs[0].lastgroup)
    if not first or not DATE.fullmatch(first) or (last and not DATE.fullmatch(last)):
        return None
    if last:
        return Statement(place, "", first, last) if kind in ("open", "opened") else None
    return Statement(place, kind, first, "")


def trimmed(text: str) -> str:
    """The text without filling words in front and marks behind."""
    return FILLERS.sub("", text).strip()


def is_place(text: str, arrays: Sequence[str]) -> bool:
    """True for an array of the list, or several of them."""
    one = folded(LEADING_WORD.sub("", text.strip()))
    return bool(places_named(text, arrays)) or one in {folded(code) for code in arrays}


def place_first(text: str, arrays: Sequence[str]) -> tuple[str, str]:
    """The longest beginning of a text that names places, and the rest."""
    words = text.split()
    for count in range(len(words) - 1, 0, -1):
        start = " ".join(words[:count]).strip(" :,")
        if is_place(start, arrays) or ALL_WORDS.fullmatch(start):
            return start, trimmed(" ".join(words[count:]))
    return "", text


def first_and_last(text: str) -> tuple[str, str]:
    """The two ends of a span of dates as typed, the second with what they share; one date and "" for a single day.

    >>> first_and_last("May 5-12, 2023"), first_and_last("5/10 - 5/16"), first_and_last("16 May")
    (('May 5, 2023', 'May 12, 2023'), ('5/10', '5/16'), ('16 May', ''))
    """
    for form, order in ((DAYS_MONTH, "{day} {month}{year}"), (MONTH_DAYS, "{month} {day}{year}")):
        if found := form.fullmatch(text):
            parts = {"month": found["month"], "year": found["year"] or ""}
            return order.format(day=found["first"], **parts), order.format(day=found["last"], **parts)
    ends = UNTIL.split(text)
    if len(ends) == 1 and not ISO.search(text) and text.count("-") == 1 and "/" in text:
        ends = text.split("-")
    return (ends[0].strip(), ends[1].strip()) if len(ends) == 2 else (text, "") if len(ends) == 1 else ("", "")


def sentences_taken_apart(table: RawTable, block: Block, arrays: Sequence[str]) -> Block:
    """The block with a row for each sentence; rows without a sentence stay. What cannot be read is set aside."""
    if SENTENCE not in block.text:
        return block
    parts = block.text[SENTENCE].map(
        lambda text: [one for one in re.split(r"[;\n]|\.\s", text) if one.strip()] or [""]
    )
    positions = np.repeat(np.arange(len(parts)), parts.map(len).to_numpy(dtype=np.intp))
    spread = block.taken(positions)
    said = pd.Series([one.strip() for several in parts for one in several], index=spread.text.index, dtype=object)
    read = {text: statement(text, arrays) if text else None for text in said.unique()}
    lost = (said != "") & said.map(lambda text: read[text] is None)
    text = spread.text.drop(columns=SENTENCE)
    columns = {name: letter for name, letter in block.columns.items() if name != SENTENCE}
    changes = [spread.changes]
    known = text.index[(said != "") & ~lost]
    for field, part in zip(FIELDS, Statement._fields, strict=True):
        told = said[known].map(lambda sentence, part=part: getattr(read[sentence], part)).astype(object)
        own = text_column(text, field)
        filled = told.index[(told != "") & (own[known].str.strip() == "")]
        text[field] = own.where(~own.index.isin(filled), told.reindex(own.index))
        columns.setdefault(field, block.columns[SENTENCE])
        note = "taken out of a sentence of the log"
        changes.append(
            changes_on_rows("trap_log", filled, field, said[filled], told[filled], "sentence-taken-apart", note)
        )
    made = replace(spread, text=text, columns=columns, changes=join_changes(changes))
    kept = made.taken(np.flatnonzero(~lost.to_numpy()))
    gone = set(spread.sheet_rows[lost]) - set(kept.sheet_rows)
    reason = "its sentence could not be taken apart"
    return replace(
        block,
        text=kept.text,
        sheet_rows=kept.sheet_rows,
        stored=kept.stored,
        columns=kept.columns,
        cells=kept.cells,
        changes=kept.changes,
        aside={**block.aside, **{int(row): reason for row in gone}},
        findings=join_findings(
            [block.findings, lost_sentences(table, block, spread.sheet_rows[lost], said[lost], arrays)]
        ),
    )


def lost_sentences(
    table: RawTable, block: Block, rows: pd.Series, said: pd.Series, arrays: Sequence[str]
) -> pd.DataFrame:
    """A finding for each sentence that could not be read, with a form that can be."""
    example = f"{arrays[0] if arrays else 'all arrays'} open 5-12 May"
    return as_findings(
        finding_at(
            SENTENCE_NOT_UNDERSTOOD,
            file=table.file,
            sheet=table.sheet,
            row=int(row),
            column=block.columns.get(SENTENCE, ""),
            field=SENTENCE,
            value=text,
            message=f'which arrays, what was done, and when? Understood is one such thing a sentence: "{example}"',
        )
        for row, text in zip(rows, said, strict=True)
    )
