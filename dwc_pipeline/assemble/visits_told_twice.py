"""One visit that several rows of the log tell of: it is one interval, and what each row says of the traps counts."""

from __future__ import annotations

import json

import pandas as pd

from dwc_pipeline.assemble.log_entries import CHECKED
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

CHECK_WRITTEN_TWICE = declare(
    Rule(
        "one-check-written-twice",
        Severity.WARNING,
        "Two rows of the log tell of a check of one array at one time, or on one day without saying at what time.",
        "One visit counted as two gives an occasion too many; two visits taken for one give one too few.",
        "Remove the row that repeats the other, or write the time on both. At one time it is taken as one visit.",
        asks=True,
    )
)
STATES = "trap_state/states"


def one_visit_each(
    entries: pd.DataFrame, log: pd.DataFrame, source: pd.Series, cells: pd.Series
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """The entries with one check a visit, the log with all that was said of the visit on its row, and findings.

    Checks at one time are one visit. So are a check without a time and the only check with a time of that day, if
    they stand in two sheets. Two on one sheet, or several times to choose from, are left as they are and asked.
    source: the raw table of each log row. cells: where each log row stands, in words.
    """
    checks = entries[(entries["action"] == CHECKED) & (entries["kind"] == "trap_log")]
    told = checks.assign(entry=checks.index, timed=checks["local"] != "", source=checks["tidy_row"].map(source))
    told = told.sort_values("timed", ascending=False, kind="stable")  # a row with a time tells more: it is kept
    pairs = told.merge(told, on=["place", "date"], suffixes=("", "_other"))
    pairs = pairs[(pairs["entry"] != pairs["entry_other"]) & (pairs["tidy_row"] != pairs["tidy_row_other"])]
    at_one_time = pairs["timed"] & (pairs["utc"] == pairs["utc_other"]) & (pairs["entry"] > pairs["entry_other"])
    times = pairs[pairs["timed_other"]].groupby("entry")["utc_other"].nunique()
    beside = ~pairs["timed"] & pairs["timed_other"]
    other_sheet = pairs["source"] != pairs["source_other"]
    same = at_one_time | (beside & other_sheet & (pairs["entry"].map(times) == 1))
    merged = pairs[same].drop_duplicates("entry")
    merged = merged[~merged["entry_other"].isin(merged["entry"])]
    unsure = (~pairs["timed"] & ~same & (pairs["timed_other"] | (pairs["entry"] > pairs["entry_other"]))) | (
        at_one_time & ~other_sheet
    )
    asked = pairs[unsure].drop_duplicates("entry")
    kept = entries[~entries.index.isin(merged["entry"])].reset_index(drop=True)
    return kept, with_rows_joined(log, merged), twice_findings(asked, cells)


def with_rows_joined(log: pd.DataFrame, merged: pd.DataFrame) -> pd.DataFrame:
    """The log with states, numbers and open questions of rows that tell of a visit entered on the row that is kept.

    merged: tidy_row (told again) and tidy_row_other (kept). Two numbers of open traps that differ leave none: nobody
    knows which of them is right.
    """
    if merged.empty:
        return log
    log = log.copy()
    for line in merged.itertuples():
        own, kept = line.tidy_row, line.tidy_row_other
        if STATES in log:
            said = [json.loads(log.at[row, STATES] or "[]") for row in (kept, own)]
            both = said[0] + [state for state in said[1] if state not in said[0]]
            log.loc[kept, STATES] = json.dumps(both) if both else ""
        for name in ("traps_open", "trap_state/asked"):
            if name in log and log.at[own, name] not in ("", log.at[kept, name]):
                log.loc[kept, name] = log.at[own, name] if log.at[kept, name] == "" else ""
    return log


def twice_findings(asked: pd.DataFrame, cells: pd.Series) -> pd.DataFrame:
    """A finding for each check that may be the same as another one, which is named."""
    rows = pd.Index(asked["tidy_row"])
    where = asked["place"] + " on " + asked["date"].dt.strftime("%Y-%m-%d")
    other = asked["tidy_row_other"].map(cells)
    message = "a check of " + where + " is written here and in " + other + ": one visit, or two?"
    where.index = message.index = rows
    return findings_on_rows(
        CHECK_WRITTEN_TWICE, "trap_log", rows, "eventDate", value=where, cause=message, message=message
    )
