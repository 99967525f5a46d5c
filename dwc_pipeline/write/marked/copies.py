"""Writes a marked copy of every raw file into a folder."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from pathlib import Path, PurePosixPath

import pandas as pd

from dwc_pipeline.core.raw import column_letter
from dwc_pipeline.write.marked.first_sheet import add_first_sheet
from dwc_pipeline.write.marked.marks import mark_cells, place_on
from dwc_pipeline.write.marked.raw_copy import RawCopy, RawFile, copy_of
from dwc_pipeline.write.zip_bytes import FIXED_TIME, write_zip

PROPERTIES = "docProps/core.xml"
TIMES = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:)")
FIXED_INSTANT = f"{FIXED_TIME[0]}-01-01T00:00:00Z".encode()


def write_marked_copies(files: Sequence[RawFile], findings: pd.DataFrame, folder: Path) -> list[Path]:
    """Write one workbook a raw file, under the raw file's name, below `folder`; the raw files are only read.

    findings: the reviewed findings of the season. Raises OutputRefused if a copy cannot be written.
    """
    return [
        write_marked_copy(file, findings[findings["file"] == file.name], folder / name)
        for file, name in zip(files, copy_names([file.name for file in files]), strict=True)
    ]


def copy_names(names: Sequence[str]) -> list[str]:
    """Names of the copies, each once, all of them below the folder and workbooks.

    >>> copy_names(["raw/june.xlsx", "raw/june.csv", "../elsewhere/log.xls"])
    ['raw/june.xlsx', 'raw/june.csv.xlsx', 'elsewhere/log.xls.xlsx']
    """
    made: list[str] = []
    for name in names:
        parts = [part for part in PurePosixPath(name).parts if part not in ("..", "/")]
        path = "/".join(parts)
        plain = path if path.lower().endswith(".xlsx") else f"{path}.xlsx"
        number, copy_name = 1, plain
        while copy_name.casefold() in {one.casefold() for one in made}:
            number += 1
            copy_name = f"{plain[:-5]} ({number}).xlsx"
        made.append(copy_name)
    return made


def write_marked_copy(file: RawFile, findings: pd.DataFrame, path: Path) -> Path:
    """Write the marked copy of one raw file. findings: those of this file, errors first."""
    copied = copy_of(file)
    counted = findings[findings["waived"] == ""]
    shown = with_cells(copied, counted)
    fills = {
        sheet.sheet: {f"{column_letter(at)}{row}": colour for (row, at), colour in sheet.fills.items()}
        for sheet in file.sheets
    }
    for sheet, page in copied.tabs.items():
        mark_cells(page, shown[shown["sheet"] == sheet], fills.get(sheet, {}))
    add_first_sheet(copied, file.name, shown, len(findings) - len(counted))
    path.parent.mkdir(parents=True, exist_ok=True)
    return save(copied, path)


def with_cells(copied: RawCopy, findings: pd.DataFrame) -> pd.DataFrame:
    """The findings with the tab and the cell of the copy that each one speaks of."""
    pages = [copied.tabs.get(sheet) for sheet in findings["sheet"]]
    cells = [
        place_on(page, int(row), str(column)) if page is not None else ""
        for page, row, column in zip(pages, findings["row"], findings["column"], strict=True)
    ]
    tabs = [page.title if page is not None else "" for page in pages]
    return findings.assign(
        tab=pd.Series(tabs, index=findings.index, dtype=object),
        cell=pd.Series(cells, index=findings.index, dtype=object),
    )


def save(copied: RawCopy, path: Path) -> Path:
    """Write the workbook, whole or not at all; the bytes depend on its content only."""
    made = io.BytesIO()
    copied.book.save(made)
    with zipfile.ZipFile(made) as book:
        members = {name: book.read(name) for name in book.namelist()}
    members[PROPERTIES] = TIMES.sub(rb"\g<1>" + FIXED_INSTANT + rb"\g<3>", members[PROPERTIES])
    return write_zip(path, {name: [content] for name, content in members.items()})
