"""A dash beside zeros and blanks in one column of the log."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

DASHES = ("-", "–", "—", "--")
ROW = {"file": "log.xlsx", "sheet": "Log", "entry": 0, "action": "checked"}


@season_rule(
    view="log",
    field="captures_typed",
    severity=Severity.WARNING,
    needs=("captures_typed_typed", "file"),
    message="a dash on {dashes} rows and a 0 on {zeros} rows of this sheet: what does the dash mean?",
    flagged=[
        {**ROW, "captures_typed_typed": "0"}, {**ROW, "captures_typed_typed": "-"},
    ],
    passes=[{**ROW, "captures_typed_typed": "2"}, {**ROW, "captures_typed_typed": "-"}],
    cause=("file", "sheet"),
)  # fmt: skip
def blank_dash_and_zero_mixed(log: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """The column of captures in the log has both dashes and zeros, and the survey file does not say what a dash
    means.

    Why it matters: a dash may mean none, closed, or not looked at; only one of these is an empty check.
    What to do: say it in the survey file, under habits of the table: dash = "no animals", "closed" or "blank".
    """
    typed = stripped(log["captures_typed_typed"])
    sheet = [log["file"], text_column(log, "sheet")]
    dashes = typed.isin(DASHES).groupby(sheet).transform("sum")
    zeros = (typed == "0").groupby(sheet).transform("sum")
    unsaid = {entry: table.habits.dash == "" for entry, table in enumerate(survey.table)}
    open_question = log["entry"].map(unsaid).fillna(True).astype(bool)
    flag = typed.isin(DASHES) & (zeros > 0) & open_question
    return pd.DataFrame({"flag": flag, "dashes": dashes, "zeros": zeros})
