"""Strange and damaged archives through the command: what is valid is read without error, what is not is told.

What is valid is so by the Darwin Core text guide (2023-09-13), sections 2 to 2.4.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from strange_archives import Strange
from strange_damaged import DAMAGED
from strange_valid import VALID

from dwc_pipeline.cli import main
from dwc_pipeline.core.rule import RULES


def written(folder: Path, strange: Strange) -> Path:
    """The archive as a folder, a zip file or a text file."""
    if isinstance(strange.files, bytes):
        path = folder / ("archive.zip" if strange.zipped else "occurrence.txt")
        path.write_bytes(strange.files)
        return path
    for name, content in strange.files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


@pytest.mark.parametrize("name", [*VALID, *DAMAGED])
def test_each_strange_archive_is_told_apart(tmp_path: Path, name: str) -> None:
    strange = {**VALID, **DAMAGED}[name]
    path = written(tmp_path, strange)
    told = CliRunner().invoke(main, ["check", str(path), "--json"])
    assert told.exception is None or isinstance(told.exception, SystemExit), told.exception
    assert told.exit_code == strange.status, told.output
    if strange.status == 2:
        assert "Could not run." in told.output
        assert strange.words in told.output
        return
    report = json.loads(told.output)
    by_severity = {(one["severity"], one["rule"]) for one in report["findings"]}
    errors = {rule for severity, rule in by_severity if severity == "error"}
    if strange.errors or not strange.status:
        assert errors == strange.errors, [one["message"] for one in report["findings"]]
    assert {rule for _, rule in by_severity} >= strange.said
    if strange.rows is not None:
        assert report["parts"][0]["rows"] == strange.rows


@pytest.mark.parametrize("name", VALID)
def test_what_is_valid_is_never_refused_for_its_form(name: str) -> None:
    assert not VALID[name].errors
    assert VALID[name].status == 0


def test_there_are_many_and_they_name_rules_that_exist() -> None:
    assert len(VALID) + len(DAMAGED) >= 100
    assert {rule for one in (*VALID.values(), *DAMAGED.values()) for rule in one.errors | one.said} <= set(RULES)


def test_no_value_of_a_strange_archive_is_lost(tmp_path: Path) -> None:
    """The same rows in any form give the same answers of the data-quality tests."""
    told = set()
    for number, name in enumerate(
        ("comma, quoted", "tab without quotation marks", "UTF-16 with mark", "line ends CR")
    ):
        folder = tmp_path / str(number)
        folder.mkdir()
        report = CliRunner().invoke(main, ["check", str(written(folder, VALID[name])), "--json"])
        answers = [
            (one["test"], one["result"], one["comment"], one["rows"]) for one in json.loads(report.output)["quality"]
        ]
        told.add(tuple(sorted(answers)))
    assert len(told) == 1
