"""Single dates out of the order of their sheet."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity
from dwc_pipeline.settings import SurveyFile

#: A sheet is in order of dates if at most this share of its steps goes back. [share]; our choice
IN_ORDER = 0.05
#: Days by which a date must be out of order. [days]; our choice
LEAST_DAYS = 2
SHEET = [
    {"file": "june.xlsx", "sheet": "A1", "place": "A1", "sheet_row": 5 + n, "when/date": f"2031-06-{1 + n // 2:02d}"}
    for n in range(40)
]
AFTER = {"file": "june.xlsx", "sheet": "A1", "place": "A1"}


@season_rule(
    view="capture",
    field="eventDate",
    severity=Severity.WARNING,
    needs=("when/date", "file"),
    message="{when/date} stands between {before} and {after}",
    flagged=[
        *SHEET,
        {**AFTER, "sheet_row": 46, "when/date": "2031-06-21"},
        {**AFTER, "sheet_row": 45, "when/date": "2031-04-20"},
    ],
    cause=("file", "place", "when/date"),
    passes=[*SHEET, {**AFTER, "sheet_row": 45, "when/date": "2031-06-19"}],
)
def dates_run_backwards(capture: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """In a sheet in order of dates, a single date lies before its neighbours, or after them.

    Dates outside the season have a finding of their own.
    Why it matters: month or day was mistyped, or day and month were exchanged.
    What to do: compare the date with the field book. Rows that were added later may stand out of order.
    """
    ordered = capture.sort_values(["file", "sheet", "sheet_row"], kind="stable")
    sheet = ordered["file"] + "\x1f" + text_column(ordered, "sheet")
    date = pd.to_datetime(ordered["when/date"], format="%Y-%m-%d")
    before, after = date.groupby(sheet).shift(), date.groupby(sheet).shift(-1)
    steps = before.notna().groupby(sheet).transform("sum")
    back = (date < before).groupby(sheet).transform("sum")
    gap = pd.Timedelta(days=LEAST_DAYS)
    neighbours_in_order = before <= after
    dips = (date <= before - gap) & neighbours_in_order
    leaps = (date >= after + gap) & neighbours_in_order
    mostly = back <= (steps * IN_ORDER).clip(lower=1)
    said = pd.DataFrame({"flag": (dips | leaps) & mostly, "before": before, "after": after})
    for name in ("before", "after"):
        said[name] = said[name].dt.strftime("%Y-%m-%d").fillna("the end")
    season = date.between(pd.Timestamp(survey.survey.starts), pd.Timestamp(survey.survey.ends))
    said["flag"] &= season
    return said.reindex(capture.index)
