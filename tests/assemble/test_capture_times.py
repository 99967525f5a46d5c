"""The time of an animal against the checks of its array. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import Season

RULE = "capture-hours-from-the-only-check"
LOG = (
    "Array,Trap,What,Date,Time,State,Open\n"
    "A1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,{check},,\nA1,,checked and closed,2023-05-16,07:30,,\n"
)


def season(folder: Path, check: str, *times: str) -> Season:
    captures = "Array,Date,Time,Trap,Species\n" + "".join(f"A1,2023-05-15,{time},F1,SCCO\n" for time in times)
    files = {"sites.csv": SITES, "log.csv": LOG.format(check=check), "captures.csv": captures}
    return prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)


def test_an_evening_animal_of_an_array_with_a_morning_check_alone_is_asked(tmp_path: Path) -> None:
    made = season(tmp_path, "08:00", "08:10", "18:00", "18:20")
    found = made.findings[made.findings["rule"] == RULE]
    assert found["row"].tolist() == [3, 4]
    assert found["finding"].nunique() == 1
    assert "at 18:00 on 2023-05-15, but the only check of that day in the log is at 08:00" in found["message"].iloc[0]
    assert "to log.csv row 3" in found["message"].iloc[0]
    assert RULE in set(made.questions["rule"])


def test_a_morning_animal_of_an_array_with_an_evening_check_alone_is_asked(tmp_path: Path) -> None:
    assert (season(tmp_path, "18:00", "07:45").findings["rule"] == RULE).sum() == 1


@pytest.mark.parametrize(
    ("check", "time"), [("08:00", "10:15"), ("08:00", "11:40"), ("08:00", ""), ("", "18:00"), ("18:00", "17:20")]
)
def test_animals_worked_up_after_the_check_and_rows_without_a_time_stay_quiet(
    tmp_path: Path, check: str, time: str
) -> None:
    assert RULE not in set(season(tmp_path, check, time).findings["rule"])
