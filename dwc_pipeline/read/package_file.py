"""A data package as it is: a folder, its datapackage.json, or a packed file, whoever made it.

A packed package is unpacked into a folder of its own, which is removed afterwards; nothing gets out of it.
Source: Darwin Core Data Package guide (2026-05-26), section 3.
"""

from __future__ import annotations

import contextlib
import csv
import gzip
import json
import tarfile
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO, cast

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.package_contents import DESCRIPTOR, EML_FILE, PackageContents, PackageTable
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.terms.data_package import published_tables

GUIDE = "Darwin Core Data Package guide (2026-05-26)"
MOST_UNPACKED = 20_000_000_000
PACKED = (".tar.gz", ".tgz", ".gz")

NOT_JSON = declare(
    Rule(
        id="package-descriptor-is-not-json",
        severity=Severity.ERROR,
        what="datapackage.json cannot be read as a JSON object.",
        why="Without it nobody knows which file is which table.",
        remedy="Correct it; the message says where reading stopped.",
        source=f"{GUIDE} 3 no. 2 (MUST follow the Data Package specification)",
    )
)
TABLE_NOT_READ = declare(
    Rule(
        id="package-table-cannot-be-read",
        severity=Severity.ERROR,
        what="A file that the descriptor names is not there, or is no delimited text in its encoding.",
        why="Its rows are lost to every reader.",
        remedy="Put the file into the package under the name in the descriptor, as UTF-8 text, or name its encoding.",
        source=f"{GUIDE} 3.2 (MUST: path, RFC 4180, UTF-8 or encoding)",
    )
)


def is_package(path: Path) -> bool:
    """True if the path is a data package rather than an archive."""
    name = path.name.lower()
    if path.is_dir():
        return (path / DESCRIPTOR).is_file()
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as packed:
            names = {PurePosixPath(one).name for one in packed.namelist()}
        return DESCRIPTOR in names and "meta.xml" not in names
    return name == DESCRIPTOR or name.endswith(PACKED)


@contextlib.contextmanager
def open_package(path: Path, name: str = "") -> Iterator[PackageContents]:
    """The package at a path, readable while the context lasts.

    name: how the person knows it; the path where left out. Raises UnreadableFile if it cannot be unpacked or holds no
    descriptor; everything else that is wrong is in `problems` or left to the rules.
    """
    name = name or str(path)
    if not path.exists():
        raise UnreadableFile(f"{name}: there is no such file or folder. Check the path and the spelling.")
    if path.is_dir() or path.name.lower() == DESCRIPTOR:
        yield _contents(name, "folder", path if path.is_dir() else path.parent)
        return
    with tempfile.TemporaryDirectory(prefix="package-") as place:
        folder = Path(place)
        is_zip = zipfile.is_zipfile(path)
        try:
            (_unpack_zip if is_zip else _unpack_tar)(path, folder, name)
        except (tarfile.TarError, zipfile.BadZipFile, zlib.error, EOFError, OSError) as error:
            raise UnreadableFile(
                f"{name} cannot be unpacked ({error}). A packed data package is a tar file packed with gzip; "
                f"pack it again, or name the folder."
            ) from None
        yield _contents(name, "zip" if is_zip else "gzip", folder)


def _unpack_tar(path: Path, folder: Path, name: str) -> None:
    with tarfile.open(path, "r:gz") as packed:
        size = 0
        for member in packed:
            size += member.size
            if size > MOST_UNPACKED:
                raise UnreadableFile(
                    f"{name} unpacks to more than {MOST_UNPACKED / 1e9:.0f} GB. Name the folder instead."
                )
            packed.extract(member, folder, filter="data")


def _unpack_zip(path: Path, folder: Path, name: str) -> None:
    with zipfile.ZipFile(path) as packed:
        if sum(member.file_size for member in packed.infolist()) > MOST_UNPACKED:
            raise UnreadableFile(
                f"{name} unpacks to more than {MOST_UNPACKED / 1e9:.0f} GB. Name the folder instead."
            )
        packed.extractall(folder)


def _contents(name: str, container: str, folder: Path) -> PackageContents:
    found = min(folder.rglob(DESCRIPTOR), key=lambda path: (len(path.parts), path), default=None)
    if found is None:
        raise UnreadableFile(f"{name} has no {DESCRIPTOR}: it is no data package.")
    inner = found.parent.relative_to(folder).as_posix()
    root = found.parent
    files = tuple(sorted(path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()))
    troubles: list[dict[str, object]] = []
    contents = PackageContents(
        name,
        container,
        root,
        files,
        "" if inner == "." else inner,
        _descriptor(found, name, troubles),
        (root / EML_FILE).read_bytes() if (root / EML_FILE).is_file() else b"",
    )
    tables = tuple(table for one in contents.resources if (table := _table(one, root, name, troubles)))
    return PackageContents(**{**vars(contents), "tables": tables, "problems": as_findings(troubles)})


def _descriptor(path: Path, name: str, troubles: list[dict[str, object]]) -> Mapping[str, Any]:
    try:
        found = json.loads(path.read_text(encoding="utf-8-sig"))
    except (ValueError, RecursionError) as error:
        message = f"{name}: {DESCRIPTOR} is no JSON: {error}."
        troubles.append(finding_at(NOT_JSON, message=message, file=name, sheet=DESCRIPTOR))
        return {}
    if isinstance(found, Mapping):
        return found
    message = f"{name}: {DESCRIPTOR} is no JSON object."
    troubles.append(finding_at(NOT_JSON, message=message, file=name, sheet=DESCRIPTOR))
    return {}


def _table(
    resource: Mapping[str, Any], root: Path, name: str, troubles: list[dict[str, object]]
) -> PackageTable | None:
    """The table of a resource with a reserved name; None for any other resource."""
    table, file = resource.get("name"), resource.get("path")
    if table not in published_tables():
        return None
    found = PackageTable(str(table), str(file), resource)
    if not isinstance(file, str) or not is_inside(file):
        return found
    try:
        with _opened(root / file) as stream:
            first = stream.readline(1 << 20)
        rows, header = _rows(root / file, resource)
    except (OSError, EOFError, zlib.error, ValueError, LookupError, csv.Error) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        message = f"{name}: {file} cannot be read: {reason}."
        troubles.append(finding_at(TABLE_NOT_READ, message=message, file=name, sheet=file))
        return found
    line_end = "\r\n" if first.endswith(b"\r\n") else "\n" if first.endswith(b"\n") else ""
    return PackageTable(found.name, file, resource, header, rows, line_end)


def is_inside(path: str) -> bool:
    """True for a path that stays in the folder."""
    return "://" not in path and not path.startswith(("/", "\\", "~")) and ".." not in PurePosixPath(path).parts


def _opened(path: Path) -> BinaryIO:
    """A file as bytes, unpacked if it is packed on its own."""
    stream = path.open("rb")
    packed = stream.read(2) == b"\x1f\x8b"
    stream.close()
    return cast(BinaryIO, gzip.open(path, "rb")) if packed else path.open("rb")


def _rows(path: Path, resource: Mapping[str, Any]) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Rows of a table, and its header. What does not fit the header is told by the validator of tables."""
    given = resource.get("dialect")
    dialect = given if isinstance(given, Mapping) else {}
    with _opened(path) as stream:
        frame = pd.read_csv(
            stream,
            sep=str(dialect.get("delimiter", ",")),
            quotechar=str(dialect.get("quoteChar", '"')),
            encoding=str(resource.get("encoding", "utf-8")).replace("utf-8", "utf-8-sig"),
            header=None,
            dtype=object,
            keep_default_na=False,
            na_filter=False,
            on_bad_lines="skip",
            low_memory=False,
        )
    header = tuple(str(one) for one in frame.iloc[0])
    frame = frame.iloc[1:].set_axis(list(header), axis=1)
    frame = frame.loc[:, ~frame.columns.duplicated()]
    return frame.set_axis(pd.RangeIndex(1, len(frame) + 1, name="record")), header
