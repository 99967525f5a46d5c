"""Other readings of a text: without escapes of any kind, and unpacked from base 64 or hexadecimal digits."""

from __future__ import annotations

import base64
import binascii
import email.errors
import email.header
import html
import re
from collections.abc import Iterator
from urllib.parse import unquote

#: an escape of an escape is still looked through
ROUNDS = 3
_UNICODE = re.compile(r"\\u(?:\{([0-9a-fA-F]{1,6})\}|([0-9a-fA-F]{4}))|\\x([0-9a-fA-F]{2})")
_LINE_ESCAPE = re.compile(r"\\[nrtfv]")
_STYLE_ESCAPE = re.compile(r"\\([0-9a-fA-F]{2,6}) ?")
_QUOTED_PRINTABLE = re.compile(r"(?:=[0-9A-F]{2})+|=\r?\n")
_ENCODED_WORD = re.compile(r"=\?[\w-]+\?[BbQq]\?[^?\s]*\?=")
_BASE64 = re.compile(r"(?<![\w+/-])[\w+/-]{12,}={0,2}(?![\w+/=-])")
_HEX = re.compile(r"(?<![0-9a-fA-F])(?:[0-9a-fA-F]{2}[ :]?){6,}(?![0-9a-fA-F])")
#: signs that nobody sees: zero-width ones, soft hyphens, marks of direction
_UNSEEN = re.compile(
    "[\u00ad\u034f\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufe00-\ufe0f\ufeff]|[\U000e0000-\U000e01ef]"
)


def readings(text: str) -> Iterator[str]:
    """The text without escapes, then what else may be read from it."""
    plain = without_escapes(text)
    yield plain
    for other in (_with_line_escapes(plain), _quoted_printable(plain), _encoded_words(plain)):
        if other != plain:
            yield without_escapes(other)
    yield from _unpacked(plain)


def without_escapes(text: str) -> str:
    """Without the escapes of HTML, of web addresses and of JSON, and without signs that nobody sees.

    >>> without_escapes("%57ind&amp;#109;ill\\u200b")
    'Windmill'
    """
    for _ in range(ROUNDS):
        before = text
        if "&" in text:
            text = html.unescape(text)
        if "\\" in text:
            text = _UNICODE.sub(_character, text)
        if "%" in text:
            text = unquote(text)
        if text == before:
            break
    return text if text.isascii() else _UNSEEN.sub("", text)


def _character(found: re.Match[str]) -> str:
    number = int(found[1] or found[2] or found[3], 16)
    return chr(number) if number <= 0x10FFFF else found.group()


def _with_line_escapes(text: str) -> str:
    if "\\" not in text:
        return text
    return _STYLE_ESCAPE.sub(lambda found: chr(min(int(found[1], 16), 0x10FFFF)), _LINE_ESCAPE.sub(" ", text))


def _quoted_printable(text: str) -> str:
    if "=" not in text:
        return text
    return _QUOTED_PRINTABLE.sub(
        lambda found: bytes.fromhex("".join(found.group().split()).replace("=", "")).decode("utf-8", "replace"), text
    )


def _encoded_words(text: str) -> str:
    if "=?" not in text:
        return text

    def read(found: re.Match[str]) -> str:
        try:
            return str(email.header.make_header(email.header.decode_header(found.group())))
        except (UnicodeError, LookupError, ValueError, email.errors.HeaderParseError):
            return found.group()

    return _ENCODED_WORD.sub(read, text)


def _unpacked(text: str) -> Iterator[str]:
    for found in _BASE64.findall(text):
        word = found.rstrip("=").replace("-", "+").replace("_", "/")
        try:
            yield from _printable(base64.b64decode(word + "=" * (-len(word) % 4), validate=True))
        except (binascii.Error, ValueError):
            continue
    for found in _HEX.findall(text):
        yield from _printable(bytes.fromhex(re.sub("[ :]", "", found)))


def _printable(content: bytes) -> Iterator[str]:
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        return
    if text.isprintable() or text.replace("\n", "").isprintable():
        yield text
