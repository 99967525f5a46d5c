"""The command line: exit status, messages, and imports that wait."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, write_survey

from dwc_pipeline import cli, pipeline
from dwc_pipeline.core.records import Records
from dwc_pipeline.settings import SurveyFile

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GOOD = {
    "sites.csv": SITES,
    "log.csv": "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\n"
    "A1,,checked and closed,2023-05-15,07:40,,\n",
    "captures.csv": "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
    "A1,2023-05-15,07:40,F3,Aspidoscelis sexlineatus,M,ad,71,148,9.1,,new,,,1\n",
}
TABLES = SITES_TABLE + LOG_TABLE + CAPTURES_TABLE
PEOPLE = '\n[[people]]\nname = "Ada Sandsage"\nroles = ["creator", "contact"]\n'


@pytest.fixture
def runner() -> CliRunner:
    return CliRunner()


def test_a_clean_season_ends_with_status_0(tmp_path: Path, runner: CliRunner) -> None:
    path = write_survey(tmp_path, GOOD, TABLES + PEOPLE)
    result = runner.invoke(cli.main, ["run", str(path)])
    assert result.exit_code == 0, result.output
    assert (tmp_path / "out" / "report.html").is_file()
    assert (tmp_path / "out" / "archive" / "PT-2023.zip").is_file()
    assert "1 occurrences" in result.output


def test_errors_in_the_data_end_with_status_1_and_the_output_is_there(tmp_path: Path, runner: CliRunner) -> None:
    files = {**GOOD, "captures.csv": GOOD["captures.csv"].replace("2023-05-15", "31 June 2023")}
    path = write_survey(tmp_path, files, TABLES + PEOPLE)
    assert runner.invoke(cli.main, ["run", str(path)]).exit_code == 1
    assert "31 June 2023" in (tmp_path / "out" / "findings.csv").read_text(encoding="utf-8")


def test_a_bad_survey_file_ends_with_status_2_and_every_mistake_named(tmp_path: Path, runner: CliRunner) -> None:
    path = write_survey(tmp_path, GOOD, TABLES.replace('"eventTime"', '"evenTime"') + "\n[limits]\nfoo = 1\n")
    result = runner.invoke(cli.main, ["run", str(path)])
    assert result.exit_code == 2
    assert 'Perhaps "eventTime" is meant' in result.output
    assert "limits.foo" in result.output
    assert not (tmp_path / "out").exists()


def test_an_unreadable_raw_file_ends_with_status_2_and_nothing_written(tmp_path: Path, runner: CliRunner) -> None:
    path = write_survey(tmp_path, GOOD, TABLES)
    (tmp_path / "log.csv").unlink()
    result = runner.invoke(cli.main, ["run", str(path)])
    assert result.exit_code == 2
    assert "log.csv" in result.output
    assert not (tmp_path / "out").exists()


def test_a_missing_survey_file_says_how_to_make_one(tmp_path: Path, runner: CliRunner) -> None:
    result = runner.invoke(cli.main, ["run", str(tmp_path / "none.toml")])
    assert result.exit_code == 2
    assert "draft" in result.output


def test_tables_that_break_their_schema_stop_the_run_with_status_2(
    tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    def spoil(records: Records, _: SurveyFile) -> Records:
        return records.with_(tables={**records.tables, "event": records.tables["event"].assign(month="14")})

    monkeypatch.setattr(pipeline, "STAGES", (*pipeline.STAGES, (spoil, "spoiling")))
    result = runner.invoke(cli.main, ["run", str(write_survey(tmp_path, GOOD, TABLES + PEOPLE))])
    assert result.exit_code == 2
    assert "table event, column month" in result.output
    assert not (tmp_path / "out").exists()


def test_check_writes_nothing(tmp_path: Path, runner: CliRunner) -> None:
    path = write_survey(tmp_path, GOOD, TABLES + PEOPLE)
    before = sorted(tmp_path.iterdir())
    result = runner.invoke(cli.main, ["check", str(path), "--json"])
    assert result.exit_code == 0, result.output
    json.loads(result.output)
    assert sorted(tmp_path.iterdir()) == before


def test_explain_prints_what_why_and_what_to_do(runner: CliRunner) -> None:
    result = runner.invoke(cli.main, ["explain", "date-has-two-readings"])
    assert result.exit_code == 0
    assert "Why it matters:" in result.output
    assert "What to do:" in result.output


def test_explain_offers_near_rules_for_a_mistyped_one(runner: CliRunner) -> None:
    result = runner.invoke(cli.main, ["explain", "date-has-two-reading"])
    assert result.exit_code == 2
    assert "date-has-two-readings" in result.output


def test_help_does_not_load_heavy_libraries() -> None:
    """Start-up stays short because only click and the standard library are imported."""
    found = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "dwc_pipeline", "--help"],
        capture_output=True, text=True, check=True, env={**os.environ, "PYTHONPATH": str(ROOT)},
    ).stderr  # fmt: skip
    modules = {line.rsplit("|", 1)[-1].strip() for line in found.splitlines()}
    assert not modules & {"pandas", "pandera", "frictionless", "pyproj", "openpyxl", "shapely", "pydantic", "lxml"}


@pytest.mark.parametrize("command", sorted(cli.main.commands))
def test_the_readme_shows_every_command(command: str) -> None:
    assert f"dwc-pipeline {command}" in README


def test_the_readme_opens_with_one_paragraph_that_states_the_job() -> None:
    title, paragraph, *_ = [part for part in README.split("\n\n") if part.strip()]
    assert title == "# dwc_pipeline"
    assert "Darwin Core" in paragraph
    assert "sampling effort" in paragraph
