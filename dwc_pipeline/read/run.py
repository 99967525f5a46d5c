"""The survey file's tables -> raw tables with their sources, and what the later stages consult."""

from __future__ import annotations

import datetime as dt
import fnmatch
import os
from collections.abc import Callable
from pathlib import Path

import pandas as pd

from dwc_pipeline.core.answers import Answers, question_id
from dwc_pipeline.core.collection import collection_put_off
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import RawSheet, RawTable
from dwc_pipeline.core.records import ROW_FIELDS, SOURCE_FIELDS, Outcome, Records, Reference
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.errors import BadAnswers, UnreadableFile
from dwc_pipeline.read.checklist_file import read_checklist
from dwc_pipeline.read.places_file import read_boundary
from dwc_pipeline.read.raw_files import find_files, read_file
from dwc_pipeline.read.sheet_findings import COLOURED_CELL, COLOURED_ROW
from dwc_pipeline.read.tables import TableOptions, find_tables
from dwc_pipeline.settings import SurveyFile, Table

SHEET_NOT_NAMED = declare(
    Rule(
        "sheet-not-in-the-survey-file",
        Severity.WARNING,
        "A sheet with content is named by no table of the survey file.",
        "All its rows are left out of the tables.",
        "Add a [[table]] for the sheet, or list it under skip_sheets of the table that reads its file.",
    )
)
NO_SUCH_SHEET = declare(
    Rule(
        "no-sheet-of-that-name",
        Severity.ERROR,
        "The survey file names a sheet that none of the files has.",
        "Everything on the sheet that was meant is missing from the tables.",
        "Correct the name under `sheets` in the survey file; * stands for any part of a name.",
    )
)
NO_TABLE_FOUND = declare(
    Rule(
        "no-table-on-the-sheet",
        Severity.ERROR,
        "A sheet that the survey file names holds no table that can be recognised.",
        "All its rows are left out of the tables.",
        "Name the header rows in the survey file (header_rows), or the part of the sheet (first_row, use_columns).",
    )
)


@collection_put_off()
def read(survey: SurveyFile, today: dt.date, tell: Callable[[str], None] = lambda _: None) -> Records:
    """Records with the raw tables of every file that the survey file names.

    tell: called with a short text as each file is read. Raises UnreadableFile with all files that cannot be read.
    """
    sheets, troubles = read_all_files(survey, tell)
    reference = read_reference(survey, today, troubles)
    if troubles:
        raise UnreadableFile("\n".join(troubles))
    sources: list[tuple[object, ...]] = []
    raw: dict[int, RawTable] = {}
    findings: list[pd.DataFrame] = []
    outside: dict[tuple[str, str], list[pd.DataFrame]] = {}
    for position, entry in enumerate(survey.table):
        own = wanted_sheets(entry, [sheet for path in entry_files(survey, entry) for sheet in sheets[path]])
        findings.append(missing_sheets(entry, own))
        for sheet in own:
            found = find_tables(sheet, options_of(entry))
            findings.append(without_known_signs(found.findings, entry, reference.answers))
            outside.setdefault((sheet.file, sheet.sheet), []).append(found.roles)
            if not found.tables:
                findings.append(
                    as_findings(
                        [
                            finding_at(
                                NO_TABLE_FOUND,
                                file=sheet.file,
                                sheet=sheet.sheet,
                                cause=sheet.sheet,
                                message="no table was recognised on this sheet",
                            )
                        ]
                    )
                )
            for table in found.tables:
                source = len(raw)
                raw[source] = table
                sources.append((table.file, table.sheet, table.number, position, entry.name, entry.holds))
    every = [sheet for path in sheets for sheet in sheets[path]]
    findings.append(unread_sheets(survey, every, set(outside)))
    return Records(
        reference=reference,
        sources=pd.DataFrame(sources, columns=list(SOURCE_FIELDS)),
        raw=raw,
        rows=rows_outside_tables(every, outside),
        row_counts=count_rows(every),
    ).with_(findings=findings)


def without_known_signs(findings: pd.DataFrame, entry: Table, answers: Answers) -> pd.DataFrame:
    """The findings on a sheet without those that are settled or told elsewhere.

    A colour that the survey file or an answer explains is not asked again, and one that is used both on rows and on
    cells is one question.
    """
    rule = findings["rule"]
    on_row, on_cell = COLOURED_ROW.id, COLOURED_CELL.id
    coloured = rule.isin([on_row, on_cell])
    explained = coloured & findings["value"].isin(list(entry.colours))
    causes = findings.loc[coloured, "cause"].unique()
    known = [one for one in causes if any(answers.get(question_id(name, one)) for name in (on_row, on_cell))]
    kept = findings[~(explained | (coloured & findings["cause"].isin(known)))].copy()
    on_cells = set(kept.loc[kept["rule"] == on_cell, "cause"])
    kept.loc[(kept["rule"] == on_row) & kept["cause"].isin(on_cells), "rule"] = on_cell
    return kept


def read_all_files(survey: SurveyFile, tell: Callable[[str], None]) -> tuple[dict[Path, list[RawSheet]], list[str]]:
    """Every sheet by file, each file read once; what is wrong with the files that cannot be read."""
    sheets: dict[Path, list[RawSheet]] = {}
    troubles: list[str] = []
    for entry in survey.table:
        try:
            paths = entry_files(survey, entry)
        except UnreadableFile as error:
            troubles.append(str(error))
            continue
        for path in paths:
            if path not in sheets:
                name = name_of(path, survey.folder)
                tell(f"reading {name}")
                try:
                    sheets[path] = read_file(path, name, entry.encoding)
                except UnreadableFile as error:
                    sheets[path] = []
                    troubles.append(str(error))
    return sheets, troubles


def entry_files(survey: SurveyFile, entry: Table) -> list[Path]:
    """The files of one table entry, in the order of their names."""
    return [Path(os.path.abspath(path)) for path in find_files(survey.folder, entry.files)]


def name_of(path: Path, folder: Path) -> str:
    """How messages and accounts name a file: by its path from the survey file, so that no two files share a name."""
    try:
        return Path(os.path.relpath(path, os.path.abspath(folder))).as_posix()
    except ValueError:  # another drive
        return path.as_posix()


def options_of(entry: Table) -> TableOptions:
    """How to find the tables of a sheet, by the survey file."""
    return TableOptions(
        header_rows=entry.header_rows if entry.has_header else None,
        first_row=entry.first_row,
        last_row=entry.last_row,
        columns=entry.use_columns,
        table_number=entry.table_number,
        named=tuple(entry.columns),
    )


def wanted_sheets(entry: Table, sheets: list[RawSheet]) -> list[RawSheet]:
    """The sheets that the entry names and does not skip."""
    return [
        sheet
        for sheet in sheets
        if (not sheet.sheet or any(fnmatch.fnmatchcase(sheet.sheet, pattern) for pattern in entry.sheets))
        and not any(fnmatch.fnmatchcase(sheet.sheet, pattern) for pattern in entry.skip_sheets)
    ]


def missing_sheets(entry: Table, own: list[RawSheet]) -> pd.DataFrame:
    """A finding for each sheet name of the entry that no file has."""
    return as_findings(
        finding_at(
            NO_SUCH_SHEET,
            message=f'table "{entry.name}": no sheet is called "{pattern}"',
            value=pattern,
            file=", ".join(entry.files),
            cause=f"{entry.name} {pattern}",
        )
        for pattern in entry.sheets
        if not any(fnmatch.fnmatchcase(sheet.sheet, pattern) or not sheet.sheet for sheet in own)
    )


def unread_sheets(survey: SurveyFile, every: list[RawSheet], used: set[tuple[str, str]]) -> pd.DataFrame:
    """A finding for each sheet with content that no table reads and none skips on purpose."""
    skipped = [pattern for entry in survey.table for pattern in entry.skip_sheets]
    return as_findings(
        finding_at(
            SHEET_NOT_NAMED,
            file=sheet.file,
            sheet=sheet.sheet,
            value=sheet.sheet,
            cause=sheet.sheet,
            message="no table of the survey file reads this sheet",
        )
        for sheet in every
        if (sheet.file, sheet.sheet) not in used
        and filled_rows(sheet)
        and not any(fnmatch.fnmatchcase(sheet.sheet, pattern) for pattern in skipped)
    )


def filled_rows(sheet: RawSheet) -> list[int]:
    """Rows with at least one cell that is not blank, counted straight from the cells."""
    rows = {number for number, row in enumerate(sheet.values, 1) if any(str(cell).strip() for cell in row)}
    rows.update(row for row, _ in sheet.errors)
    return sorted(rows)


def count_rows(sheets: list[RawSheet]) -> pd.DataFrame:
    """How many rows each sheet has that are not blank: what the row accounting must add up to."""
    lines = [(sheet.file, sheet.sheet, len(filled_rows(sheet))) for sheet in sheets]
    return pd.DataFrame(lines, columns=["file", "sheet", "count"])


def rows_outside_tables(sheets: list[RawSheet], roles: dict[tuple[str, str], list[pd.DataFrame]]) -> pd.DataFrame:
    """Accounting lines for rows that lie in no table, and for all rows of sheets that are not read."""
    parts = []
    for sheet in sheets:
        known = roles.get((sheet.file, sheet.sheet))
        if known is None:
            frame = pd.DataFrame({"row": filled_rows(sheet), "reason": "the sheet is not read by the survey file"})
        else:
            every = pd.concat(known)
            frame = pd.DataFrame({"row": every.index, "reason": every["role"].astype(str) + ": " + every["reason"]})
            frame = frame.drop_duplicates("row")
        parts.append(frame.assign(file=sheet.file, sheet=sheet.sheet, outcome=Outcome.ASIDE, table=""))
    return pd.concat(parts, ignore_index=True)[list(ROW_FIELDS)] if parts else pd.DataFrame(columns=list(ROW_FIELDS))


def read_reference(survey: SurveyFile, today: dt.date, troubles: list[str]) -> Reference:
    """Checklist, boundary, answers and register; what is wrong with them goes to `troubles`."""
    files = survey.files
    checklist, boundary = pd.DataFrame(), None
    try:
        if files.checklist:
            checklist = read_checklist(survey.folder / files.checklist)
        if files.boundary:
            boundary = read_boundary(survey.folder / files.boundary)
    except UnreadableFile as error:
        troubles.append(str(error))
    return Reference(
        today=today,
        checklist=checklist,
        boundary=boundary,
        answers=Answers.from_frame(read_own_table(survey.folder / files.answers), files.answers),
        identifiers=read_own_table(survey.folder / files.identifiers),
    )


def read_own_table(path: Path) -> pd.DataFrame:
    """One of our own CSV files as text; an empty frame where there is none yet."""
    if not path.exists():
        return pd.DataFrame()
    try:
        return pd.read_csv(path, dtype=object, keep_default_na=False, encoding="utf-8-sig")
    except (ValueError, UnicodeDecodeError) as error:
        raise BadAnswers(
            f"{path.name} cannot be read as a CSV file in UTF-8 ({error}). Save it as CSV, UTF-8."
        ) from error
