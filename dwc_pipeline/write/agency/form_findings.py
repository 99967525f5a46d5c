"""What the agency's form asks for and we cannot give, and names in the survey file that mean nothing."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence

import pandas as pd

from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.sharing_settings import AgencyShare
from dwc_pipeline.write.agency.sheet import Sheet
from dwc_pipeline.write.agency.template_plan import plain

FORM = declare(
    Rule(
        "agency-form-asks-for-more",
        Severity.WARNING,
        "The agency's template has a header, cell or placeholder that nothing of the season answers.",
        "The form goes out with a gap that the agency asks to be filled.",
        "Fill it by hand, or say under [share.agency.columns] or [share.agency.cells] which of our columns or lines "
        "is meant.",
    )
)
BLANK = declare(
    Rule(
        "agency-form-stays-blank",
        Severity.NOTE,
        "A column or cell of the agency's template is known, but the season says nothing for it.",
        "The agency may ask why it is blank.",
        "Add it to the field sheets or to [share.agency] if you know it; else leave it.",
    )
)
SHEET = declare(
    Rule(
        "agency-form-not-recognised",
        Severity.WARNING,
        "Of the agency's template, or of a sheet that should be filled, no header is known.",
        "It goes out as it came, without the season's records.",
        "Name our sheet under [share.agency.template_sheets], and our columns under [share.agency.columns].",
    )
)
NAME = declare(
    Rule(
        "agency-name-means-nothing",
        Severity.WARNING,
        "A name under [share.agency] is no sheet, column or line of ours, or no cell of the template.",
        "The setting has no effect: a sheet or column keeps its name, or is not left out.",
        "Correct the name; the data dictionary in the workbook lists all sheets and columns.",
    )
)
RULES_BY_KIND = {"header": FORM, "cell": FORM, "blank": BLANK, "sheet": SHEET, "name": NAME}


def as_agency_findings(misses: Iterable[tuple[str, str, str, str]], file: str) -> pd.DataFrame:
    """Findings about (kind, place, value, sentence)."""
    return as_findings(
        finding_at(
            RULES_BY_KIND[kind], file=file, sheet=place.partition(",")[0], field="share.agency", value=value,
            message=message, cause=message,
        )
        for kind, place, value, message in misses
    )  # fmt: skip


def unknown_names(share: AgencyShare, sheets: Sequence[Sheet]) -> list[tuple[str, str, str, str]]:
    """Names of sheets and columns in the survey file that are none of ours."""
    tabs = {sheet.key for sheet in sheets}
    headers = {column.header for sheet in sheets for column in sheet.columns}
    own = headers | {header.partition(" [")[0] for header in headers}
    both = {f"{sheet.key}: {name}" for sheet in sheets for column in sheet.columns
            for name in (column.header, column.header.partition(" [")[0])}  # fmt: skip
    wanted = [
        *(("sheets", name, tabs) for name in share.sheets),
        *(("columns", name, own | both) for name in share.columns),
        *(("only_sheets", name, tabs) for name in share.only_sheets),
        *(("only_columns", name, tabs) for name in share.only_columns),
        *(("only_columns", name, own) for names in share.only_columns.values() for name in names),
    ]
    found = []
    for setting, name, known in wanted:
        if name not in known:
            near = difflib.get_close_matches(plain(name), [plain(one) for one in known], 1)
            hint = next(
                (f"; perhaps {one!r} is meant" for one in sorted(known) if near and plain(one) == near[0]), ""
            )
            found.append(("name", "", name, f"{setting}: {name!r} is none of ours{hint}"))
    return found
