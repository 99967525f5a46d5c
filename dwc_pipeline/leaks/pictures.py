"""Text in the metadata of pictures. A picture that says where it was taken counts as a leak whatever it says."""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterator

from dwc_pipeline.leaks.piece import LARGEST, Piece, Unreadable, strings

PNG, JPEG, GIF, RIFF = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"GIF8", b"RIFF"
TIFF = (b"II*\0", b"MM\0*")


def is_picture(content: bytes) -> bool:
    """True for the kinds of picture that can be looked into."""
    is_webp = content.startswith(RIFF) and content[8:12] == b"WEBP"
    return content.startswith((PNG, JPEG, GIF, *TIFF)) or is_webp


def pieces_of_picture(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """All text round the picture."""
    if content.startswith(PNG):
        yield from _of_png(content, where)
    elif content.startswith(JPEG):
        yield from _of_jpeg(content, where)
    else:
        yield from strings(content, where)
        yield from _of_exif(content, where)


def inflated(stream: bytes) -> bytes:
    """The bytes of a zlib stream; nothing if it is none."""
    try:
        return zlib.decompressobj().decompress(stream, LARGEST)
    except zlib.error:
        return b""


def _of_png(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    at = len(PNG)
    while at + 8 <= len(content):
        size, kind = struct.unpack(">I4s", content[at : at + 8])
        part = content[at + 8 : at + 8 + size]
        if kind == b"eXIf":
            yield from _of_exif(part, where)
        if kind in (b"zTXt", b"iTXt", b"iCCP"):
            for start in range(len(part)):
                if part[start : start + 1] == b"\x78":  # the first byte of a zlib stream
                    yield from strings(inflated(part[start:]), f"{where}, text in the image")
        if kind not in (b"IDAT", b"PLTE"):
            yield from strings(part, f"{where}, text in the image")
        at += size + 12
        if kind == b"IEND":
            break
    yield from strings(content[at:], f"{where}, after the image")


def _of_jpeg(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    at = 2
    while at + 4 <= len(content) and content[at] == 0xFF and content[at + 1] != 0xDA:
        size = struct.unpack(">H", content[at + 2 : at + 4])[0]
        part = content[at + 4 : at + 2 + size]
        yield from strings(part, f"{where}, text in the image")
        if part.startswith(b"Exif"):
            yield from _of_exif(part[6:], where)
        at += size + 2
    end = content.rfind(b"\xff\xd9")
    if end >= 0:
        yield from strings(content[end + 2 :], f"{where}, after the image")


def _of_exif(part: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """A pointer to the position directory (tag 0x8825 of Exif 2.3) is enough: no picture of ours has one."""
    if any(re.search(re.escape(struct.pack(order + "HHI", 0x8825, 4, 1)), part) for order in "<>"):
        yield Unreadable(where, "the image says where it was taken")
