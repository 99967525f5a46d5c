"""What a cell says beside its own field reaches the occurrence, unless the field of that term says it itself."""

from __future__ import annotations

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

LOG = "Array,What,Date,Time\nA1,opened,2023-05-04,18:00\nA1,checked,2023-05-05,07:30\nA1,closed,2023-05-05,07:35\n"


def occurrence(folder, row: str):
    captures = f"Array,Date,Time,Species,N,Sex\nA1,2023-05-05,07:30,{row}\n"
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": captures}
    return prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE).records.tables["occurrence"].iloc[0]


@pytest.mark.parametrize(
    ("row", "term", "value"),
    [
        ("dead THRA,1,", "vitality", "dead"),
        ("gravid THRA,1,", "reproductiveCondition", "gravid"),
        ("juv THRA,1,", "lifeStage", "juvenile"),
        ("THRA,1,gravid F", "reproductiveCondition", "gravid"),
        ("THRA,1,F", "sex", "female"),
    ],
)
def test_a_fact_told_in_another_cell_is_kept(tmp_path, row, term, value):
    assert occurrence(tmp_path, row)[term] == value
