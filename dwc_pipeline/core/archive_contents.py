"""What an archive that anybody may have made holds, as far as it can be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from dwc_pipeline.core.findings import as_findings
from dwc_pipeline.core.kept_column import KeptColumn, Keys, Texts, keys_of

METAFILE = "meta.xml"
ROWS_OF_A_BLOCK = 50_000


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
    index = number of the record in the part, from 1. ids: the identifier of the core record, same index.
    Of a large archive `rows` has no columns and `ids` no rows: what is left of them is in `kept` and `kept_ids`, so
    take them with the methods.
    lines: the line of its file at which each record starts, same index. starts: for each file that was read, its
    name and the number of its first record. width: number of columns that the files have.
    headers: the lines that were skipped as header, cell by cell. firsts: the first record of each file.
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
    firsts: tuple[tuple[str, ...], ...] = ()
    kept: Mapping[str, KeptColumn] = field(default_factory=dict)
    kept_ids: KeptColumn | None = None

    @property
    def count(self) -> int:
        """Number of records."""
        return len(self.rows.index)

    def has(self, term: str) -> bool:
        """True if the part has a column or a constant for the term, as far as it was kept."""
        return term in self.rows or term in self.kept

    def text(self, term: str) -> pd.Series:
        """The values of a term by its identifier; "" in every row if the part does not have it."""
        if term in self.rows:
            return self.rows[term]
        if term in self.kept:
            return pd.Series(self.kept[term].texts(), index=self.rows.index, dtype=object)
        return pd.Series("", index=self.rows.index, dtype=object)

    def text_blocks(self, terms: Sequence[str]) -> Iterator[tuple[int, list[Texts]]]:
        """The texts of some terms block by block: the position of the first row, and one array a term.

        Only for terms that the rules keep as texts (check/kept_columns.py): their blocks hold the same rows.
        """
        kept = {term: self.kept[term].blocks() for term in terms if term in self.kept}
        first = 0
        while first < self.count:
            there = {term: next(blocks) for term, blocks in kept.items()}
            size = min((len(texts) for texts in there.values()), default=min(ROWS_OF_A_BLOCK, self.count - first))
            rows = slice(first, first + size)
            yield first, [
                there[term] if term in there
                else self.rows[term].iloc[rows].to_numpy(dtype=object) if term in self.rows
                else np.full(size, "", dtype=object)
                for term in terms
            ]  # fmt: skip
            first += size

    def keys(self, term: str) -> Keys:
        """A number a row that is equal for equal values of a term; 0 for ""."""
        if term in self.kept:
            return self.kept[term].keys()
        return keys_of(self.rows[term]) if term in self.rows else np.zeros(self.count, dtype=np.uint64)

    def id_keys(self) -> Keys:
        """The same for the identifiers of the core record."""
        return keys_of(self.ids) if self.kept_ids is None else self.kept_ids.keys()

    def texts_at(self, term: str, records: Sequence[int]) -> list[str]:
        """The values of a term in a few records."""
        if term in self.kept:
            return self.kept[term].texts_at([record - 1 for record in records])
        return [str(text) for text in self.text(term).loc[list(records)]]

    def ids_at(self, records: Sequence[int]) -> list[str]:
        """The identifiers of the core record of a few records."""
        if self.kept_ids is not None:
            return self.kept_ids.texts_at([record - 1 for record in records])
        return [str(text) for text in self.ids.loc[list(records)]]

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
