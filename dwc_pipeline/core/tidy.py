"""Tidy rows: one record a row, every value still as typed, each with its address."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from dwc_pipeline.core.distinct import distinct_rows

#: Field of log rows made from a layout of days. A line of a grid speaks of the intervals that ended on its day; a
#: line of counts without a time speaks of the visit of its day, and is none of its own where another log tells of it.
#: An animal of a log row that is an interval was found at its end, whose date the sheet gives.
SPEAKS_OF, THE_INTERVAL, THE_DAY, THE_END = "speaks_of", "the interval", "the day", "the end"
#: Action of a line on which the array was seen closed, as opposed to the act of closing it.
STOOD_CLOSED = "stood closed"


@dataclass(frozen=True)
class TidyTable:
    """All rows of one kind (capture, trap_log, place ...) from every sheet that holds such rows.

    text: RangeIndex; one column a field, verbatim text, "" for blank.
    stored: for fields whose cells hold typed dates or times, the same rows in ISO 8601 ("" elsewhere).
    origin: same index; `source` (row of `sources` in Records) and `row` (sheet row, from 1).
    columns: (source, field) -> column letter that fed the field.
    cells: places that differ from row and column above (a grid cell, a fact over the table):
    columns tidy_row, field, row, column.
    """

    kind: str
    text: pd.DataFrame
    origin: pd.DataFrame
    stored: Mapping[str, pd.Series] = field(default_factory=dict)
    columns: Mapping[tuple[int, str], str] = field(default_factory=dict)
    cells: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=["tidy_row", "field", "row", "column"]))

    def verbatim(self, name: str) -> pd.Series:
        """The field as typed; blank where no sheet has it."""
        if name in self.text:
            return self.text[name]
        return pd.Series("", index=self.text.index, dtype=object)

    def stored_iso(self, name: str) -> pd.Series:
        """The date or time the file itself stores for the field; "" where the cell is plain text."""
        if name in self.stored:
            return self.stored[name]
        return pd.Series("", index=self.text.index, dtype=object)

    def addresses(self, rows: pd.Series, fields: pd.Series) -> pd.DataFrame:
        """Source, sheet row and column letter for each (tidy row, field); column "" where no cell fed it."""
        source = self.origin["source"].reindex(rows).to_numpy()
        row = self.origin["row"].reindex(rows).to_numpy()
        codes, firsts = distinct_rows(source, fields)
        pairs = zip(source[firsts], fields.to_numpy()[firsts], strict=True)
        column = np.array([self.columns.get((int(one), name), "") for one, name in pairs], dtype=object)[codes]
        found = pd.DataFrame({"source": source, "row": row, "column": column}, index=rows.index)
        if len(self.cells):
            places = self.cells.set_index(["tidy_row", "field"])[["row", "column"]]
            places = places[~places.index.duplicated()]
            own = places.reindex(pd.MultiIndex.from_arrays([rows, fields]))
            has_own = own["column"].notna().to_numpy()
            found.loc[has_own, "row"] = own.loc[has_own, "row"].astype(int).to_numpy()
            found.loc[has_own, "column"] = own.loc[has_own, "column"].to_numpy()
        return found
