"""The rows of one text file of an archive, streamed: cells of the columns that are wanted, and their lines."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import BinaryIO

from dwc_pipeline.core.archive_contents import TextForm
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.archive_store import Store

TEXT_GUIDE = "Darwin Core text guide 2.2.1"
BLOCK = 1 << 20
#: outlines of places in well-known text are long. [characters]
LONGEST_CELL = 1 << 26
MOST_EXAMPLES = 20

WRONG_ENCODING = declare(
    Rule(
        id="archive-text-is-not-in-the-declared-encoding",
        severity=Severity.ERROR,
        what="A file of the archive is not written in the encoding that the metafile names.",
        why="Names and places with letters beyond A to Z come out garbled, or a reader stops at the first of them.",
        remedy="Write the file again as UTF-8 and let the metafile say UTF-8.",
        source=f"{TEXT_GUIDE}, encoding",
    )
)
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
UNKNOWN_FORM = declare(
    Rule(
        id="archive-file-form-is-unknown",
        severity=Severity.ERROR,
        what="The metafile describes a form of text file that cannot be read.",
        why="The rows of the file are not seen by any check.",
        remedy="Write a comma-separated or tab-separated UTF-8 file and describe it so.",
        source=TEXT_GUIDE,
    )
)


@dataclass
class FileRows:
    """What was read from one file. cells: one list a wanted column. lines: where each record starts.

    troubles: (rule, line, value, message) for what was not as declared.
    """

    cells: dict[int, list[str]]
    lines: list[int] = field(default_factory=list)
    headers: list[tuple[str, ...]] = field(default_factory=list)
    width: int = 0
    troubles: list[tuple[Rule, int, str, str]] = field(default_factory=list)


def read_rows(store: Store, name: str, form: TextForm, wanted: Sequence[int]) -> FileRows:
    """All records of a file; a column that a record does not have is "".

    wanted: columns to keep, counted from 0; the others are passed over, which keeps memory small.
    """
    found = FileRows({column: [] for column in wanted})
    if len(form.quote) > 1 or not form.delimiter or (form.quote and len(form.delimiter) > 1) or not form.line_end:
        message = f"separator {form.delimiter!r} with quotation mark {form.quote!r} is no form that can be read."
        found.troubles.append((UNKNOWN_FORM, 0, form.delimiter, message))
        return found
    encoding = _true_encoding(store, name, form.encoding, found)
    same: dict[str, str] = {}
    with store.open(name) as stream, _long_cells():
        text = io.TextIOWrapper(stream, encoding=encoding, errors="western-bytes", newline="")
        for line, cells in _records(text, form):
            if len(found.headers) < form.header_lines:
                found.headers.append(tuple(cells))
                found.width = found.width or len(cells)
                continue
            found.width = found.width or len(cells)
            if len(cells) != found.width:
                _wrong_width(found, line, cells)
            found.lines.append(line)
            for column, kept in found.cells.items():
                value = cells[column] if column < len(cells) else ""
                kept.append(same.setdefault(value, value) if len(value) < 40 else value)
    return found


def _records(text: io.TextIOWrapper, form: TextForm) -> Iterator[tuple[int, list[str]]]:
    """Line of the start and cells of each record; blank lines hold nothing and are passed over."""
    lines = iter(text) if form.line_end in ("\n", "\r", "\r\n") else _split_lines(text, form.line_end)
    if not form.quote:
        for number, line in enumerate(lines, 1):
            cells = line.removesuffix(form.line_end).rstrip("\r\n").split(form.delimiter)
            if cells != [""]:
                yield number, cells
        return
    reader = csv.reader(lines, delimiter=form.delimiter, quotechar=form.quote, doublequote=True)
    start = 1
    for cells in reader:
        if cells:
            yield start, cells
        start = reader.line_num + 1


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


@contextmanager
def _long_cells() -> Iterator[None]:
    before = csv.field_size_limit(LONGEST_CELL)
    try:
        yield
    finally:
        csv.field_size_limit(before)


def _true_encoding(store: Store, name: str, declared: str, found: FileRows) -> str:
    """The encoding to read with: the declared one if the bytes agree, else UTF-8 with a finding.

    Bytes that are not UTF-8 are then read one by one in the Western code page of desktops (`western-bytes`).
    Text that is valid UTF-8 beyond ASCII is practically never anything else, whatever is declared.
    """
    try:
        codec = codecs.lookup(declared).name
    except LookupError:
        found.troubles.append((UNKNOWN_FORM, 0, declared, f"there is no encoding {declared!r}; read as UTF-8."))
        codec = "utf-8"
    is_utf8, beyond_ascii = _agrees(store, name, "utf-8")
    if codec in ("utf-8", "utf-8-sig", "ascii") and is_utf8:
        if codec == "ascii" and beyond_ascii:
            found.troubles.append((WRONG_ENCODING, 0, declared, f"{declared} is declared, but the text is UTF-8."))
        return "utf-8-sig"
    surely_utf8 = is_utf8 and beyond_ascii and not codec.startswith(("utf-16", "utf-32"))
    if codec not in ("utf-8", "utf-8-sig", "ascii") and not surely_utf8 and _agrees(store, name, codec)[0]:
        return codec
    if is_utf8:
        found.troubles.append((WRONG_ENCODING, 0, declared, f"{declared} is declared, but the text is UTF-8."))
    else:
        found.troubles.extend(_lines_not_in_utf8(store, name, declared))
    return "utf-8-sig"


def _agrees(store: Store, name: str, codec: str) -> tuple[bool, bool]:
    """Whether all bytes can be read in the encoding, and whether any is beyond ASCII."""
    decoder = codecs.getincrementaldecoder(codec)("strict")
    beyond_ascii = False
    with store.open(name) as stream:
        try:
            for block in _blocks(stream):
                beyond_ascii = beyond_ascii or not block.isascii()
                decoder.decode(block)
            decoder.decode(b"", final=True)
        except UnicodeError:
            return False, True
    return True, beyond_ascii


def _blocks(stream: BinaryIO) -> Iterator[bytes]:
    while block := stream.read(BLOCK):
        yield block


def _lines_not_in_utf8(store: Store, name: str, declared: str) -> Iterator[tuple[Rule, int, str, str]]:
    shown = 0
    with store.open(name) as stream:
        for number, line in enumerate(stream, 1):
            try:
                line.decode("utf-8")
            except UnicodeDecodeError as error:
                read = line.decode("utf-8", errors="western-bytes")
                place = len(line[: error.start].decode("utf-8"))
                words = read[max(0, place - 15) : place + 15].strip()
                yield WRONG_ENCODING, number, words, f"the text is not {declared}; it was read as {words!r}."
                shown += 1
                if shown == MOST_EXAMPLES:
                    return


def _western_bytes(error: UnicodeError) -> tuple[str, int]:
    """Bytes that are not UTF-8, in the Western code page of desktops; what that has not either, as U+FFFD."""
    if not isinstance(error, UnicodeDecodeError):
        raise error
    return error.object[error.start : error.end].decode("cp1252", errors="replace"), error.end


codecs.register_error("western-bytes", _western_bytes)
