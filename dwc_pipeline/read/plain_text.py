"""Is every line of a file one record of the same number of cells? Looked at as bytes, without cutting out a cell.

Most files are so, and then the fast reader of pandas may be trusted with them: it would not have told of a line that
differs. Whatever is out of the ordinary is left to the careful reader.
"""

from __future__ import annotations

import codecs
import csv
import io
from dataclasses import dataclass
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from dwc_pipeline.core.archive_contents import TextForm

BLOCK = 1 << 22
#: a line longer than this is left to the careful reader. [bytes]
LONGEST_LINE = 1 << 26
LINE_ENDS = ("\n", "\r", "\r\n")
#: encodings in which a byte below 128 is always that character
BY_ASCII = ("utf-8", "utf-8-sig", "ascii", "iso8859", "cp125", "koi8", "mac-roman")
UTF_8 = ("utf-8", "utf-8-sig", "ascii")
LF, CR = b"\n", b"\r"
Bytes = NDArray[np.uint8]


@dataclass
class PlainText:
    """A file whose lines are its records. records: without the headers. size: of the whole. [bytes]"""

    headers: list[tuple[str, ...]]
    first: tuple[str, ...]
    width: int
    records: int
    size: int


def scan_plain(stream: BinaryIO, form: TextForm, codec: str) -> PlainText | None:
    """What the file holds, or None where it is not plain, not in the encoding, or one column wide.

    codec: name of the encoding as Python knows it.
    """
    if not _can_be_plain(form, codec):
        return None
    head, scan, size = b"", None, 0
    decoder = codecs.getincrementaldecoder("utf-8" if codec in UTF_8 else codec)("strict")
    for lines in _whole_lines(stream):
        size += len(lines)
        try:
            decoder.decode(lines)
        except UnicodeError:
            return None
        if codec == "ascii" and not lines.isascii():
            return None
        if scan is None:
            lines = lines.removeprefix(codecs.BOM_UTF8)
            head = lines
            records = _first_records(head, form, codec)
            if len(records) <= form.header_lines or len(records[form.header_lines]) < 2:
                return None
            scan = _Scan(form, len(records[form.header_lines]))
        if not scan.take(lines):
            return None
    if scan is None:
        return None
    first = records[form.header_lines]
    return PlainText(records[: form.header_lines], first, scan.width, scan.lines - form.header_lines, size)


def _can_be_plain(form: TextForm, codec: str) -> bool:
    signs = form.delimiter + form.quote
    return (
        codec.startswith(BY_ASCII)
        and len(form.delimiter) == 1
        and len(form.quote) <= 1
        and signs.isascii()
        and form.line_end in LINE_ENDS
        and form.line_end != "\r"
    )


def _whole_lines(stream: BinaryIO) -> Any:
    """The file in blocks that end with a line; the last line gets its end where it has none."""
    rest = b""
    while block := stream.read(BLOCK):
        end = block.rfind(LF) + 1
        if end:
            yield rest + block[:end]
            rest = block[end:]
        else:
            rest += block
        if len(rest) > LONGEST_LINE:
            yield b"\0"  # nothing plain has it
    if rest:
        yield rest + LF


def _first_records(head: bytes, form: TextForm, codec: str) -> list[tuple[str, ...]]:
    """The headers and the first record."""
    lines = head.split(LF, form.header_lines + 1)[: form.header_lines + 1]
    text = io.StringIO(LF.join(lines).decode("utf-8" if codec in UTF_8 else codec).replace("\r", ""), newline="")
    if not form.quote:
        return [tuple(line.split(form.delimiter)) for line in text.read().split("\n")]
    return [tuple(cells) for cells in csv.reader(text, delimiter=form.delimiter, quotechar=form.quote)]


class _Scan:
    """Counts lines, and sees that each has the separators that it should have."""

    def __init__(self, form: TextForm, width: int) -> None:
        self.width, self.lines = width, 0
        self._separator, self._quote = ord(form.delimiter), form.quote.encode()

    def take(self, lines: bytes) -> bool:
        """False where something is not plain."""
        if b"\0" in lines or lines.count(CR) != lines.count(CR + LF):
            return False
        signs = np.frombuffer(lines, dtype=np.uint8)
        is_sign = (signs == self._separator) | (signs == LF[0])
        if self._quote and self._quote in lines:
            outside = _outside_quotes(signs, self._quote[0], self._separator)
            if outside is None or not outside[signs == LF[0]].all():
                return False
            is_sign &= outside
        found = signs[is_sign]
        if len(found) % self.width:
            return False
        table = found.reshape(-1, self.width)
        self.lines += len(table)
        return bool((table[:, -1] == LF[0]).all() and (table[:, :-1] == self._separator).all())


def _outside_quotes(signs: Bytes, quote: int, separator: int) -> NDArray[np.bool_] | None:
    """Which bytes are outside quotation marks; None where a mark stands elsewhere than round a whole cell."""
    is_quote = signs == quote
    at = np.flatnonzero(is_quote)
    if len(at) % 2:
        return None
    opening, closing = at[0::2], at[1::2]
    before = signs[np.maximum(opening - 1, 0)]
    after = signs[closing + 1]
    is_start = (opening == 0) | (before == separator) | (before == LF[0]) | (before == quote)
    is_end = (after == separator) | (after == LF[0]) | (after == CR[0]) | (after == quote)
    if not (is_start.all() and is_end.all()):
        return None
    return np.bitwise_xor.accumulate(is_quote.view(np.uint8)) == 0
