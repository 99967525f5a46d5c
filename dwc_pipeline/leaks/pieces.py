"""All text in a file, wherever it hides: cells, hidden sheets, properties, comments, names, image data, archives.

Nothing is interpreted here; the pieces say where they stand, for a person who has to find them.
"""

from __future__ import annotations

import bz2
import email
import email.policy
import gzip
import io
import lzma
import re
import tarfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path

from dwc_pipeline.leaks.documents import decoded, pieces_of_pdf, pieces_of_text
from dwc_pipeline.leaks.pictures import is_picture, pieces_of_picture
from dwc_pipeline.leaks.piece import LARGEST, Piece, Unreadable, strings

#: archives within archives deeper than this are not ours
DEEPEST = 5
GZIP, BZIP2, XZ = b"\x1f\x8b", re.compile(rb"BZh[1-9]1AY&SY"), b"\xfd7zXZ\0"
ZLIB = (b"\x78\x01", b"\x78\x9c", b"\x78\xda")
ZIP_PARTS = (b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06", b"PK\x07\x08")
_HEADERS = re.compile(rb"(?:[A-Za-z][A-Za-z-]*:[^\n]*\n(?:[ \t][^\n]*\n)*){2}")
_MAIL = re.compile(rb"^(?:From|Subject|MIME-Version|Received|Message-ID):", re.MULTILINE | re.IGNORECASE)


def pieces_of_folder(folder: Path) -> Iterator[Piece | Unreadable]:
    """All pieces of all files below a folder, or of one file; names of files and folders included."""
    paths = sorted(folder.rglob("*")) if folder.is_dir() else [folder]
    for path in paths:
        name = path.relative_to(folder).as_posix() if path != folder else path.name
        yield Piece("name of a file", name)
        if path.is_symlink():
            yield Piece("target of a link", str(path.readlink()))
        if path.is_file():
            yield from pieces_of_bytes(path.read_bytes(), name, 0)


def pieces_of_bytes(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    """All pieces of a file's bytes, by what they are and not by what the file is called."""
    if depth > DEEPEST:
        yield Unreadable(where, "archives within archives")
    elif zipfile.is_zipfile(io.BytesIO(content)):
        yield from _of_zip(content, where, depth)
    elif len(content) > 262 and content[257:262] == b"ustar":
        yield from _of_tar(content, where, depth)
    elif (unpack := _packing(content)) is not None:
        yield from _of_packed(content, where, depth, unpack)
    elif is_picture(content):
        yield from pieces_of_picture(content, where)
    elif content.startswith(b"%PDF"):
        yield from pieces_of_pdf(content, where)
    elif (text := decoded(content)) is None or content.startswith(ZIP_PARTS):
        yield from strings(content, where)
        yield Unreadable(where, "a kind of file that cannot be looked into")
    else:
        yield from pieces_of_text(text, content, where)
        if _HEADERS.match(content) and _MAIL.search(content):
            yield from _of_mail(content, where, depth)


def _of_zip(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        yield from strings(archive.comment, f"{where}, comment of the archive")
        yield from strings(_between_members(content, archive.infolist()), f"{where}, outside the members")
        for member in archive.infolist():
            inside = f"{where}, member {member.filename}"
            yield Piece(f"{where}, name of a member", member.filename)
            yield from strings(member.comment + b"\n" + member.extra, f"{inside}, comment")
            if member.flag_bits & 1 or member.file_size > LARGEST:
                yield Unreadable(inside, "encrypted or too large to be read back")
            elif not member.is_dir():
                try:
                    unpacked = archive.read(member)
                except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, OSError):
                    yield Unreadable(inside, "damaged, or packed in a way that cannot be read back")
                    continue
                yield from pieces_of_bytes(unpacked, inside, depth + 1)


def _between_members(content: bytes, members: list[zipfile.ZipInfo]) -> bytes:
    """What stands before, between and after the packed members: their headers, and what hides beside them."""
    rest, at = [], 0
    for member in sorted(members, key=lambda one: one.header_offset):
        name, extra = content[member.header_offset + 26 :][:2], content[member.header_offset + 28 :][:2]
        data = member.header_offset + 30 + int.from_bytes(name, "little") + int.from_bytes(extra, "little")
        rest.append(content[at:data])
        at = max(at, data + member.compress_size)
    return b"\0".join([*rest, content[at:]])


def _packing(content: bytes) -> Callable[[bytes], bytes] | None:
    """What unpacks the bytes, if they are one packed file."""
    if content.startswith(GZIP):
        return _of_gzip
    if BZIP2.match(content):
        return bz2.decompress
    if content.startswith(XZ):
        return lzma.decompress
    if content.startswith(ZLIB):
        return zlib.decompress
    return None


def _of_gzip(content: bytes) -> bytes:
    with gzip.GzipFile(fileobj=io.BytesIO(content)) as packed:
        return packed.read(LARGEST)


def _of_packed(
    content: bytes, where: str, depth: int, unpack: Callable[[bytes], bytes]
) -> Iterator[Piece | Unreadable]:
    yield from strings(content[:300], f"{where}, name inside")
    try:
        inside = unpack(content)
    except (OSError, EOFError, ValueError, zlib.error, lzma.LZMAError):
        yield Unreadable(where, "a damaged packed file")
        return
    yield from pieces_of_bytes(inside, f"{where}, unpacked", depth + 1)


def _of_tar(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    try:
        with tarfile.open(fileobj=io.BytesIO(content)) as archive:
            for member in archive:
                names = [
                    member.name,
                    member.uname,
                    member.gname,
                    member.linkname,
                    *map(str, member.pax_headers.values()),
                ]
                yield Piece(f"{where}, name of a member", " ".join(names))
                opened = archive.extractfile(member) if member.isfile() else None
                if opened is not None:
                    yield from pieces_of_bytes(opened.read(LARGEST), f"{where}, member {member.name}", depth + 1)
    except tarfile.TarError:
        yield from strings(content, where)
        yield Unreadable(where, "a damaged tar file")


def _of_mail(content: bytes, where: str, depth: int) -> Iterator[Piece | Unreadable]:
    """Headers and parts of a message, unpacked."""
    mail = email.message_from_bytes(content, policy=email.policy.default)
    for part in mail.walk():
        for name, value in part.items():
            yield Piece(f"{where}, header {name}", str(value))
        packed = None if part.is_multipart() else part.get_payload(decode=True)
        if isinstance(packed, bytes):
            yield from pieces_of_bytes(packed, f"{where}, {part.get_content_type()}", depth + 1)
