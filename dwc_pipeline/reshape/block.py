"""The tidy rows that one raw table gives, before those of all tables are put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from dwc_pipeline.core.changes import CHANGE_FIELDS
from dwc_pipeline.core.findings import as_findings
from dwc_pipeline.core.records import LEFTOVER_FIELDS

CELL_FIELDS = ("tidy_row", "field", "row", "column")


@dataclass(frozen=True)
class Block:
    """text: RangeIndex, one column a field. sheet_rows: the sheet row of each line.

    stored: ISO text of typed dates and times by field. columns: field -> column letter.
    cells: places of single values that stand elsewhere (CELL_FIELDS; tidy_row counted within the block).
    aside: sheet row -> why it was set aside. used: sheet row -> what it was used for.
    """

    text: pd.DataFrame
    sheet_rows: pd.Series
    stored: Mapping[str, pd.Series] = field(default_factory=dict)
    columns: Mapping[str, str] = field(default_factory=dict)
    cells: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(CELL_FIELDS)))
    aside: Mapping[int, str] = field(default_factory=dict)
    used: Mapping[int, str] = field(default_factory=dict)
    findings: pd.DataFrame = field(default_factory=lambda: as_findings([]))
    changes: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(CHANGE_FIELDS)))
    leftovers: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(LEFTOVER_FIELDS)))
    answered: frozenset[str] = frozenset()
