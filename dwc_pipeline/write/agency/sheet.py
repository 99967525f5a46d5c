"""What a sheet of the agency's workbook is, before it is drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

import pandas as pd

from dwc_pipeline.write.figures.place_map import PlaceMap

Kind = Literal["text", "number", "date", "time", "by row"]
#: the column of a frame that holds the kind of each cell in a column of the kind "by row"
KIND_OF_ROW = "kind_of_row"


class Column(NamedTuple):
    """A column: its name in the frame, its header with the unit, what it means, its kind and widest in characters."""

    name: str
    header: str
    meaning: str
    kind: Kind = "text"
    width: int = 14


@dataclass(frozen=True)
class Sheet:
    """A table of text. name: as on the tab. title: printed above the table. frame: holds at least the columns.

    stay: so many columns stay in view when the others are scrolled, and come back on every page in print.
    key: our own name of the sheet, whatever it is called on the tab. map: drawn beside the table.
    """

    name: str
    title: str
    columns: Sequence[Column]
    frame: pd.DataFrame
    stay: int = 1
    key: str = field(default="")
    map: PlaceMap | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "key", self.key or self.name)


def as_the_agency_names(sheets: Sequence[Sheet], names: Mapping[str, str], headers: Mapping[str, str]) -> list[Sheet]:
    """The sheets with the agency's names and headers; what is renamed to "" is left out.

    names: ours = the agency's, by sheet. headers: the same by header, with or without the unit in brackets; "Sheet:
    Header" rules over it on that sheet.
    """
    kept = []
    for sheet in sheets:
        name = names.get(sheet.key, sheet.name)
        columns = []
        for column in sheet.columns:
            plain = column.header.partition(" [")[0]
            ours = (f"{sheet.key}: {column.header}", f"{sheet.key}: {plain}", column.header, plain)
            header = next((headers[one] for one in ours if one in headers), column.header)
            if header:
                columns.append(column._replace(header=header))
        if name and (columns or sheet.map):
            kept.append(replace(sheet, name=name, columns=columns, stay=min(sheet.stay, len(columns))))
    return kept


def only_wanted(sheets: Sequence[Sheet], names: Sequence[str], columns: Mapping[str, Sequence[str]]) -> list[Sheet]:
    """The sheets that are wanted, in their order, each with the columns that are wanted, in theirs.

    names: our sheets; all where empty. columns: our sheet = our headers, with or without the unit in brackets.
    """
    by_key = {sheet.key: sheet for sheet in sheets}
    chosen = [by_key[name] for name in names if name in by_key] if names else list(sheets)
    made = []
    for sheet in chosen:
        wanted = columns.get(sheet.key)
        if wanted:
            by_header = {one.header.partition(" [")[0]: one for one in sheet.columns}
            by_header |= {one.header: one for one in sheet.columns}
            kept = [by_header[name] for name in wanted if name in by_header]
            sheet = replace(sheet, columns=kept or sheet.columns, stay=min(sheet.stay, 1))
        made.append(sheet)
    return made


def without_blanks(sheet: Sheet, needed: frozenset[str]) -> Sheet:
    """The sheet without columns that hold nothing, except those that are needed."""
    used = [one for one in sheet.columns if one.name in needed or (sheet.frame[one.name] != "").any()]
    return replace(sheet, columns=used)
