"""Tables that do not hold one record a row: a grid of traps, or a column for each species."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from dwc_pipeline.draft.cell_evidence import DECIMAL, Known, is_read
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.date_columns import has_date
from dwc_pipeline.draft.placing import Placed, is_firm
from dwc_pipeline.normalise.individual_count import CountWords, judge_count
from dwc_pipeline.normalise.place_name import judge_place
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: fewest columns that make a grid or a set of species
FEWEST = 3
#: share of the cells that must be counts; less is enough beside others that are the columns of species for certain
NEARLY_ALL, MOST = 0.9, 0.5
TRAP_HEADER = re.compile(r"(?:trap|pit|bucket|funnel|box)? ?[A-Z]?\d{1,2}[A-Z]?", re.I)
CODE_HEADER = re.compile(r"[A-Z]{4}|[A-Z]{6}|[A-Z][a-z]+ [a-z]+")
COUNT_CELL = re.compile(r"\d{1,4}|[-–—]+|x|none", re.I)
GRID_CELL = re.compile(r"0|[-–—]+|x|c|o|closed|none|empty|nc|(?:\d+ ?x? )?[A-Za-z][A-Za-z .?]+(?:[,;+/] ?.*)?", re.I)


class Wide(NamedTuple):
    """layout: "grid" or "species columns". columns: those whose headers are data. grid_columns: trap or place."""

    layout: str
    columns: tuple[Column, ...]
    grid_columns: str
    why: str


def wide_layout(placed: Sequence[Placed], known: Known) -> Wide | None:
    """The wide layout of a table; None if it has a record in every row."""
    firm = {one.field for one in placed if is_firm(one)}
    if not has_date(firm) or "verbatimIdentification" in firm:
        return None
    open_columns = [one.column for one in placed if one.fit.header < 0.9 or not one.fit.score]
    named = [(column, _share_of_counts(column)) for column in open_columns if _names_an_animal(column, known)]
    if sum(share >= NEARLY_ALL for _, share in named) >= FEWEST:
        species = tuple(column for column, share in named if share >= MOST)
        why = f"the headers {_spoken(species)} are names of animals, their cells are counts"
        return Wide("species columns", species, "", why)
    places = tuple(column for column in open_columns if _is_place(column.header, known) and _codes(column))
    traps = tuple(
        column for column in open_columns if TRAP_HEADER.fullmatch(column.header.strip()) and _codes(column)
    )
    if len(places) >= FEWEST and len(places) >= len(traps):
        return Wide(
            "grid", places, "place", f"the headers {_spoken(places)} are places, their cells say what was caught"
        )
    if len(traps) >= FEWEST and ("place" in firm or known.traps.labels):
        return Wide("grid", traps, "trap", f"the headers {_spoken(traps)} are traps, their cells say what was caught")
    return None


def _names_an_animal(column: Column, known: Known) -> bool:
    header = column.header.strip()
    if known.checklist.taxa:
        return is_read(judge_name(header, known.checklist)) and load_vocabulary("header_word").find(header) is None
    return CODE_HEADER.fullmatch(header) is not None


def _share_of_counts(column: Column) -> float:
    """The share of cells that are counts, vague and doubtful ones such as "~5" and "2?" too; 1 for a blank column."""
    words = CountWords()

    def is_count(text: str) -> bool:
        if COUNT_CELL.fullmatch(text) is not None:
            return True
        if text in column.stored or DECIMAL.fullmatch(text) or not any(mark.isdigit() for mark in text):
            return False
        return is_read(judge_count(text, words))

    return column.share(is_count) if column.counts else 1.0


def _codes(column: Column) -> bool:
    is_code = column.share(lambda text: GRID_CELL.fullmatch(text) is not None) >= 0.9
    has_words = column.share(lambda text: any(letter.isalpha() for letter in text)) > 0
    return bool(column.counts) and is_code and has_words


def _is_place(header: str, known: Known) -> bool:
    return bool(known.places.names) and is_read(judge_place(header, known.places))


def _spoken(columns: Sequence[Column]) -> str:
    return ", ".join(f'"{column.header}"' for column in columns[:4]) + (" ..." if len(columns) > 4 else "")
