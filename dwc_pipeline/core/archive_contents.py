"""What an archive that anybody may have made holds, as far as it can be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from dwc_pipeline.core.findings import as_findings

METAFILE = "meta.xml"


@dataclass(frozen=True)
class ArchiveField:
    """One field of the metafile. index: column counted from 0; None for a constant, which `default` then holds."""

    term: str
    index: int | None
    default: str | None = None
    vocabulary: str = ""
    delimited_by: str = ""


@dataclass(frozen=True)
class TextForm:
    """How the rows of a part are written; the defaults are those of the text guide, section 2.2.1.

    quote: "" where nothing is enclosed.
    """

    delimiter: str = ","
    line_end: str = "\n"
    quote: str = '"'
    encoding: str = "UTF-8"
    header_lines: int = 0
    date_format: str = "YYYY-MM-DD"


@dataclass(frozen=True)
class ArchivePart:
    """The core or an extension.

    id_index: column with the identifier of the core record, counted from 0; None if the metafile does not say.
    rows: one column a term, named by its identifier, text, "" for missing with defaults put in;
    index = number of the record in the part, from 1. Columns of a large archive may be categories of texts: take
    them with `text`. ids: the identifier of the core record, same index.
    lines: the line of its file at which each record starts, same index. starts: for each file that was read, its
    name and the number of its first record. width: number of columns that the files have.
    headers: the lines that were skipped as header, cell by cell.
    """

    is_core: bool
    row_type: str
    form: TextForm = field(default_factory=TextForm)
    locations: tuple[str, ...] = ()
    fields: tuple[ArchiveField, ...] = ()
    id_index: int | None = None
    rows: pd.DataFrame = field(default_factory=pd.DataFrame)
    ids: pd.Series = field(default_factory=lambda: pd.Series(dtype=object))
    lines: pd.Series = field(default_factory=lambda: pd.Series(dtype=int))
    starts: tuple[tuple[str, int], ...] = ()
    width: int = 0
    headers: tuple[tuple[str, ...], ...] = ()

    def text(self, term: str) -> pd.Series:
        """The values of a term by its identifier; "" in every row if the part does not have it."""
        if term in self.rows:
            column = self.rows[term]
            return column.astype(object) if isinstance(column.dtype, pd.CategoricalDtype) else column
        return pd.Series("", index=self.rows.index, dtype=object)

    def place(self, record: int) -> tuple[str, int]:
        """File and line of a record."""
        name = ""
        for location, first in self.starts:
            if first <= record:
                name = location
        return name, int(self.lines.loc[record])

    def column_of(self, term: str) -> int | None:
        """The column of a term, counted from 0; None for a constant or a term that is not there."""
        return next((one.index for one in self.fields if one.term == term), None)


@dataclass(frozen=True)
class ArchiveContents:
    """An archive as read.

    name: path as the person knows it. members: names of all files in it, relative to the metafile.
    metafile: bytes of meta.xml, b"" if there is none. metadata_name: what the metafile calls the description of
    the data set; metadata: its bytes, b"" if it is not in the archive.
    problems: findings about what could not be read, or was read otherwise than declared.
    """

    name: str
    members: tuple[str, ...] = ()
    metafile: bytes = b""
    metadata_name: str = ""
    metadata: bytes = b""
    core: ArchivePart | None = None
    extensions: Sequence[ArchivePart] = ()
    problems: pd.DataFrame = field(default_factory=lambda: as_findings([]))

    @property
    def parts(self) -> tuple[ArchivePart, ...]:
        """The core, if there is one, and the extensions."""
        return ((self.core,) if self.core else ()) + tuple(self.extensions)

    def by_row_type(self) -> Mapping[str, ArchivePart]:
        """The parts by what a row of them is; of two with the same, the first."""
        found: dict[str, ArchivePart] = {}
        for part in self.parts:
            found.setdefault(part.row_type, part)
        return found
