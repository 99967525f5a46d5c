"""The checklist of names as a table: a delimited text file, or a Darwin Core archive with a Taxon core.

Every value is text as it stands in the file; what it means is for the index of names to say.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pandas as pd

from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.read.delimited import find_delimiter
from dwc_pipeline.read.encoding import decode
from dwc_pipeline.read.file_guard import read_bytes

#: last part of a row type or term identifier, in small letters.
TAXON, VERNACULAR = "taxon", "vernacularname"
ZIP_MARK = b"PK\x03\x04"
#: either of these columns makes a table a checklist.
NAME_COLUMNS = frozenset(("scientificname", "specificepithet"))


def read_checklist(path: Path, name: str = "") -> pd.DataFrame:
    """The rows of a checklist: one column a term or column of ours, text, "" for blank.

    name: how the person knows the file; the path where left out. Lines that start with "#" before the header are
    notes. Raises UnreadableFile if the file is no table of names.
    """
    name = name or str(path)
    if path.is_dir() or path.suffix.lower() == ".xml":
        return _from_archive(path, name)
    content = read_bytes(path, name)
    return _from_archive(path, name) if content.startswith(ZIP_MARK) else _from_text(decode(content, name).text, name)


def _from_text(text: str, name: str) -> pd.DataFrame:
    lines = text.splitlines(keepends=True)
    first = next((at for at, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")), None)
    if first is None:
        raise UnreadableFile(f"{name}: there is no table of names in it. Its first line must name the columns.")
    table = "".join(lines[first:])
    try:
        rows = list(csv.reader(io.StringIO(table), delimiter=find_delimiter(table)))
    except csv.Error as error:
        raise UnreadableFile(f"{name} cannot be read as a table: {error}. Save it again as CSV.") from None
    header = [column.strip().lstrip("\ufeff") for column in rows[0]]
    _require_names(header, name)
    longest = max(len(row) for row in rows)
    if longest > len(header) and any(any(cell.strip() for cell in row[len(header) :]) for row in rows[1:]):
        number = next(at for at, row in enumerate(rows) if any(cell.strip() for cell in row[len(header) :]))
        raise UnreadableFile(
            f"{name}, line {first + number + 1}: {len(rows[number])} cells, but the header names {len(header)}. "
            'Put values that hold the separator in quotation marks (").'
        )
    width = len(header)
    cells = [(row + [""] * width)[:width] for row in rows[1:] if any(cell.strip() for cell in row)]
    frame = pd.DataFrame(cells, columns=header, dtype=object)
    return frame.loc[:, [column != "" for column in header]]


def _from_archive(path: Path, name: str) -> pd.DataFrame:
    parts = {_last(part.row_type): part for part in reversed(read_archive(path, name).parts)}
    taxa = parts.get(TAXON)
    if taxa is None:
        raise UnreadableFile(f"{name} is an archive without taxa. A checklist has a core of row type Taxon.")
    frame = taxa.rows.rename(columns=lambda term: term.replace("#", "/").rsplit("/", 1)[-1]).reset_index(drop=True)
    frame = frame.loc[:, ~frame.columns.duplicated()]
    if "taxonID" not in frame and len(taxa.ids) == len(frame):
        frame["taxonID"] = taxa.ids.to_numpy()
    _require_names(list(frame.columns), name)
    if VERNACULAR in parts:
        frame = _with_common_names(frame, taxa, parts[VERNACULAR])
    return frame.fillna("").astype(object)


def _with_common_names(frame: pd.DataFrame, taxa: ArchivePart, names: ArchivePart) -> pd.DataFrame:
    """The vernacular names of the extension put beside those of the taxon row, separated by "|"."""
    term = next((column for column in names.rows if _last(column) == VERNACULAR), None)
    if term is None:
        return frame
    by_taxon = (
        names.rows[term].groupby(names.ids.reindex(names.rows.index)).agg(lambda some: "|".join(filter(None, some)))
    )
    more = taxa.ids.map(by_taxon).fillna("").to_numpy()
    own = frame["vernacularName"] if "vernacularName" in frame else pd.Series("", index=frame.index, dtype=object)
    return frame.assign(vernacularName=(own + "|" + more).str.strip("|"))


def _require_names(header: list[str], name: str) -> None:
    if not NAME_COLUMNS & {_last(column) for column in header}:
        raise UnreadableFile(
            f"{name}: no column is called scientificName. A checklist is a Darwin Core Taxon table; its first row "
            f"names the columns (found: {', '.join(header[:6])})."
        )


def _last(term: str) -> str:
    return term.replace("#", "/").replace(":", "/").rsplit("/", 1)[-1].lower()
