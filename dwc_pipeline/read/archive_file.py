"""A Darwin Core archive as it is, zip file or folder, whoever made it.

Everything the metafile allows is read: any separator, quotation mark, line end and encoding, defaults, files
without header, several files for one part. What is not as declared is a finding, never silently repaired.

A large archive can be read in blocks, so that memory holds one block and the columns that are kept.
Source: Darwin Core text guide (2023-09-13).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.read.archive_headers import NO_METAFILE, parts_by_headers
from dwc_pipeline.read.archive_parts import Blocks, Troubles, in_blocks, path_inside, with_rows
from dwc_pipeline.read.archive_store import Store, metafile_name, open_store, read_description
from dwc_pipeline.read.metafile import Metafile, read_metafile


def read_archive(path: Path, name: str = "", blocks: Blocks | None = None) -> ArchiveContents:
    """The archive at a path: a zip file, a folder, or a text file alone.

    name: how the person knows it; the path where left out. blocks: where given, the rows are handed out block by
    block, and the archive that comes back holds of them what `blocks` kept.
    Raises UnreadableFile if the file cannot be opened at all or the metafile is not XML; everything else that is
    wrong is in `problems`. With blocks it may raise RecordsDiffer: then read the archive without.
    """
    name = name or str(path)
    store = open_store(path, name)
    found = metafile_name(store.names)
    if not found:
        parts, troubles = parts_by_headers(store, name)
        contents = ArchiveContents(name, store.names)
        return _with_parts(contents, store, parts, troubles, blocks)
    document = read_description(store, found)
    meta = read_metafile(document, f"{name}: {found}")
    contents = ArchiveContents(name, store.names, document, meta.metadata, _metadata(store, meta))
    troubles = []
    if found != "meta.xml":
        message = f"{name}: the metafile is called {found}; on many systems a reader does not find it."
        troubles.append(finding_at(NO_METAFILE, message=message, file=name, value=found))
    return _with_parts(contents, store, meta.parts, troubles, blocks)


def _with_parts(
    contents: ArchiveContents,
    store: Store,
    parts: tuple[ArchivePart, ...],
    troubles: Troubles,
    blocks: Blocks | None,
) -> ArchiveContents:
    ordered = sorted(parts, key=lambda part: not part.is_core)
    filled = [
        with_rows(part, store, contents.name, troubles)
        if blocks is None
        else in_blocks(part, store, contents.name, troubles, blocks)
        for part in ordered
    ]
    cores = [part for part in filled if part.is_core]
    return replace(
        contents,
        core=cores[0] if cores else None,
        extensions=tuple(part for part in filled if not part.is_core),
        problems=as_findings(troubles),
    )


def _metadata(store: Store, meta: Metafile) -> bytes:
    """The description of the data set, if it is in the archive."""
    inside = path_inside(meta.metadata)
    return read_description(store, inside) if inside in store.names else b""
