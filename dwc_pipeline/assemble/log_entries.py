"""Trap log and capture sheets -> dated entries of each array: opened, checked, closed.

A row of the log may be an event (one action), an interval (opened to closed) or both at once ("checked and
closed"). Where the log holds no checks of an array, the dates of its capture sheet show when it was checked.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.core.columns import instant_column, text_column
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import SPEAKS_OF, STOOD_CLOSED, THE_DAY, THE_INTERVAL

OPENED, CHECKED, CLOSED = "opened", "checked", "closed"
ARRAY_ACTIONS = {
    "opened": (OPENED,),
    "checked": (CHECKED,),
    "closed": (CLOSED,),
    "checked and closed": (CHECKED, CLOSED),
    "checked and opened": (OPENED,),
    STOOD_CLOSED: (CLOSED,),
}
#: How far the time of a row may be from that of a visit and still mean it. [minutes]; our choice
NEAR_MINUTES = 90
#: Order on one day where no time is written: a check comes first, a closing after it, an opening last.
HOUR_WITHOUT_TIME = {CHECKED: 8.0, CLOSED: 9.0, OPENED: 19.0}
ENTRY_FIELDS = ("place", "action", "date", "local", "utc", "order", "kind", "tidy_row", "is_capture_row")

LOG_ROW_WITHOUT_PLACE_OR_DATE = declare(
    Rule(
        "log-row-without-place-or-date",
        Severity.ERROR,
        "A row of the trap log has no readable array or no readable date.",
        "The check, opening or closing it stands for is missing from the effort.",
        "Fill in the cell, or answer the question about it.",
    )
)
CHECK_KNOWN_FROM_CAPTURES_ONLY = declare(
    Rule(
        "checks-known-from-captures-only",
        Severity.WARNING,
        "The log holds no check of this array; the dates of its captures are taken as the checks.",
        "Checks that found nothing are then unknown: nights run on to the next capture, and the number of checks is "
        "too low.",
        "Write every check into the log, also the empty ones.",
    )
)


def what_is_known(rows: pd.DataFrame) -> pd.Series:
    """Place, day, time and action of each row in one text."""
    known = [text_column(rows, name).fillna("") for name in ("place", "when/date", "when/time", "action")]
    return known[0].str.cat(known[1:], sep=" ")


def log_entries(log: pd.DataFrame, captures: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Entries (ENTRY_FIELDS) of all arrays in order of time, and findings.

    log, captures: standard rows; captures only of trap checks, rows without animals included.
    Rows about single traps are left to `trap_effort`; so are those whose trap could not be read.
    """
    usable = (text_column(log, "place") != "") & (text_column(log, "when/date") != "")
    lost = log.index[~usable & (text_column(log, "action") != "not checked")]
    of_array = (text_column(log, "trap") == "") & (text_column(log, "trap/asked") != "true")
    findings = [
        findings_on_rows(
            LOG_ROW_WITHOUT_PLACE_OR_DATE,
            "trap_log",
            lost,
            "place",
            message="the array or the date of this log row could not be read",
            cause=what_is_known(log.loc[lost]),
        )
    ]
    entries = [spread_actions(log[usable & of_array])]
    shown, missing = checks_from_captures(entries[0], captures)
    entries.append(shown)
    findings.append(missing)
    every = pd.concat(entries, ignore_index=True)
    every = every.sort_values(["place", "order", "is_capture_row"], kind="stable").reset_index(drop=True)
    every = without_checks_told_twice(every, log)
    every = without_repeated_closings(every, stood_closed(every, log))
    return every, pd.concat([part for part in findings if len(part)], ignore_index=True) if any(
        len(part) for part in findings
    ) else findings[0]


def stood_closed(entries: pd.DataFrame, log: pd.DataFrame) -> pd.Series:
    """Entries of log rows that saw the array closed, without closing it."""
    rows = log.index[text_column(log, "action") == STOOD_CLOSED]
    return (entries["kind"] == "trap_log") & entries["tidy_row"].isin(rows)


def without_checks_told_twice(entries: pd.DataFrame, log: pd.DataFrame) -> pd.DataFrame:
    """The entries without checks of a layout of days that another log tells too, mostly with its time."""
    in_grid = log.index[text_column(log, SPEAKS_OF).isin([THE_INTERVAL, THE_DAY])]
    of_grid = (entries["kind"] == "trap_log") & entries["tidy_row"].isin(in_grid) & (entries["local"] == "")
    checks = entries["action"] == CHECKED
    day = pd.MultiIndex.from_frame(entries[["place", "date"]])
    visits = entries["action"].isin([CHECKED, CLOSED])
    told = day.isin(day[(visits & ~of_grid).to_numpy()])
    return entries[~(of_grid & checks & told)].reset_index(drop=True)


def without_repeated_closings(entries: pd.DataFrame, seen_closed: pd.Series) -> pd.DataFrame:
    """The entries without those that only saw what was known: the array stood closed before."""
    turns = entries["action"].where(entries["action"].isin([OPENED, CLOSED]))
    before = turns.groupby(entries["place"]).transform(lambda states: states.ffill().shift())
    return entries[~(seen_closed & (before != OPENED))].reset_index(drop=True)


def spread_actions(rows: pd.DataFrame) -> pd.DataFrame:
    """One entry for each thing a log row says was done to the whole array."""
    action = text_column(rows, "action")
    until = text_column(rows, "until/date")
    made = []
    for word, parts in ARRAY_ACTIONS.items():
        for part in parts:
            made.append(entries_of(rows[(action == word) & (until == "")], part, "when"))  # noqa: PERF401
    unsaid = rows[(action == "") & (until == "")]
    made.append(entries_of(unsaid, CHECKED, "when"))
    interval = rows[until != ""]
    made.append(interval_entries(interval))
    return pd.concat(made, ignore_index=True)


def interval_entries(rows: pd.DataFrame) -> pd.DataFrame:
    """Openings and closings of rows that are intervals; where one ends at the very time at which the next begins,
    the traps stayed open: the array was checked."""
    opened, closed = entries_of(rows, OPENED, "when"), entries_of(rows, CLOSED, "until")
    begins, ends = (pd.MultiIndex.from_frame(part[["place", "utc"]]) for part in (opened, closed))
    timed = opened["utc"].notna() & (opened["utc"] != closed["utc"])
    goes_on = (closed["utc"].notna() & (opened["utc"] != closed["utc"])).to_numpy() & ends.isin(begins[timed])
    continues = timed.to_numpy() & begins.isin(ends[goes_on])
    checked = entries_of(rows, CHECKED, "until")[goes_on]
    return pd.concat([opened[~continues], checked, closed[~goes_on]], ignore_index=True)


def entries_of(rows: pd.DataFrame, action: str, moment: str, kind: str = "trap_log") -> pd.DataFrame:
    """Entries of one action from the moment columns `when/...` or `until/...` of some rows."""
    date = pd.to_datetime(text_column(rows, f"{moment}/date"), format="%Y-%m-%d")
    clock = text_column(rows, f"{moment}/time")
    hours = pd.to_timedelta(clock.where(clock != "", "00:00").str.slice(0, 5) + ":00")
    guess = pd.Timedelta(hours=HOUR_WITHOUT_TIME[action])
    # Where two entries have one time, the check comes before the closing and after the opening.
    step = pd.Timedelta(seconds={OPENED: 0, CHECKED: 1, CLOSED: 2}[action])
    return pd.DataFrame(
        {
            "place": text_column(rows, "place"),
            "action": action,
            "date": date,
            "local": text_column(rows, f"{moment}/local"),
            "utc": instant_column(rows, f"{moment}/utc"),
            "order": date + hours.where(clock != "", guess) + step,
            "kind": kind,
            "tidy_row": rows.index,
            "is_capture_row": kind == "capture",
        },
        columns=list(ENTRY_FIELDS),
    ).astype({"utc": "datetime64[us, UTC]"})


def checks_from_captures(entries: pd.DataFrame, captures: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Checks that only the capture sheet shows.

    A row that says "no animals" is a written check, and is one wherever the log lacks that day. Rows with animals
    are evidence of checks only for arrays of which the log holds no check at all.
    """
    dated = captures[(text_column(captures, "place") != "") & (text_column(captures, "when/date") != "")]
    moments = entries_of(dated, CHECKED, "when", "capture")
    said_empty = (text_column(dated, "verbatimIdentification/no_animal") == "true").to_numpy()
    logged = entries[entries["action"].isin([CHECKED, CLOSED])]
    logged_days = pd.MultiIndex.from_frame(logged[["place", "date"]])
    day = pd.MultiIndex.from_frame(moments[["place", "date"]])
    places_with_checks = set(entries.loc[entries["action"] == CHECKED, "place"])
    opened = set(entries.loc[entries["action"] == OPENED, "place"])
    unlogged_place = ~moments["place"].isin(places_with_checks) & moments["place"].isin(opened)
    is_told = day.isin(logged_days) & ~(unlogged_place.to_numpy() & far_from_the_log(moments, logged))
    shown = moments[~is_told & (said_empty | unlogged_place.to_numpy())]
    shown = shown.sort_values(["place", "order"], kind="stable").drop_duplicates(["place", "date", "local"])
    firsts = shown[unlogged_place.reindex(shown.index)].drop_duplicates("place")
    rows = pd.Index(firsts["tidy_row"])
    place = pd.Series(firsts["place"].to_numpy(), index=rows)
    findings = findings_on_rows(
        CHECK_KNOWN_FROM_CAPTURES_ONLY,
        "capture",
        rows,
        "place",
        value=place,
        cause=place,
        message="the log holds no check of " + place + "; the dates of its captures are taken as the checks",
    )
    return shown, findings


def far_from_the_log(moments: pd.DataFrame, logged: pd.DataFrame) -> np.ndarray:
    """Rows whose time is far from that of every visit which the log tells of that array and day: another visit.

    A row or a visit without a time may be the same one, so it is not far.
    """
    pairs = (
        moments[["place", "date", "utc"]].reset_index().merge(logged[["place", "date", "utc"]], on=["place", "date"])
    )
    away = (pairs["utc_x"] - pairs["utc_y"]).abs()
    near = pairs.loc[away.isna() | (away <= pd.Timedelta(minutes=NEAR_MINUTES)), "index"]
    return np.asarray(~moments.index.isin(near))
