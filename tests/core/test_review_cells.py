"""A cell is told once for one fault, however many records its row became."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.review import one_line_a_cell


def test_a_cell_of_a_row_that_became_several_records_is_counted_once() -> None:
    line = {"finding": "q1", "file": "log.csv", "sheet": "", "row": 4, "column": "B", "field": "action"}
    lines = [line, line, line, {**line, "row": 5}, {**line, "finding": "q2"}, {**line, "row": 0}, {**line, "row": 0}]
    kept = one_line_a_cell(pd.DataFrame(lines))
    assert kept.groupby("finding").size().to_dict() == {"q1": 4, "q2": 1}
    assert len(kept[kept["row"] == 0]) == 2
