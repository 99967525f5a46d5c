"""What a normaliser may know of the sheet a row came from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath

from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.settings import SurveyFile, Table


@dataclass(frozen=True)
class Source:
    """One raw table: its place, its entry in the survey file, and where it was found."""

    number: int
    table: RawTable
    entry: Table

    @property
    def place(self) -> str:
        """File and sheet: what a question is bound to if its answer depends on the sheet."""
        return f"{self.table.file}\x1f{self.table.sheet}"

    @property
    def titles(self) -> tuple[str, ...]:
        """Sheet name, cells above the table and file name, for dates without a year."""
        above = tuple(text for text in self.table.above.values() if text.strip())
        return (self.table.sheet, *above, PurePosixPath(self.table.file).stem)

    def header(self, tidy: TidyTable, field: str) -> str:
        """The header of the column that fed a field; "" where none did."""
        letter = tidy.columns.get((self.number, field))
        letters = list(self.table.text.columns)
        return self.table.headers[letters.index(letter)] if letter in letters else ""


def sources_of(records: Records, survey: SurveyFile) -> dict[int, Source]:
    """All sources by number."""
    return {
        number: Source(number, table, survey.table[int(records.sources.at[number, "entry"])])
        for number, table in records.raw.items()
    }
