"""A checklist made from the code lists that stand on the sheets, where no checklist was given."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import pandas as pd

from dwc_pipeline.draft.cell_evidence import CODE
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.header_evidence import plain_words
from dwc_pipeline.draft.kinds import IS_SPECIES, MOST
from dwc_pipeline.draft.look import SeenTable

CODE_SPLIT = re.compile(r"\s*[,;/|]\s*")
COLUMNS = ("scientificName", "vernacularName", "fieldCodes")


def checklist_from(tables: Sequence[SeenTable]) -> pd.DataFrame:
    """One line a scientific name: scientificName, vernacularName and fieldCodes, several with "|" between.

    Nothing is corrected: names stand as on the sheets, so that the person sees what they said.
    """
    parts = [part for table in tables if len(part := _names_of(table))]
    if not parts:
        return pd.DataFrame(columns=list(COLUMNS))
    every = pd.concat(parts, ignore_index=True)
    joined = every.groupby("scientificName", sort=False)[["vernacularName", "fieldCodes"]].agg(_several)
    return joined.reset_index()[list(COLUMNS)].astype(object)


def _several(texts: pd.Series) -> str:
    return "|".join(dict.fromkeys(part for text in texts for part in text.split("|") if part))


def _names_of(table: SeenTable) -> pd.DataFrame:
    columns = table.columns
    names = _best(columns, lambda text: IS_SPECIES.fullmatch(text) is not None)
    if names is None:
        return pd.DataFrame(columns=list(COLUMNS))
    text = table.raw.text
    codes = [
        column
        for column in columns
        if column is not names
        and column.share(lambda cell: all(CODE.fullmatch(part) for part in CODE_SPLIT.split(cell))) >= 0.9
        and len(column.counts) >= 0.8 * column.filled
    ]
    words = {"common", "commonname", "english", "vernacular"}
    common = next((c for c in columns if c is not names and words & set(plain_words(c.header))), None)
    frame = pd.DataFrame(
        {
            "scientificName": text[names.letter].str.replace("_", " ").str.split().str.join(" "),
            "vernacularName": text[common.letter].str.strip() if common is not None else "",
            "fieldCodes": "",
        },
        index=text.index,
    )
    for column in codes:
        cells = text[column.letter].str.strip().str.replace(CODE_SPLIT, "|", regex=True)
        frame["fieldCodes"] = (frame["fieldCodes"] + "|" + cells).str.strip("|")
    is_name = frame["scientificName"].str.match(r"[A-Z][a-z]+( |$)")
    return frame[is_name]


def _best(columns: Sequence[Column], fits: Callable[[str], bool]) -> Column | None:
    shares = {column.letter: column.share(fits) for column in columns}
    best = max(columns, key=lambda column: shares[column.letter], default=None)
    return best if best is not None and shares[best.letter] >= MOST else None
