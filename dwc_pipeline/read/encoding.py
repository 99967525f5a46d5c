"""Which characters the bytes of a text file stand for.

A byte order mark and strict UTF-8 leave no doubt. Anything else is told by the survey file, or settled between
the two single-byte encodings of English-language spreadsheets by the words that come out; the words are shown.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from dwc_pipeline.errors import UnreadableFile

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"),
)  # fmt: skip
CANDIDATES = ("cp1252", "mac_roman")

#: how well a character beyond ASCII fits between its neighbours; found by decoding one text both ways.
_FITS = (
    (re.compile(r"(?<=[A-Za-zà-ÿ])[’](?=[A-Za-z])"), 3),  # don’t
    (re.compile(r"(?<=[a-z])[à-öø-ÿœš](?![A-Z])|(?<![^\W\d_])[à-öø-ÿœš](?=[a-z])|[À-ÖØ-ÞŠ](?=[a-zà-ÿ])"), 2),
    (re.compile(r"(?<=\d)\s?[°º](?=\W|\d|[NSEWCFnsewcf]|$)"), 3),
    (re.compile(r"(?<=[\d\s])[±×µ½¼¾²³–—](?=[\s\dm]|$)|[“‘](?=\w)|(?<=[\w.,!?])[”’](?=\W|$)|(?<=\s)[–—](?=\s)"), 2),
    (re.compile(r"(?<=[\w,.;:])\u00a0(?=\S)|[♂♀…•]"), 1),
)  # fmt: skip
_MISFITS = (
    (re.compile(r"(?<=[a-zà-ÿ])[À-ÞŽŠŒŸ](?=[a-zà-ÿ]|\W|$)"), -3),  # an upper-case letter ends or splits a word
    (re.compile(r"(?<=[A-Za-z])[^\w\s’'\-–—,.;:!?()“”‘…*\"/&+\u00a0](?=[A-Za-z])"), -3),  # a sign inside a word
    (re.compile(r"(?<=[a-z])[íìîïÕ](?=(?:s|t|re|ve|ll|d|m)\b)"), -2),  # what an apostrophe turns into
    (re.compile(r"[¤¦§¨¬¯´¸¶‡ˆ˜π∂∫∆√◊∞∑∏Ω≈≠ƒ\x80-\x9f]"), -2),
)  # fmt: skip


@dataclass(frozen=True)
class Decoded:
    """A text, the encoding used, and if that was a guess the words that show it, for each candidate."""

    text: str
    encoding: str
    guess: str = ""
    samples: tuple[tuple[int, str], ...] = ()


def decode(content: bytes, name: str, encoding: str = "") -> Decoded:
    """The text of a file.

    encoding: as the survey file says; "" to find it out. Raises UnreadableFile where no reading fits.
    """
    for mark, marked in _MARKS:
        if content.startswith(mark):
            return _strictly(content, marked, name)
    if encoding:
        return _strictly(content, encoding, name)
    wide = _two_byte_encoding(content)
    if wide:
        return _strictly(content, wide, name)
    try:
        return Decoded(content.decode("utf-8"), "ascii" if content.isascii() else "utf-8")
    except UnicodeDecodeError:
        return _by_the_words(content, name)


def _strictly(content: bytes, encoding: str, name: str) -> Decoded:
    try:
        return Decoded(content.decode(encoding), encoding.removesuffix("-sig"))
    except LookupError:
        raise UnreadableFile(
            f"{name}: there is no encoding {encoding!r}. Usual ones are utf-8, cp1252 (Windows) and mac_roman."
        ) from None
    except UnicodeDecodeError as problem:
        line = content.count(b"\n", 0, problem.start) + 1
        found = content[problem.start : problem.start + 1].hex().upper()
        raise UnreadableFile(
            f"{name}, line {line}: the byte {found} has no meaning in the encoding {encoding}. Give the file's true "
            f"encoding in the survey file, or save it again as UTF-8."
        ) from None


def _two_byte_encoding(content: bytes) -> str:
    """UTF-16 without a mark shows as a zero at every second byte of plain English text."""
    start = content[:4000]
    if start.count(0) * 3 < len(start):
        return ""
    return "utf-16-le" if start[1::2].count(0) > start[0::2].count(0) else "utf-16-be"


def _by_the_words(content: bytes, name: str) -> Decoded:
    readings: dict[str, str] = {}
    for candidate in CANDIDATES:
        try:
            readings[candidate] = content.decode(candidate)
        except UnicodeDecodeError:
            continue  # five bytes have no meaning in cp1252
    scores = {candidate: fitness(text) for candidate, text in readings.items()}
    best = max(scores, key=lambda candidate: scores[candidate])  # the first of equals: cp1252
    if scores[best] < 0 and len(readings) < len(CANDIDATES):
        raise UnreadableFile(
            f"{name} is not UTF-8, and neither {' nor '.join(CANDIDATES)} gives readable words. Give its encoding in "
            f"the survey file, or save it again as UTF-8."
        )
    text = readings[best]
    if len(readings) > 1 and len(set(readings.values())) == 1:
        return Decoded(text, best)  # such as a lone ±, the same in both
    samples = tuple(_samples(text))
    shown = "; ".join(
        f"{candidate}: {', '.join(words)}" for candidate in readings if (words := _words(readings[candidate])[:6])
    )
    return Decoded(text, best, shown, samples)


def fitness(text: str) -> int:
    """How well the characters beyond ASCII sit among their neighbours; higher is better.

    >>> fitness("José’s 34°") > fitness("José’s 34°".encode("cp1252").decode("mac_roman"))
    True
    """
    return sum(weight * len(pattern.findall(text)) for pattern, weight in (*_FITS, *_MISFITS))


def _words(text: str) -> list[str]:
    return list(dict.fromkeys(re.findall(r"[^\s,;\t\"]*[^\x00-\x7f][^\s,;\t\"]*", text)))


def _samples(text: str) -> list[tuple[int, str]]:
    """Line number and word for the first appearances of words with characters beyond ASCII."""
    found: dict[str, int] = {}
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.isascii():
            for word in _words(line):
                found.setdefault(word, number)
        if len(found) >= 20:
            break
    return [(number, word) for word, number in found.items()][:20]
