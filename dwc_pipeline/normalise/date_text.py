"""Makes the text of a date or time cell plain: one kind of space, dash and digit, lower case.

Only signs that mean the same are put together. Raised figures stay as they are: a footnote mark after a
year must not become a digit of it.
"""

from __future__ import annotations

import re

_DIGITS = {0xFF10 + n: str(n) for n in range(10)}
_SPACES = dict.fromkeys((0x00A0, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000, 0x0009), " ")
_NOTHING = dict.fromkeys((0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0x2060, 0xFEFF), "")
_DASHES = dict.fromkeys((*range(0x2010, 0x2016), 0x2212, 0xFE58, 0xFE63, 0xFF0D), "-")
_MARKS = {
    0x005C: "/", 0xFF0F: "/", 0x2044: "/", 0x2215: "/", 0xFF0E: ".", 0xFF1A: ":", 0x2236: ":", 0xFF0C: ",",
    0x2018: "'", 0x2019: "'", 0x02BC: "'", 0x00B4: "'", 0x0060: "'", 0xFF5E: "~", 0x2248: "~", 0x223C: "~",
    0xFF1F: "?", 0x0026: " & ",
}  # fmt: skip
_TABLE = {**_DIGITS, **_SPACES, **_NOTHING, **_DASHES, **_MARKS}
_LINE_BREAK = re.compile(r" *[\r\n\v\f\x85\u2028\u2029]+ *")
_QUOTED = re.compile(r"^(?P<q>[\"']+)(?P<inner>.+?)(?P=q)$")
#: "'23 May": the apostrophe stands for a century, it is not the text mark of a spreadsheet
_APOSTROPHE_YEAR = re.compile(r"'[0-9]{2}[ .-]*[a-z]")
#: the only characters that make a cell empty: U+0000 to U+0020 (BDQ draft, bdqval:Empty)
_BLANK = "".join(map(chr, range(0x21)))


def plain(text: str) -> str:
    """The text in lower case with plain signs; a line break within the cell becomes " & ".

    >>> plain(" 14\u00a0May\u20132023 ")
    '14 may-2023'
    """
    text = _LINE_BREAK.sub(" & ", text.strip(_BLANK)).translate(_TABLE).lower()
    text = re.sub(r" {2,}", " ", text).strip(" ")
    if not _APOSTROPHE_YEAR.match(text):
        text = text.removeprefix("'")
    text = _QUOTED.sub(r"\g<inner>", text)
    return re.sub(r"(?<=[0-9a-z])[.,;:]+$", "", text.strip(" "))


def is_blank(text: str) -> bool:
    """True if the cell holds nothing, or nothing but spaces and control characters."""
    return not text.strip(_BLANK)
