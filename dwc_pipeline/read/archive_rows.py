"""The rows of one text file of an archive: cells of the columns that are wanted, and the lines where they start."""

from __future__ import annotations

import csv
import io
import itertools
from array import array
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.core.archive_contents import TextForm
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.archive_encoding import (
    BLOCK,
    MOST_EXAMPLES,
    TEXT_GUIDE,
    UNKNOWN_FORM,
    Trouble,
    codec_of,
    true_encoding,
)
from dwc_pipeline.read.archive_store import Store
from dwc_pipeline.read.plain_text import LINE_ENDS, UTF_8, scan_plain

#: the line of its file at which each record starts
Lines = NDArray[np.signedinteger[Any]]

#: outlines of places in well-known text are long. [characters]
LONGEST_CELL = 1 << 26
#: records of a block where the whole file is wanted at once
MOST_RECORDS = 1 << 40
#: what a block holds at most
MOST_IN_A_BLOCK, MOST_CELLS, MOST_BYTES = 50_000, 2_000_000, 50_000_000
#: records of a block where a single column is looked at again
MOST_AGAIN = 200_000

WRONG_WIDTH = declare(
    Rule(
        id="archive-row-has-another-number-of-cells",
        severity=Severity.ERROR,
        what="A row has more or fewer cells than the first line of its file.",
        why="A separator inside a value, or a quotation mark that is never closed, moves every later cell of the row "
        "into the wrong column.",
        remedy="Enclose values that hold the separator, the quotation mark or a line break in quotation marks.",
        source=f"{TEXT_GUIDE}, fieldsEnclosedBy",
    )
)


@dataclass
class FileRows:
    """What was read from one file. cells: one array of text a wanted column. lines: where each record starts.

    first: cells of the first record. size: of the whole file. [bytes]
    troubles: (rule, line, value, message) for what was not as declared.
    """

    cells: dict[int, np.ndarray] = field(default_factory=dict)
    lines: Lines = field(default_factory=lambda: np.empty(0, dtype=np.int32))
    headers: list[tuple[str, ...]] = field(default_factory=list)
    first: tuple[str, ...] = ()
    width: int = 0
    size: int = 0
    troubles: list[Trouble] = field(default_factory=list)


class RecordsDiffer(Exception):
    """The fast reader saw another number of records than the careful one, after it had handed out blocks."""


def read_rows(store: Store, name: str, form: TextForm, wanted: Sequence[int]) -> FileRows:
    """All records of a file; a column that a record does not have is "".

    wanted: columns to keep, counted from 0; the others are passed over, which keeps memory small.
    The file is gone through once to count the cells of every record, and again to keep them: where all records
    have the same number, by the fast reader of pandas, which would not have told of those that differ.
    """
    found, encoding, is_plain = survey_rows(store, name, form, wanted)
    if not len(found.lines) or not wanted:
        return found
    try:
        pieces = list(_blocks(store, name, form, found, encoding, is_plain, MOST_RECORDS))
    except RecordsDiffer:
        pieces = list(_blocks(store, name, form, found, encoding, False, MOST_RECORDS))
    found.cells.update({column: np.concatenate([piece[column] for piece in pieces]) for column in wanted})
    return found


def rows_in_blocks(
    store: Store, name: str, form: TextForm, wanted: Sequence[int], size: int = MOST_IN_A_BLOCK
) -> tuple[FileRows, Iterator[dict[int, np.ndarray]]]:
    """What is known of the records of a file, without their cells, and their cells in blocks of `size` records.

    Blocks of many columns or long texts are smaller. The blocks raise RecordsDiffer at the end if the file has to be
    read with `read_rows`.
    """
    found, encoding, is_plain = survey_rows(store, name, form, wanted)
    if not len(found.lines) or not wanted:
        return found, iter(())
    by_columns = MOST_CELLS // len(wanted)
    by_length = MOST_BYTES // (found.size // len(found.lines) + 1)
    return found, _blocks(store, name, form, found, encoding, is_plain, max(1, min(size, by_columns, by_length)))


def cells_again(store: Store, name: str, form: TextForm, column: int, records: Sequence[int]) -> list[str]:
    """The cells of a column in some records of a file, counted from 0: a second look at a few of many."""
    _, pieces = rows_in_blocks(store, name, form, [column], MOST_AGAIN)
    wanted = np.array(records, dtype=np.int64)
    texts = np.full(len(wanted), "", dtype=object)
    done, last = 0, int(wanted.max(initial=-1))
    for piece in pieces:
        here = (wanted >= done) & (wanted < done + len(piece[column]))
        texts[here] = piece[column][wanted[here] - done]
        done += len(piece[column])
        if done > last:
            break
    return [str(text) for text in texts]


def survey_rows(store: Store, name: str, form: TextForm, wanted: Sequence[int]) -> tuple[FileRows, str, bool]:
    """Everything about the records but their cells; the encoding to read them in; True if the fast reader may."""
    found = FileRows({column: np.empty(0, dtype=object) for column in wanted})
    if len(form.quote) > 1 or not form.delimiter or (form.quote and len(form.delimiter) > 1) or not form.line_end:
        message = f"separator {form.delimiter!r} with quotation mark {form.quote!r} is no form that can be read."
        found.troubles.append((UNKNOWN_FORM, 0, form.delimiter, message))
        return found, "utf-8", False
    codec = codec_of(form.encoding)
    if codec in UTF_8 and _note_plain(store, name, form, codec, found):
        return found, "utf-8-sig", True
    encoding = true_encoding(store, name, form.encoding, found.troubles)
    if (codec not in UTF_8 or found.troubles) and _note_plain(store, name, form, encoding, found):
        return found, encoding, True
    with _text(store, name, encoding) as text:
        return found, encoding, _count(text, form, found)


def _note_plain(store: Store, name: str, form: TextForm, codec: str, found: FileRows) -> bool:
    """Note headers, lines and width of a file in which every line is a record of the same width; else False."""
    with store.open(name) as stream:
        plain = scan_plain(stream, form, codec)
    if plain is None:
        return False
    found.headers, found.first, found.width, found.size = plain.headers, plain.first, plain.width, plain.size
    found.lines = np.arange(len(plain.headers) + 1, len(plain.headers) + plain.records + 1, dtype=np.int32)
    return True


def _blocks(
    store: Store, name: str, form: TextForm, found: FileRows, encoding: str, is_plain: bool, size: int
) -> Iterator[dict[int, np.ndarray]]:
    with _text(store, name, encoding) as text:
        yield from (_cells_by_pandas if is_plain else _cells_one_by_one)(text, form, found, size)


@contextmanager
def _text(store: Store, name: str, encoding: str) -> Iterator[io.TextIOWrapper]:
    before = csv.field_size_limit(LONGEST_CELL)
    try:
        with store.open(name) as stream:
            yield io.TextIOWrapper(stream, encoding=encoding, errors="western-bytes", newline="")
    finally:
        csv.field_size_limit(before)


def _count(text: io.TextIOWrapper, form: TextForm, found: FileRows) -> bool:
    """Note headers, lines, width and records of another width; True if every line of the file is plain."""
    is_plain = len(form.delimiter) == 1 and form.line_end in LINE_ENDS and (form.delimiter + form.quote).isascii()
    starts = array("q")
    for line, cells in _records(text, form, found.troubles):
        found.width = found.width or len(cells)
        found.size += sum(map(len, cells))
        if len(found.headers) < form.header_lines:
            found.headers.append(tuple(cells))
            is_plain = is_plain and line == len(found.headers)
            continue
        if len(cells) != found.width:
            _wrong_width(found, line, cells)
            is_plain = False
        if not starts:
            found.first = tuple(cells)
        starts.append(line)
    found.lines = np.array(starts, dtype=np.int64)
    return is_plain and not found.troubles and len(starts) > 0 and starts[0] == form.header_lines + 1


def _cells_by_pandas(
    text: io.TextIOWrapper, form: TextForm, found: FileRows, size: int
) -> Iterator[dict[int, np.ndarray]]:
    """The wanted columns block by block; RecordsDiffer if pandas sees another number of records."""
    wanted = [column for column in found.cells if column < found.width]
    frames = pd.read_csv(
        text,
        sep=form.delimiter,
        quotechar=form.quote or None,
        quoting=csv.QUOTE_MINIMAL if form.quote else csv.QUOTE_NONE,
        header=None,
        index_col=False,
        usecols=wanted,
        skiprows=form.header_lines,
        dtype=object,
        keep_default_na=False,
        na_filter=False,
        low_memory=False,
        chunksize=min(size, len(found.lines) + 1),
    )
    seen = 0
    for frame in _told_as_differing(frames):
        seen += len(frame)
        missing = {column: np.full(len(frame), "", dtype=object) for column in found.cells if column >= found.width}
        yield {column: frame[column].to_numpy() for column in wanted} | missing
    if seen != len(found.lines):
        raise RecordsDiffer


def _told_as_differing(frames: Iterable[pd.DataFrame]) -> Iterator[pd.DataFrame]:
    try:
        yield from frames
    except (pd.errors.ParserError, pd.errors.EmptyDataError):
        raise RecordsDiffer from None


def _cells_one_by_one(
    text: io.TextIOWrapper, form: TextForm, found: FileRows, size: int
) -> Iterator[dict[int, np.ndarray]]:
    """The wanted columns of records that may differ in width, block by block; equal texts are kept once."""
    records = itertools.islice(_records(text, form), form.header_lines, None)
    while block := list(itertools.islice(records, min(size, len(found.lines) + 1))):
        same: dict[str, str] = {}
        kept: dict[int, list[str]] = {column: [] for column in found.cells}
        for _, cells in block:
            for column, texts in kept.items():
                text_here = cells[column] if column < min(len(cells), found.width) else ""
                texts.append(same.setdefault(text_here, text_here))
        yield {column: np.array(texts, dtype=object) for column, texts in kept.items()}


def _records(
    text: io.TextIOWrapper, form: TextForm, troubles: list[Trouble] | None = None
) -> Iterator[tuple[int, list[str]]]:
    """Line of the start and cells of each record; blank lines hold nothing and are passed over.

    troubles: where a quotation mark that is never closed is told.
    """
    lines = iter(text) if form.line_end in LINE_ENDS else _split_lines(text, form.line_end)
    if not form.quote:
        for number, line in enumerate(lines, 1):
            cells = line.removesuffix(form.line_end).rstrip("\r\n").split(form.delimiter)
            if cells != [""]:
                yield number, cells
        return
    held: list[str] = []
    reader = csv.reader(_held(lines, held), delimiter=form.delimiter, quotechar=form.quote, doublequote=True)
    start, last = 1, 1
    for cells in reader:
        if cells:
            yield start, cells
        start, last = reader.line_num + 1, start
        if held and _ends_record(held, form):
            held.clear()
    if held and troubles is not None:
        message = "the quotation mark is never closed, and the row goes on to the end of the file."
        troubles.append((WRONG_WIDTH, last, held[0][:60].strip(), message))


def _held(lines: Iterator[str], held: list[str]) -> Iterator[str]:
    """The lines, noted as they go by."""
    for line in lines:
        held.append(line)
        yield line


def _ends_record(held: list[str], form: TextForm) -> bool:
    """True if the lines since the last record end one: by the count of marks, so that most lines cost little."""
    marks = sum(line.count(form.quote) for line in held)
    if marks % 2 == 0:
        return True
    try:
        list(csv.reader(held, delimiter=form.delimiter, quotechar=form.quote, doublequote=True, strict=True))
    except csv.Error as error:
        return "unexpected end" not in str(error)
    return True


def _split_lines(text: io.TextIOWrapper, line_end: str) -> Iterator[str]:
    rest = ""
    while block := text.read(BLOCK):
        *whole, rest = (rest + block).split(line_end)
        yield from whole
    yield rest


def _wrong_width(found: FileRows, line: int, cells: list[str]) -> None:
    if sum(rule is WRONG_WIDTH for rule, *_ in found.troubles) < MOST_EXAMPLES:
        message = f"the row has {len(cells)} cells instead of {found.width}."
        found.troubles.append((WRONG_WIDTH, line, next(iter(cells), "")[:60], message))
