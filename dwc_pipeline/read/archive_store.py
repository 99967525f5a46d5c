"""The files of an archive, in a zip file or in a folder; nothing is ever unpacked to disk."""

from __future__ import annotations

import contextlib
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import BinaryIO, Protocol, cast

from dwc_pipeline.core.archive_contents import METAFILE
from dwc_pipeline.errors import UnreadableFile

#: an archive that unpacks to more than this many times its size is refused, unless it is small anyway. Tables of
#: repeated words shrink to a hundredth.
MOST_INFLATION = 400
SMALL_ANYWAY = 300_000_000
LARGEST_DESCRIPTION = 50_000_000


class Store(Protocol):
    """Where the files of an archive are. names: relative to the folder of the metafile, with slashes."""

    names: tuple[str, ...]

    def open(self, name: str) -> contextlib.AbstractContextManager[BinaryIO]:
        """One file as a stream of bytes."""


def open_store(path: Path, name: str) -> Store:
    """The files of a zip file, of a folder, or one text file alone.

    Raises UnreadableFile if there is nothing, the zip file is damaged, protected or made to fill the memory.
    """
    if path.is_dir():
        return FolderStore(path, None)
    if not path.exists():
        raise UnreadableFile(f"{name}: there is no such file or folder. Check the path and the spelling.")
    if zipfile.is_zipfile(path):
        return ZipStore(path, name)
    if path.name.lower() == METAFILE:
        return FolderStore(path.parent, None)
    return FolderStore(path.parent, path.name)


def read_description(store: Store, name: str) -> bytes:
    """All bytes of a small file, such as the metafile."""
    with store.open(name) as stream:
        content = stream.read(LARGEST_DESCRIPTION + 1)
    if len(content) > LARGEST_DESCRIPTION:
        raise UnreadableFile(f"{name} is larger than {LARGEST_DESCRIPTION / 1e6:.0f} MB: that is no description.")
    return content


def metafile_name(names: tuple[str, ...]) -> str:
    """The metafile among the files at the top, in whatever letters; "" if there is none."""
    found = [name for name in names if name.lower() == METAFILE]
    return METAFILE if METAFILE in found else next(iter(found), "")


class FolderStore:
    """Files in a folder, those below it included; only one of them if `only` names it."""

    def __init__(self, folder: Path, only: str | None) -> None:
        self.folder = folder
        files = (
            sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
            if (only is None)
            else [only]
        )
        self.names = tuple(files)

    @contextlib.contextmanager
    def open(self, name: str) -> Iterator[BinaryIO]:
        """One file as a stream of bytes."""
        try:
            with (self.folder / name).open("rb") as stream:
                yield stream
        except OSError as error:
            raise UnreadableFile(f"{name} cannot be read ({error.strerror}). Check that you may read it.") from None


class ZipStore:
    """Files in a zip file; a single folder that holds everything is looked through."""

    def __init__(self, path: Path, name: str) -> None:
        self.path, self.name = path, name
        try:
            with zipfile.ZipFile(path) as package:
                members = [member for member in package.infolist() if not member.is_dir()]
        except (zipfile.BadZipFile, OSError, ValueError):
            raise self._damaged("its list of files") from None
        unpacked, packed = sum(member.file_size for member in members), path.stat().st_size
        if unpacked > SMALL_ANYWAY and unpacked > MOST_INFLATION * packed:
            raise UnreadableFile(
                f"{name} unpacks to {unpacked / 1e6:,.0f} MB, {unpacked / packed:,.0f} times its size: it may "
                f"have been made to fill the memory and is not read. Unpack it yourself and name the folder."
            )
        if any(member.flag_bits & 1 for member in members):
            raise UnreadableFile(f"{name} is protected by a password. Save a copy without a password.")
        safe = [member.filename for member in members if _is_inside(member.filename)]
        self.prefix = _common_folder(safe)
        self.names = tuple(sorted(member[len(self.prefix) :] for member in safe if member.startswith(self.prefix)))

    @contextlib.contextmanager
    def open(self, name: str) -> Iterator[BinaryIO]:
        """One file as a stream of bytes."""
        try:
            with zipfile.ZipFile(self.path) as package, package.open(self.prefix + name) as stream:
                yield cast(BinaryIO, stream)
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError):
            raise self._damaged(name) from None

    def _damaged(self, part: str) -> UnreadableFile:
        return UnreadableFile(f"{self.name} is damaged: {part} cannot be read. Fetch or write the archive again.")


def _is_inside(name: str) -> bool:
    """True for a path that stays inside the archive."""
    return not name.startswith(("/", "\\")) and ":" not in name and ".." not in PurePosixPath(name).parts


def _common_folder(names: list[str]) -> str:
    """The folder of the metafile, where it is not at the top but in the only folder there is, however deep."""
    own = [name for name in names if not name.startswith("__MACOSX/")]
    folder = ""
    while own and not metafile_name(tuple(name[len(folder) :] for name in own)):
        first, slash, _ = own[0][len(folder) :].partition("/")
        deeper = folder + first + slash
        if not slash or not all(name.startswith(deeper) for name in own):
            break
        folder = deeper
    return folder
