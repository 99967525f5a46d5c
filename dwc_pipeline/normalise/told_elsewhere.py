"""What cells say of other fields: "SCUN (escaped)" as a name, "7 recap" as a mark, "am" as a stage -> those fields.

A blank field is filled; a field that says something else keeps its value, and the two are told.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.changes import changes_on_rows, join_changes
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import TidyTable

NAME = "verbatimIdentification"
#: field -> the fields whose cells may tell it too
TOLD_BY = {
    "fate": (NAME,),
    "vitality": (NAME,),
    "capture_status": (NAME, "mark", "second_mark"),
    "behavior": (NAME,),
    "reproductiveCondition": (NAME, "sex", "lifeStage", "individualCount"),
    "sex": (NAME, "lifeStage", "individualCount"),
    "lifeStage": (NAME, "sex", "individualCount"),
    "individualCount": (NAME,),
}
TOLD_ELSEWHERE = "told-in-another-cell"
#: a fate that leaves room for another: what was killed on the road may be a voucher or stay where it lies
LEAVES_ROOM = frozenset({"road-killed"})

SAYS_OTHERWISE = declare(
    Rule(
        "another-cell-says-otherwise",
        Severity.WARNING,
        "A cell tells another sex, stage, number, fate or the like than the column that is there for it.",
        "One of the two is a slip, and the animal would be counted under the wrong sex, stage, number or fate.",
        "Look at the paper sheet and correct one of the cells; until then the column of its own is believed.",
    )
)


def fill_told(rows: pd.DataFrame, tidy: TidyTable) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """The standard rows with what other cells say of blank fields; findings where a field says otherwise; changes."""
    found, changes = [], []
    for field, sources in TOLD_BY.items():
        blank = stripped(tidy.verbatim(field)) == "" if field in tidy.text else text_column(rows, field) == ""
        for source in sources:
            told = text_column(rows, f"{source}/{field}")
            if not (told != "").any():
                continue
            own = text_column(rows, field)
            filled = rows.index[blank & (own == "") & (told != "")]
            rows[field] = own.where(~blank | (own != ""), told)
            if field in tidy.text:
                note = f"the cell is blank, and the cell of {source} says it"
                changes.append(changes_on_rows(tidy.kind, filled, field, "", told[filled], TOLD_ELSEWHERE, note))
            differs = rows.index[(told != "") & (own != "") & ~agree(field, own, told)]
            message = "this cell says " + told[differs] + f", the cell of {field} " + own[differs]
            value = tidy.verbatim(source)[differs]
            found.append(findings_on_rows(SAYS_OTHERWISE, tidy.kind, differs, source, value=value, message=message))
    return rows, join_findings(found), join_changes(changes)


def agree(field: str, own: pd.Series, told: pd.Series) -> pd.Series:
    """True where both can be so: the same, a fuller word for it, or conditions of which none denies the other."""
    if field == "reproductiveCondition":
        return (own != "not " + told) & (told != "not " + own)
    if field == "capture_status":  # a new animal may get no mark, a recapture a new one
        return (told != "recapture") | ~own.isin(["new", "unmarked"])
    # "escaped with data" says more than the "escaped" beside the name.
    escaped = own.str.startswith("escaped") & told.str.startswith("escaped")
    return (own == told) | escaped | told.isin(LEAVES_ROOM)
