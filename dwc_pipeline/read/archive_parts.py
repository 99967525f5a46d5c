"""The parts of an archive with their rows: all at once, or handed out in blocks so that memory holds one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import PurePosixPath
from urllib.parse import urlsplit

import numpy as np
import pandas as pd

from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.kept_column import LookAgain
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.archive_rows import FileRows, Lines, cells_again, read_rows, rows_in_blocks
from dwc_pipeline.read.archive_store import Store

NO_CELLS = np.empty(0, dtype=object)
Troubles = list[dict[str, object]]

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


@dataclass(frozen=True)
class Blocks:
    """How an archive is handed out in blocks: the core before the extensions, each in the order of its files.

    take: called with each block, a part with some of its rows. done: called with each part once all its blocks are
    out, without rows, and with what looks up single cells again; gives what stands for the part in the archive.
    size: records of a block at most, fewer where they are long.
    """

    take: Callable[[ArchivePart], None]
    done: Callable[[ArchivePart, LookAgain], ArchivePart]
    size: int = 50_000


def with_rows(part: ArchivePart, store: Store, name: str, troubles: Troubles) -> ArchivePart:
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


def in_blocks(part: ArchivePart, store: Store, name: str, troubles: Troubles, blocks: Blocks) -> ArchivePart:
    """What stands for the part after all of its rows have been handed out."""
    wanted = _wanted(part)
    starts: list[tuple[str, int]] = []
    read: list[FileRows] = []
    for inside in _files_there(part, store, name, troubles):
        first = 1 + sum(len(rows.lines) for rows in read)
        starts.append((inside, first))
        rows, pieces = rows_in_blocks(store, inside, part.form, wanted, blocks.size)
        read.append(rows)
        troubles += _troubles_of(rows, inside, name)
        done = 0
        for cells in pieces:
            count = len(next(iter(cells.values())))
            lines = rows.lines[done : done + count]
            blocks.take(_filled(part, cells, lines, first + done, tuple(starts), read))
            done += count
    empty = _filled(part, dict.fromkeys(wanted, NO_CELLS), np.empty(0, dtype=np.int32), 1, tuple(starts), read)
    lines = _lines(read)
    index = pd.RangeIndex(1, len(lines) + 1, name="record")
    whole = replace(empty, rows=pd.DataFrame(index=index), lines=pd.Series(lines, index=index, copy=False))
    return blocks.done(whole, partial(_look_again, whole, store)) if len(lines) else empty


def _look_again(part: ArchivePart, store: Store, column: int, records: Sequence[int]) -> list[str]:
    """Cells of a column in some records of the part, counted from 0."""
    found = [""] * len(records)
    ends = [first - 1 for _, first in part.starts[1:]] + [part.count]
    for (inside, first), end in zip(part.starts, ends, strict=True):
        here = [place for place, record in enumerate(records) if first - 1 <= record < end]
        if here:
            numbers = [records[place] - first + 1 for place in here]
            for place, text in zip(here, cells_again(store, inside, part.form, column, numbers), strict=True):
                found[place] = text
    return found


def _wanted(part: ArchivePart) -> list[int]:
    indexes = {field.index for field in part.fields if field.index is not None}
    own = indexes | ({part.id_index} if part.id_index is not None else set())
    return sorted(own) or [0]  # a part of nothing but constants has rows too


def _files_there(part: ArchivePart, store: Store, name: str, troubles: Troubles) -> Iterator[str]:
    """The files of a part that are in the archive; the others are told."""
    for location in part.locations:
        if path_inside(location) in store.names:
            yield path_inside(location)
        else:
            troubles.append(_not_there(name, location))


def _troubles_of(rows: FileRows, inside: str, name: str) -> Iterator[dict[str, object]]:
    for rule, line, value, message in rows.troubles:
        place = f"{name}, {inside}, line {line}" if line else f"{name}, {inside}"
        yield finding_at(
            rule, message=f"{place}: {message}", file=name, sheet=inside, row=line, value=value,
            cause=f"{inside}\x1f{rule.id}",
        )  # fmt: skip


def _lines(read: list[FileRows]) -> Lines:
    return np.concatenate([np.empty(0, dtype=np.int32), *(rows.lines for rows in read)])


def _filled(
    part: ArchivePart,
    cells: Mapping[int, np.ndarray],
    lines: Lines,
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
        lines=pd.Series(lines, index=index),
        starts=starts,
        width=max((rows.width for rows in read), default=0),
        headers=tuple(header for rows in read for header in rows.headers),
        firsts=tuple(rows.first for rows in read),
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


def path_inside(location: str) -> str:
    """The path of a file as the archive lists it: without "./" before it; web addresses stay as they are."""
    return location if scheme_of(location) else PurePosixPath(location.replace("\\", "/")).as_posix()


def scheme_of(location: str) -> str:
    """The scheme of a web address, such as https; "" for a path."""
    try:
        return urlsplit(location).scheme
    except ValueError:
        return ""


def _not_there(name: str, location: str) -> dict[str, object]:
    if scheme_of(location) in ("http", "https", "ftp"):
        message = f"{name}: the rows are at {location} and were not fetched."
        return finding_at(FILE_ELSEWHERE, message=message, file=name, sheet="meta.xml", value=location)
    message = f"{name}: meta.xml names the file {location!r}, which is not in the archive."
    return finding_at(FILE_NOT_THERE, message=message, file=name, sheet="meta.xml", value=location)
