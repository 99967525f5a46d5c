"""Sheets that explain codes and signs and hold no records: a legend, a key, a list of abbreviations."""

from __future__ import annotations

from collections.abc import Sequence

from dwc_pipeline.draft.column import Column, looks_like_a_date
from dwc_pipeline.draft.header_evidence import words_of

NAMES = frozenset({"legend", "key", "codes", "code", "abbreviations", "abbrev", "lookup", "lookups", "definitions",
                   "dictionary", "glossary", "symbols", "leyenda", "claves"})  # fmt: skip
CODES = frozenset({"code", "codes", "symbol", "symbols", "sign", "signs", "abbreviation", "abbrev", "abbr", "key",
                   "value", "letter", "mark", "clave", "código", "codigo"})  # fmt: skip
MEANINGS = frozenset({"meaning", "meanings", "means", "definition", "definitions", "explanation", "explanations",
                      "significado"})  # fmt: skip
#: what a meaning may be called on a sheet whose name says that it is a legend
DESCRIPTIONS = MEANINGS | {"description", "descriptions", "notes", "name", "species", "what"}
MOST_COLUMNS, NEARLY_ALL = 4, 0.9


def is_legend(columns: Sequence[Column], sheet: str) -> bool:
    """True for few columns without dates, of which one holds codes, each once, and another one what they mean.

    sheet: name of the sheet, "" for a file without sheets.
    """
    if not 2 <= len(columns) <= MOST_COLUMNS or any(_has_dates(column) for column in columns):
        return False
    code = columns[0]
    if len(code.counts) < NEARLY_ALL * code.filled or not code.counts:
        return False
    headers = [set(words_of(column.header)) for column in columns]
    named = bool(set(words_of(sheet)) & NAMES)
    means = any(header & (DESCRIPTIONS if named else MEANINGS) for header in headers[1:])
    return means and (named or bool(headers[0] & CODES))


def _has_dates(column: Column) -> bool:
    return bool(column.stored) or column.share(looks_like_a_date) >= 0.5
