"""What flows through the stages. Each stage takes Records and returns new Records; nothing is changed in place."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.changes import CHANGE_FIELDS, join_changes
from dwc_pipeline.core.findings import NO_ROW, as_findings, join_findings
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.tidy import TidyTable

#: row accounting, one line a raw row that is not blank.
ROW_FIELDS = ("file", "sheet", "row", "outcome", "table", "reason")
LEFTOVER_FIELDS = ("file", "sheet", "row", "column", "header", "value")
SOURCE_FIELDS = ("file", "sheet", "number", "entry", "name", "holds")


class Outcome:
    """What became of a raw row; the words of rows.csv."""

    PLACED = "placed in a table"
    USED = "used for effort, places or headers"
    ASIDE = "set aside"


@dataclass(frozen=True)
class Reference:
    """What the stages consult and never change: read once, before the first stage.

    checklist: Darwin Core Taxon table. boundary: outline of the property in longitude and latitude, or None.
    answers: a person's answers to open questions.
    identifiers: what was given out before. today: the day that counts as today.
    """

    today: dt.date
    checklist: pd.DataFrame = field(default_factory=pd.DataFrame)
    boundary: Any = None
    answers: Answers = field(default_factory=lambda: Answers.from_frame(pd.DataFrame()))
    identifiers: pd.DataFrame = field(default_factory=pd.DataFrame)


@dataclass(frozen=True)
class Records:
    """All tables of a run, each indexed so that any value can be followed to its cell.

    sources: index = source number, one line for each raw table (SOURCE_FIELDS; entry = position in the survey file).
    raw: the raw tables themselves, by source number.
    tidy: one TidyTable a kind. standard: the same rows with standard values; a column "field/term" holds what
    the cells of `field` say of a further `term`.
    tables: event, occurrence, measurement, place, effort, humboldt. links: table -> (id, kind, tidy_row).
    rows: the row accounting (ROW_FIELDS); row_counts: rows of each sheet, counted apart.
    leftovers: cells of columns that feed no field.
    answered: identifiers of questions that an answer settled.
    """

    reference: Reference
    sources: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(SOURCE_FIELDS)))
    raw: Mapping[int, RawTable] = field(default_factory=dict)
    tidy: Mapping[str, TidyTable] = field(default_factory=dict)
    standard: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    tables: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    links: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    findings: pd.DataFrame = field(default_factory=lambda: as_findings([]))
    changes: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(CHANGE_FIELDS)))
    rows: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(ROW_FIELDS)))
    row_counts: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=["file", "sheet", "count"]))
    leftovers: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(LEFTOVER_FIELDS)))
    answered: frozenset[str] = frozenset()

    def with_(
        self, findings: Iterable[pd.DataFrame] = (), changes: Iterable[pd.DataFrame] = (), **parts: Any
    ) -> Records:
        """New Records with some parts replaced and findings and changes added."""
        return replace(
            self,
            findings=join_findings([self.findings, *findings]),
            changes=join_changes([self.changes, *changes]),
            **parts,
        )

    def located(self, frame: pd.DataFrame) -> pd.DataFrame:
        """Findings or changes with file, sheet, row and column looked up where only a tidy row is named."""
        parts = []
        for kind, block in frame.groupby("kind", sort=False):
            if kind == "" or kind not in self.tidy:
                parts.append(block)
                continue
            tidy_rows = block["tidy_row"].astype(int)
            found = self.tidy[str(kind)].addresses(tidy_rows, block["field"])
            origin = self.sources[["file", "sheet"]].reindex(found["source"])
            known = (tidy_rows != NO_ROW).to_numpy()
            parts.append(
                block.assign(
                    file=np.where(known, origin["file"].to_numpy(), ""),
                    sheet=np.where(known, origin["sheet"].to_numpy(), ""),
                    row=np.where(known, found["row"].to_numpy(), 0),
                    column=np.where(known, found["column"].to_numpy(), ""),
                )
            )
        if not parts:
            return frame.assign(file="", sheet="", row=0, column="")
        return pd.concat(parts).sort_index()
