"""Files and folders that appear whole or not at all.

A folder is built beside its place and exchanged with the former one in a single step where the system can do
that (Linux, macOS), else by two renames. Whatever moment a run is killed at, the former output stands: in its
place, or, between the two renames, beside it, from where the next run puts it back.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from dwc_pipeline.core.output_marker import MARKER
from dwc_pipeline.errors import OutputRefused

#: files that desktops leave in folders and nobody misses
LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini", ".directory"})


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A path to write to; what stands there takes the place of `path` when the block ends without an error.

    Raises OutputRefused if the place cannot be written.
    """
    building = path.with_name(f".{path.name}.building")
    try:
        yield building
        os.replace(building, path)
    except OSError as error:
        raise _cannot_write(path, error) from error
    finally:
        building.unlink(missing_ok=True)


@contextlib.contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """A new folder to write into; it takes the place of `target` when the block ends without an error.

    Leftovers of a run that was killed are removed first, and a former output that such a run had already put
    aside is put back. Raises OutputRefused if `target` is a file, holds anything that we did not write, cannot
    be written, or is being written by another run.
    """
    target = target.resolve()
    building = target.with_name(f".{target.name}.building")
    former = target.with_name(f".{target.name}.former")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _only_run(target):
            _put_right(target, building, former)
            _refuse_strange_content(target)
            building.mkdir()
            try:
                yield building
                _mark(building)
                _refuse_strange_content(target)  # it may have changed while we were writing
                _swap(building, target, former)
            finally:  # what cannot be removed now, the next run removes
                shutil.rmtree(building, ignore_errors=True)
                if target.exists():
                    shutil.rmtree(former, ignore_errors=True)
    except OSError as error:
        raise _cannot_write(target, error) from error


def _put_right(target: Path, building: Path, former: Path) -> None:
    """Undo what a killed run left behind."""
    _remove(building)
    if former.exists():
        if target.exists():
            _remove(former)
        else:
            os.rename(former, target)


def _swap(building: Path, target: Path, former: Path) -> None:
    if not target.exists():
        os.rename(building, target)
    elif not _exchange(building, target):
        os.rename(target, former)
        try:
            os.rename(building, target)
        except OSError:
            os.rename(former, target)
            raise


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system has no such call.

    Source: manual pages renameat2(2) of Linux and renamex_np(2) of macOS, numbers from memory.
    """
    if sys.platform == "win32":
        return False
    library = ctypes.CDLL(None, use_errno=True)
    names = (os.fsencode(one), os.fsencode(other))
    if sys.platform == "linux" and hasattr(library, "renameat2"):
        here, exchange = -100, 2
        return bool(library.renameat2(here, names[0], here, names[1], exchange) == 0)
    if sys.platform == "darwin" and hasattr(library, "renamex_np"):
        return bool(library.renamex_np(names[0], names[1], 2) == 0)
    return False


def _refuse_strange_content(target: Path) -> None:
    """Refuse to replace what we did not write."""
    if not target.exists():
        return
    if not target.is_dir():
        raise OutputRefused(f"{target} is a file, not a folder. Name another folder for the output.")
    found = _paths_below(target)
    marker = target / MARKER
    if not marker.is_file():
        if found or any(target.iterdir()):
            raise OutputRefused(
                f"{target} is no output of dwc_pipeline and would be overwritten. Name another folder, or empty it."
            )
        return
    ours = set(marker.read_text(encoding="utf-8").splitlines())
    strange = [path for path in found if path not in ours and path.rsplit("/", 1)[-1] not in LITTER]
    if strange:
        raise OutputRefused(
            f"{target} holds files that were put there by someone ({', '.join(strange[:5])}) and would be lost. "
            f"Move them elsewhere, then run again."
        )


def _mark(folder: Path) -> None:
    lines = ["Output of dwc_pipeline, replaced whole at each run. Its files:", *_paths_below(folder)]
    (folder / MARKER).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def _paths_below(folder: Path) -> list[str]:
    files = (path for path in folder.rglob("*") if path.is_symlink() or not path.is_dir())
    return sorted(path.relative_to(folder).as_posix() for path in files if path.name != MARKER)


def _remove(folder: Path) -> None:
    if folder.is_dir() and not folder.is_symlink():
        shutil.rmtree(folder)


def _cannot_write(path: Path, error: OSError) -> OutputRefused:
    return OutputRefused(
        f"{path} cannot be written ({error.strerror or error}). Close programs that have its files open, "
        f"make sure there is room and that you may write there, or name another place."
    )


@contextlib.contextmanager
def _only_run(target: Path) -> Iterator[None]:
    """Keep a second run away from the same output; the system lets go of the lock however a run ends."""
    lock = target.with_name(f".{target.name}.lock")
    with lock.open("wb") as handle:
        if not _lock(handle):
            raise OutputRefused(f"{target} is being written by another run. Wait until it has ended, then run again.")
        try:
            yield
        finally:
            with contextlib.suppress(OSError):  # another run may be waiting with it open
                lock.unlink()


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: IO[bytes]) -> bool:
        try:
            msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
else:
    import fcntl

    def _lock(handle: IO[bytes]) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
