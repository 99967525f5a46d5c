"""Which column of a raw table feeds which field, by the survey file's [table.columns]."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.rule import Rule, Severity, declare

COLUMN_NOT_IN_SHEET = declare(
    Rule(
        "mapped-column-missing",
        Severity.WARNING,
        "The survey file names a column that this sheet does not have.",
        "Whatever the column holds is lost for every row of the sheet, without a sign in the output.",
        "Correct the header in [table.columns] of the survey file; it must be spelt as on the sheet.",
    )
)
COLUMN_FEEDS_NOTHING = declare(
    Rule(
        "unmapped-column",
        Severity.NOTE,
        "A column of the sheet feeds no field.",
        "Its cells are kept beside the tables, but no check reads them and no archive shows them.",
        'Name the field it feeds in [table.columns], or write "" there to leave the column aside.',
    )
)
HEADER_TWICE = declare(
    Rule(
        "header-used-twice",
        Severity.ERROR,
        "Two columns of one sheet have the same header, and it feeds a field.",
        "Nobody can tell which of the two columns is meant; taking either may take the wrong one.",
        'Name the columns by letter in [table.columns], such as "column C" = "body_mass".',
        asks=True,
    )
)


def folded(header: str) -> str:
    """A header without differences of case, spacing and line breaks.

    >>> folded("  SVL\\n(mm) ")
    'svl (mm)'
    """
    return re.sub(r"\s+", " ", header.replace("\u00a0", " ").replace("\u200b", "")).strip().casefold()


@dataclass(frozen=True)
class HeaderMatch:
    """field -> column letter; columns with content that feed nothing; all columns the survey file does not name."""

    fields: Mapping[str, str]
    unmapped: tuple[str, ...]
    not_named: tuple[str, ...]
    findings: pd.DataFrame


def match_headers(table: RawTable, columns: Mapping[str, str]) -> HeaderMatch:
    """The columns of `table` that feed fields, by header text or by "column C"."""
    letters = list(table.text.columns)
    by_header: dict[str, list[str]] = {}
    for letter, header in zip(letters, table.headers, strict=True):
        by_header.setdefault(folded(header), []).append(letter)
    fields: dict[str, str] = {}
    named: set[str] = set()
    findings = []
    here = partial(finding_at, file=table.file, sheet=table.sheet, row=max(table.header_rows, default=0))
    for header, field in columns.items():
        by_letter = re.fullmatch(r"column ([A-Z]{1,3})", header)
        found = [by_letter[1]] if by_letter else by_header.get(folded(header), [])
        found = [letter for letter in found if letter in letters]
        named.update(found)
        if not field or not found:
            if field:
                findings.append(
                    here(
                        COLUMN_NOT_IN_SHEET,
                        message=f'no column "{header}" for {field} on this sheet',
                        value=header,
                        field=field,
                        cause=header,
                    )
                )
            continue
        if len(found) > 1:
            where = ", ".join(found)
            findings.append(
                here(
                    HEADER_TWICE,
                    message=f'columns {where} are both called "{header}"',
                    value=header,
                    field=field,
                    column=found[0],
                )
            )
            continue
        fields.setdefault(field, found[0])
    unmapped = tuple(
        letter for letter in letters if letter not in named and (table.text[letter].str.strip() != "").any()
    )
    for letter in unmapped:
        header = table.headers[letters.index(letter)]
        findings.append(
            here(
                COLUMN_FEEDS_NOTHING,
                message=f'column "{header or letter}" feeds no field',
                value=header,
                column=letter,
                cause=folded(header) or letter,
            )
        )
    not_named = tuple(letter for letter in letters if letter not in named)
    return HeaderMatch(fields, unmapped, not_named, as_findings(findings))
