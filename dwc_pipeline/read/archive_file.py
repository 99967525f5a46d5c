"""A Darwin Core archive as it is, zip file or folder, whoever made it.

Everything the metafile allows is read: any separator, quotation mark, line end and encoding, defaults, files
without header, several files for one part. What is not as declared is a finding, never silently repaired.

A large archive can be read in blocks, so that memory holds one block and the columns that are kept.
Source: Darwin Core text guide (2023-09-13).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import urlsplit

import numpy as np
import pandas as pd
from pandas.api.types import union_categoricals

from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.archive_headers import NO_METAFILE, parts_by_headers
from dwc_pipeline.read.archive_rows import FileRows, read_rows, rows_in_blocks
from dwc_pipeline.read.archive_store import Store, metafile_name, open_store, read_description
from dwc_pipeline.read.metafile import Metafile, read_metafile

NO_CELLS = np.empty(0, dtype=object)

FILE_NOT_THERE = declare(
    Rule(
        id="archive-file-is-not-there",
        severity=Severity.ERROR,
        what="The metafile names a file that is not in the archive, or a path that leads out of it.",
        why="The rows of that file are lost to every reader.",
        remedy="Put the file into the archive, or correct its name in meta.xml; capital letters count.",
        source="Darwin Core text guide 2.3.1",
    )
)
FILE_ELSEWHERE = declare(
    Rule(
        id="archive-file-is-on-the-web",
        severity=Severity.NOTE,
        what="The metafile points to a file on the web. It was not fetched.",
        why="Nothing here says what is in it, and it may change or vanish.",
        remedy="Fetch the file, put it into the archive and name it in meta.xml.",
        source="Darwin Core text guide 2.3.1",
    )
)


def read_archive(path: Path, name: str = "", blocks: Blocks | None = None) -> ArchiveContents:
    """The archive at a path: a zip file, a folder, or a text file alone.

    name: how the person knows it; the path where left out. blocks: where given, the rows are handed out block by
    block, and of the rows of the archive that comes back only some columns are there.
    Raises UnreadableFile if the file cannot be opened at all or the metafile is not XML; everything else that is
    wrong is in `problems`. With blocks it may raise RecordsDiffer: then read the archive without.
    """
    name = name or str(path)
    store = open_store(path, name)
    found = metafile_name(store.names)
    if not found:
        parts, troubles = parts_by_headers(store, name)
        contents = ArchiveContents(name, store.names)
        return _with_parts(contents, store, parts, troubles, blocks)
    document = read_description(store, found)
    meta = read_metafile(document, f"{name}: {found}")
    contents = ArchiveContents(name, store.names, document, meta.metadata, _metadata(store, meta))
    troubles = []
    if found != "meta.xml":
        message = f"{name}: the metafile is called {found}; on many systems a reader does not find it."
        troubles.append(finding_at(NO_METAFILE, message=message, file=name, value=found))
    return _with_parts(contents, store, meta.parts, troubles, blocks)


@dataclass(frozen=True)
class Blocks:
    """How an archive is handed out in blocks: the core before the extensions, each in the order of its files.

    take: called with each block, a part with some of its rows. keep: identifier of a term -> is it kept for later?
    size: records of a block.
    """

    take: Callable[[ArchivePart], None]
    keep: Callable[[str], bool]
    size: int = 50_000


def _with_parts(
    contents: ArchiveContents,
    store: Store,
    parts: tuple[ArchivePart, ...],
    troubles: list[dict[str, object]],
    blocks: Blocks | None,
) -> ArchiveContents:
    ordered = sorted(parts, key=lambda part: not part.is_core)
    filled = [
        _with_rows(part, store, contents.name, troubles)
        if blocks is None
        else _with_kept_rows(part, store, contents.name, troubles, blocks)
        for part in ordered
    ]
    cores = [part for part in filled if part.is_core]
    return replace(
        contents,
        core=cores[0] if cores else None,
        extensions=tuple(part for part in filled if not part.is_core),
        problems=as_findings(troubles),
    )


def _metadata(store: Store, meta: Metafile) -> bytes:
    """The description of the data set, if it is in the archive."""
    inside = _inside(meta.metadata)
    return read_description(store, inside) if inside in store.names else b""


def _with_rows(part: ArchivePart, store: Store, name: str, troubles: list[dict[str, object]]) -> ArchivePart:
    """The part with the rows of all its files, one below the other."""
    wanted = _wanted(part)
    starts: list[tuple[str, int]] = []
    read: list[FileRows] = []
    for inside in _files_there(part, store, name, troubles):
        starts.append((inside, 1 + sum(len(rows.lines) for rows in read)))
        read.append(read_rows(store, inside, part.form, wanted))
        troubles += _troubles_of(read[-1], inside, name)
    cells = {column: np.concatenate([NO_CELLS, *(rows.cells[column] for rows in read)]) for column in wanted}
    return _filled(part, cells, _lines(read), 1, tuple(starts), read)


def _with_kept_rows(
    part: ArchivePart, store: Store, name: str, troubles: list[dict[str, object]], blocks: Blocks
) -> ArchivePart:
    """The part with the columns that are kept, after all of its rows have been handed out in blocks."""
    wanted = _wanted(part)
    starts: list[tuple[str, int]] = []
    read: list[FileRows] = []
    kept = KeptColumns()
    for inside in _files_there(part, store, name, troubles):
        first = 1 + sum(len(rows.lines) for rows in read)
        starts.append((inside, first))
        rows, pieces = rows_in_blocks(store, inside, part.form, wanted, blocks.size)
        read.append(rows)
        troubles += _troubles_of(rows, inside, name)
        done = 0
        for cells in pieces:
            count = len(next(iter(cells.values())))
            lines = np.array(rows.lines[done : done + count], dtype=np.int64)
            block = _filled(part, cells, lines, first + done, tuple(starts), read)
            blocks.take(block)
            kept.add(block, blocks.keep)
            done += count
    lines = _lines(read)
    index = pd.RangeIndex(1, len(lines) + 1, name="record")
    empty = _filled(part, dict.fromkeys(wanted, NO_CELLS), np.empty(0, dtype=np.int64), 1, tuple(starts), read)
    if not len(lines):
        return empty
    numbered = pd.Series(lines, index=index)
    return replace(empty, rows=kept.rows(index), ids=kept.ids(index), lines=numbered)


class KeptColumns:
    """Columns of many blocks: distinct texts and their numbers, or the texts as they are if most are different."""

    def __init__(self) -> None:
        self._pieces: dict[str, list[Any]] = {}
        self._ids: list[Any] = []

    def add(self, block: ArchivePart, keep: Callable[[str], bool]) -> None:
        """Keep some columns of a block, and the identifiers of its rows."""
        for term in block.rows.columns:
            if keep(term):
                self._pieces.setdefault(term, []).append(_coded(block.rows[term]))
        self._ids.append(_coded(block.ids))

    def rows(self, index: pd.RangeIndex) -> pd.DataFrame:
        """The columns, as categories."""
        joined = {term: _joined(pieces) for term, pieces in self._pieces.items()}
        self._pieces.clear()
        columns = {term: pd.Series(values, index=index, dtype=values.dtype) for term, values in joined.items()}
        return pd.DataFrame(columns, index=index)

    def ids(self, index: pd.RangeIndex) -> pd.Series:
        """The identifiers, as texts of which equal ones are kept once."""
        return pd.Series(np.asarray(_joined(self._ids), dtype=object), index=index, dtype=object)


def _coded(column: pd.Series) -> Any:
    codes, distinct = pd.factorize(column.to_numpy(dtype=object))
    if len(distinct) * 2 > len(codes):
        return column.to_numpy(dtype=object)
    return pd.Categorical.from_codes(codes, categories=pd.Index(distinct, dtype=object))


def _joined(pieces: list[Any]) -> Any:
    if all(isinstance(piece, pd.Categorical) for piece in pieces):
        return union_categoricals(pieces)
    return np.concatenate([np.asarray(piece, dtype=object) for piece in pieces])


def _wanted(part: ArchivePart) -> list[int]:
    indexes = {field.index for field in part.fields if field.index is not None}
    return sorted(indexes | ({part.id_index} if part.id_index is not None else set()))


def _files_there(part: ArchivePart, store: Store, name: str, troubles: list[dict[str, object]]) -> Iterator[str]:
    """The files of a part that are in the archive; the others are told."""
    for location in part.locations:
        if _inside(location) in store.names:
            yield _inside(location)
        else:
            troubles.append(_not_there(name, location))


def _troubles_of(rows: FileRows, inside: str, name: str) -> Iterator[dict[str, object]]:
    for rule, line, value, message in rows.troubles:
        place = f"{name}, {inside}, line {line}" if line else f"{name}, {inside}"
        yield finding_at(
            rule, message=f"{place}: {message}", file=name, sheet=inside, row=line, value=value,
            cause=f"{inside}\x1f{rule.id}",
        )  # fmt: skip


def _lines(read: list[FileRows]) -> np.ndarray:
    return np.concatenate([np.empty(0, dtype=np.int64), *(np.array(rows.lines, dtype=np.int64) for rows in read)])


def _filled(
    part: ArchivePart,
    cells: Mapping[int, np.ndarray],
    lines: np.ndarray,
    first: int,
    starts: tuple[tuple[str, int], ...],
    read: list[FileRows],
) -> ArchivePart:
    """The part with rows that begin with the record numbered `first`."""
    index = pd.RangeIndex(first, first + len(lines), name="record")
    columns = {column: pd.Series(values, index=index, dtype=object) for column, values in cells.items()}
    no_id = pd.Series("", index=index, dtype=object)
    return replace(
        part,
        rows=_rows(part, columns, index),
        ids=columns[part.id_index] if part.id_index is not None else no_id,
        lines=pd.Series(lines, index=index, dtype="int64"),
        starts=starts,
        width=max((rows.width for rows in read), default=0),
        headers=tuple(header for rows in read for header in rows.headers),
    )


def _rows(part: ArchivePart, columns: dict[int, pd.Series], index: pd.RangeIndex) -> pd.DataFrame:
    """One column a term; the default stands where the cell is empty. Of a term mapped twice, the first counts."""
    values: dict[str, pd.Series] = {}
    for field in part.fields:
        if field.term in values:
            continue
        cells = columns[field.index] if field.index is not None else pd.Series("", index=index, dtype=object)
        values[field.term] = cells.where(cells != "", field.default) if field.default else cells
    return pd.DataFrame(values, index=index)


def _inside(location: str) -> str:
    """The path of a file as the archive lists it: without "./" before it; web addresses stay as they are."""
    return location if urlsplit(location).scheme else PurePosixPath(location.replace("\\", "/")).as_posix()


def _not_there(name: str, location: str) -> dict[str, object]:
    if urlsplit(location).scheme in ("http", "https", "ftp"):
        message = f"{name}: the rows are at {location} and were not fetched."
        return finding_at(FILE_ELSEWHERE, message=message, file=name, sheet="meta.xml", value=location)
    message = f"{name}: meta.xml names the file {location!r}, which is not in the archive."
    return finding_at(FILE_NOT_THERE, message=message, file=name, sheet="meta.xml", value=location)
