"""How wide columns, how high rows and where page breaks must be, so that a printed sheet can be read.

Widths are in characters of the workbook's font, as spreadsheets count them; heights in points.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from dwc_pipeline.write.agency.sheet import Column

#: one line of 10 point letters [points], and the highest row that a sheet can have
LINE_HEIGHT, HIGHEST = 13.5, 400.0
#: room for the filter's button beside a header
BUTTON = 3
#: an identifier without a blank in it is not broken up to this length
LONGEST_WORD = 44
#: width of a character and of a cell's edges [pixels at 96 to the inch]
PIXELS_A_CHARACTER, PIXELS_A_CELL = 7, 5
#: what a landscape page holds beside margins of 0.4 inch, a little less to be safe [pixels at 96 to the inch]
LETTER_PAGE, A4_PAGE = 955, 1020
#: smallest print that is still read without a glass: 62 % of 10 points
SMALLEST_SCALE = 0.62


class Pages(NamedTuple):
    """scale: per cent, 0 where the sheet fits on one page. breaks: columns, counted from 0, that begin a new page."""

    scale: int
    breaks: list[int]


def column_width(column: Column, texts: Sequence[str]) -> int:
    """Wide enough for the longest word and number; texts of several words are wrapped at the declared width."""
    header = max(map(len, column.header.split()), default=0) + BUTTON
    longest = max(map(len, texts), default=0)
    if column.kind in ("number", "time"):
        return max(header, min(longest + 1, column.width))  # a longer number is shown rounded and stays whole
    if column.kind == "date":
        return max(header, 11)
    word = max((len(word) for text in texts for word in text.split()), default=0)
    return max(header, min(longest + 2, max(column.width, min(word + 2, LONGEST_WORD))))


def row_height(texts: Sequence[str], widths: Sequence[int]) -> float:
    """The height that shows every line of the texts, each wrapped at the width of its column."""
    lines = max((wrapped_lines(text, width) for text, width in zip(texts, widths, strict=True)), default=1)
    return min(lines * LINE_HEIGHT, HIGHEST)


def wrapped_lines(text: str, width: int) -> int:
    """How many lines a text takes, words kept whole where they fit.

    >>> wrapped_lines("one two three", 8), wrapped_lines("a\\nb", 8), wrapped_lines("x" * 20, 8)
    (2, 2, 3)
    """
    if len(text) < width and "\n" not in text:
        return 1
    lines = 0
    for paragraph in text.split("\n"):
        used = 0
        lines += 1
        for word in paragraph.split(" "):
            if used and used + 1 + len(word) > width:
                lines, used = lines + 1, 0
            used += len(word) + (1 if used else 0)
            if used > width:
                more = math.ceil(used / width) - 1
                lines, used = lines + more, used - more * width
    return lines


def pages(widths: Sequence[int], stay: int, is_american: bool) -> Pages:
    """The scale and breaks of a sheet: everything on one page's width if the print stays legible, else several.

    stay: the columns that come back on every page.
    """
    sizes = [width * PIXELS_A_CHARACTER + PIXELS_A_CELL for width in widths]
    page = LETTER_PAGE if is_american else A4_PAGE
    if sum(sizes) * SMALLEST_SCALE <= page:
        return Pages(0, [])
    again = sum(sizes[:stay])
    scale = min(SMALLEST_SCALE, page / (again + max(sizes[stay:], default=0)))
    room = page / scale
    breaks, used = [], float(again)
    for at, size in enumerate(sizes[stay:], stay):
        if used + size > room and used > again:
            breaks.append(at)
            used = float(again)
        used += size
    return Pages(int(scale * 100), breaks)
