"""What a draft proposes: tables, columns, settings, each with its evidence and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

import pandas as pd


class Confidence(StrEnum):
    """How sure a proposal is. Only what is certain or likely takes effect; the rest is written as a comment."""

    CERTAIN = "certain"
    LIKELY = "likely"
    UNSURE = "unsure"


@dataclass(frozen=True)
class Setting:
    """One setting. value: what TOML can hold. active: False writes it as a comment, for a person to decide.

    cells: how many cells hang on it, so that the most useful question comes first.
    """

    key: str
    value: object
    note: str = ""
    active: bool = True
    cells: int = 0


@dataclass(frozen=True)
class ColumnPlacing:
    """One column of a table and the field it would feed.

    key: how [table.columns] names the column. field: "" where no field fits. reason: the evidence in words.
    words: distinct cells that the field's word list does not have. meanings: cells and what the header says they
    mean.
    """

    letter: str
    header: str
    key: str
    field: str
    confidence: Confidence
    reason: str
    words: tuple[str, ...] = ()
    meanings: tuple[tuple[str, str], ...] = ()

    @property
    def is_placed(self) -> bool:
        """True if the line takes effect."""
        return bool(self.field) and self.confidence is not Confidence.UNSURE


@dataclass(frozen=True)
class TableProposal:
    """One [[table]] entry. settings: top level; parts: sub-tables such as units and habits, by name.

    rows: data rows that it covers. why: how its kind was recognised. remarks: comment lines.
    """

    name: str
    holds: str
    files: tuple[str, ...]
    confidence: Confidence
    why: str
    rows: int
    settings: tuple[Setting, ...] = ()
    columns: tuple[ColumnPlacing, ...] = ()
    parts: dict[str, tuple[Setting, ...]] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Draft:
    """A whole survey file as proposed.

    path: where it is to be written. parts: settings of [survey], [files], [reading] and so on, by name.
    initials: how the sheets write their observers. unknown_names: spelling -> names that come near it.
    not_placed: sheets and files that no table reads, with the reason. code_list: a table of names made from
    code lists on the sheets, to be written as `code_list_name`; empty if there is none.
    questions: what only the person can say, most useful first.
    """

    path: Path
    parts: dict[str, tuple[Setting, ...]]
    tables: tuple[TableProposal, ...]
    initials: tuple[str, ...] = ()
    unknown_names: dict[str, tuple[str, ...]] = field(default_factory=dict)
    not_placed: tuple[str, ...] = ()
    code_list: pd.DataFrame = field(default_factory=pd.DataFrame)
    code_list_name: str = ""
    questions: tuple[str, ...] = ()

    @property
    def columns(self) -> tuple[ColumnPlacing, ...]:
        """The columns of all tables."""
        return tuple(column for table in self.tables for column in table.columns)
