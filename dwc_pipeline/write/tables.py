"""Tables of text as comma-separated files: UTF-8, one line end, quotes only where needed, same bytes every time.

Source: RFC 4180 for the quoting; lines end with a line feed as the Darwin Core text guide's default has it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import pandas as pd

from dwc_pipeline.write.whole_file import whole_file

ROWS_AT_ONCE = 50_000
NEED_QUOTES = (",", '"', "\r", "\n")


def write_table(frame: pd.DataFrame, path: Path, columns: Sequence[str]) -> Path:
    """Write some columns of a table of text, in the order given; what is missing becomes an empty cell.

    Raises TypeError if a column holds anything but text: numbers and dates have been given their written form
    before, in one place, never here.
    """
    with whole_file(path) as building, building.open("wb") as out:
        for block in table_bytes(frame, columns):
            out.write(block)
    return path


def table_bytes(frame: pd.DataFrame, columns: Sequence[str], line_end: str = "\n") -> Iterator[bytes]:
    """The same file piece by piece, the header first."""
    yield (",".join(_written(pd.Series(map(str, columns), dtype=object))) + line_end).encode()
    for start in range(0, len(frame), ROWS_AT_ONCE):
        block = frame.iloc[start : start + ROWS_AT_ONCE]
        cells = [_written(block[column]) for column in columns]
        lines = [",".join(row) for row in zip(*cells, strict=True)]
        if len(columns) == 1:  # an empty line would be read as no line
            lines = [line or '""' for line in lines]
        yield (line_end.join(lines) + line_end).encode()


def _written(values: pd.Series) -> list[str]:
    """The cells of a column as they stand in the file; one look at the whole tells whether any needs quotes."""
    texts: list[str] = values.tolist()
    try:
        whole = "\0".join(texts)
    except TypeError:  # something is missing, or no text
        texts = _texts(values)
        whole = "\0".join(texts)
    if not any(mark in whole for mark in NEED_QUOTES):
        return texts
    return [
        '"' + text.replace('"', '""') + '"' if any(mark in text for mark in NEED_QUOTES) else text for text in texts
    ]


def _texts(values: pd.Series) -> list[str]:
    filled = values.astype(object).where(values.notna(), "")
    kind = pd.api.types.infer_dtype(filled, skipna=False)
    if kind not in ("string", "empty"):
        raise TypeError(f"column {values.name} holds {kind} values: only text can be written")
    texts: list[str] = filled.tolist()
    return texts
