"""The made-up seasons are what they say: same seed, same season; every fault stands in its cell."""

from __future__ import annotations

import csv
import datetime as dt
from collections import Counter
from pathlib import Path

import openpyxl
import pytest
from season_generator import make_season
from season_truth import Truth

from dwc_pipeline.settings import read_survey_file

SEEDS = range(12)


def cell(folder: Path, file: str, sheet: str, row: int, column: str) -> str:
    """What stands in a cell, as text."""
    if not sheet:
        text = (folder / file).read_text(encoding="utf-8")
        delimiter = max(",;\t", key=text.splitlines()[0].count)
        return list(csv.reader(text.splitlines(), delimiter=delimiter))[row - 1][ord(column) - 65]
    value = openpyxl.load_workbook(folder / file)[sheet][f"{column}{row}"].value
    return str(value.date() if isinstance(value, dt.datetime) else value)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_season_has_a_survey_file_that_can_be_read_and_no_faults(tmp_path: Path, seed: int) -> None:
    truth = make_season(tmp_path, seed, mess=0.0)
    settings = read_survey_file(truth.survey_file)
    assert settings.survey.time_zone == truth.style.zone
    assert not truth.faults
    assert all((tmp_path / file).exists() for table in settings.table for file in table.files)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_fault_stands_in_the_cell_that_the_truth_names(tmp_path: Path, seed: int) -> None:
    truth = make_season(tmp_path, seed, mess=1.0)
    assert len(truth.faults) >= 12
    for fault in truth.faults:
        if fault.column:
            assert cell(tmp_path, fault.file, fault.sheet, fault.row, fault.column) == fault.typed


@pytest.mark.parametrize("seed", SEEDS)
def test_the_truth_does_not_depend_on_the_mess(tmp_path: Path, seed: int) -> None:
    clean, messy = make_season(tmp_path / "a", seed, 0.0), make_season(tmp_path / "b", seed, 1.0)
    assert facts(clean) == facts(messy)


def facts(truth: Truth) -> tuple[object, ...]:
    """All of the truth but the rows on the sheets, which added rows may move."""
    animals = [
        (one.species, one.date, one.array, one.trap, one.sex, one.svl_mm, one.mass_g, one.mark)
        for one in truth.occurrences
    ]
    return truth.style, truth.sessions, [(one.array, one.ends, one.trap_nights) for one in truth.events], animals


def test_the_same_seed_gives_the_same_bytes(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        make_season(tmp_path / folder, 3, 0.5)
    first, second = (
        {path.name: path.read_bytes() for path in (tmp_path / folder / "raw").iterdir()} for folder in "ab"
    )
    assert first == second


def test_the_seeds_cover_the_forms_of_sheets(tmp_path: Path) -> None:
    styles = [make_season(tmp_path / str(seed), seed, 0.0).style for seed in SEEDS]
    for seen in ("zone", "log_rows", "length_unit", "mass_unit", "site_form", "text_tables", "half_for_out_of_order"):
        assert len(Counter(getattr(style, seen) for style in styles)) > 1, seen
    assert len({style.date_form for style in styles}) >= 4


def test_a_night_with_a_change_of_the_clock_is_an_hour_shorter(tmp_path: Path) -> None:
    for seed in range(40):
        truth = make_season(tmp_path / str(seed), seed, 0.0)
        for event in truth.events:
            if event.starts.utcoffset() != event.ends.utcoffset():
                wall = event.ends.replace(tzinfo=None) - event.starts.replace(tzinfo=None)
                traps = (
                    len(truth.style.traps)
                    - len(event.shut)
                    - (0.5 if truth.style.half_for_out_of_order else 1) * len(event.found_out)
                )
                assert event.trap_hours == pytest.approx((wall.total_seconds() / 3600 - 1) * traps)
                return
    pytest.fail("no season crosses the change of the clock")
