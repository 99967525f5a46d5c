"""All text in a file, wherever it hides: cells, hidden sheets, properties, comments, names, image data, archives.

Nothing is interpreted here; the pieces say where they stand, for a person who has to find them.
"""

from __future__ import annotations

import gzip
import html
import io
import re
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple
from urllib.parse import unquote

from lxml import etree

from dwc_pipeline.core.safe_xml import NOT_IN_XML

#: archives within archives deeper than this are not ours
DEEPEST = 5
#: [bytes] of one unpacked member
LARGEST = 400_000_000
SHORTEST_RUN = 5
_ESCAPED = re.compile(r"\\u([0-9a-fA-F]{4})")
_CELL_ADDRESS = re.compile(r"\$?[A-Z]{1,3}\$?\d{1,7}(:\$?[A-Z]{1,3}\$?\d{1,7})?")
_PRINTABLE = re.compile(rb"[\x20-\x7e\x80-\xff]{%d,}" % SHORTEST_RUN)
_WIDE = re.compile(rb"(?:[\x20-\x7e\xa0-\xff]\x00){%d,}" % SHORTEST_RUN)
_PDF_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_TAG, _QUOTED = re.compile(r"<[^<>]*>"), re.compile(r"[\"']([^\"']*)[\"']")
#: what stands before a text in the header of a page of a workbook
_HEADER_CODE = re.compile(r"&[A-Z]")
PNG, JPEG, GZIP = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"\x1f\x8b"


class Piece(NamedTuple):
    """Some text and where it stands. whole: a whole document, in which neighbours need not belong together."""

    where: str
    text: str
    whole: bool = False


class Unreadable(NamedTuple):
    """A part that cannot be looked into; it counts as a leak, since nobody can say that it is none."""

    where: str
    why: str


def pieces_of_folder(folder: Path) -> Iterator[Piece | Unreadable]:
    """All pieces of all files below a folder, or of one file; names of files and folders included."""
    files = sorted(path for path in folder.rglob("*") if path.is_file()) if folder.is_dir() else [folder]
    for path in files:
        name = path.relative_to(folder).as_posix() if path != folder else path.name
        yield Piece("name of a file", name)
        yield from pieces_of_bytes(path.read_bytes(), name, 0)


def pieces_of_bytes(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    """All pieces of a file's bytes, by what they are and not by what the file is called."""
    if depth > DEEPEST:
        yield Unreadable(where, "archives within archives")
    elif zipfile.is_zipfile(io.BytesIO(content)):
        yield from _of_zip(content, where, depth)
    elif content.startswith(GZIP):
        yield from _of_gzip(content, where, depth)
    elif len(content) > 262 and content[257:262] == b"ustar":
        yield from _of_tar(content, where, depth)
    elif content.startswith(PNG):
        yield from _of_png(content, where)
    elif content.startswith(JPEG):
        yield from _of_jpeg(content, where)
    elif content.startswith(b"%PDF"):
        yield from _of_pdf(content, where)
    else:
        yield from _of_text(content, where)


def _of_zip(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        yield from _strings(archive.comment, f"{where}, comment of the archive")
        at_ends = content[: min((one.header_offset for one in archive.infolist()), default=0)]
        yield from _strings(at_ends, f"{where}, before the archive")
        for member in archive.infolist():
            inside = f"{where}, member {member.filename}"
            yield Piece(f"{where}, name of a member", member.filename)
            yield from _strings(member.comment + b"\n" + member.extra, f"{inside}, comment")
            if member.flag_bits & 1 or member.file_size > LARGEST:
                yield Unreadable(inside, "encrypted or too large to be read back")
            elif not member.is_dir():
                yield from pieces_of_bytes(archive.read(member), inside, depth + 1)


def _of_gzip(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    yield from _strings(content[:300], f"{where}, name inside")
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(content)) as packed:
            inside = packed.read(LARGEST)
    except (OSError, EOFError, zlib.error):
        yield Unreadable(where, "damaged gzip")
        return
    yield from pieces_of_bytes(inside, f"{where}, unpacked", depth + 1)


def _of_tar(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    with tarfile.open(fileobj=io.BytesIO(content)) as archive:
        for member in archive:
            yield Piece(
                f"{where}, name of a member", f"{member.name} {member.uname} {member.gname} {member.linkname}"
            )
            opened = archive.extractfile(member)
            if opened is not None:
                yield from pieces_of_bytes(opened.read(LARGEST), f"{where}, member {member.name}", depth + 1)


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
                    yield from _strings(_inflated(part[start:]), f"{where}, text in the image")
        if kind not in (b"IDAT", b"PLTE"):
            yield from _strings(part, f"{where}, text in the image")
        at += size + 12
        if kind == b"IEND":
            break
    yield from _strings(content[at:], f"{where}, after the image")


def _of_jpeg(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    at = 2
    while at + 4 <= len(content) and content[at] == 0xFF and content[at + 1] != 0xDA:
        size = struct.unpack(">H", content[at + 2 : at + 4])[0]
        part = content[at + 4 : at + 2 + size]
        if part.startswith(b"Exif\0\0"):
            yield from _of_exif(part[6:], where)
        yield from _strings(part, f"{where}, text in the image")
        at += 2 + size
    end = content.rfind(b"\xff\xd9")
    if end >= 0:
        yield from _strings(content[end + 2 :], f"{where}, after the image")


def _of_exif(part: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """A pointer to the position directory (tag 0x8825 of Exif 2.3) is enough: no picture of ours has one."""
    order = "<" if part[:2] == b"II" else ">"
    if re.search(struct.pack(order + "HH", 0x8825, 4), part, re.DOTALL):
        yield Unreadable(where, "the image says where it was taken")


def _of_pdf(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    yield from _strings(content, where)
    for stream in _PDF_STREAM.findall(content):
        yield from _strings(_inflated(stream), f"{where}, stream")


def _inflated(stream: bytes) -> bytes:
    try:
        return zlib.decompressobj().decompress(stream, LARGEST)
    except zlib.error:
        return b""


def _of_text(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    text = _decoded(content)
    if text is None:
        yield from _strings(content, where)
        return
    start = text.lstrip("\ufeff \r\n\t")[:200].lower()
    if start.startswith("<") and (start.startswith("<?xml") or "xmlns" in start):
        yield from _of_xml(content, where)
    plain = _plain(text)
    if start.startswith(("<!doctype html", "<html")):
        plain = _plain(_TAG.sub(lambda tag: f" {' '.join(_QUOTED.findall(tag.group()))} ", text.replace("<!--", " ")))
    elif start.startswith("<"):
        return
    for number, line in enumerate(plain.splitlines(), 1):
        if line.strip():
            yield Piece(f"{where}, line {number}", line)
    yield Piece(where, plain, whole=True)


def _of_xml(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """Text, attributes and comments of an XML document, and all of it joined."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True, remove_comments=False)
    try:
        root = etree.fromstring(NOT_IN_XML.sub(" ", content.decode("utf-8")).encode(), parser)
    except (etree.XMLSyntaxError, UnicodeDecodeError):
        yield from _strings(content, where)
        return
    is_sheet = "/xl/" in where or "member xl/" in where
    found: list[str] = []
    row: list[str] = []
    for element in root.iter():
        if isinstance(element.tag, str) and element.tag.endswith("}row") and row:
            found.append(" | ".join(row))
            row = []
        values = [str(value) for value in element.attrib.values()] if isinstance(element.tag, str) else []
        if is_sheet:
            values = [value for value in values if not _CELL_ADDRESS.fullmatch(value)]
        inside = element.text or ""
        if is_sheet and isinstance(element.tag, str) and element.tag.endswith(("Header", "Footer")):
            inside = _HEADER_CODE.sub(" ", inside)
        texts = [*values, inside, element.tail or ""]
        if is_sheet and isinstance(element.tag, str) and element.tag.endswith(("}v", "}t")):
            row.append(element.text or "")
        found += [text for text in texts if text.strip()]
    found.append(" | ".join(row))
    for text in found:
        yield Piece(where, _plain(text))
    yield Piece(where, _plain("\n".join(found)), whole=True)


def _decoded(content: bytes) -> str | None:
    """The bytes as text; None if they are none."""
    marks = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
    encoding = next((name for mark, name in marks if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    return None if "\0" in text else text


def _strings(content: bytes, where: str) -> Iterator[Piece]:
    """Runs of printable characters in bytes, in one and in two bytes each."""
    for run in _PRINTABLE.findall(content):
        try:
            text = run.decode("utf-8")
        except UnicodeDecodeError:
            text = run.decode("cp1252", errors="replace")
        yield Piece(where, _plain(text))
    for run in _WIDE.findall(content):
        yield Piece(where, _plain(run.decode("utf-16-le", errors="replace")))


def _plain(text: str) -> str:
    """Without the escapes of HTML, of web addresses and of JSON."""
    text = html.unescape(text)
    if "\\u" in text:
        text = _ESCAPED.sub(lambda found: chr(int(found.group(1), 16)), text)
    return unquote(text) if "%" in text else text
