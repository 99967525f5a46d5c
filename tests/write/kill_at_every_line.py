"""Run as a program: kills a run of whole_folder at every line of its module, and looks at what stands.

Arguments: an empty folder, and "exchange" or "renames" for the two ways of putting the new folder in place.
Prints how many places were tried.
"""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path
from types import FrameType
from typing import Any

from dwc_pipeline.write import whole_file


def write(target: Path, word: str) -> None:
    """One run: two files, one of them in a folder below."""
    with whole_file.whole_folder(target) as folder:
        (folder / "deep").mkdir()
        (folder / "deep" / "one.txt").write_text(word)
        (folder / "two.txt").write_text(word)


def fail(target: Path) -> None:
    """A run that comes to nothing."""
    with contextlib.suppress(RuntimeError), whole_file.whole_folder(target):
        raise RuntimeError


def content(folder: Path) -> str:
    """The word of the run that wrote a folder; "" if the folder is not whole."""
    files = [folder / "deep" / "one.txt", folder / "two.txt", folder / whole_file.MARKER]
    if not all(file.is_file() for file in files):
        return ""
    words = {file.read_text() for file in files[:2]}
    return words.pop() if len(words) == 1 else ""


def killed_at(number: int, target: Path) -> bool:
    """Write in a child process that dies at the given line; False if it came to its end before."""
    child = os.fork()
    if child == 0:
        lines = 0

        def count(frame: FrameType, event: str, _: Any) -> Any:
            nonlocal lines
            if frame.f_code.co_filename != whole_file.__file__:
                return None
            if event == "line":
                lines += 1
                if lines == number:
                    os._exit(9)
            return count

        sys.settrace(count)
        write(target, "new")
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


def main(base: Path, way: str) -> None:
    """Every line, one after the other."""
    if way == "renames":
        whole_file._exchange = lambda one, other: False
    for number in range(1, 1000):
        target = base / f"out{number}"
        write(target, "former")
        was_killed = killed_at(number, target)
        standing = content(target) or content(base / f".out{number}.former")
        assert standing in ("former", "new"), f"killed at line event {number}: nothing whole stands"
        if way == "exchange":
            assert content(target), f"killed at line event {number}: the place itself is not whole"
        fail(target)
        assert content(target) in ("former", "new"), f"killed at line event {number}: the next run lost the output"
        write(target, "next")
        assert content(target) == "next"
        left = sorted(path.name for path in base.iterdir() if f"out{number}" in path.name)
        assert left in ([target.name], [f".out{number}.lock", target.name]), left
        if not was_killed:
            print(number - 1)
            return
    raise AssertionError("the run never came to its end")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
