"""How long each trap could catch in each interval, and the trap-nights and trap-hours that follow.

Effort belongs to intervals. A trap that was closed counts nothing, one found out of order at an unknown time
counts half the interval, one whose hour is known counts up to that hour; the rest counts in full. Where the log
does not say, the effort is missing: never zero, never a guess.
"""

from __future__ import annotations

from collections.abc import Hashable

import numpy as np
import pandas as pd

from dwc_pipeline.assemble.log_entries import CLOSED
from dwc_pipeline.assemble.places import trap_type_of
from dwc_pipeline.assemble.sessions import Sessions
from dwc_pipeline.assemble.single_traps import EVERY_TRAP, cut_by_trap_rows, trap_states
from dwc_pipeline.assemble.unread_log_rows import without_unread
from dwc_pipeline.core.answers import WAITS
from dwc_pipeline.core.columns import instant_column, mapped, number_column, text_column
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.local_time import offsets_at
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import SPEAKS_OF, THE_INTERVAL
from dwc_pipeline.effort.trap_nights import hours_open, night_share
from dwc_pipeline.settings import Protocol, SurveyFile

STATE_WAITS = f"its state {WAITS}"
NOT_NAMED = "not named"

TRAP_COUNTS_DISAGREE = declare(
    Rule(
        "trap-counts-do-not-add-up",
        Severity.WARNING,
        "The number of open traps on the log differs from the traps of the array less those named as not catching.",
        "The effort is too high or too low by the difference.",
        "Correct the number, or name the traps that were not open. The names are used where a log names traps, "
        "the number where it only gives numbers.",
    )
)
TRAPS_UNKNOWN = declare(
    Rule(
        "number-of-traps-unknown",
        Severity.ERROR,
        "Neither the site list nor the log says how many traps an array has.",
        "Without it there are no trap-nights, and no catch per unit effort.",
        "Add the traps to the site list (`B1, F1-F8, P1-P3`), or a column with the number of open traps to the log.",
        asks=True,
    )
)
STATE_TIME_OUTSIDE = declare(
    Rule(
        "trap-state-time-outside-interval",
        Severity.WARNING,
        "The hour at which a trap went out of order is not within the interval before the check.",
        "It cannot be said how long the trap could catch; half the interval is taken.",
        "Correct the hour in the log.",
    )
)


def trap_intervals(
    trapping: Sessions, places: pd.DataFrame, log: pd.DataFrame, survey: SurveyFile, unsaid: pd.Series
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """One line for each trap of each interval, and findings. unsaid: log rows that do not say what was done.

    Columns: interval (row of `intervals`), place, trap, trap_type, start_date, start_utc, end_date, end_utc (cut to
    what the trap could catch), share (1, half or 0), why (words; "" for a trap that caught all the time).
    """
    protocol, zone = survey.protocol, survey.survey.time_zone
    intervals = trapping.intervals
    layout = places.set_index("place")["layout"] if len(places) else pd.Series(dtype=object)
    known = intervals[intervals["session"] != ""]
    labels = mapped(known["place"], layout)
    wanted = ["session", "place", "start_date", "start_utc", "end_date", "end_utc", "seen_utc", "kind", "tidy_row"]
    traps = known[wanted].assign(interval=known.index, trap=labels.str.split("|"))
    traps = traps.explode("trap", ignore_index=True)
    traps["trap"] = traps["trap"].astype(object).where(traps["trap"].notna(), "")
    traps = traps[traps["trap"] != ""].reset_index(drop=True)
    traps["trap_type"] = mapped(traps["trap"], {label: trap_type_of(label) for label in traps["trap"].unique()})
    traps["share"], traps["why"], traps["is_out_of_order"] = 1.0, "", False
    traps = cut_by_trap_rows(traps, log, trapping.sessions)
    # Closed at the very visit that closes the array: it caught all the while.
    at_visit = (traps["why"] == "closed") & (traps["share"] > 0) & (traps["end_utc"] >= traps["seen_utc"])
    traps["why"] = traps["why"].mask(at_visit, "")
    traps, outside = apply_states(traps, log, protocol, zone)
    traps, counts = apply_counts(traps, known, log)
    traps = without_unread(traps, log, trapping.sessions, unsaid)
    return traps, join_findings([outside, counts])


def of_grids(log: pd.DataFrame) -> pd.Series:
    """Log rows that come from a grid of days: they speak of the interval that ended on their day."""
    return text_column(log, SPEAKS_OF) == THE_INTERVAL


def closings_in_checks(traps: pd.DataFrame, log: pd.DataFrame) -> pd.Series:
    """Log rows that do nothing but close a whole array, and end no interval of their own."""
    of_array = (text_column(log, "trap") == "") & (text_column(log, "until/date") == "")
    own_visit = log.index.isin(traps.loc[traps["kind"] == "trap_log", "tidy_row"])
    return (text_column(log, "action") == CLOSED) & of_array & ~own_visit


def visits_of_log_rows(traps: pd.DataFrame, log: pd.DataFrame) -> pd.DataFrame:
    """Which intervals each log row speaks of: index (row of `traps`), tidy_row.

    A row of a grid, or one about a single trap, speaks of all intervals of its array that ended on its day,
    whichever row told of the visit; with a time it speaks of the visit at that time, if there is one. A closing that
    was part of a check speaks of the interval that the check ended.
    """
    ends = closings_in_checks(traps, log)
    in_grid = of_grids(log) | (text_column(log, "trap") != "") | ends
    own = traps.loc[traps["kind"] == "trap_log", ["tidy_row"]].reset_index()
    own = own[~own["tidy_row"].isin(log.index[in_grid])]
    lines = log[in_grid]
    days = pd.to_datetime(text_column(lines, "when/date"), format="%Y-%m-%d")
    utc = instant_column(lines, "when/utc")
    grid = pd.DataFrame(
        {"place": text_column(lines, "place"), "end_date": days, "utc": utc, "tidy_row": lines.index}
    ).dropna(subset=["end_date"])
    ends_of = traps[["place", "end_date", "end_utc", "seen_utc"]].reset_index()
    met = ends_of.merge(grid, on=["place", "end_date"])
    exact = met["utc"].notna() & ((met["utc"] == met["end_utc"]) | (met["utc"] == met["seen_utc"]))
    met = met[exact | ~exact.groupby(met["tidy_row"]).transform("any")]
    last = met["end_utc"].isna() | (met["end_utc"] == met.groupby("tidy_row")["end_utc"].transform("max"))
    met = met[last | ~met["tidy_row"].isin(log.index[ends])]
    return pd.concat([own, met[["index", "tidy_row"]]], ignore_index=True)


def apply_states(
    traps: pd.DataFrame, log: pd.DataFrame, protocol: Protocol, zone: str
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Closed, missing and out-of-order traps at the check that ended the interval."""
    states = trap_states(log)
    # "F1 closed" beside the closing of its array may be that very act: it tells nothing of the night before.
    acts = states["tidy_row"].isin(log.index[closings_in_checks(traps, log)]) & (states["state"] == CLOSED)
    states = states[~acts]
    # Where the cell names the traps in doubt, they alone are unknown: their states say so.
    unread = (text_column(log, "trap_state/asked") == "true") & (text_column(log, "trap_state/states") == "")
    named_by_row = text_column(log, "trap").where(unread, "")
    waiting = log.index[unread & (named_by_row == "")]
    spoken = visits_of_log_rows(traps, log)
    asked = traps.index.isin(spoken.loc[spoken["tidy_row"].isin(waiting), "index"])
    if asked.any():
        traps = traps.assign(share=traps["share"].mask(asked), why=traps["why"].mask(asked, STATE_WAITS))
    of_row = pd.DataFrame(
        [(row, label) for row, text in named_by_row[named_by_row != ""].items() for label in text.split(" | ")],
        columns=["tidy_row", "trap"],
    )
    states = pd.concat([states, of_row.assign(effort="unknown", time="", words=STATE_WAITS)], ignore_index=True)
    if states.empty or traps.empty:
        return traps, findings_on_rows(STATE_TIME_OUTSIDE, "trap_log", pd.Index([]), "trap_state", message="")
    traps = traps.copy()
    outside_rows = []
    every = states[states["trap"] == EVERY_TRAP]
    named = states[states["trap"] != EVERY_TRAP]
    told = traps.drop(columns="tidy_row").reset_index().merge(spoken, on="index")
    keyed = pd.concat(
        [
            told.merge(named, on=["tidy_row", "trap"]),
            told.merge(every.drop(columns="trap"), on="tidy_row"),
        ]
    )
    keyed = keyed.drop_duplicates("index")
    for line in keyed.itertuples():
        at = line.index
        traps.loc[at, "why"] = line.words + (f" {line.time}" if line.time else "")
        moment = moment_within(line, zone) if line.time else None
        if line.effort == "full":  # "open from 20:00": it caught from then on
            start = moment or (pd.NaT, pd.NaT)
            traps.loc[at, "start_date"], traps.loc[at, "start_utc"] = start
            continue
        if line.time and moment is not None:
            traps.loc[at, "end_date"], traps.loc[at, "end_utc"] = moment
        elif line.effort == "none" and not line.time:
            traps.loc[at, "share"] = 0.0
        elif line.effort == "none" and is_time_of_visit(line, log):
            continue  # closed at this very visit: it caught all the while
        elif line.effort == "unknown":
            traps.loc[at, "share"] = np.nan
        else:
            traps.loc[at, "is_out_of_order"] = True
            traps.loc[at, "share"] = 0.5 if protocol.out_of_order == "half interval" else 0.0
            if line.time and not is_time_of_visit(line, log):
                outside_rows.append(line.tidy_row)
    rows = pd.Index(sorted(set(outside_rows)))
    return traps, findings_on_rows(
        STATE_TIME_OUTSIDE,
        "trap_log",
        rows,
        "trap_state",
        value=text_column(log, "trap_state").reindex(rows),
        message="the hour given is not between the visit before and this check; half the interval is taken",
    )


def moment_within(line: object, zone: str) -> tuple[pd.Timestamp, pd.Timestamp] | None:
    """Local day and instant of a clock time within an interval of at most one day; None if it is not within.

    The offset is that of the moment itself: in the night in which clocks change, that of the check may be another.
    A time that the clock shows twice or never names no moment.
    """
    start, end = line.start_utc, line.end_utc  # type: ignore[attr-defined]  # a row of apply_states
    if pd.isna(start) or pd.isna(end):
        return None
    for day in (line.start_date, line.end_date):  # type: ignore[attr-defined]
        local = day + pd.Timedelta(f"{line.time}:00")  # type: ignore[attr-defined]
        offsets = offsets_at(local.to_pydatetime(), zone)
        if len(offsets) == 1:
            instant = (local - offsets[0]).tz_localize("UTC")
            if start < instant < end and end - start <= pd.Timedelta(days=1, hours=1):
                return day, instant
    return None


def is_time_of_visit(line: object, log: pd.DataFrame) -> bool:
    """True if the hour written with a trap is only that of the check which found it."""
    return bool(log.at[line.tidy_row, "when/time"][:5] == line.time[:5])  # type: ignore[attr-defined]


def apply_counts(traps: pd.DataFrame, known: pd.DataFrame, log: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Numbers of open traps on the log, where they say something the labels do not."""
    open_now = number_column(log, "traps_open")
    own = known["tidy_row"].map(open_now).where(known["kind"] == "trap_log")
    at_start = known["start_row"].map(open_now).where(known["start_kind"] == "trap_log")
    written = own.fillna(at_start)
    is_set = (traps["share"] > 0) | traps["is_out_of_order"]
    touched = traps[is_set].groupby("interval")["trap"].size().reindex(known.index).fillna(0)
    unsure = known.index.isin(traps.loc[traps["share"].isna(), "interval"])
    labelled = traps.groupby("interval")["trap"].size().reindex(known.index).fillna(0)
    differs = written.notna() & (written != touched) & (labelled > 0) & ~unsure
    # Where the sheet has a place for naming traps, the names count; else the number is all that it tells.
    names_traps = bool(((text_column(log, "trap_state") != "") | (text_column(log, "trap") != "")).any())
    by_count = written.notna() & ((labelled == 0) | (differs & (not names_traps)))
    unknown = known.index[written.isna() & (labelled == 0)]
    traps = traps[~traps["interval"].isin(known.index[by_count])]
    counted = known.loc[by_count, ["place", "start_date", "start_utc", "end_date", "end_utc", "kind", "tidy_row"]]
    counted = counted.assign(
        interval=counted.index,
        trap=NOT_NAMED,
        trap_type="trap",
        share=written[by_count],
        why="",
        is_out_of_order=False,
    )
    all_traps = pd.concat([traps, counted], ignore_index=True) if len(counted) else traps.reset_index(drop=True)
    said = differs & own.notna()
    rows = pd.Index(known.loc[said, "tidy_row"]).unique()
    message = (
        "the log says " + own[said].astype("Int64").astype(str) + " traps open; by the site list and the traps "
        "named as not catching there are " + touched[said].astype(int).astype(str)
    )
    message.index = pd.Index(known.loc[said, "tidy_row"])
    return all_traps, join_findings(
        [
            findings_on_rows(
                TRAP_COUNTS_DISAGREE,
                "trap_log",
                rows,
                "traps_open",
                value=text_column(log, "traps_open").reindex(rows),
                message=message[~message.index.duplicated()].reindex(rows),
            ),
            *(number_unknown(block, kind) for kind, block in known.loc[unknown].groupby("kind", sort=False)),
        ]
    )


def number_unknown(visits: pd.DataFrame, kind: Hashable) -> pd.DataFrame:
    """A finding for each row that stands for a visit to traps of unknown number.

    kind: that of the rows, "capture" where the day is known from its captures only.
    """
    place = visits.drop_duplicates("tidy_row").set_index("tidy_row")["place"]
    field = "traps_open" if kind == "trap_log" else "place"
    told = "nothing says how many traps " + place + " has"
    return findings_on_rows(TRAPS_UNKNOWN, str(kind), place.index, field, value=place, cause=place, message=told)


def add_effort(traps: pd.DataFrame, places: pd.DataFrame, protocol: Protocol, zone: str) -> pd.DataFrame:
    """The trap lines with trap_nights by the chosen reading, trap_nights_uncorrected and trap_hours. [see names]

    trap_nights_uncorrected: the same with half intervals counted in full.
    """
    hours = hours_open(traps["start_utc"].dt.tz_convert("UTC"), traps["end_utc"].dt.tz_convert("UTC"))
    if protocol.trap_night == "midnights":
        nights = (traps["end_date"] - traps["start_date"]).dt.days.to_numpy(dtype="float64")
    elif protocol.trap_night == "hours/24":
        nights = hours / 24
    else:
        nights = shares_of_night(traps, places, zone)
    share = traps["share"].to_numpy(dtype="float64")
    full = np.where((share > 0) & (share < 1), 1.0, share)
    return traps.assign(
        trap_nights=nights * share, trap_nights_uncorrected=nights * full, trap_hours=hours * share, nights=nights
    )


def shares_of_night(traps: pd.DataFrame, places: pd.DataFrame, zone: str) -> np.ndarray:
    """Night shares by the sun at each place; missing where a place has no position."""
    position = places.set_index("place")[["decimalLatitude", "decimalLongitude"]].replace("", None).astype(float)
    share = np.full(len(traps), np.nan)
    for place, rows in traps.reset_index(drop=True).groupby("place").indices.items():
        if place in position.index and position.loc[place].notna().all():
            own = traps.iloc[rows]
            latitude, longitude = position.loc[place]
            share[rows] = night_share(own["start_utc"], own["end_utc"], latitude, longitude, zone)
    return share
