"""Habits of a log that the order of its rows decides. Common practice, no source."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import pytest

from dwc_pipeline.draft.run import draft_survey
from dwc_pipeline.draft.toml_text import draft_toml

HEADER = "Array,Action,Date,Time,Observer\n"


def habits(folder: Path, lines: list[str]) -> tuple[dict[str, str], str]:
    (folder / "log.csv").write_text(HEADER + "\n".join(lines) + "\n", encoding="utf-8")
    text = draft_toml(draft_survey([folder], folder / "survey.toml", dt.date(2026, 11, 25)))
    return tomllib.loads(text)["table"][0].get("habits", {}), text


def log(check_day: int, times: tuple[str, str, str], close_with_check: bool) -> list[str]:
    lines = []
    for array, month in (("A1", 5), ("A2", 5), ("A1", 6), ("A2", 6)):
        lines.append(f"{array},opened,2023-{month:02d}-10,{times[0]},KM")
        lines += [f"{array},checked,2023-{month:02d}-{10 + check_day + n},{times[1]},KM" for n in range(3)]
        last = 10 + check_day + (2 if close_with_check else 3)
        lines.append(f"{array},closed,2023-{month:02d}-{last},{times[2]},KM")
    return lines


@pytest.mark.parametrize(("check_day", "named"), [(1, "morning"), (0, "evening")])
def test_the_first_check_after_the_openings_tells_which_day_a_date_names(
    tmp_path: Path, check_day: int, named: str
) -> None:
    found, text = habits(tmp_path, log(check_day, ("18:30", "07:30", "07:45"), close_with_check=True))
    assert found["date_names"] == named
    assert "4 of 4 openings" in text


def test_a_check_on_the_day_of_opening_without_times_decides_nothing(tmp_path: Path) -> None:
    found, text = habits(tmp_path, log(0, ("", "", ""), close_with_check=True))
    assert "date_names" not in found
    assert "# date_names = " in text


@pytest.mark.parametrize("checked", [True, False])
def test_closings_with_a_check_that_day_tell_of_closed_days_and_others_are_asked(
    tmp_path: Path, checked: bool
) -> None:
    found, text = habits(tmp_path, log(1, ("", "", ""), close_with_check=checked))
    assert found.get("closed_day", "") == ("after the morning check" if checked else "")
    assert ("# closed_day = " in text) is not checked


@pytest.mark.parametrize(("end", "asked"), [("2023-05-16", True), ("2023-05-11", False)])
def test_rows_that_end_on_a_day_without_a_time_ask_whether_it_was_checked(
    tmp_path: Path, end: str, asked: bool
) -> None:
    rows = [f"A{n},2023-05-10,{end},12" for n in range(1, 6)]
    (tmp_path / "open.csv").write_text("Array,Opened,Closed,Traps open\n" + "\n".join(rows) + "\n", encoding="utf-8")
    text = draft_toml(draft_survey([tmp_path], tmp_path / "survey.toml", dt.date(2026, 11, 25)))
    assert '"end_date"' in text
    assert ("# closed_day = " in text) is asked
