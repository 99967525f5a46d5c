"""Local date and time to an instant with its offset, and what an eventDate says of year, month and day.

Source: the time zone database through zoneinfo; Darwin Core `eventDate`, `year`, `month`, `day`,
`startDayOfYear`, `endDayOfYear`; BDQ draft, AMENDMENT_EVENT_FROM_EVENTDATE (a part is filled only where the
whole stretch agrees on it). Elapsed time is counted in UTC.
"""

from __future__ import annotations

import datetime as dt
import re
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

OK, GAP, OVERLAP, NO_TIME = "ok", "gap", "overlap", "no time"

LOCAL_TIME_DOES_NOT_EXIST = declare(
    Rule(
        "local-time-does-not-exist",
        Severity.ERROR,
        "The clock jumped over this time on this day, so no clock at the place ever showed it.",
        "Trap-hours that start or end here cannot be computed, and the time in the notes is wrong by an hour.",
        "Ask who wrote it whether the watch had been put forward, and correct the time.",
        source="Time zone database; ISO 8601-1 for the offset",
        asks=True,
    )
)
LOCAL_TIME_HAPPENS_TWICE = declare(
    Rule(
        "local-time-happens-twice",
        Severity.ERROR,
        "The clock was put back over this time, so it happened twice that night, an hour apart.",
        "Trap-hours that start or end here may be an hour wrong.",
        "Say whether the time is before or after the clock was put back: choose the one with the right offset.",
        source="Time zone database; ISO 8601-1 for the offset",
        asks=True,
    )
)


def zone_of(name: str) -> ZoneInfo:
    """The time zone of an IANA name. Raises zoneinfo.ZoneInfoNotFoundError (a KeyError) for an unknown name."""
    return ZoneInfo(name)


@lru_cache(maxsize=65_536)
def offsets_at(local: dt.datetime, zone: str) -> tuple[dt.timedelta, ...]:
    """Offsets from UTC that a clock showing the naive local time can have: one, two in an overlap, none in a gap.

    >>> [len(offsets_at(dt.datetime(2023, 3, 12, hour, 30), "America/Chicago")) for hour in (1, 2, 3)]
    [1, 0, 1]
    """
    place = zone_of(zone)
    earlier, later = (local.replace(tzinfo=place, fold=fold) for fold in (0, 1))
    # Python, PEP 495: in a gap or an overlap, and only there, the offset depends on the fold.
    if (usual := earlier.utcoffset()) is not None and usual == later.utcoffset():
        return (usual,)
    found: dict[dt.timedelta, None] = {}
    for aware in (earlier, later):
        offset = aware.utcoffset()
        back = aware.astimezone(dt.UTC).astimezone(place).replace(tzinfo=None)
        if offset is not None and back == local:
            found[offset] = None
    return tuple(found)


def offset_text(offset: dt.timedelta) -> str:
    """An offset as +HH:MM or -HH:MM, to the minute."""
    minutes = round(offset.total_seconds() / 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def localise(dates: pd.Series, times: pd.Series, zone: str, offsets: pd.Series | None = None) -> pd.DataFrame:
    """Local dates and times as instants.

    dates: 'YYYY-MM-DD' or "". times: 'HH:MM' or 'HH:MM:SS', "" where there is none; same index.
    zone: IANA name. offsets: '-05:00' where the source itself gave one, else ""; settles an overlap.
    Returns, on the same index: local_iso ('YYYY-MM-DDTHH:MM-05:00', seconds only where given; "" unless ok),
    utc (datetime64[us, UTC], NaT unless ok), status ('ok', 'gap', 'overlap', 'no time').
    In an overlap nothing is chosen. Raises ValueError for texts that are neither blank nor of these forms.
    """
    given = offsets if offsets is not None else pd.Series("", index=dates.index, dtype=object)
    keys = pd.DataFrame({"date": dates, "time": times, "offset": given})

    def judged(rows: pd.DataFrame) -> pd.DataFrame:
        found = [_instant(str(d), str(t), str(o), zone) for d, t, o in rows.itertuples(index=False, name=None)]
        frame = pd.DataFrame(found, columns=["local_iso", "utc", "status"], dtype=object)
        return frame.assign(utc=pd.to_datetime(frame["utc"], utc=True).astype("datetime64[us, UTC]"))

    return on_distinct_rows(keys, judged)


def _instant(date: str, time: str, offset: str, zone: str) -> tuple[str, dt.datetime | None, str]:
    if not date or not time:
        return "", None, NO_TIME
    local = dt.datetime.fromisoformat(f"{date}T{time}")
    found = offsets_at(local, zone)
    if offset:
        found = tuple(one for one in found if offset_text(one) == offset) or found
    if len(found) != 1:
        return "", None, GAP if not found else OVERLAP
    text = local.isoformat(timespec="seconds" if local.second else "minutes") + offset_text(found[0])
    return text, (local - found[0]).replace(tzinfo=dt.UTC), OK


def iso_interval(start_local_iso: pd.Series, end_local_iso: pd.Series) -> pd.Series:
    """'start/end' where both ends are known and differ; the one that is known otherwise; "" where neither is.

    Both Series are text on the same index, "" for unknown. The ends are not compared in time.
    """
    start, end = start_local_iso.astype(object), end_local_iso.astype(object)
    both = (start != "") & (end != "") & (start != end)
    return (start + "/" + end).where(both, start.where(start != "", end))


def end_dates(dates: pd.Series, starts: pd.Series, ends: pd.Series, longest_hours: float) -> pd.DataFrame:
    """The day on which a run ended that began on `dates` at `starts` and ended at the clock time `ends`.

    dates: 'YYYY-MM-DD'; starts, ends: 'HH:MM[:SS]'; "" where unknown. longest_hours: longest believable run.
    Returns on the same index: date ('YYYY-MM-DD' or ""), note, and status: 'ok'; 'next day' where the end is
    earlier than the start; 'too long' where the run would exceed longest_hours (times may be swapped; a
    question, date ""); 'no time'.
    """
    keys = pd.DataFrame({"date": dates, "start": starts, "end": ends})

    def judged(rows: pd.DataFrame) -> pd.DataFrame:
        found = [
            _end_date(str(d), str(s), str(e), longest_hours) for d, s, e in rows.itertuples(index=False, name=None)
        ]
        return pd.DataFrame(found, columns=["date", "note", "status"], dtype=object)

    return on_distinct_rows(keys, judged)


def _end_date(date: str, start: str, end: str, longest_hours: float) -> tuple[str, str, str]:
    if not date or not start or not end:
        return "", "", NO_TIME
    hours = run_hours(start, end)
    if hours > longest_hours:
        return (
            "",
            f"{start} to {end} would be {hours:.2f} h, longer than {longest_hours:g} h: times swapped?",
            "too long",
        )
    if end < start:
        following = (dt.date.fromisoformat(date) + dt.timedelta(days=1)).isoformat()
        return following, f"{end} is earlier than {start}, so the run ended on the next day, {following}", "next day"
    return date, "", OK


def run_hours(start: str, end: str) -> float:
    """Clock hours from start to end, over midnight where the end is earlier. [h]

    >>> run_hours("22:00", "01:30")
    3.5
    """
    first, last = (dt.datetime.fromisoformat(f"2000-01-01T{text}") for text in (start, end))
    return ((last - first).total_seconds() % 86400) / 3600


_CALENDAR = re.compile(r"(?P<y>[0-9]{4})(?:-(?P<m>[0-9]{2})(?:-(?P<d>[0-9]{2}))?)?(?:T.*)?")
_SHORT_END = re.compile(r"(?:(?P<m>[0-9]{2})-)?(?P<d>[0-9]{2})(?:T.*)?")
PARTS = ("year", "month", "day", "startDayOfYear", "endDayOfYear")


def calendar_parts(event_date: pd.Series) -> pd.DataFrame:
    """year, month, day, startDayOfYear and endDayOfYear as text, filled only where the eventDate settles them.

    event_date: ISO 8601 text, single or start/end, "" for unknown. year, month and day are filled where the
    whole stretch lies in one; the days of the year need day precision at both ends. "" elsewhere.
    """
    codes, distinct = pd.factorize(event_date)
    rows = [_parts(str(text)) for text in distinct]
    frame = pd.DataFrame(rows, columns=list(PARTS), dtype=object)
    blank = pd.DataFrame([("",) * 5], columns=list(PARTS), dtype=object)
    table = pd.concat([frame, blank], ignore_index=True)
    return table.take(np.where(codes < 0, len(frame), codes)).set_axis(event_date.index)


def _parts(text: str) -> tuple[str, str, str, str, str]:
    start, _, end = text.partition("/")
    first = _ymd(start)
    last = _ymd(end, first) if end else first
    if first is None or last is None:
        return ("",) * 5
    same = [one is not None and one == other for one, other in zip(first, last, strict=True)]
    year = str(first[0]) if same[0] else ""
    month = str(first[1]) if year and same[1] else ""
    day = str(first[2]) if month and same[2] else ""
    return year, month, day, _day_of_year(first), _day_of_year(last)


def _ymd(
    text: str, start: tuple[int, int | None, int | None] | None = None
) -> tuple[int, int | None, int | None] | None:
    """Year, month and day of an ISO text; a shortened end takes its leading parts from the start. None if no date."""
    short = _SHORT_END.fullmatch(text)
    if short and start is not None and start[2] is not None:
        year, month, day = start[0], int(short["m"]) if short["m"] else start[1], int(short["d"])
    else:
        found = _CALENDAR.fullmatch(text)
        if not found:
            return None
        year, month, day = int(found["y"]), found["m"] and int(found["m"]), found["d"] and int(found["d"])  # type: ignore[assignment]
    try:
        dt.date(year, month or 1, day or 1)
    except ValueError:
        return None
    return year, month or None, day or None


def _day_of_year(ymd: tuple[int, int | None, int | None]) -> str:
    year, month, day = ymd
    return str(dt.date(year, month, day).timetuple().tm_yday) if month and day else ""
