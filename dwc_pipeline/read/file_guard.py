"""Bytes of a raw file, and the reasons for which it is refused before any reader sees it.

Limits against files made to fill the memory: measured on honest workbooks, which inflate at most some 60 times.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from dwc_pipeline.core.findings import finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile

#: a package that unpacks to more than this is refused. [bytes]
MOST_UNPACKED = 1_500_000_000
#: a package that unpacks to more than this many times its own size is refused, if it is not small anyway.
MOST_INFLATION = 200
SMALL_ANYWAY = 30_000_000

OPEN_ELSEWHERE = declare(
    Rule(
        id="file-open-in-another-program",
        severity=Severity.WARNING,
        what="A lock file beside the raw file says that a spreadsheet program has it open.",
        why="Entries that are not saved yet are not in the file that was read.",
        remedy="Save and close the file in the other program, then run again. If no program has it open, "
        "the lock file is a leftover of a crash and may be deleted.",
    )
)


def is_lock_file(name: str) -> bool:
    """True for the small file that a spreadsheet program leaves beside an open workbook.

    >>> is_lock_file("~$june.xlsx"), is_lock_file(".~lock.june.ods#"), is_lock_file("june.xlsx")
    (True, True, False)
    """
    return name.startswith(("~$", ".~lock."))


def read_bytes(path: Path, name: str) -> bytes:
    """The bytes of a raw file; UnreadableFile if there is no such file, it is empty, locked or a lock file."""
    if is_lock_file(path.name):
        raise UnreadableFile(
            f"{name} is the lock file of a workbook that is open, not a workbook. Close the workbook and name "
            f"the file without the leading '~$'."
        )
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        raise UnreadableFile(f"{name}: there is no such file. Check the path and the spelling.") from None
    except IsADirectoryError:
        raise UnreadableFile(f"{name} is a folder, not a file. Name the files in it.") from None
    except PermissionError:
        raise UnreadableFile(
            f"{name} cannot be opened: it is locked by another program or you may not read it. Close it in the "
            f"other program, or copy it and read the copy."
        ) from None
    except OSError as problem:
        raise UnreadableFile(f"{name} cannot be read from the disk ({problem.strerror}). Copy it anew.") from None
    if not content.strip(b"\0 \t\r\n"):
        raise UnreadableFile(f"{name} is empty. If it comes from a synchronised folder, download it in full first.")
    return content


def lock_findings(path: Path, name: str) -> list[dict[str, object]]:
    """A finding if a lock file beside the file says that another program has it open."""
    locks = (path.with_name("~$" + path.name), path.with_name("~$" + path.name[2:]),
             path.with_name(f".~lock.{path.name}#"))  # fmt: skip
    if not any(lock.exists() for lock in locks):
        return []
    message = f"{name} is open in another program: entries not saved there are missing here."
    return [finding_at(OPEN_ELSEWHERE, message=message, file=name)]


def open_package(content: bytes, name: str) -> zipfile.ZipFile:
    """The file as a zip package, after a look at the sizes it states; UnreadableFile if damaged or too large."""
    try:
        package = zipfile.ZipFile(io.BytesIO(content))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        raise UnreadableFile(
            f"{name} is damaged: its parts cannot be listed. Take it from a backup, or open and save it again."
        ) from None
    unpacked = sum(part.file_size for part in package.infolist())
    if unpacked > MOST_UNPACKED or (unpacked > SMALL_ANYWAY and unpacked > MOST_INFLATION * len(content)):
        raise UnreadableFile(
            f"{name} unpacks to {unpacked / 1e6:,.0f} MB, {unpacked / len(content):,.0f} times its size. It is too "
            f"large, or made to fill the memory. Save the sheets you need to a new workbook."
        )
    return package


def read_part(package: zipfile.ZipFile, part: str, name: str) -> bytes:
    """One part of a package; b"" if it has none of that name."""
    try:
        return package.read(part)
    except KeyError:
        return b""
    except RuntimeError:
        raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.") from None
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, NotImplementedError, ValueError):
        raise damaged(name, part) from None


def with_parts(package: zipfile.ZipFile, replaced: Mapping[str, bytes], name: str) -> bytes:
    """The package with some parts (by lower-case name) put in place of its own; in memory only."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_STORED) as copy:
        for part in package.infolist():
            body = replaced.get(part.filename.lower())
            copy.writestr(
                zipfile.ZipInfo(part.filename), read_part(package, part.filename, name) if body is None else body
            )
    return written.getvalue()


def damaged(name: str, part: str) -> UnreadableFile:
    """The error for a file with a broken part."""
    return UnreadableFile(
        f"{name} is damaged: its part {part} cannot be read. Take it from a backup, or open and save it again in a "
        f"spreadsheet program."
    )


def parse_xml(content: bytes, part: str, name: str) -> Element:
    """The root element; UnreadableFile if the XML is broken or declares a document type or entities."""
    try:
        root: Element = fromstring(content, forbid_dtd=True)
    except DefusedXmlException:
        raise UnreadableFile(
            f"{name}: its part {part} declares a document type or entities, which such files never need. It is not "
            f"read, for safety. Save it again from the program that made it."
        ) from None
    except (ParseError, LookupError, ValueError):  # broken, or in an encoding that nobody knows
        raise damaged(name, part) from None
    return root
