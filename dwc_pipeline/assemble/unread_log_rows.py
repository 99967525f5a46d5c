"""Log rows that could not be read in full: what they said was done is not known, so neither is the effort after.

A row whose action has two readings may have closed the array; one whose trap is on no list may have closed any of
its traps. Until a person answers, the effort from that row to the end of the session is unknown, not counted.
"""

from __future__ import annotations

import json

import pandas as pd

from dwc_pipeline.core.answers import WAITS
from dwc_pipeline.core.columns import instant_column, text_column
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import TidyTable

ROW_WAITS = f"a row of the log {WAITS}"

LOG_ROW_WITHOUT_ACTION = declare(
    Rule(
        "log-row-without-an-action",
        Severity.WARNING,
        "The log has a column that says what was done, and it is blank on this row.",
        "The row may be a check, an opening or a closing; the effort until the session ends depends on it.",
        "Write on the row what was done.",
        asks=True,
    )
)


def rows_without_action(log: pd.DataFrame, tidy: TidyTable) -> pd.Series:
    """Rows about a whole array whose sheet has a column for the action, left blank on them.

    A row that gives an interval, or the state of traps alone, needs no action.
    """
    told = {source for source, field in tidy.columns if field == "action"}
    expected = tidy.origin["source"].reindex(log.index).isin(told)
    blank = tidy.verbatim("action").reindex(log.index).str.strip() == ""
    alone = (text_column(log, "until/date") == "") & (text_column(log, "trap") == "")
    return expected & blank & alone & (text_column(log, "action") == "")


def findings_without_action(log: pd.DataFrame, unsaid: pd.Series) -> pd.DataFrame:
    """One finding for each row without an action."""
    rows = log.index[unsaid]
    what = (text_column(log, "place") + " on " + text_column(log, "when/date")).reindex(rows)
    return findings_on_rows(
        LOG_ROW_WITHOUT_ACTION, "trap_log", rows, "action", cause=what, message="what was done at " + what + "?"
    )


def without_unread(traps: pd.DataFrame, log: pd.DataFrame, sessions: pd.DataFrame, unsaid: pd.Series) -> pd.DataFrame:
    """The trap lines with the effort after each unread row of the log missing, to the end of its session.

    traps: as in `trap_effort`. unsaid: rows of the log without an action. The interval that ends with the row itself
    stays known: whatever was done, the row tells of a visit.
    """
    asked = {name: text_column(log, f"{name}/asked") == "true" for name in ("action", "trap", "trap_state")}
    opening = log.index.isin(sessions.loc[sessions["kind"] == "trap_log", "tidy_row"])
    unread = log[asked["action"] | asked["trap"] | (asked["trap_state"] & opening) | unsaid.reindex(log.index)]
    if unread.empty or traps.empty:
        return traps
    doubts = pd.DataFrame(
        {
            "row": unread.index,
            "place": text_column(unread, "place"),
            "label": labels_in_doubt(unread),
            "date": pd.to_datetime(text_column(unread, "when/date"), format="%Y-%m-%d"),
            "utc": instant_column(unread, "when/utc"),
        }
    ).dropna(subset=["date"])
    begun = doubts.merge(sessions[["place", "session", "open_date"]], on="place")
    begun = begun[begun["open_date"] <= begun["date"]].sort_values("open_date", kind="stable")
    doubts = begun.drop_duplicates("row", keep="last").explode("label")
    lines = traps[["session", "trap", "end_date", "end_utc"]].reset_index()
    met = lines.merge(doubts[["session", "label", "date", "utc"]], on="session")
    timed = met["utc"].notna() & met["end_utc"].notna()
    after = (met["end_utc"] > met["utc"]).where(timed, met["end_date"] > met["date"])
    named = (met["label"] == "") | (met["label"] == met["trap"])
    hit = traps.index.isin(met.loc[after.astype(bool) & named, "index"])
    return traps.assign(share=traps["share"].mask(hit), why=traps["why"].mask(hit, ROW_WAITS))


def labels_in_doubt(rows: pd.DataFrame) -> pd.Series:
    """The traps that each unread row may have turned: those it names, those whose state it gives in words that could
    not be read, or all ([""])."""
    named = text_column(rows, "trap").str.split(" | ", regex=False)
    states = text_column(rows, "trap_state/states")
    is_state = (text_column(rows, "trap_state/asked") == "true") & (text_column(rows, "action/asked") != "true")
    told = {
        text: [label for state in json.loads(text) if state["effort"] == "unknown" for label in state["labels"]]
        for text in states[states != ""].unique()
    }
    by_state = states.map(told)
    use = is_state & (text_column(rows, "trap") == "") & by_state.map(bool, na_action="ignore").eq(True)
    return by_state.where(use, named)
