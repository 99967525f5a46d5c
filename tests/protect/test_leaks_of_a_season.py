"""Sharing in a whole run: the public copy is scanned, refused on a leak, and any file can be checked for leaks."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, TODAY, write_survey

from dwc_pipeline.cli import main
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.pipeline import run_survey

PEOPLE = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\n'
PUBLIC = """
[protect]
words = ["Hollow Creek"]
[[protect.property]]
name = "Hollow Creek Ranch"
grid = "0.1"
other_properties_in_cell = 5
[share.public]
code = "pub"
title = "{title}"
key = "a text that only the person knows"
publisher = "Society for Examples"
"""
LOG = "Array,Trap,What,Date,Time,State,Open\nA1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,07:30,,\n"
CAPTURES = (
    "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
    "A1,2023-05-15,07:30,F3,ASSE,M,adult,71,140,8.2,,,by 36.7512 -99.6348,1,7\n"
)


def survey(folder: Path, title: str = "Reptiles of a made-up prairie", public: str = PUBLIC) -> Path:
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    head = HEAD + PEOPLE + public.format(title=title)
    return write_survey(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, head)


def test_a_run_writes_a_public_copy_with_a_readme(tmp_path: Path) -> None:
    _, out = run_survey(survey(tmp_path), None, TODAY)
    assert sorted(path.name for path in (out / "public").iterdir()) == ["README.txt", "pub-2023.zip"]
    readme = (out / "public" / "README.txt").read_text(encoding="utf-8")
    assert "on a grid of 0.1 degree" in readme


def test_a_leak_keeps_back_the_public_copy_and_nothing_else(tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="Hollow Creek") as refused:
        run_survey(survey(tmp_path, "Reptiles of Hollow Creek"), None, TODAY)
    assert "allowed_words" in str(refused.value)
    assert not (tmp_path / "out" / "public").exists()
    assert (tmp_path / "out" / "archive" / "PT-2023.zip").is_file()
    assert (tmp_path / "out" / "report.html").is_file()


def test_any_file_can_be_checked_for_leaks(tmp_path: Path) -> None:
    path = survey(tmp_path / "survey")
    talk = tmp_path / "talk.txt"
    talk.write_text("Our array stands at N36 45.07 W99 38.09.", encoding="utf-8")
    found = CliRunner().invoke(main, ["check", str(talk), "--leaks-of", str(path)])
    assert found.exit_code == 1
    assert "talk.txt, line 1" in found.output
    assert "45.07" not in found.output
    talk.write_text("Our array stands in Oklahoma.", encoding="utf-8")
    assert CliRunner().invoke(main, ["check", str(talk), "--leaks-of", str(path)]).exit_code == 0


def test_a_survey_file_that_withholds_nothing_is_told_so(tmp_path: Path) -> None:
    path = survey(tmp_path / "survey", public="")
    found = CliRunner().invoke(main, ["check", str(path), "--leaks-of", str(path)])
    assert found.exit_code == 2
    assert "share.public" in found.output
