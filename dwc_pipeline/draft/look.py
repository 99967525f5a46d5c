"""Looking at files never seen before: tables, lists of names, waypoints and boundaries among them."""

from __future__ import annotations

import glob
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import pandas as pd
from shapely.geometry.base import BaseGeometry

from dwc_pipeline.assemble.identifiers import OLDEST_FIELDS
from dwc_pipeline.core.answers import ANSWER_FIELDS
from dwc_pipeline.core.output_marker import is_our_output
from dwc_pipeline.core.raw import RawSheet, RawTable, column_letter, column_number
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.kinds import is_list_of_names
from dwc_pipeline.draft.legend import is_legend
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.checklist_file import read_checklist
from dwc_pipeline.read.file_guard import is_lock_file, read_bytes
from dwc_pipeline.read.places_file import places_kind, read_boundary, read_waypoints
from dwc_pipeline.read.raw_files import read_file
from dwc_pipeline.read.tables import find_tables
from dwc_pipeline.terms.checklist_rows import NAME_COLUMNS

#: endings that may hold a table; anything else in a folder is passed over without a word
ENDINGS = frozenset(
    {".csv", ".tsv", ".txt", ".tab", ".xls", ".xlsx", ".xlsm", ".xlsb", ".ods", ".gpx", ".kml", ".kmz", ".geojson",
     ".json", ".dat", ".zip"}
)  # fmt: skip
#: a table needs this many Taxon terms among its headers to be a checklist, scientificName included
FEWEST_TAXON_TERMS = 2
#: tables that stand beside a survey file and hold no records
OWN_TABLES = (ANSWER_FIELDS, OLDEST_FIELDS)
#: rows over a header in which its titles are looked for
TITLE_ROWS = 12


@dataclass(frozen=True)
class SeenTable:
    """A table as found. file: its path from the survey file. of: how many tables its sheet has."""

    file: str
    raw: RawTable
    of: int

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """The columns that are not blank."""
        text, stored = self.raw.text, self.raw.stored
        made = [
            Column.of(letter, header if self.raw.header_rows else "", text[letter], stored.get(letter))
            for letter, header in zip(text.columns, self.raw.headers, strict=True)
        ]
        return tuple(column for column in made if column.counts or column.header.strip())

    @cached_property
    def above(self) -> dict[str, str]:
        """Cells over the header that belong to this table, by address: over its columns, or left of all tables."""
        top = min(self.raw.header_rows, default=1)
        numbers = [column_number(letter) for letter in self.raw.text.columns]
        first, last = (min(numbers), max(numbers)) if numbers else (1, 1)
        found = {}
        for row in range(max(1, top - TITLE_ROWS), top):
            for column in range(first, last + 1):
                text = self.raw.raw.text(row, column).strip()
                if text:
                    found[f"{column_letter(column)}{row}"] = text
        return {**self.raw.above, **found}


@dataclass
class Look:
    """What all files together hold. code_lists: tables that list names. legends: tables that explain codes."""

    tables: list[SeenTable] = field(default_factory=list)
    checklist: str = ""
    checklist_rows: pd.DataFrame = field(default_factory=pd.DataFrame)
    code_lists: list[SeenTable] = field(default_factory=list)
    legends: list[SeenTable] = field(default_factory=list)
    boundary: str = ""
    boundary_shape: BaseGeometry | None = None
    not_placed: list[str] = field(default_factory=list)
    waypoint_files: set[str] = field(default_factory=set)


def files_among(paths: Iterable[Path], survey_file: Path) -> list[Path]:
    """The files named, and those below the folders named, in order; the survey file and its outputs left out.

    Raises UnreadableFile if a path does not exist.
    """
    found: list[Path] = []
    for path in paths:
        if path.is_dir():
            inside = sorted(one for one in path.rglob("*") if one.is_file() and one.suffix.lower() in ENDINGS)
            found += [one for one in inside if not _is_hidden(one, path) and not is_our_output(one, path)]
        elif path.is_file():
            found.append(path)
        else:
            raise UnreadableFile(f"{path} does not exist. Check the spelling.")
    own = survey_file.resolve()
    return [
        path
        for path in dict.fromkeys(found)
        if not is_lock_file(path.name) and path.resolve() != own and path.suffix.lower() != ".toml"
    ]


def _is_hidden(path: Path, folder: Path) -> bool:
    return any(part.startswith(".") for part in path.relative_to(folder).parts)


def path_from(folder: Path, path: Path) -> str:
    """How the survey file in `folder` names a file."""
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive
        return path.resolve().as_posix()


def as_pattern(text: str) -> str:
    """The name of a file or sheet as a pattern that stands for itself only.

    >>> as_pattern("june [2].xlsx")
    'june [[]2].xlsx'
    """
    return glob.escape(text)


def look_at(files: Sequence[Path], folder: Path) -> Look:
    """Everything that the files hold; a file that cannot be read is named with the reason."""
    look = Look()
    for path in files:
        try:
            _look_at_one(path, path_from(folder, path), look)
        except UnreadableFile as error:
            look.not_placed.append(" ".join(str(error).split()))
    return look


def _look_at_one(path: Path, file: str, look: Look) -> None:
    kind = places_kind(read_bytes(path, path.name))
    if kind:
        _look_at_places(path, file, look)
        return
    if path.suffix.lower() == ".json" or _take_checklist(path, file, look):
        return
    if path.suffix.lower() == ".zip":
        look.not_placed.append(f"{path.name}: a zip file. Unpack it, or look at it with: dwc-pipeline check")
        return
    for sheet in read_file(path, path.name):
        _look_at_sheet(sheet, file, look)


def _look_at_places(path: Path, file: str, look: Look) -> None:
    found = False
    try:
        sheet = read_waypoints(path, path.name)
        look.tables += [SeenTable(file, table, 1) for table in find_tables(sheet).tables]
        look.waypoint_files.add(file)
        found = True
    except UnreadableFile:
        pass
    try:
        shape = read_boundary(path, path.name)
    except UnreadableFile as error:
        if not found:
            raise UnreadableFile(
                f"{path.name} holds neither waypoints nor an area that can be read: {error}"
            ) from error
        return
    if look.boundary:
        look.not_placed.append(f"{path.name}: a second outline; [files] has room for one, {look.boundary}")
        return
    look.boundary, look.boundary_shape = file, shape


def _take_checklist(path: Path, file: str, look: Look) -> bool:
    """True if the file is a checklist, whether or not it becomes the one that is used."""
    try:
        rows = read_checklist(path, path.name)
    except UnreadableFile:
        return False
    terms = {str(column).strip().lower() for column in rows.columns} & {name.lower() for name in NAME_COLUMNS}
    is_dated = bool({"eventdate", "date"} & {str(column).strip().lower() for column in rows.columns})
    if len(terms) < FEWEST_TAXON_TERMS or is_dated or "scientificname" not in terms:
        return False
    if len(rows) and rows[next(c for c in rows if str(c).lower() == "scientificname")].nunique() < 0.5 * len(rows):
        return False
    if look.checklist and len(look.checklist_rows) >= len(rows):
        look.not_placed.append(f"{path.name}: another checklist; [files] has room for one, {look.checklist}")
        return True
    if look.checklist:
        look.not_placed.append(f"{look.checklist}: another checklist; [files] has room for one, {path.name}")
    look.checklist, look.checklist_rows = file, rows
    return True


def _look_at_sheet(sheet: RawSheet, file: str, look: Look) -> None:
    where = f'{sheet.file}, sheet "{sheet.sheet}"' if sheet.sheet else sheet.file
    tables = find_tables(sheet).tables
    if not tables:
        if any(str(cell).strip() for row in sheet.values for cell in row):
            look.not_placed.append(f"{where}: no table was recognised on it")
        return
    if any(set(own) <= set(tables[0].headers) for own in OWN_TABLES):
        return
    for table in tables:
        seen = SeenTable(file, table, len(tables))
        if not len(table.text):
            look.not_placed.append(f"{where}: a header without rows")
        elif is_list_of_names(seen.columns):
            look.code_lists.append(seen)
        elif is_legend(seen.columns, table.sheet):
            look.legends.append(seen)
        else:
            look.tables.append(seen)


def as_group(tables: Sequence[SeenTable]) -> SeenTable:
    """Tables with the same headers in the same order, looked at as one with all their rows."""
    if len(tables) == 1:
        return tables[0]
    first = tables[0].raw
    letters = list(first.text.columns)
    texts = [table.raw.text.set_axis(letters, axis=1) for table in tables]
    stored = [
        table.raw.stored.rename(columns=dict(zip(table.raw.text.columns, letters, strict=True))) for table in tables
    ]
    text = pd.concat(texts, ignore_index=True)
    moments = pd.concat(
        [one.reindex(index=text_.index) for one, text_ in zip(stored, texts, strict=True)], ignore_index=True
    ).fillna("")
    return SeenTable(tables[0].file, replace(first, text=text, stored=moments), tables[0].of)
