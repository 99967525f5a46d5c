"""The tables of a former output or archive, by their short names, for comparing versions."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.terms.detection import DETECTED, read_status
from dwc_pipeline.terms.schema import row_type, term_iri

STATUS = {"true": "detected", "false": "notDetected", "": ""}
COMPARED = ("event", "occurrence", "measurement", "humboldt")


def read_version(path: Path) -> dict[str, pd.DataFrame]:
    """The tables of an output folder of ours, or of a Darwin Core archive; text, named by terms, in file order.

    Columns that are no published terms are left out, so that a folder can be compared with an archive.
    Raises UnreadableFile if the path is neither.
    """
    tables = path / "tables"
    if (tables / "event.csv").is_file():
        return {
            name: _of_csv(tables / f"{name}.csv", name) for name in COMPARED if (tables / f"{name}.csv").is_file()
        }
    contents = read_archive(path, path.name)
    by_type = contents.by_row_type()
    found = {name: by_type[row_type(name)] for name in COMPARED if row_type(name) in by_type}
    if "event" not in found and "occurrence" not in found:
        raise UnreadableFile(
            f"{path} is neither an output folder nor an archive with events or occurrences. Name the folder that "
            f"holds `tables`, or the zip file of an archive."
        )
    made = {}
    for name, part in found.items():
        terms = {term: str(term).rpartition("/")[2] for term in part.rows.columns}
        frame = pd.DataFrame({short: part.text(term) for term, short in terms.items()})
        if "eventID" not in frame and len(part.ids):
            frame["eventID"] = part.ids
        made[name] = _with_status(frame)
    return made


def _of_csv(path: Path, table: str) -> pd.DataFrame:
    frame = pd.read_csv(path, dtype=str, keep_default_na=False, encoding="utf-8")
    told = _with_status(frame)
    return told[[name for name in told if term_iri(str(name), table)]]


def _with_status(frame: pd.DataFrame) -> pd.DataFrame:
    """occurrenceStatus in one pair of words: another choice of words for the output is no change of the data."""
    if DETECTED in frame:
        return frame.assign(occurrenceStatus=frame[DETECTED].map(STATUS))
    if "occurrenceStatus" in frame:
        words = {word: STATUS.get(read_status(word), word) for word in frame["occurrenceStatus"].unique()}
        return frame.assign(occurrenceStatus=frame["occurrenceStatus"].map(words))
    return frame
