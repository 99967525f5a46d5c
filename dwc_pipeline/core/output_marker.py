"""How a folder that we wrote is known again: by a file in it that lists what we put there."""

from __future__ import annotations

from pathlib import Path

#: stands in every output folder: what it holds, one path a line. Only a folder that has it is ever replaced.
MARKER = ".written-by-dwc_pipeline"


def is_our_output(path: Path, folder: Path) -> bool:
    """True if the file lies in an output folder of ours below `folder`."""
    return any((parent / MARKER).is_file() for parent in path.parents if parent.is_relative_to(folder))
