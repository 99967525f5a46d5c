"""Sheets that nothing was tuned to when their columns were named: how many are placed as meant, and none wrongly.

The sheets are invented (held_out_sheets.py); what their columns mean is common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from held_out_sheets import SHEETS

from dwc_pipeline.draft.proposal import Confidence, Draft
from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

TODAY = dt.date(2026, 11, 25)
#: of which layouts a run is made too; the others are only drafted, to save time
RUN_TOO = ("us_box_funnel", "check_grid", "spanish", "nights_tn", "no_header")


@dataclass
class Told:
    """Columns by outcome."""

    right: list[str] = field(default_factory=list)
    left_open: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    certain_and_wrong: list[str] = field(default_factory=list)


def drafted(folder: Path, name: str) -> Draft:
    files, _ = SHEETS[name]
    for file, text in files.items():
        (folder / file).write_text(text, encoding="utf-8")
    return draft_survey([folder], folder / "survey.toml", TODAY)


def judge(name: str, draft: Draft, told: Told) -> None:
    _, meant = SHEETS[name]
    for table in draft.tables:
        for column in table.columns:
            header = " ".join(column.header.split())
            if not header:
                continue
            wanted = meant.get(f"{table.files[0]}|{header}", meant.get(header, ""))
            takes_effect = column.is_placed and table.confidence is not Confidence.UNSURE
            line = (
                f"{name}: {header} -> {column.field or 'nothing'} ({column.confidence}), meant: {wanted or 'nothing'}"
            )
            if takes_effect and column.field in wanted.split("|"):
                told.right.append(line)
            elif takes_effect:
                told.wrong.append(line)
                if column.confidence is Confidence.CERTAIN:
                    told.certain_and_wrong.append(line)
            elif wanted:
                (told.right if "" in wanted.split("|") else told.left_open).append(line)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    found = Told()
    for name in SHEETS:
        draft = drafted(tmp_path_factory.mktemp(name), name)
        draft_toml(draft)
        judge(name, draft, found)
    return found


def test_columns_go_where_their_writers_meant_them(told: Told) -> None:
    share = len(told.right) / (len(told.right) + len(told.left_open) + len(told.wrong))
    assert share >= 0.95, [*told.left_open, *told.wrong]


def test_no_column_is_placed_wrongly_for_certain(told: Told) -> None:
    assert told.certain_and_wrong == []
    assert len(told.wrong) <= 2, told.wrong


@pytest.mark.parametrize("name", RUN_TOO)
def test_a_fresh_draft_runs_and_its_accounts_balance(tmp_path: Path, name: str) -> None:
    write_draft(drafted(tmp_path, name))
    season = prepare(read_survey_file(tmp_path / "survey.toml"), TODAY)
    assert len(season.findings)
    lines = {file: len(text.splitlines()) for file, text in SHEETS[name][0].items()}
    assert dict(zip(season.accounts["file"], season.accounts["read"], strict=True)) == lines


def test_a_sheet_without_a_header_is_placed_where_its_cells_can_mean_one_thing_only(tmp_path: Path) -> None:
    draft = drafted(tmp_path, "no_header")
    placed = {column.letter: column.field for column in draft.columns if column.is_placed}
    assert placed == {"A": "eventDate", "E": "sex"}
    assert all(column.confidence is not Confidence.CERTAIN for column in draft.columns)


def test_a_number_called_day_is_no_date_without_its_month(tmp_path: Path) -> None:
    lines = "".join(f"5/{13 + n}/2023,{1 + n % 3},A1,SCCO\n" for n in range(9))
    (tmp_path / "week.csv").write_text("Date,DAY,Array,Species\n" + lines, encoding="utf-8")
    draft = draft_survey([tmp_path], tmp_path / "survey.toml", TODAY)
    placed = {column.header: column.field for column in draft.columns if column.is_placed}
    assert placed["Date"] == "eventDate"
    assert "DAY" not in placed


def test_day_month_and_year_are_placed_together_and_the_year_may_be_in_a_title(tmp_path: Path) -> None:
    lines = "".join(f"{1 + n},May,A1,SCCO\n" for n in range(9))
    (tmp_path / "plots 2023.csv").write_text("Dy,Mo,Array,Species\n" + lines, encoding="utf-8")
    draft = draft_survey([tmp_path], tmp_path / "survey.toml", TODAY)
    placed = {column.header: column.field for column in draft.columns if column.is_placed}
    assert (placed["Dy"], placed["Mo"]) == ("day", "month")
    text = draft_toml(draft)
    assert '"file name" = "year"' in text
    assert "starts = 2023-05-01" in text


def test_a_log_of_nights_is_asked_whether_its_rows_are_nights(tmp_path: Path) -> None:
    text = draft_toml(drafted(tmp_path, "nights_tn"))
    assert '# rows_are = "nights"' in text
    assert '# effort = "as typed"' in text


def test_a_decimal_comma_is_found_and_said(tmp_path: Path) -> None:
    assert "\ndecimal_comma = true" in draft_toml(drafted(tmp_path, "spanish"))


def test_a_decimal_comma_beside_points_is_proposed_with_the_cells_of_both(tmp_path: Path) -> None:
    masses = ["12,5", "12,5", "8,25", "7,5", "22,0", "1.025", "2.500"]
    lines = "".join(f"0{1 + at}/05/23;A1;SCCO;{mass}\n" for at, mass in enumerate(masses))
    (tmp_path / "captures.csv").write_text("Date;Array;Species;Mass (g)\n" + lines, encoding="utf-8")
    text = draft_toml(draft_survey([tmp_path], tmp_path / "survey.toml", TODAY))
    line = next(one for one in text.splitlines() if "decimal_comma =" in one)
    assert line.startswith("# decimal_comma = true")
    assert '5 cells such as "12,5", but 2 cells such as "1.025"' in line
