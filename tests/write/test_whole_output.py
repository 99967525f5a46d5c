"""An output appears whole or not at all, and nothing that is not ours is ever lost."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.write import whole_file as module
from dwc_pipeline.write.whole_file import MARKER, whole_file, whole_folder


def write(target: Path, text: str = "x") -> None:
    with whole_folder(target) as folder:
        (folder / "a.txt").write_text(text)


def fail_half_way(target: Path) -> None:
    with whole_folder(target) as folder:
        (folder / "a.txt").write_text("half")
        raise RuntimeError


def fail_half_way_in_a_file(path: Path) -> None:
    with whole_file(path) as building:
        building.write_text("half")
        raise RuntimeError


def test_a_folder_appears_with_its_files_and_a_list_of_them(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "out"
    write(target)
    assert (target / "a.txt").read_text() == "x"
    assert (target / MARKER).read_text().splitlines()[1:] == ["a.txt"]
    assert [path.name for path in target.parent.iterdir()] == ["out"]


def test_a_second_run_replaces_the_first_and_leaves_no_old_file(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as folder:
        (folder / "old.txt").write_text("old")
    write(tmp_path / "out", "new")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [MARKER, "a.txt"]


def test_a_failure_while_writing_leaves_the_former_output(tmp_path: Path) -> None:
    write(tmp_path / "out", "former")
    with pytest.raises(RuntimeError):
        fail_half_way(tmp_path / "out")
    assert (tmp_path / "out" / "a.txt").read_text() == "former"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("failing", ["_mark", "_swap", "_exchange"])
def test_a_failure_at_each_step_leaves_the_former_output(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    write(tmp_path / "out", "former")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(module, failing, fail)
    with pytest.raises(OutputRefused, match="No space left"):
        write(tmp_path / "out", "new")
    assert (tmp_path / "out" / "a.txt").read_text() == "former"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("failing_rename", [1, 2])
def test_a_failed_rename_puts_the_former_output_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing_rename: int
) -> None:
    write(tmp_path / "out", "former")
    calls: list[object] = []
    rename = os.rename

    def sometimes(one: Path, other: Path) -> None:
        calls.append(one)
        if len(calls) == failing_rename:
            raise PermissionError(13, "Permission denied")
        rename(one, other)

    monkeypatch.setattr(module, "_exchange", lambda *_: False)
    monkeypatch.setattr("os.rename", sometimes)
    with pytest.raises(OutputRefused, match="Close programs"):
        write(tmp_path / "out", "new")
    assert (tmp_path / "out" / "a.txt").read_text() == "former"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork a process")
@pytest.mark.parametrize("way", ["exchange", "renames"])
def test_a_run_killed_at_any_line_leaves_a_whole_output(tmp_path: Path, way: str) -> None:
    if way == "exchange" and not sys.platform.startswith(("linux", "darwin")):
        pytest.skip("this system cannot exchange two folders in one step")
    program = Path(__file__).with_name("kill_at_every_line.py")
    done = subprocess.run([sys.executable, program, tmp_path, way], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 30  # lines at which a run was killed


def test_a_folder_of_somebody_else_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "thesis.docx").write_text("years of work")
    with pytest.raises(OutputRefused, match="no output of dwc_pipeline"):
        write(tmp_path / "out")
    assert (tmp_path / "out" / "thesis.docx").read_text() == "years of work"


def test_a_file_that_someone_put_into_the_output_stops_the_next_run(tmp_path: Path) -> None:
    write(tmp_path / "out")
    (tmp_path / "out" / "my notes.txt").write_text("keep me")
    with pytest.raises(OutputRefused, match=r"my notes\.txt"):
        write(tmp_path / "out", "new")
    assert (tmp_path / "out" / "my notes.txt").exists()


def test_litter_of_the_desktop_does_not_stop_a_run(tmp_path: Path) -> None:
    write(tmp_path / "out")
    (tmp_path / "out" / ".DS_Store").write_text("")
    write(tmp_path / "out", "new")
    assert (tmp_path / "out" / "a.txt").read_text() == "new"


def test_an_empty_folder_may_be_filled_and_a_file_is_not_a_folder(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    write(tmp_path / "empty")
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputRefused, match="is a file"):
        write(tmp_path / "file")


def test_two_runs_do_not_write_to_the_same_place_at_once(tmp_path: Path) -> None:
    with whole_folder(tmp_path / "out") as folder:
        (folder / "a.txt").write_text("first")
        with pytest.raises(OutputRefused, match="by another run"):
            write(tmp_path / "out", "second")
    assert (tmp_path / "out" / "a.txt").read_text() == "first"


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "disk", target_is_directory=True)
    write(tmp_path / "out")
    assert (tmp_path / "out").is_symlink()
    assert (tmp_path / "disk" / "a.txt").exists()


def test_a_single_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "findings.csv"
    path.write_text("former")
    with pytest.raises(RuntimeError):
        fail_half_way_in_a_file(path)
    assert path.read_text() == "former"
    with whole_file(path) as building:
        building.write_text("new")
    assert path.read_text() == "new"
    assert list(tmp_path.iterdir()) == [path]


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    with (
        pytest.raises(OutputRefused, match=r"nowhere.*cannot be written"),
        whole_file(tmp_path / "nowhere" / "a") as path,
    ):
        path.write_text("x")
