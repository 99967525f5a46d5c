"""Effort of the arrays by session, of road runs and searches; and what is known of every array on every day."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pandas as pd

from dwc_pipeline.core.columns import where_true
from dwc_pipeline.core.records import Records
from dwc_pipeline.write.figures.calendar_strip import ANIMALS, EMPTY, OPEN, UNKNOWN, CalendarStrip, calendar_strip
from dwc_pipeline.write.page.data_table import NUMBER, TEXT, DataTable, data_table, number_text

DAY_WORDS = {
    ANIMALS: "check with animals",
    EMPTY: "empty check",
    UNKNOWN: "check of unknown effort",
    OPEN: "open, no check on this day",
}
#: Of two checks on one day the state that says more is shown.
SAYS_MORE = (OPEN, EMPTY, ANIMALS, UNKNOWN)
#: Checks that the page shows one by one; our choice, so that a page of many seasons can still be opened.
MOST_CHECKS = 3000
BY_CHECK_NAMES = {
    "place": "check", "from": "since", "hours": "hours", "traps_catching": "traps catching",
    "words": "not catching, not known",
    "trap_nights": "trap-nights", "trap_nights_uncorrected": "without the half interval", "trap_hours": "trap-hours",
    "animals": "animals", "log_rows": "rows of the log",
}  # fmt: skip
SUMMED = ("checks", "empty", "trap_nights", "trap_hours", "unknown")


def check_table(records: Records) -> pd.DataFrame:
    """One row a trap check: eventID, place, session, eventDate, trap_nights, trap_hours, is_empty, is_unknown.

    Efforts are missing if any trap is unknown, and then is_unknown; an array without effort lines is unknown too.
    """
    event, effort = records.tables["event"], records.tables["effort"]
    checks = event[event["eventType"] == "trapCheck"]
    numbers = effort[["trap_nights", "trap_hours"]].astype("float64")
    sums = numbers.groupby(effort["eventID"]).sum().mask(numbers.isna().groupby(effort["eventID"]).any())
    made = checks[["eventID", "place", "eventDate", "parentEventID"]].join(sums, on="eventID")
    sessions = set(event.loc[event["eventType"] == "trapSession", "eventID"])
    made["session"] = made["parentEventID"].where(made["parentEventID"].isin(sessions), "")
    made["is_empty"] = ~made["eventID"].isin(records.tables["occurrence"]["eventID"])
    made["is_unknown"] = made["trap_nights"].isna() | made["trap_hours"].isna()
    return made.astype({"trap_nights": "float64", "trap_hours": "float64"}).reset_index(drop=True)


def effort_table(records: Records, checks: pd.DataFrame) -> DataTable:
    """One line an array session, a sum for each array and for all."""
    headers = [
        "array", "session", "checks", "of them empty", "trap-nights", "trap-hours", "checks of unknown effort",
    ]  # fmt: skip
    kinds = [TEXT, TEXT, *[NUMBER] * len(SUMMED)]
    event = records.tables["event"]
    sessions = event[event["eventType"] == "trapSession"]
    dates = pd.Series(sessions["eventDate"].to_numpy(), index=sessions["eventID"].to_numpy(), dtype=object)
    told = checks.assign(checks=1, empty=checks["is_empty"].astype(int), unknown=checks["is_unknown"].astype(int))
    by_session = told.groupby(["place", "session"])[list(SUMMED)].sum()
    own = [(place, session) for place, session in zip(sessions["place"], sessions["eventID"], strict=True)]
    lines = by_session.reindex(sorted({*own, *by_session.index})).fillna(0)
    rows = []
    for place, block in lines.groupby(level=0, sort=False):
        for (_, session), line in block.iterrows():
            rows.append([str(place), days_of(dates.get(session, "")), *figures(line)])
        rows.append([f"{place or 'no array'}, all", "", *figures(block.sum())])
    if rows:
        rows.append(["all arrays", "", *figures(lines.sum())])
    note = "An empty check is a visit at which no animal was written down: it is data. Sums leave unknown effort out."
    return DataTable("Effort of the arrays by session", headers, kinds, rows, note)


def figures(line: pd.Series) -> list[str]:
    """The summed figures of a line as text; efforts are unknown where no check has a known one."""
    nothing_known = line["checks"] > 0 and line["unknown"] == line["checks"]
    return [
        "unknown" if nothing_known and name in ("trap_nights", "trap_hours") else number_text(line[name], 1)
        for name in SUMMED
    ]


def days_of(event_date: str) -> str:
    """The days of an interval in words.

    >>> days_of("2031-05-06T17:08-05:00/2031-05-15T07:04-05:00"), days_of("")
    ('2031-05-06 to 2031-05-15', 'in no session of the log')
    """
    ends = [part[:10] for part in event_date.split("/") if part]
    if not ends:
        return "in no session of the log"
    return ends[0] if ends[0] == ends[-1] else f"{ends[0]} to {ends[-1]}"


def by_check_tables(records: Records) -> list[DataTable]:
    """For each array session the lines that a person can add up by hand against the log, and its sum; at most
    MOST_CHECKS checks, the rest stands in the table of that name."""
    lines = records.tables["effort_by_check"].head(MOST_CHECKS)
    single = lines[lines["level"] != "season"]
    tables = []
    for (place, _), own in single.groupby(["place", "session"], sort=False):
        shown = own.assign(place=own["to"].where(own["level"] == "check", "all"))
        sums = shown["level"] == "session"
        shown["from"] = shown["from"].where(~sums, "")
        for name in ("trap_nights", "trap_nights_uncorrected", "trap_hours"):
            texts = shown[name].astype("float64").map(lambda value: number_text(value, 2))
            shown[name] = texts.where(texts != "", "unknown")
        words = (shown["not_catching"] + where_true(shown["unknown"] != "", "; ") + shown["unknown"]).str.strip("; ")
        shown["words"] = words.str.replace("; ; ", "; ")
        sum_ends = own.iloc[-1]
        title = f"{place or 'no array'}, {days_of(sum_ends['from'] + '/' + sum_ends['to'])}"
        tables.append(data_table(title, shown, BY_CHECK_NAMES))
    return tables


def run_table(records: Records) -> DataTable | None:
    """Road runs and searches with their effort; None without any."""
    event, effort = records.tables["event"], records.tables["effort"]
    runs = event[event["eventType"].isin(["roadSurvey", "coverSearch"])]
    if runs.empty:
        return None
    numbers = effort.drop_duplicates("eventID").set_index("eventID")
    found = records.tables["occurrence"]["eventID"].value_counts()
    frame = pd.DataFrame(
        {
            "kind": runs["eventType"].map({"roadSurvey": "road run", "coverSearch": "search"}),
            "place": runs["place"],
            "days": runs["eventDate"].map(days_of),
            "effort": runs["samplingEffort"],
            "km": runs["eventID"].map(numbers["distance_km"]).astype("float64"),
            "person_hours": runs["eventID"].map(numbers["person_hours"]).astype("float64"),
            "found": runs["eventID"].map(found).fillna(0).astype(int),
            "unknown": runs["eventID"].map(numbers["unknown"]).fillna("no effort on any sheet"),
        }
    )
    names = {
        "kind": "kind", "place": "place", "days": "date", "effort": "effort in words", "km": "km",
        "person_hours": "person-hours", "found": "rows of animals", "unknown": "what is unknown",
    }  # fmt: skip
    return data_table("Road runs and searches", frame, names)


def array_days(checks: pd.DataFrame) -> dict[str, dict[dt.date, str]]:
    """What is known of each array on each day; a day that is not named was closed, or nothing is known of it."""
    days: dict[str, dict[dt.date, str]] = {}
    for line in checks.sort_values(["place", "eventDate"], kind="stable").itertuples():
        ends = [day for part in str(line.eventDate).split("/") if (day := as_day(part[:10])) is not None]
        if not ends:
            continue
        own = days.setdefault(str(line.place) or "no array", {})
        for number in range((ends[-1] - ends[0]).days):
            own.setdefault(ends[0] + dt.timedelta(days=number), OPEN)
        state = UNKNOWN if line.is_unknown else EMPTY if line.is_empty else ANIMALS
        own[ends[-1]] = max(state, own.get(ends[-1], OPEN), key=SAYS_MORE.index)
    return days


def as_day(text: str) -> dt.date | None:
    """The day of an ISO text; None if it names none."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None


def calendar(checks: pd.DataFrame, first: dt.date, last: dt.date) -> tuple[CalendarStrip | None, DataTable]:
    """The strip of days of the season, and the table of all days, those outside the season too."""
    days = array_days(checks)
    rows = [
        [
            place,
            days_of(f"{begin}/{end}"),
            number_text((end - begin).days + 1),
            DAY_WORDS[state],
            outside(begin, end, first, last),
        ]
        for place, own in days.items()
        for begin, end, state in spans(own)
    ]
    headers = ["array", "days", "number of days", "state", "remark"]
    note = "Days that are not listed: the array was closed, or no sheet speaks of it."
    drawn = {place: {day: state for day, state in own.items() if first <= day <= last} for place, own in days.items()}
    return calendar_strip(drawn), DataTable("Array days", headers, [TEXT, TEXT, NUMBER, TEXT, TEXT], rows, note)


def outside(begin: dt.date, end: dt.date, first: dt.date, last: dt.date) -> str:
    """What is said of days outside the season: they are not drawn."""
    return "" if first <= begin and end <= last else "outside the season: not drawn"


def spans(own: dict[dt.date, str]) -> list[tuple[dt.date, dt.date, str]]:
    """Runs of days of one state: first day, last day, state."""
    ordered = sorted(own.items())
    if not ordered:
        return []
    breaks = [
        number + 1
        for number, ((day, state), (after, next_state)) in enumerate(pairwise(ordered))
        if state != next_state or (after - day).days > 1
    ]
    edges = [0, *breaks, len(ordered)]
    return [(ordered[begin][0], ordered[end - 1][0], ordered[begin][1]) for begin, end in pairwise(edges)]
