"""Which event each capture row belongs to: a trap check, a road run, a search, or a find by chance."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.log_entries import NEAR_MINUTES
from dwc_pipeline.core.columns import instant_column, mapped, text_column, where_true
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.rule import Rule, Severity, declare

TRAP_CHECK, ROAD, SEARCH, INCIDENTAL = "trapCheck", "roadSurvey", "coverSearch", "incidental"
KIND_OF_PLACE = {"array": TRAP_CHECK, "route": ROAD, "site": SEARCH}

CAPTURE_WITHOUT_CHECK = declare(
    Rule(
        "capture-on-a-day-without-a-check",
        Severity.ERROR,
        "An animal is written for an array on a day for which the log has no check of it.",
        "Either a check is missing from the log, and its effort with it, or the date or the array is wrong.",
        "Add the check to the log, or correct the date or the array. The animal stands on a check of unknown effort.",
    )
)
CAPTURE_FITS_TWO_CHECKS = declare(
    Rule(
        "capture-fits-two-checks",
        Severity.WARNING,
        "The array was checked more than once that day, and the row does not say which check found the animal.",
        "The animal cannot be given to an interval; it stands on the whole session.",
        "Write the time of the check on the row.",
        asks=True,
    )
)
CAPTURE_HOURS_FROM_ITS_CHECK = declare(
    Rule(
        "capture-hours-from-the-only-check",
        Severity.WARNING,
        "The time of an animal is many hours from the only check that the log has of its array on that day.",
        "If there was another check, its effort and its place in the day are missing, and the animal stands on the "
        "wrong interval; else one of the two times is wrong.",
        "Add the check to the log, or correct the time. The animal stands on the check that the log has.",
        asks=True,
    )
)
#: Animals are worked up an hour or two after their trap was checked, long catches later still. [hours]; our choice
LONGEST_WORKING_UP = 5
FIND_WITHOUT_RUN = declare(
    Rule(
        "find-without-a-run",
        Severity.ERROR,
        "An animal of a road run or search has no run of that day and place.",
        "Its effort is unknown, so it is left out of every rate.",
        "Add the run to its sheet, or correct the date, the place or the number of the run.",
    )
)
RUN_BY_TIME_ONLY = declare(
    Rule(
        "run-named-and-run-by-time-differ",
        Severity.WARNING,
        "An animal names a run or search that does not fit its day; by day and time it belongs to another.",
        "One of the two is a slip of the pen, and the animal may stand on the effort of the wrong run.",
        "Correct the number of the run, or the date and time of the animal.",
    )
)


def event_types(captures: pd.DataFrame, places: pd.DataFrame) -> pd.Series:
    """The kind of event of each row: as written, else by the kind of the place or the trap, else by chance."""
    written = text_column(captures, "eventType")
    kinds = places.set_index("place")["kind"] if len(places) else pd.Series(dtype=object)
    by_place = mapped(mapped(text_column(captures, "place"), kinds), KIND_OF_PLACE)
    by_trap = where_true(text_column(captures, "trap") != "", TRAP_CHECK).replace("", INCIDENTAL)
    return written.where(written != "", by_place.where(by_place != "", by_trap))


def link_trap_checks(captures: pd.DataFrame, intervals: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """For rows of trap checks: the interval (row of `intervals`), or the session, or neither.

    intervals: from `build_sessions`, with `cell`, the rows that begin and end each, in words.
    Returns columns interval (-1 if none), session ("" unless the check is open to doubt), is_unlogged; findings.
    """
    place, date = text_column(captures, "place"), text_column(captures, "when/date")
    moment = instant_column(captures, "when/utc")
    visits = intervals.assign(date=intervals["end_date"].dt.strftime("%Y-%m-%d"), interval=intervals.index)
    rows = pd.DataFrame({"row": captures.index, "place": place, "date": date, "utc": moment})
    fits = rows.merge(visits[["place", "date", "interval", "session", "end_utc", "seen_utc"]], on=["place", "date"])
    away = pd.DataFrame({name: (fits[name] - fits["utc"]).abs() for name in ("end_utc", "seen_utc")})
    fits["away"] = away.min(axis=1).dt.total_seconds() / 60
    fits["count"] = fits.groupby("row")["interval"].transform("size")
    near = fits[fits["away"] <= NEAR_MINUTES].sort_values(["row", "away"], kind="stable").drop_duplicates("row")
    only = fits[fits["count"] == 1].drop_duplicates("row")
    chosen = pd.concat([near, only]).drop_duplicates("row").set_index("row")
    doubtful = fits[~fits["row"].isin(chosen.index)].drop_duplicates("row").set_index("row")
    link = pd.DataFrame({"interval": -1, "session": "", "is_unlogged": False}, index=captures.index)
    link.loc[chosen.index, "interval"] = chosen["interval"]
    link.loc[doubtful.index, "session"] = doubtful["session"]
    usable = (place != "") & (date != "")
    link["is_unlogged"] = usable & (link["interval"] < 0) & ~captures.index.isin(doubtful.index)
    lost = captures.index[link["is_unlogged"]]
    two = pd.Index(doubtful.index)
    where = place + " on " + date
    return link, join_findings(
        [
            findings_on_rows(
                CAPTURE_WITHOUT_CHECK,
                "capture",
                lost,
                "eventDate",
                value=date.reindex(lost),
                cause=where.reindex(lost),
                message="the log has no check of " + where.reindex(lost) + nearest_rows(rows, intervals, lost),
            ),
            findings_on_rows(
                CAPTURE_FITS_TWO_CHECKS,
                "capture",
                two,
                "eventTime",
                value=date.reindex(two),
                cause=where.reindex(two),
                message=place.reindex(two)
                + " was checked more than once on "
                + date.reindex(two)
                + "; the row has no time that fits one of them",
            ),
            hours_from_the_only_check(captures, only.set_index("row"), intervals),
        ]
    )


def hours_from_the_only_check(captures: pd.DataFrame, only: pd.DataFrame, intervals: pd.DataFrame) -> pd.DataFrame:
    """Findings on rows whose time is far from that of the one check of their array and day.

    only: interval and away [minutes], by capture row. A check or an animal without a time tells nothing.
    """
    far = only[only["away"] > 60 * LONGEST_WORKING_UP]
    rows, check = far.index, intervals.reindex(far["interval"]).set_index(far.index)
    place, day = text_column(captures, "place").reindex(rows), text_column(captures, "when/date").reindex(rows)
    clock = text_column(captures, "when/time").reindex(rows).str.slice(0, 5)
    message = (
        "an animal of " + place + " at " + clock + " on " + day + ", but the only check of that day in the log is at "
        + check["end_local"].str.slice(11, 16) + " (" + check["cell"] + "): is a check missing in the log?"
    )  # fmt: skip
    return findings_on_rows(
        CAPTURE_HOURS_FROM_ITS_CHECK,
        "capture",
        rows,
        "eventTime",
        value=clock,
        cause=place + " on " + day + " at " + clock.str.slice(0, 2),
        message=message,
    )


def nearest_rows(rows: pd.DataFrame, intervals: pd.DataFrame, lost: pd.Index) -> pd.Series:
    """What the log does tell near the day of some capture rows, in words: the interval around it, or the nearest."""
    wanted = rows[rows["row"].isin(lost)]
    day = pd.to_datetime(wanted["date"], format="%Y-%m-%d")
    both = wanted.assign(day=day).merge(intervals[["place", "start_date", "end_date", "cell"]], on="place")
    first, last = both["start_date"].fillna(both["end_date"]), both["end_date"]
    both["away"] = (first - both["day"]).dt.days.clip(lower=0) + (both["day"] - last).dt.days.clip(lower=0)
    best = both.sort_values(["row", "away"], kind="stable").drop_duplicates("row").set_index("row")["cell"]
    return ("; the nearest interval is " + best).reindex(lost).fillna("; it tells of no visit there at all")


def run_key(labels: pd.Series) -> pd.Series:
    """Labels of runs without what people write differently: case, signs, leading zeros."""
    plain = labels.astype(str).str.casefold().str.replace(r"[^0-9a-z]+", "", regex=True)
    return plain.str.replace(r"(?<!\d)0+(?=\d)", "", regex=True)


def link_runs(captures: pd.DataFrame, runs: pd.DataFrame, field: str) -> tuple[pd.Series, pd.DataFrame]:
    """For rows of road runs or searches: the run (row of `runs`, -1 if none), and findings.

    By the run's own number or label where the row has one; else by the time; else by place and day.
    """
    label, place, date = (text_column(captures, name) for name in ("run", "place", "when/date"))
    rows = pd.DataFrame(
        {
            "row": captures.index,
            "run": label,
            "place": place,
            "date": date,
            "utc": instant_column(captures, "when/utc"),
        }
    )
    known = runs.assign(number=runs.index)
    pairs = (
        rows.merge(known, how="cross", suffixes=("", "_of_run"))
        if len(rows) * len(known) < 5_000_000
        else (rows.merge(known, on="date", suffixes=("", "_of_run")).assign(date_of_run=lambda both: both["date"]))
    )
    same_place = (pairs["place"] == "") | (pairs["place_of_run"] == pairs["place"])
    near_day = (
        pd.to_datetime(pairs["date"], errors="coerce") - pd.to_datetime(pairs["date_of_run"], errors="coerce")
    ).dt.days
    same_label = (pairs["run"] != "") & (pairs["run"] == pairs["run_of_run"]) & near_day.isin([0, 1])
    during = same_place & (pairs["utc"] >= pairs["utc_of_run"]) & (pairs["utc"] <= pairs["end_utc"])
    same_day = same_place & (pairs["date"] == pairs["date_of_run"]) & (pairs["run"] == "")
    found = pd.Series(-1, index=captures.index)
    for evidence in (same_label, during, same_day):
        hits = pairs[evidence]
        single = hits[~hits["row"].duplicated(keep=False)].set_index("row")["number"]
        open_rows = found.index[found < 0].intersection(single.index)
        found.loc[open_rows] = single.loc[open_rows]
    lost = found.index[(found < 0) & (date != "")]
    where = (place + " on " + date).reindex(lost)
    by_time = mapped(found, known["run"])
    other = found.index[(label != "") & (by_time != "") & (run_key(by_time) != run_key(label))]
    return found, join_findings(
        [
            findings_on_rows(
                FIND_WITHOUT_RUN,
                "capture",
                lost,
                field,
                value=date.reindex(lost),
                cause=where,
                message="no single run or search fits " + where,
            ),
            findings_on_rows(
                RUN_BY_TIME_ONLY,
                "capture",
                other,
                "run",
                value=label.reindex(other),
                message="the row names "
                + label.reindex(other)
                + "; by day and time it belongs to "
                + by_time.reindex(other),
            ),
        ]
    )
