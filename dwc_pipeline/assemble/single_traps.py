"""Single traps of an array that are closed and opened by themselves, and what the log says of traps at a check."""

from __future__ import annotations

import json

import pandas as pd

from dwc_pipeline.core.columns import instant_column, text_column
from dwc_pipeline.core.findings import as_findings, findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

EVERY_TRAP = "all"
TURN_FIELDS = ("session", "trap", "date", "utc", "closes", "tidy_row")

TRAP_TURNED_TWICE = declare(
    Rule(
        "trap-turned-twice",
        Severity.WARNING,
        "The log closes a trap that it has closed already, or opens one that was open.",
        "A row between is missing, or one of the two is about another trap; its effort is then wrong.",
        "Compare both rows with the field book; add the row that is missing, or correct the trap or the date.",
    )
)


def cut_by_trap_rows(traps: pd.DataFrame, log: pd.DataFrame, sessions: pd.DataFrame) -> pd.DataFrame:
    """Closings and openings of single traps: from one to the other the trap catches nothing.

    A closing lasts until the trap is opened again, and never beyond its session.
    """
    turns = pd.concat([single_trap_rows(log, sessions), shut_at_opening(log, sessions)], ignore_index=True)
    if turns.empty or traps.empty:
        return traps
    # A turn without a time takes place at the check of its day: the interval that ended there counts in full.
    turns = turns.sort_values(["date", "utc"], kind="stable", na_position="first")
    traps = traps.copy()
    for (session, label), own in turns.groupby(["session", "trap"], sort=False):
        here = (traps["session"] == session) & ((traps["trap"] == label) | (label == EVERY_TRAP))
        traps.loc[here] = cut_one_trap(traps.loc[here].copy(), own)
    return traps


def single_trap_rows(log: pd.DataFrame, sessions: pd.DataFrame) -> pd.DataFrame:
    """Log rows that close or open single traps, each with the session that was open then."""
    action = text_column(log, "action")
    single = log[(text_column(log, "trap") != "") & action.isin(["opened", "closed"])]
    turns = pd.DataFrame(
        {
            "place": text_column(single, "place"),
            "trap": text_column(single, "trap").str.split(" | ", regex=False),
            "date": pd.to_datetime(text_column(single, "when/date"), format="%Y-%m-%d"),
            "utc": instant_column(single, "when/utc"),
            "closes": text_column(single, "action") == "closed",
            "tidy_row": single.index,
        }
    ).dropna(subset=["date"])
    begun = turns.assign(turn=turns.index).merge(sessions[["place", "session", "open_date"]], on="place")
    begun = begun[begun["open_date"] <= begun["date"]].sort_values("open_date", kind="stable")
    last = begun.drop_duplicates("turn", keep="last")
    return last.explode("trap")[list(TURN_FIELDS)]


def shut_at_opening(log: pd.DataFrame, sessions: pd.DataFrame) -> pd.DataFrame:
    """Traps that the opening row of a session names as closed or missing: they stay so until they are opened."""
    states = trap_states(log)
    shut = states[(states["effort"] == "none") & (states["time"] == "")]
    opened = sessions[sessions["kind"] == "trap_log"]
    found = shut.merge(opened[["session", "tidy_row", "open_date", "open_utc"]], on="tidy_row")
    found = found.rename(columns={"open_date": "date", "open_utc": "utc"}).assign(closes=True)
    return found[list(TURN_FIELDS)]


def cut_one_trap(rows: pd.DataFrame, turns: pd.DataFrame) -> pd.DataFrame:
    """The intervals of one trap cut by its own closings and openings, in order of time."""
    for turn in turns.itertuples():
        timed = pd.notna(turn.utc)
        starts_after = (rows["start_utc"] >= turn.utc) if timed else (rows["start_date"] >= turn.date)
        ends_after = (rows["end_utc"] > turn.utc) if timed else (rows["end_date"] > turn.date)
        within = ends_after & ~starts_after
        stamp = turn.utc if timed else pd.NaT
        if turn.closes:
            rows.loc[within, "end_date"], rows.loc[within, "end_utc"] = turn.date, stamp
            rows.loc[starts_after, "share"] = 0.0
            rows.loc[starts_after | within, "why"] = "closed"
        else:
            rows.loc[within, "start_date"], rows.loc[within, "start_utc"] = turn.date, stamp
            reopened = starts_after | within
            rows.loc[reopened & (rows["why"] == "closed"), "share"] = 1.0
            rows.loc[starts_after, "why"] = ""
            rows.loc[within, "why"] = "closed at first"
    return rows


def trap_states(log: pd.DataFrame) -> pd.DataFrame:
    """What the log says of single traps at each check.

    Columns: tidy_row, trap, effort (none, half, unknown), time, words, state (as in the vocabulary of trap states).
    """
    column = text_column(log, "trap_state/states")
    said = column[column != ""]
    own = text_column(log, "trap")
    lines = [
        (row, label, state["effort"], state.get("time", ""), state.get("words", state["state"]), state["state"])
        for row, text in said.items()
        for state in json.loads(text)
        for label in (state["labels"] or (own[row].split(" | ") if own[row] else [EVERY_TRAP]))
        if state["effort"] not in ("full", "") or state.get("time", "")
    ]
    return pd.DataFrame(lines, columns=["tidy_row", "trap", "effort", "time", "words", "state"])


def turned_twice(log: pd.DataFrame, sessions: pd.DataFrame, cells: pd.Series) -> pd.DataFrame:
    """A finding for each closing of a closed trap and each opening of an open one, with the row it contradicts.

    A trap that a check found out of order, closed or missing may be opened again. cells: where each log row stands.
    """
    turns = pd.concat([single_trap_rows(log, sessions), shut_at_opening(log, sessions)], ignore_index=True)
    if turns.empty:
        return as_findings([])
    turns = turns.sort_values(["date", "utc"], kind="stable", na_position="first")
    before = turns.groupby(["session", "trap"], sort=False)[["closes", "tidy_row"]].shift()
    opening = turns["session"].map(sessions.set_index("session")["tidy_row"])
    stood_shut = before["closes"].astype("boolean").fillna(False).astype(bool)
    place = turns["tidy_row"].map(text_column(log, "place"))
    begun = turns["session"].map(sessions.set_index("session")["open_date"])
    since = turns.groupby(["session", "trap"], sort=False)["date"].shift().fillna(begun)
    found_shut = found_out_of_order(turns.assign(place=place, since=since), log)
    again = (turns["closes"] == stood_shut) & (turns["closes"] | ~found_shut) & (turns["tidy_row"] != opening)
    hit = turns[again]
    against = before["tidy_row"].fillna(opening).reindex(hit.index).map(cells)
    rows = pd.Index(hit["tidy_row"])
    what = hit["closes"].map({True: " is closed though it was closed", False: " is opened though it was open"})
    message = hit["trap"] + " of " + place[hit.index] + what + " (" + against + ")"
    message.index = rows
    message = message[~message.index.duplicated()]
    value = text_column(log, "action").reindex(message.index)
    return findings_on_rows(TRAP_TURNED_TWICE, "trap_log", message.index, "action", value=value, message=message)


def found_out_of_order(turns: pd.DataFrame, log: pd.DataFrame) -> pd.Series:
    """Whether a row of the log found the trap out of order, closed or missing between two of its turns.

    turns: trap, place, date, since (day of the turn before, or of the opening of the session).
    """
    states = trap_states(log)
    if turns.empty or states.empty:
        return pd.Series(False, index=turns.index)
    seen = pd.to_datetime(text_column(log, "when/date"), format="%Y-%m-%d", errors="coerce")
    states = states.assign(place=states["tidy_row"].map(text_column(log, "place")), seen=states["tidy_row"].map(seen))
    met = turns.reset_index().merge(states[["place", "trap", "seen"]], on="place", suffixes=("", "_found"))
    met = met[(met["trap_found"] == met["trap"]) | (met["trap_found"] == EVERY_TRAP)]
    met = met[(met["seen"] >= met["since"]) & (met["seen"] <= met["date"])]
    return pd.Series(turns.index.isin(met["index"]), index=turns.index)


def rows_behind(traps: pd.DataFrame, log: pd.DataFrame, sessions: pd.DataFrame, cells: pd.Series) -> pd.Series:
    """Which rows about single traps take part in the effort of each interval, in words: "F2: log.csv row 9".

    traps: from `trap_intervals`. cells: where each log row stands. Only intervals with such rows are in the result.
    """
    turns = single_trap_rows(log, sessions)
    cut = traps.loc[traps["why"].isin(["closed", "closed at first"]), ["interval", "session", "trap", "end_date"]]
    met = cut.merge(turns, on=["session", "trap"])
    met = met[met["date"] <= met["end_date"]].sort_values(["interval", "trap", "date"], kind="stable")
    told = met.groupby(["interval", "trap"], sort=False)["tidy_row"].agg(lambda rows: " and ".join(rows.map(cells)))
    words = told.reset_index().assign(text=lambda one: one["trap"] + ": " + one["tidy_row"])
    return words.groupby("interval")["text"].agg("; ".join)
