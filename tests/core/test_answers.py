"""A person's answers: applied at the next run, also when rows have moved, and told of when they fit nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.errors import BadAnswers
from dwc_pipeline.pipeline import Season

TABLES = SITES_TABLE + LOG_TABLE + CAPTURES_TABLE
LOG = (
    "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\nA1,,checked and closed,2023-05-15,07:40,,\n"
)
HEADER = "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
ROWS = [
    "A1,2023-05-15,07:40,F3,Aspidoscelis sexlineatus,M,ad,71,148,9.1,,new,,,1\n",
    "A1,2023-05-15,07:40,F5,HOMX,F,ad,512,143,78.5,,new,,,2\n",
]
ANSWERS = "question,what,scope,answer,by,date,why\n"


def season(folder: Path, rows: list[str], answers: str = ANSWERS) -> Season:
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": HEADER + "".join(rows), "answers.csv": answers}
    return prepared(folder, files, TABLES)


def question(folder: Path) -> str:
    asked = season(folder, ROWS).questions
    return str(asked.loc[asked["value"] == "HOMX", "question"].iloc[0])


@pytest.mark.parametrize("rows", [ROWS, ROWS[::-1]], ids=["as typed", "sorted anew"])
def test_an_answer_is_applied_and_signed(tmp_path: Path, rows: list[str]) -> None:
    line = f"{question(tmp_path / 'asked')},name,,Thamnophis radix,Ada,2023-10-01,photo looked at\n"
    answered = season(tmp_path / "answered", rows, ANSWERS + line)
    assert "Thamnophis radix" in set(answered.records.tables["occurrence"]["scientificName"])
    assert "HOMX" not in set(answered.questions["value"])
    changes = answered.records.changes
    assert changes.loc[changes["rule"] == "answer", "decided_by"].tolist() == ["Ada"]


def test_an_answer_that_fits_nothing_is_told(tmp_path: Path) -> None:
    found = season(tmp_path, ROWS, ANSWERS + "0123456789,name,,Thamnophis radix,Ada,2023-10-01,\n").findings
    assert "answer-matches-nothing" in set(found["rule"])


def test_one_question_answered_in_two_ways_stops_the_run(tmp_path: Path) -> None:
    lines = "aa,name,,Thamnophis radix,Ada,,\naa,name,,Spea bombifrons,Ada,,\n"
    with pytest.raises(BadAnswers, match="two ways"):
        season(tmp_path, ROWS, ANSWERS + lines)
