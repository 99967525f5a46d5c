"""A check after midnight that bears the date of the evening before."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

#: Hours after midnight that belong to the evening before. [hours]; our choice
NIGHT_HOURS = 5
DAY = pd.Timedelta(days=1)
HERE = {"place": "A3", "file": "log.csv", "sheet": ""}


def row(number: int, moment: str) -> dict[str, object]:
    """A row of the log as the rule sees it."""
    utc = pd.Timestamp(moment, tz="UTC")
    return {
        **HERE,
        "sheet_row": number,
        "when/utc": utc,
        "when/time": moment[11:16],
        "when/local": moment,
        "where": f"log.csv, row {number}",
    }


@season_rule(
    view="log",
    field="eventDate",
    severity=Severity.WARNING,
    needs=("place", "when/utc"),
    message="{when/local} stands below a later visit ({before_where}): is the night after it meant?",
    flagged=[row(2, "2031-06-14T07:40"), row(3, "2031-06-14T18:20"), row(4, "2031-06-14T00:20")],
    passes=[row(2, "2031-06-14T07:40"), row(3, "2031-06-14T18:20"), row(4, "2031-06-15T00:20")],
)
def check_under_the_day_before(log: pd.DataFrame) -> pd.DataFrame:
    """In a log in order of time, a row with an hour after midnight stands below a row of the day that followed.

    Why it matters: the visit falls before the check of that morning, and both intervals have wrong hours.
    What to do: write the date of the new day, which begins at midnight. Rows that were added later may stand below.
    """
    ordered = log.sort_values(["file", "sheet", "sheet_row"], kind="stable")
    unit = ordered["file"] + "\x1f" + text_column(ordered, "sheet") + "\x1f" + ordered["place"]
    utc = ordered["when/utc"]
    before, after = utc.groupby(unit).shift(), utc.groupby(unit).shift(-1)
    back = utc < before
    night = pd.to_numeric(ordered["when/time"].str.slice(0, 2), errors="coerce") < NIGHT_HOURS
    fits_next_day = (utc + DAY >= before) & (after.isna() | (after > utc + DAY))
    mostly = back.groupby(unit).transform("sum") <= 1 + 0.05 * back.groupby(unit).transform("size")
    where = ordered["where"].groupby(unit).shift()
    flag = back & night & fits_next_day & mostly
    return pd.DataFrame({"flag": flag, "before_where": where}).reindex(log.index)
