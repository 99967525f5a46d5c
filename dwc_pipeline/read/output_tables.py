"""The tables of a former output, archive or data package, by their short names, for comparing versions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pandas as pd

from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.core.safe_xml import package_id_of
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.read.package_file import is_package, open_package
from dwc_pipeline.read.package_version import package_version_tables
from dwc_pipeline.terms.detection import DETECTED, read_status
from dwc_pipeline.terms.schema import row_type, term_iri

STATUS = {"true": "detected", "false": "notDetected", "": ""}
COMPARED = ("event", "occurrence", "measurement", "humboldt")
#: further row types that are compared as one of our tables, by the last word of their identifier
ALSO_READ = {"MeasurementOrFact": "measurement", "Taxon": "taxon"}
OUTPUT, ARCHIVE, PACKAGE = "output folder", "archive", "data package"


@dataclass(frozen=True)
class Version:
    """One version of a data set.

    name: as the person knows it. kind: OUTPUT, ARCHIVE or PACKAGE. tables: text, named by terms, in file order.
    left_out: parts that hold rows and are in no table here. number: its version, "" where it says none.
    """

    name: str
    kind: str
    tables: Mapping[str, pd.DataFrame]
    left_out: tuple[str, ...] = field(default=())
    number: str = ""


def read_version(path: Path) -> Version:
    """The tables of an output folder of ours, of a Darwin Core archive or of a data package, whoever made it.

    Columns that are no published terms are left out, so that a folder can be compared with an archive.
    Raises UnreadableFile if the path is none of these.
    """
    tables = path / "tables"
    if (tables / "event.csv").is_file():
        found = [name for name in COMPARED if (tables / f"{name}.csv").is_file()]
        made = {name: _of_csv(tables / f"{name}.csv", name) for name in found}
        return Version(path.name, OUTPUT, made, number=_number_of_output(path))
    if path.exists() and is_package(path):
        with open_package(path, path.name) as package:
            shaped, left_out = package_version_tables(package)
            number = str(package.descriptor.get("version", ""))
        shaped = {name: _with_status(frame) for name, frame in shaped.items()}
        return Version(path.name, PACKAGE, shaped, left_out, number)
    return _of_archive(path)


def _of_archive(path: Path) -> Version:
    contents = read_archive(path, path.name)
    made: dict[str, pd.DataFrame] = {}
    left_out = []
    for part in contents.parts:
        name = table_name(part)
        if name and name not in made:
            made[name] = _with_status(_of_part(part, name))
        elif len(part.rows):
            left_out.append(part.row_type.rpartition("/")[2])
    if not {"event", "occurrence", "taxon"} & set(made):
        raise UnreadableFile(
            f"{path} is neither an output folder, nor an archive with events, occurrences or taxa, nor a data "
            f"package. Name the folder that holds `tables`, an archive, or a folder with datapackage.json."
        )
    return Version(path.name, ARCHIVE, made, tuple(left_out), package_id_of(contents.metadata).rpartition("/")[2])


def table_name(part: ArchivePart) -> str:
    """What a part of an archive is called here; "" for parts that are not compared."""
    ours = {row_type(name): name for name in COMPARED}
    return ours.get(part.row_type) or ALSO_READ.get(part.row_type.rpartition("/")[2], "")


def _of_part(part: ArchivePart, name: str) -> pd.DataFrame:
    frame = pd.DataFrame({str(term).rpartition("/")[2]: part.text(term) for term in part.rows.columns})
    link = f"{name}ID" if part.is_core else "eventID" if name != "taxon" else "taxonID"
    if link not in frame and len(part.ids):
        frame[link] = part.ids
    return frame


def _of_csv(path: Path, table: str) -> pd.DataFrame:
    return as_version(pd.read_csv(path, dtype=str, keep_default_na=False, encoding="utf-8"), table)


def as_version(frame: pd.DataFrame, table: str) -> pd.DataFrame:
    """A table of ours, all text, as it is compared: published terms only."""
    told = _with_status(frame)
    return told[[name for name in told if term_iri(str(name), table)]]


def _number_of_output(path: Path) -> str:
    """The version that the archive of an output folder states; "" where there is none."""
    packed = next(iter(sorted((path / "archive").glob("*.zip"))), None)
    if packed is None:
        return ""
    return package_id_of(read_archive(packed, packed.name).metadata).rpartition("/")[2]


def _with_status(frame: pd.DataFrame) -> pd.DataFrame:
    """occurrenceStatus in one pair of words: another choice of words for the output is no change of the data."""
    if DETECTED in frame:
        return frame.assign(occurrenceStatus=frame[DETECTED].map(STATUS))
    if "occurrenceStatus" in frame:
        words = {word: STATUS.get(read_status(word), word) for word in frame["occurrenceStatus"].unique()}
        return frame.assign(occurrenceStatus=frame["occurrenceStatus"].map(words))
    return frame
