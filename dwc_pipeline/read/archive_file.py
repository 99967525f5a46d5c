"""A Darwin Core archive as it is, zip file or folder, whoever made it.

Everything the metafile allows is read: any separator, quotation mark, line end and encoding, defaults, files
without header, several files for one part. What is not as declared is a finding, never silently repaired.

Source: Darwin Core text guide (2023-09-13).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path, PurePosixPath
from urllib.parse import urlsplit

import numpy as np
import pandas as pd

from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.archive_headers import NO_METAFILE, parts_by_headers
from dwc_pipeline.read.archive_rows import FileRows, read_rows
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


def read_archive(path: Path, name: str = "") -> ArchiveContents:
    """The archive at a path: a zip file, a folder, or a text file alone.

    name: how the person knows it; the path where left out. Raises UnreadableFile if the file cannot be opened at
    all or the metafile is not XML; everything else that is wrong is in `problems`.
    """
    name = name or str(path)
    store = open_store(path, name)
    found = metafile_name(store.names)
    if not found:
        parts, troubles = parts_by_headers(store, name)
        contents = ArchiveContents(name, store.names)
        return _with_parts(contents, store, parts, troubles)
    document = read_description(store, found)
    meta = read_metafile(document, f"{name}: {found}")
    contents = ArchiveContents(name, store.names, document, meta.metadata, _metadata(store, meta))
    troubles = []
    if found != "meta.xml":
        message = f"{name}: the metafile is called {found}; on many systems a reader does not find it."
        troubles.append(finding_at(NO_METAFILE, message=message, file=name, value=found))
    return _with_parts(contents, store, meta.parts, troubles)


def _with_parts(
    contents: ArchiveContents, store: Store, parts: tuple[ArchivePart, ...], troubles: list[dict[str, object]]
) -> ArchiveContents:
    filled = [_with_rows(part, store, contents.name, troubles) for part in parts]
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
    indexes = {field.index for field in part.fields if field.index is not None}
    wanted = sorted(indexes | ({part.id_index} if part.id_index is not None else set()))
    starts: list[tuple[str, int]] = []
    read: list[FileRows] = []
    for location in part.locations:
        inside = _inside(location)
        if inside not in store.names:
            troubles.append(_not_there(name, location))
            continue
        starts.append((inside, 1 + sum(len(rows.lines) for rows in read)))
        read.append(read_rows(store, inside, part.form, wanted))
        for rule, line, value, message in read[-1].troubles:
            place = f"{name}, {inside}, line {line}" if line else f"{name}, {inside}"
            troubles.append(
                finding_at(
                    rule, message=f"{place}: {message}", file=name, sheet=inside, row=line, value=value,
                    cause=f"{inside}\x1f{rule.id}",
                )
            )  # fmt: skip
    lines = [line for rows in read for line in rows.lines]
    index = pd.RangeIndex(1, len(lines) + 1, name="record")
    columns = {
        column: pd.Series(np.concatenate([NO_CELLS, *(rows.cells[column] for rows in read)]), index=index)
        for column in wanted
    }
    no_id = pd.Series("", index=index, dtype=object)
    return replace(
        part,
        rows=_rows(part, columns, index),
        ids=columns[part.id_index] if part.id_index is not None else no_id,
        lines=pd.Series(lines, index=index, dtype="int64"),
        starts=tuple(starts),
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
