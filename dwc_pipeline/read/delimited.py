"""Delimited text (csv, tab-separated and the like) as a raw sheet, every field as it stands."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.raw import RawSheet, column_letter
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.encoding import CANDIDATES, Decoded, decode
from dwc_pipeline.read.file_guard import lock_findings, read_bytes

DELIMITERS = ",;\t|"
_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
MOST_FINDINGS = 500

ENCODING_GUESSED = declare(
    Rule(
        id="encoding-guessed",
        severity=Severity.WARNING,
        what="A text file does not say what its bytes beyond plain letters stand for; they were read by guess.",
        why="With the wrong choice names of people and places, degree signs and apostrophes come out as other signs.",
        remedy="Look at the words. Write the encoding that makes them right in the survey file.",
        asks=True,
    )
)
RAGGED_LINE = declare(
    Rule(
        id="ragged-line",
        severity=Severity.WARNING,
        what="A line has more or fewer fields than most lines of the file.",
        why="A delimiter inside a value, or a lost one, moves the values of the line into the wrong columns.",
        remedy="Compare the line with its neighbours. Put values that hold the delimiter in quotation marks.",
    )
)
QUOTE_NOT_CLOSED = declare(
    Rule(
        id="quotation-mark-not-closed",
        severity=Severity.ERROR,
        what="A quotation mark opens a field that holds many lines, or is never closed.",
        why="Everything up to the next quotation mark is taken for one value, so whole records vanish in it.",
        remedy="Close the quotation mark, or write two of them where one stands for inches or seconds.",
    )
)
#: a quoted field with more line breaks than this is hardly one remark.
_MANY_LINES = 10


def read_delimited(path: Path, name: str, encoding: str = "", delimiter: str = "") -> RawSheet:
    """A delimited text file as one sheet; its rows are records, so a quoted line break does not start a new row.

    encoding, delimiter: as the survey file says; "" to find them out. Raises UnreadableFile for files that are
    empty or locked, that hold no text, or whose bytes do not fit the encoding.
    """
    content = read_bytes(path, name)
    decoded = decode(content, name, encoding)
    if "\0" in decoded.text[:100_000]:
        raise UnreadableFile(f"{name} is not a text file. Give its right ending, or save the table as .csv.")
    return sheet_of_text(decoded, name, delimiter, tuple(lock_findings(path, name)))


def sheet_of_text(decoded: Decoded, name: str, delimiter: str, found: tuple[dict[str, object], ...]) -> RawSheet:
    """The raw sheet of a decoded text."""
    text = decoded.text
    used = delimiter or find_delimiter(text)
    rows, lines = _records(text, used, name)
    facts = {"format": "text", "encoding": decoded.encoding, "delimiter": _NAMES.get(used, used)}
    if used != "," and _has_decimal_commas(rows):
        facts["decimal"] = "comma"
    return RawSheet(
        file=name,
        sheet="",
        values=rows,
        facts=facts,
        found=(*found, *_encoding_finding(decoded, name), *_ragged(rows, name), *_unclosed(rows, lines, name)),
    )


def find_delimiter(text: str) -> str:
    """The delimiter among comma, semicolon, tab and bar; a comma where the text has none of them.

    >>> find_delimiter("trap;mass\\nF1;12,5\\nF2;13,0\\n")
    ';'
    """
    start = text[:100_000]
    lines = [line for line in start.splitlines() if line.strip()][:200]
    steady = _steadiest(lines)
    if steady:
        return steady
    try:
        return csv.Sniffer().sniff(start[:20_000], DELIMITERS).delimiter
    except csv.Error:
        return ","


def _steadiest(lines: Sequence[str]) -> str:
    """The delimiter that gives most lines the same number of fields, more than one; "" if none or two are equal."""
    scores: list[tuple[float, str]] = []
    for delimiter in DELIMITERS:
        try:
            counts = Counter(len(row) for row in csv.reader(lines, delimiter=delimiter) if row)
        except csv.Error:
            continue
        if not counts:
            continue
        fields, times = max(counts.items(), key=lambda item: (item[1], item[0]))
        if fields > 1:
            scores.append((times / sum(counts.values()), delimiter))
    scores.sort(reverse=True)
    if not scores or scores[0][0] < 0.6 or (len(scores) > 1 and scores[1][0] >= scores[0][0]):
        return ""
    return scores[0][1]


def _records(text: str, delimiter: str, name: str) -> tuple[list[list[str]], int]:
    """The records of a text, equal cells one object; and how many lines they stand on."""
    if len(delimiter) != 1:
        raise UnreadableFile(f"{name}: {delimiter!r} cannot divide fields; it must be one character.")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        seen: dict[str, str] = {}
        return [list(map(seen.setdefault, row, row)) for row in reader], reader.line_num
    except csv.Error:
        raise UnreadableFile(
            f"{name}, line {reader.line_num}: a quotation mark is opened and not closed. Close it, or write two of "
            f"them where one stands for inches or seconds."
        ) from None


def _has_decimal_commas(rows: Sequence[Sequence[str]]) -> bool:
    cells = [cell.strip() for row in rows[:2000] for cell in row if "," in cell or "." in cell]
    commas = sum(bool(re.fullmatch(r"[-+]?\d{1,3},\d{1,2}|[-+]?\d+,\d{4,}|0,\d+", cell)) for cell in cells)
    points = sum(bool(re.fullmatch(r"[-+]?\d+\.\d+", cell)) for cell in cells)
    return commas > points


def _encoding_finding(decoded: Decoded, name: str) -> list[dict[str, object]]:
    if not decoded.guess:
        return []
    line, word = decoded.samples[0] if decoded.samples else (0, "")
    message = f"{name} was read as {decoded.encoding}, by the look of these words: {decoded.guess}."
    readings = (decoded.encoding, *(other for other in CANDIDATES if other != decoded.encoding))
    return [finding_at(ENCODING_GUESSED, message=message, file=name, row=line, value=word, readings=readings)]


def _ragged(rows: Sequence[Sequence[str]], name: str) -> list[dict[str, object]]:
    lengths = Counter(len(row) for row in rows if row)
    if len(lengths) < 2:
        return []
    usual = max(lengths.items(), key=lambda item: (item[1], item[0]))[0]
    found = []
    for number, row in enumerate(rows, start=1):
        if not row or len(row) == usual or sum(map(bool, map(str.strip, row))) <= 1:
            continue  # a title or note of one field is met when tables are found
        if len(row) > usual and not any(cell.strip() for cell in row[usual:]):
            continue  # delimiters at the end of the line only
        message = f"Line {number} has {len(row)} fields, most lines have {usual}."
        column = column_letter(usual + 1) if len(row) > usual else ""
        value = row[usual] if len(row) > usual else ""
        found.append(
            finding_at(RAGGED_LINE, message=message, file=name, row=number, column=column, value=value,
                       cause=f"{len(row)} fields")
        )  # fmt: skip
        if len(found) == MOST_FINDINGS:
            break
    return found


def _unclosed(rows: Sequence[Sequence[str]], lines: int, name: str) -> list[dict[str, object]]:
    if lines - len(rows) <= _MANY_LINES:
        return []
    found = []
    for number, row in enumerate(rows, start=1):
        for column, cell in enumerate(row, start=1):
            if "\n" in cell and cell.count("\n") > _MANY_LINES:
                message = f"One field holds {cell.count(chr(10)) + 1} lines of the file."
                found.append(
                    finding_at(QUOTE_NOT_CLOSED, message=message, file=name, row=number,
                               column=column_letter(column), value=cell[:60])
                )  # fmt: skip
    return found
