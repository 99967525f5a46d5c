"""The output folder of a run: everything in it appears together or not at all."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import as_text
from dwc_pipeline.core.metadata import DatasetMetadata
from dwc_pipeline.core.records import LEFTOVER_FIELDS, ROW_FIELDS
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.terms.detection import DetectionWords
from dwc_pipeline.terms.schema import column_names
from dwc_pipeline.write.archive import write_archive
from dwc_pipeline.write.tables import write_table
from dwc_pipeline.write.whole_file import whole_file, whole_folder

#: decimals of numbers that have no written form of their own
DIGITS = 4


@dataclass(frozen=True)
class SeasonOutput:
    """All that a run writes. page: the report as HTML.

    tables: by the names in schemas/, as `declared` gives them. summaries: further tables.
    findings, questions, changes, rows, leftovers: one CSV each. metadata: None where no archive can be made.
    copies: folder name -> what writes a copy for others into that folder.
    """

    name: str
    tables: Mapping[str, pd.DataFrame]
    summaries: Mapping[str, pd.DataFrame]
    findings: pd.DataFrame
    questions: pd.DataFrame
    changes: pd.DataFrame
    rows: pd.DataFrame
    leftovers: pd.DataFrame
    metadata: DatasetMetadata | None
    words: DetectionWords
    page: str
    copies: Mapping[str, Callable[[Path], None]] = field(default_factory=dict)


def write_season(output: SeasonOutput, target: Path) -> Path:
    """Write the output folder; the former one stands until the new one is complete.

    Raises OutputRefused if the folder cannot be written, is not ours, or the archive cannot be made. A copy that is
    refused is left out, the rest is written, and the refusal is raised afterwards.
    """
    with whole_folder(target) as folder:
        for name in ("findings", "questions", "changes"):
            frame = getattr(output, name)
            write_table(written(frame), folder / f"{name}.csv", list(frame.columns))
        write_table(written(output.rows), folder / "rows.csv", list(ROW_FIELDS))
        write_table(written(output.leftovers), folder / "unmapped_cells.csv", list(LEFTOVER_FIELDS))
        (folder / "tables").mkdir()
        for name, frame in output.tables.items():
            write_table(frame, folder / "tables" / f"{name}.csv", list(frame.columns))
        for name, frame in output.summaries.items():
            write_table(written(frame), folder / "tables" / f"{name}.csv", list(frame.columns))
        if output.metadata is not None:
            (folder / "archive").mkdir()
            write_archive(output.tables, output.metadata, folder / "archive" / f"{output.name}.zip", output.words)
        (folder / "report.html").write_text(output.page, encoding="utf-8", newline="\n")
        refusals = write_copies(output.copies, folder)
    if refusals:
        raise OutputRefused("\n".join([*refusals, f"Everything else was written to {target}."]))
    return target


def write_copies(copies: Mapping[str, Callable[[Path], None]], folder: Path) -> list[str]:
    """Write the copies for others; why those that are not there were refused."""
    refusals = []
    for name, write in copies.items():
        (folder / name).mkdir()
        try:
            write(folder / name)
        except OutputRefused as refused:
            shutil.rmtree(folder / name)
            refusals.append(str(refused))
    return refusals


def declared(name: str, frame: pd.DataFrame) -> pd.DataFrame:
    """The columns that schemas/ declares for a table, as text, in the declared order; those never filled left out."""
    wanted = [column for column in column_names(name) if column in frame]
    return written(frame[wanted])


def written(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame as text: numbers without binary noise, missing values blank."""
    return pd.DataFrame({column: in_writing(values) for column, values in frame.items()}, index=frame.index)


def in_writing(values: pd.Series) -> pd.Series:
    """One column as text; one that holds nothing but text is itself."""
    if pd.api.types.is_numeric_dtype(values) and values.dtype != np.bool_:
        return as_text(values, DIGITS)
    if pd.api.types.infer_dtype(values, skipna=False) == "string":
        return values
    return values.astype(object).where(values.notna(), "").map(str)


def write_register(register: pd.DataFrame, path: Path) -> None:
    """The register of identifiers beside the survey file, written whole or not at all."""
    with whole_file(path) as building:
        write_table(written(register), building, list(register.columns))
