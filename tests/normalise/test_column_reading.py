"""The engine that reads a column."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.answers import Answers
from dwc_pipeline.core.verdict import EMPTY
from dwc_pipeline.normalise.column_reading import read_column


def test_a_sheet_with_a_header_and_no_rows_reads_as_nothing() -> None:
    cells = pd.DataFrame({"context": [], "text": [], "stored": []}, dtype=object)
    reading = read_column("capture", "sex", cells, lambda _: lambda *_: EMPTY, Answers.from_frame(pd.DataFrame()))
    assert reading.columns["sex"].empty
    assert reading.changes.empty
    assert reading.findings.empty
