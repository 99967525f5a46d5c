"""In which encoding a text file of an archive truly is, and what is wrong with the one that is declared."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from typing import BinaryIO

from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.read.archive_store import Store

TEXT_GUIDE = "Darwin Core text guide 2.2.1"
BLOCK = 1 << 20
MOST_EXAMPLES = 20
#: rule, line, value and message of something that is not as declared
Trouble = tuple[Rule, int, str, str]

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


def codec_of(declared: str) -> str:
    """The encoding as Python knows it; "" for one that does not exist."""
    try:
        "a".encode(declared)  # raises for what is no encoding of text, such as base64
        return codecs.lookup(declared).name
    except (LookupError, ValueError):
        return ""


def true_encoding(store: Store, name: str, declared: str, troubles: list[Trouble]) -> str:
    """The encoding to read with: the declared one if the bytes agree, else UTF-8 with a finding.

    Bytes that are not UTF-8 are then read one by one in the Western code page of desktops (`western-bytes`).
    Text that is valid UTF-8 beyond ASCII is practically never anything else, whatever is declared.
    """
    codec = codec_of(declared)
    if not codec:
        troubles.append((UNKNOWN_FORM, 0, declared, f"there is no encoding {declared!r}; read as UTF-8."))
        codec = "utf-8"
    is_utf8, beyond_ascii = _agrees(store, name, "utf-8")
    if codec in ("utf-8", "utf-8-sig", "ascii") and is_utf8:
        if codec == "ascii" and beyond_ascii:
            troubles.append((WRONG_ENCODING, 0, declared, f"{declared} is declared, but the text is UTF-8."))
        return "utf-8-sig"
    surely_utf8 = is_utf8 and beyond_ascii and not codec.startswith(("utf-16", "utf-32"))
    if codec not in ("utf-8", "utf-8-sig", "ascii") and not surely_utf8 and _agrees(store, name, codec)[0]:
        return codec
    marked = _marked_encoding(store, name)
    if is_utf8:
        troubles.append((WRONG_ENCODING, 0, declared, f"{declared} is declared, but the text is UTF-8."))
    elif marked:
        told = "and cannot all be read" if codec.startswith(marked) else f"but the text is {marked.upper()}"
        troubles.append((WRONG_ENCODING, 0, declared, f"{declared} is declared, {told}."))
        return marked
    else:
        troubles.extend(_lines_not_in_utf8(store, name, declared))
    return "utf-8-sig"


def _marked_encoding(store: Store, name: str) -> str:
    """The encoding that the mark at the start of a file tells; "" where there is none but that of UTF-8."""
    with store.open(name) as stream:
        start = stream.read(4)
    if start.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        return "utf-32"
    return "utf-16" if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else ""


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


def _lines_not_in_utf8(store: Store, name: str, declared: str) -> Iterator[Trouble]:
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
