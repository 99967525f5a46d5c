"""Raw files of every kind, told apart by their content, and the files that a pattern names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.output_marker import is_our_output
from dwc_pipeline.core.raw import RawSheet
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.delimited import read_delimited
from dwc_pipeline.read.file_guard import is_lock_file, read_bytes
from dwc_pipeline.read.places_file import places_kind, read_waypoints
from dwc_pipeline.read.workbook import OLE, ZIP, read_workbook, workbook_kind

_WORKBOOK_ENDINGS = (".xls", ".xlsx", ".xlsm", ".ods", ".xlsb", ".xlt")

MISLABELLED = declare(
    Rule(
        id="file-ending-does-not-fit",
        severity=Severity.NOTE,
        what="The ending of a file's name says another kind of file than its content.",
        why="Other programs trust the ending and may read the file wrongly, or change it when they save it.",
        remedy="Give the file the ending that fits.",
    )
)


def read_file(path: Path, name: str, encoding: str = "", delimiter: str = "") -> list[RawSheet]:
    """Every sheet of a raw file: workbook, delimited text, or waypoints, as its content shows.

    name: the path as the person knows it. encoding, delimiter: for text files, "" to find them out.
    Raises UnreadableFile, with what to do, if the file cannot be read.
    """
    content = read_bytes(path, name)
    ending = path.suffix.lower()
    if places_kind(content):
        return [read_waypoints(path, name)]
    if content.startswith((OLE, ZIP)):
        sheets = read_workbook(path, name)
        is_mislabelled = ending not in _WORKBOOK_ENDINGS
    elif ending in _WORKBOOK_ENDINGS and not _is_delimited_text(content):
        workbook_kind(content, name)  # says what the file is instead
        raise AssertionError("content that is no workbook was taken for one")
    else:
        _refuse_other_kinds(content, name)
        sheets = [read_delimited(path, name, encoding, delimiter)]
        is_mislabelled = ending in _WORKBOOK_ENDINGS
    if is_mislabelled:
        kind = sheets[0].facts.get("format", "")
        what = "plain text" if kind == "text" else f"a workbook: {kind}"
        message = f"{name} ends in {ending or 'nothing'} but is {what}."
        found = (*sheets[0].found, finding_at(MISLABELLED, message=message, file=name))
        sheets[0] = replace(sheets[0], found=found)
    return sheets


def _is_delimited_text(content: bytes) -> bool:
    start = content[:4000].lstrip(b"\xef\xbb\xbf \t\r\n")
    return not start.startswith((b"<", b"%PDF", b"{")) and (
        b"\0" not in start or start[:2] in (b"\xff\xfe", b"\xfe\xff")
    )


def _refuse_other_kinds(content: bytes, name: str) -> None:
    start = content[:4000].lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith((b"<", b"%PDF")):
        raise UnreadableFile(
            f"{name} is {'a PDF' if start.startswith(b'%PDF') else 'a web page or XML file'}, not a table. Save the "
            f"table in it as .csv or .xlsx."
        )


def find_files(folder: Path, patterns: Iterable[str]) -> list[Path]:
    """The files that the patterns name, each once, in order of their names.

    folder: where relative patterns start. Lock files of open workbooks are left out, and what we wrote ourselves.
    Raises UnreadableFile if a pattern names no file.
    """
    found: set[Path] = set()
    for pattern in patterns:
        start = Path(pattern)
        matches = [start] if start.is_absolute() else list(folder.glob(pattern))
        files = [path for path in matches if path.is_file() and not is_lock_file(path.name)]
        if not start.is_absolute():
            files = [path for path in files if not is_our_output(path, folder)]
        if not files:
            raise UnreadableFile(
                f"No file matches {pattern!r} in {folder}. Check the spelling; * stands for any part of a name and "
                f"** for any folders."
            )
        found.update(files)
    return sorted(found, key=lambda path: path.as_posix())
