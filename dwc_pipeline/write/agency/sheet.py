"""What a sheet of the agency's workbook is, before it is drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

import pandas as pd

Kind = Literal["text", "number", "date", "time"]


class Column(NamedTuple):
    """A column: its name in the frame, its header with the unit, what it means, its kind and width in characters."""

    name: str
    header: str
    meaning: str
    kind: Kind = "text"
    width: int = 14


@dataclass(frozen=True)
class Sheet:
    """A table of text. name: as on the tab. title: printed above the table. frame: holds at least the columns."""

    name: str
    title: str
    columns: Sequence[Column]
    frame: pd.DataFrame


def as_the_agency_names(sheets: Sequence[Sheet], names: Mapping[str, str], headers: Mapping[str, str]) -> list[Sheet]:
    """The sheets with the agency's names and headers; what is renamed to "" is left out.

    names: ours = the agency's, by sheet. headers: the same by header, with or without the unit in brackets.
    """
    kept = []
    for sheet in sheets:
        name = names.get(sheet.name, sheet.name)
        columns = [
            column._replace(header=header)
            for column in sheet.columns
            if (header := headers.get(column.header, headers.get(column.header.partition(" [")[0], column.header)))
        ]
        if name and columns:
            kept.append(replace(sheet, name=name, columns=columns))
    return kept
