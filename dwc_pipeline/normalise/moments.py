"""Date and time of a row together: local time with its offset, and the instant.

`when/...` is the moment of a check, find or start; `until/...` the end of an interval, run or search. Each has
date (YYYY-MM-DD or ""), time (HH:MM or ""), local (ISO 8601 with offset or "") and utc.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.core.changes import CHANGE_FIELDS, changes_on_rows
from dwc_pipeline.core.columns import first_filled, text_column
from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.local_time import (
    GAP,
    LOCAL_TIME_DOES_NOT_EXIST,
    LOCAL_TIME_HAPPENS_TWICE,
    OVERLAP,
    end_dates,
    localise,
)
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.tidy import SPEAKS_OF, THE_END

START_TIME = {"road_run": "start_time", "search": "start_time"}

DATE_TOO_COARSE = declare(
    Rule(
        "date-too-coarse-for-a-check",
        Severity.WARNING,
        "The date gives no single day, and the row belongs to one visit.",
        "The row cannot be given to a check, so its effort is unknown.",
        "Write the day.",
        asks=True,
    )
)
RUN_TOO_LONG = declare(
    Rule(
        "run-longer-than-believed",
        Severity.ERROR,
        "A road run or search would last longer than the survey file believes.",
        "Start and end may be swapped, or one may be on a twelve-hour clock; the hours would be wrong.",
        "Correct the times, or raise longest_run_hours in the survey file.",
        asks=True,
    )
)
TIME_TOLD_TWICE = declare(
    Rule(
        "date-cell-and-time-cell-differ",
        Severity.WARNING,
        "The cell of the date holds a time of day as well, and the cell of the time another one.",
        "One of the two is a slip, or the time at which the row was typed in; hours of effort hang on the right one.",
        "Look at the paper sheet and correct one of the cells; until then the cell of the time is believed.",
    )
)
EVENING_NAMED = "date-names-the-evening"
ONE_NIGHT = "row-is-one-night"


def add_moments(
    rows: pd.DataFrame, kind: str, zone: str, longest_hours: float, evening: pd.Series, night: pd.Series | None = None
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """The rows with their moments; findings; changes.

    evening: True for rows of sheets whose date names the evening before an overnight check. night: for rows that are
    one night each, which end of it the date names ("evening", "morning"); "" for all other rows.
    """
    rows = rows.copy()
    findings, changes = [], []
    first, last, clock, end_of_cell = split_dates(text_column(rows, "eventDate"))
    offset = text_column(rows, "eventDate/utc_offset")
    overnight = (first != last) & (first != "")
    is_run = kind in START_TIME
    day = first if is_run else last
    coarse = rows.index[(text_column(rows, "eventDate") != "") & (day == "")]
    findings.append(
        findings_on_rows(
            DATE_TOO_COARSE,
            kind,
            coarse,
            "eventDate",
            value=text_column(rows, "eventDate").reindex(coarse),
            message="the date gives no single day",
        )
    )
    night = pd.Series("", index=rows.index, dtype=object) if night is None else night
    if kind in ("capture", "trap_log"):
        has_end = (text_column(rows, "end_date") != "") | (text_column(rows, SPEAKS_OF) == THE_END)
        day, moved = morning_after(rows, kind, day, evening & ~overnight & ~has_end & (night == ""))
        changes.append(moved)
    time = text_column(rows, START_TIME.get(kind, "eventTime"))
    findings.append(told_twice(kind, time, clock, START_TIME.get(kind, "eventTime")))
    time = time.where(time != "", clock)
    ends = on_distinct(time, both_ends)
    start, end = ends[0], ends[2]
    shift = text_column(rows, f"{START_TIME.get(kind, 'eventTime')}/day_shift") == "1"
    day = day.where(~shift, next_day(day))
    _, end_day, end_clock, _ = split_dates(text_column(rows, "end_date"))
    day, end_day, made_ends = ends_of_nights(
        rows, kind, day, end_day, night.mask(overnight & (night != ""), "both"), first
    )
    changes.append(made_ends)
    findings.append(place_in_zone(rows, kind, "when", day, start, offset, zone, START_TIME.get(kind, "eventTime")))
    end_time = first_filled(text_column(rows, "end_time"), end, end_of_cell)
    findings.append(told_twice(kind, end_time, end_clock, "end_time"))
    end_time = end_time.where(end_time != "", end_clock)
    if is_run:
        rolled = end_dates(day, start, end_time, longest_hours)
        long = rows.index[(rolled["status"] == "too long") & (end_day == "")]
        findings.append(
            findings_on_rows(
                RUN_TOO_LONG,
                kind,
                long,
                "end_time",
                value=text_column(rows, "end_time").reindex(long),
                message=rolled["note"].reindex(long),
            )
        )
        end_day = end_day.where(end_day != "", rolled["date"])
    findings.append(
        place_in_zone(rows, kind, "until", end_day, end_time, pd.Series("", index=rows.index), zone, "end_time")
    )
    made = pd.concat(changes, ignore_index=True) if changes else pd.DataFrame(columns=list(CHANGE_FIELDS))
    return rows, join_findings(findings), made


def told_twice(kind: str, time: pd.Series, clock: pd.Series, field: str) -> pd.DataFrame:
    """Findings for rows whose date cell gives another time of day than their time cell, to the minute."""
    start, of_date = (on_distinct(times, lambda texts: texts.str.slice(0, 5)) for times in (time, clock))
    hit = time.index[(start != "") & (of_date != "") & (start != of_date)]
    message = "the date cell says " + of_date[hit] + ", the time cell " + start[hit] + ", which is used"
    return findings_on_rows(TIME_TOLD_TWICE, kind, hit, field, value=time[hit], message=message)


def both_ends(times: pd.Series) -> pd.DataFrame:
    """Texts before and after the stroke in columns 0 and 2."""
    return times.str.partition("/").reindex(columns=range(3), fill_value="")  # no columns come back for no rows


def split_dates(dates: pd.Series) -> tuple[pd.Series, pd.Series, pd.Series, pd.Series]:
    """First day, last day, clock times of start and end of standard eventDates; over two days there is no day."""
    parts = {text: split_date(text) for text in dates.unique()}
    columns = [dates.map({text: part[at] for text, part in parts.items()}).astype(object) for at in range(4)]
    return columns[0], columns[1], columns[2], columns[3]


def split_date(text: str) -> tuple[str, str, str, str]:
    """First and last day of one eventDate, and its clock times.

    >>> split_date("2023-05-12/2023-05-13"), split_date("2023-05-14T22:00/2023-05-15T01:30"), split_date("2023-05")
    (('2023-05-12', '2023-05-13', '', ''), ('2023-05-14', '2023-05-15', '22:00', '01:30'), ('', '', '', ''))
    """
    start, _, end = text.partition("/")
    first, last = start[:10], (end or start)[:10]
    if len(first) != 10 or len(last) != 10:
        return "", "", "", ""
    if np.datetime64(last) - np.datetime64(first) > np.timedelta64(1, "D"):
        return "", "", "", ""
    return first, last, start[11:16], end[11:16]


def next_day(days: pd.Series) -> pd.Series:
    """The day after each day; "" stays ""."""
    return _days_later(days, 1)


def day_before(days: pd.Series) -> pd.Series:
    """The day before each day; "" stays ""."""
    return _days_later(days, -1)


def _days_later(days: pd.Series, step: int) -> pd.Series:
    return days.map({day: str(np.datetime64(day) + step) if day else "" for day in days.unique()}).astype(object)


def morning_after(
    rows: pd.DataFrame, kind: str, day: pd.Series, evening: pd.Series
) -> tuple[pd.Series, pd.DataFrame]:
    """Days of checks whose sheet names the evening: the check is on the next morning. Each one is a change.

    An opening in the evening keeps its day; so does a check in the afternoon.
    """
    afternoon = [f"{hour:02d}" for hour in range(12, 24)]
    late = on_distinct(text_column(rows, "eventTime"), lambda times: times.str.slice(0, 2).isin(afternoon))
    moved = evening & (day != "") & (text_column(rows, "action") != "opened") & ~late
    after = day.where(~moved, next_day(day))
    index = rows.index[moved]
    note = "the survey file says that the date of a check names the evening before"
    changes = changes_on_rows(kind, index, "eventDate", day[moved], after[moved], EVENING_NAMED, note)
    return after, changes


def ends_of_nights(
    rows: pd.DataFrame, kind: str, day: pd.Series, end_day: pd.Series, night: pd.Series, first: pd.Series
) -> tuple[pd.Series, pd.Series, pd.DataFrame]:
    """First and last day of rows that are one night each; every day that the sheet does not give is a change.

    night: the end that the date names; "both" where the cell gives both days. first: earlier day of such cells.
    """
    one_night = (night != "") & (day != "") & (end_day == "")
    both = one_night & (night == "both") & (first != "") & (first != day)
    by_evening, by_morning = one_night & (night == "evening"), one_night & (night == "morning")
    start = day.where(~by_morning, day_before(day)).where(~both, first)
    end = end_day.mask(by_evening, next_day(day)).mask(by_morning | both, day)
    index = rows.index[by_evening | by_morning]
    note = "the survey file says that a row is one night and its date that of the " + night[index]
    after = (start + "/" + end)[index]
    changes = changes_on_rows(kind, index, "eventDate", day[index], after, ONE_NIGHT, note)
    return start, end, changes


def place_in_zone(
    rows: pd.DataFrame,
    kind: str,
    name: str,
    day: pd.Series,
    time: pd.Series,
    offset: pd.Series,
    zone: str,
    field: str,
) -> pd.DataFrame:
    """Add the columns of one moment; findings for times that do not exist or exist twice."""
    placed = localise(day, time, zone, offset)
    rows[f"{name}/date"], rows[f"{name}/time"] = day, time
    rows[f"{name}/local"], rows[f"{name}/utc"] = placed["local_iso"], placed["utc"]
    found = []
    for status, rule in ((GAP, LOCAL_TIME_DOES_NOT_EXIST), (OVERLAP, LOCAL_TIME_HAPPENS_TWICE)):
        hit = rows.index[placed["status"] == status]
        value = day.loc[hit] + " " + time.loc[hit]
        found.append(
            findings_on_rows(rule, kind, hit, field, value=value, message=value + " by the clock of " + zone)
        )
    return join_findings(found)
