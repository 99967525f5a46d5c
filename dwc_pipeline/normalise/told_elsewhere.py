"""What name and mark cells say of fate, status and behaviour ("SCUN (escaped)", "7 recap") -> fields of their own.

A blank field is filled; a field that says something else keeps its value, and the two are told.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import TidyTable

NAME = "verbatimIdentification"
#: field -> the fields whose cells may tell it too
TOLD_BY = {"fate": (NAME,), "capture_status": (NAME, "mark", "second_mark"), "behavior": (NAME,)}

SAYS_OTHERWISE = declare(
    Rule(
        "another-cell-says-otherwise",
        Severity.WARNING,
        "Words beside a name or mark tell another fate, status or behaviour than the column of its own.",
        "One of the two is a slip; a released animal that escaped was never measured, a new one is no recapture.",
        "Look at the paper sheet and correct one of the cells; until then the column of its own is believed.",
    )
)


def fill_told(rows: pd.DataFrame, tidy: TidyTable) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The standard rows with what other cells say of blank fields; findings where a field says otherwise."""
    found = []
    for field, sources in TOLD_BY.items():
        blank = stripped(tidy.verbatim(field)) == "" if field in tidy.text else text_column(rows, field) == ""
        for source in sources:
            told = text_column(rows, f"{source}/{field}")
            if not (told != "").any():
                continue
            own = text_column(rows, field)
            rows[field] = own.where(~blank | (own != ""), told)
            # "escaped with data" says more than the "escaped" beside the name.
            same = (own == told) | (own.str.startswith("escaped") & told.str.startswith("escaped"))
            differs = rows.index[(told != "") & (own != "") & ~same]
            message = "its cell says " + told[differs] + f", the {field} " + own[differs]
            value = tidy.verbatim(source)[differs]
            found.append(findings_on_rows(SAYS_OTHERWISE, tidy.kind, differs, source, value=value, message=message))
    return rows, join_findings(found)
