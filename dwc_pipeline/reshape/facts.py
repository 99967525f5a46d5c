"""Facts that hold for every row of a sheet: cells above the table, the sheet's or the file's name, constants."""

from __future__ import annotations

import re
from pathlib import PurePosixPath
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import RawTable, column_number, stored_iso
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.settings import Table

FACT_NOT_FOUND = declare(
    Rule(
        "fact-cell-is-blank",
        Severity.ERROR,
        "A cell above the table that should say something for every row is blank or has another form.",
        "All rows of the sheet lack the place, date or observer that this cell gives.",
        "Fill the cell on the sheet, or correct [table.facts] and [table.fact_patterns] in the survey file.",
    )
)


class Fact(NamedTuple):
    """One value for all rows, and the cell it came from (row 0 where no cell did)."""

    field: str
    text: str
    stored: str = ""
    row: int = 0
    column: str = ""


def sheet_facts(table: RawTable, entry: Table) -> tuple[list[Fact], pd.DataFrame]:
    """The facts of one sheet in the order cell facts, then constants; findings for those that are missing."""
    facts, findings = [], []
    for place, field in entry.facts.items():
        fact = fact_at(table, place, field)
        pattern = entry.fact_patterns.get(place)
        found = re.search(pattern, fact.text) if pattern else None
        if found:
            fact = fact._replace(text=found[1] if found.groups() else found[0])
        if not fact.text.strip() or (pattern and not found):
            wanted = f' of the form "{pattern}"' if pattern else ""
            findings.append(
                finding_at(
                    FACT_NOT_FOUND,
                    message=f"{place} should give {field}{wanted}",
                    file=table.file,
                    sheet=table.sheet,
                    row=fact.row,
                    column=fact.column,
                    value=fact.text,
                    field=field,
                )
            )
            continue
        facts.append(fact)
    facts.extend(Fact(field, text) for field, text in entry.constants.items())
    return facts, as_findings(findings)


def fact_at(table: RawTable, place: str, field: str) -> Fact:
    """The text of a cell such as "B2", of "sheet name" or of "file name"."""
    if place == "sheet name":
        return Fact(field, table.sheet)
    if place == "file name":
        return Fact(field, PurePosixPath(table.file).stem)
    letters = place.rstrip("0123456789")
    row, column = int(place[len(letters) :]), column_number(letters)
    return Fact(field, table.raw.text(row, column), stored_iso(table.raw.value(row, column)), row, letters)
