"""Entries of the arrays -> sessions (unbroken times an array is open) and intervals (visit to visit)."""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.assemble.log_entries import CHECKED, CLOSED, OPENED
from dwc_pipeline.core.columns import without_gaps
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.rule import Rule, Severity, declare

CHECK_OF_CLOSED_ARRAY = declare(
    Rule(
        "check-of-a-closed-array",
        Severity.ERROR,
        "An array is checked at a time when the log has it closed, or before its first opening.",
        "Either the opening is missing, and its nights with it, or the check is of another array or day.",
        "Add the opening to the log, or correct the date or the array of the check. Its effort stays unknown.",
    )
)
OPENED_TWICE = declare(
    Rule(
        "array-opened-twice",
        Severity.ERROR,
        "An array is opened although it was never closed.",
        "A closing is missing, and nights between it and this opening are counted that no trap was open.",
        "Add the closing to the log, or remove the second opening. The session before it is taken to end with its "
        "last visit; the nights after that are unknown.",
    )
)
CLOSED_TWICE = declare(
    Rule(
        "array-closed-twice",
        Severity.ERROR,
        "An array is closed although it was not open.",
        "An opening is missing, and the nights after it are not counted; or the row is of another array.",
        "Add the opening to the log, or correct the array or the date of the closing.",
    )
)
SESSION_NEVER_CLOSED = declare(
    Rule(
        "session-never-closed",
        Severity.ERROR,
        "The log holds no closing of this session.",
        "An open trap that nobody visits kills animals; and the effort after the last check is unknown. Your permit "
        "and your animal-care protocol rule, not this tool.",
        "Make sure that the traps were closed, and add the closing to the log.",
    )
)


#: A closing so soon after a check of the same day is the end of that visit. [time]; our choice
ONE_VISIT = pd.Timedelta(hours=1)


class Sessions(NamedTuple):
    """sessions: place, session (key), opened/closed entries. intervals: one line a visit that ended an interval.

    sessions columns: session, place, open_date, open_local, open_utc, close_date, close_local, close_utc,
    is_closed, kind, tidy_row (of the opening).
    intervals columns: session ("" if the array was not open), place, start_date, start_local, start_utc, end_date,
    end_local, end_utc, is_closing, kind, tidy_row (of the visit), start_kind, start_row, is_doubtful, seen_utc (the
    time of the check where the visit ended with a later closing, else end_utc), shut_kind, shut_row (that closing).
    is_doubtful: nobody knows whether the interval lasted to the day of the closing that ends it.
    """

    sessions: pd.DataFrame
    intervals: pd.DataFrame
    findings: pd.DataFrame


def build_sessions(
    entries: pd.DataFrame, closed_whole_day: pd.Series, closed_in_doubt: pd.Series | None = None
) -> Sessions:
    """Sessions and intervals of all arrays.

    entries: in order of place and time, with `cell`: where each stands, in words, and `seen_closed`: whether it only
    saw the array closed since the visit before. closed_whole_day: for each entry, whether a closing without a time
    means that the array stood closed all that day. closed_in_doubt: closings of
    which nobody has said that.
    """
    told = entries.assign(against=turn_before(entries))
    repeated = repeats_an_opening(entries)
    twice = told[repeated]
    entries = told[~repeated].copy()
    turn = entries["action"].where(entries["action"].isin([OPENED, CLOSED]))
    before = turn.groupby(entries["place"]).transform(lambda states: states.ffill().shift())
    was_open = before == OPENED
    starts = entries["action"] == OPENED
    entries["number"] = starts.groupby(entries["place"]).cumsum()
    in_session = starts | was_open
    session = entries["place"] + "\x1f" + entries["number"].astype(str)
    entries["session"] = session.where(in_session, "")
    findings = [
        contradiction(
            CHECK_OF_CLOSED_ARRAY,
            entries[(entries["action"] == CHECKED) & ~was_open],
            "checked while the log has it closed",
        ),
        contradiction(
            OPENED_TWICE,
            pd.concat([entries[starts & was_open], twice]),
            "opened again without a closing between",
        ),
        contradiction(
            CLOSED_TWICE, entries[(entries["action"] == CLOSED) & ~was_open], "closed although it was not open"
        ),
    ]
    whole_day = closed_whole_day.reindex(entries.index) & (entries["local"] == "") & (entries["action"] == CLOSED)
    doubt = pd.Series(False, index=entries.index) if closed_in_doubt is None else closed_in_doubt
    entries["is_doubtful"] = doubt.reindex(entries.index)
    intervals = visit_intervals(entries, whole_day)
    sessions = session_table(entries)
    never = sessions[~sessions["is_closed"]].rename(columns={"open_date": "date"})
    last = entries.groupby("session")["cell"].last().reindex(never["session"])
    never = never.assign(against="its last row is " + last.to_numpy())
    findings.append(contradiction(SESSION_NEVER_CLOSED, never, "opened and never closed in the log"))
    return Sessions(sessions, intervals, join_findings(findings))


def repeats_an_opening(entries: pd.DataFrame) -> pd.Series:
    """Openings that only repeat the entry before them: the same array opened on the same day, nothing between."""
    before = entries.groupby("place")[["action", "date"]].shift()
    opens_again = (entries["action"] == OPENED) & (before["action"] == OPENED)
    return opens_again & (before["date"] == entries["date"])


def turn_before(entries: pd.DataFrame) -> pd.Series:
    """What each entry is held against, in words: the turn before it, or else the first opening after; for a
    check both."""
    is_turn = entries["action"].isin([OPENED, CLOSED])
    words = entries["action"] + " " + entries["date"].dt.strftime("%Y-%m-%d").fillna("") + ": " + entries["cell"]
    turns = words.where(is_turn)
    place = entries["place"]
    before = turns.groupby(place).transform(lambda own: own.ffill().shift()).astype(object)
    after = (
        words.where(entries["action"] == OPENED)
        .groupby(place)
        .transform(lambda own: own.bfill().shift(-1))
        .astype(object)
    )
    between = before + "; then " + after
    before = before.where((entries["action"] != CHECKED) | between.isna(), between)
    return before.where(before.notna(), "first " + after).fillna("nothing else about it in the log")


def contradiction(rule: Rule, entries: pd.DataFrame, what: str) -> pd.DataFrame:
    """Findings on the log rows of some entries: array, day, and the row that they contradict (`against`)."""
    frames = []
    for kind, block in entries.groupby("kind", sort=False):
        rows = pd.Index(block["tidy_row"])
        place = pd.Series(block["place"].to_numpy(), index=rows)
        against = pd.Series(block["against"].to_numpy(), index=rows)
        day = pd.Series(block["date"].dt.strftime("%Y-%m-%d").to_numpy(), index=rows)
        frames.append(
            findings_on_rows(
                rule,
                str(kind),
                rows,
                "eventDate",
                value=day,
                cause=place + " " + day + " " + what,
                message="array " + place + " on " + day + ": " + what + " (" + against + ")",
            )
        )
    return join_findings(frames)


def visit_intervals(entries: pd.DataFrame, whole_day: pd.Series) -> pd.DataFrame:
    """One line for each check or closing, from the visit before it.

    A closing on the day or at the time of the last check ends no interval of its own; nor does one within an hour
    after it, to which the interval of the check then lasts. An array that stood closed all day (`whole_day`) was open
    up to the day before, and no longer than to its last visit if that was then or later.
    """
    grouped = entries.assign(entry=entries.index).groupby("session")
    prior = pd.DataFrame(
        {f"start_{name}": grouped[name].shift() for name in ("date", "local", "utc", "action", "entry")}
    )
    prior["start_kind"], prior["start_row"] = grouped["kind"].shift(), grouped["tidy_row"].shift()
    frame = entries.join(prior)
    outside = frame["session"] == ""
    for name in ("date", "utc"):
        frame.loc[outside, f"start_{name}"] = pd.NaT
    frame.loc[outside, ["start_local", "start_kind"]] = ""
    visits = frame[frame["action"].isin([CHECKED, CLOSED])]
    closing = visits["action"] == CLOSED
    same_visit = (visits["start_action"] == CHECKED) & (
        (visits["utc"] == visits["start_utc"])
        | ((visits["date"] == visits["start_date"]) & (visits["utc"].isna() | visits["start_utc"].isna()))
    )
    waited = visits["utc"] - visits["start_utc"]
    at_check = (visits["start_action"] == CHECKED) & (visits["date"] == visits["start_date"])
    ends_visit = closing & at_check & (waited > pd.Timedelta(0)) & (waited <= ONE_VISIT) & (visits["session"] != "")
    visits = until_closed(visits, visits[ends_visit])
    stood_closed = whole_day.reindex(visits.index)
    visits = visits.assign(date=visits["date"].mask(stood_closed, visits["date"] - pd.Timedelta(days=1)))
    nothing_more = stood_closed & (visits["date"] <= visits["start_date"])
    merged = closing & (same_visit | ends_visit | nothing_more | visits["seen_closed"] | (visits["session"] == ""))
    visits = visits[~merged]
    made = visits.rename(columns={"date": "end_date", "local": "end_local", "utc": "end_utc"})
    made["is_closing"] = visits["action"] == CLOSED
    made[["start_local", "start_kind"]] = without_gaps(made[["start_local", "start_kind"]])
    made["start_row"] = made["start_row"].fillna(-1).astype(int)
    columns = [
        "session",
        "place",
        "start_date",
        "start_local",
        "start_utc",
        "end_date",
        "end_local",
        "end_utc",
        "is_closing",
        "kind",
        "tidy_row",
        "start_kind",
        "start_row",
        "is_doubtful",
        "seen_utc",
        "shut_kind",
        "shut_row",
    ]
    return made[columns].reset_index(drop=True)


def until_closed(visits: pd.DataFrame, closings: pd.DataFrame) -> pd.DataFrame:
    """The visits with those lasting longer that one of the closings ended; seen_utc, shut_kind, shut_row as above."""
    visits = visits.assign(seen_utc=visits["utc"], shut_kind="", shut_row=-1)
    checks = closings["start_entry"].astype(int)
    for name, source in (("local", "local"), ("utc", "utc"), ("shut_kind", "kind"), ("shut_row", "tidy_row")):
        visits.loc[checks, name] = closings[source].to_numpy()
    return visits


def session_table(entries: pd.DataFrame) -> pd.DataFrame:
    """One line a session; one that was never closed ends with its last visit."""
    inside = entries[entries["session"] != ""]
    grouped = inside.groupby("session", sort=False)
    first = inside.loc[grouped.head(1).index].set_index("session")
    last = inside.loc[grouped.tail(1).index].set_index("session")
    return pd.DataFrame(
        {
            "place": first["place"],
            "open_date": first["date"],
            "open_local": first["local"],
            "open_utc": first["utc"],
            "close_date": last["date"],
            "close_local": last["local"],
            "close_utc": last["utc"],
            "is_closed": last["action"] == CLOSED,
            "kind": first["kind"],
            "tidy_row": first["tidy_row"],
        }
    ).reset_index()
