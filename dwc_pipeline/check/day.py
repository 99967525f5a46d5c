"""One day's typing: what is missing, what contradicts, and what to ask while the observer remembers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from dwc_pipeline.check.day_gaps import gaps_of
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.rule import RULES
from dwc_pipeline.settings import SurveyFile

MISSING, CONTRADICTS, ASK = "missing", "contradicts", "ask"
#: one line a gap or fault. whom: who recorded the row, "" where no sheet says so.
DAY_COLUMNS = ("part", "what", "file", "sheet", "row", "column", "whom", "rule", "finding", "severity", "remedy")
#: kinds of rows that tell of a day, and what a person calls them
TYPED = {"trap_log": "log rows", "capture": "capture rows", "road_run": "road runs", "search": "searches"}
#: told as a gap of the day already, so not repeated among the contradictions
TOLD_AS_GAPS = ("session-never-closed",)


@dataclass(frozen=True)
class DayReport:
    """day: "" where no row has a date that can be read. typed: rows of that day by kind. lines: DAY_COLUMNS."""

    day: str
    is_latest: bool
    typed: dict[str, int]
    lines: pd.DataFrame


def day_report(records: Records, findings: pd.DataFrame, survey: SurveyFile, day: dt.date | None) -> DayReport:
    """What the sheets say of one day. findings: reviewed. day: the latest day in the sheets where left out."""
    rows = dated_rows(records)
    latest = latest_day(rows, survey, records.reference.today)
    asked = day.isoformat() if day else latest
    of_day = rows[(rows["date"] == asked) & (asked != "")]
    typed = of_day[~of_day["is_guess"].astype(bool)].groupby("kind").size()
    gaps = gaps_of(records, survey, asked) if asked else []
    lines = [
        *({"part": MISSING, "rule": "", "finding": "", "severity": "", "remedy": "", **gap} for gap in gaps),
        *_faults(findings, of_day),
    ]
    frame = pd.DataFrame(lines, columns=list(DAY_COLUMNS))
    people = of_day.set_index(["file", "sheet", "row"])["recordedBy"].to_dict()
    frame["whom"] = [people.get(place, "") for place in zip(frame["file"], frame["sheet"], frame["row"], strict=True)]
    return DayReport(asked, asked == latest, {name: int(typed.get(name, 0)) for name in TYPED}, frame)


def dated_rows(records: Records) -> pd.DataFrame:
    """Every row that tells of a day: kind, file, sheet, row, date, recordedBy, is_guess.

    A row whose date could not be read is taken to be of the day of the row above it (is_guess).
    """
    parts = []
    for kind in TYPED:
        if kind not in records.tidy:
            continue
        origin = records.tidy[kind].origin
        standard = records.standard.get(kind, pd.DataFrame()).reindex(origin.index)
        source = records.sources[["file", "sheet"]].reindex(origin["source"])
        date = text_column(standard, "when/date").fillna("")
        part = pd.DataFrame(
            {
                "kind": kind,
                "source": origin["source"],
                "file": source["file"].to_numpy(),
                "sheet": source["sheet"].to_numpy(),
                "row": origin["row"].astype(int),
                "recordedBy": text_column(standard, "recordedBy").fillna(""),
                "is_guess": date == "",
                "date": date.where(date != ""),
            }
        ).sort_values(["source", "row"], kind="stable")
        part["date"] = part.groupby("source")["date"].ffill().fillna("")
        parts.append(part)
    columns = ["kind", "source", "file", "sheet", "row", "recordedBy", "is_guess", "date"]
    return pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=columns)


def latest_day(rows: pd.DataFrame, survey: SurveyFile, today: dt.date) -> str:
    """The latest day in the sheets that the season can have; "" if there is none."""
    last = min(survey.survey.ends, today).isoformat()
    known = rows.loc[~rows["is_guess"].astype(bool), "date"]
    within = known[(known >= survey.survey.starts.isoformat()) & (known <= last)]
    return str(within.max()) if len(within) else ""


def _faults(findings: pd.DataFrame, of_day: pd.DataFrame) -> Iterator[dict[str, object]]:
    """Errors, warnings and questions on the rows of the day, one line a fault."""
    places = set(zip(of_day["file"], of_day["sheet"], of_day["row"], strict=True))
    open_now = findings[(findings["waived"] == "") & (findings["severity"] != "note")]
    open_now = open_now[~open_now["rule"].isin(TOLD_AS_GAPS)]
    here = [place in places for place in zip(open_now["file"], open_now["sheet"], open_now["row"], strict=True)]
    for row in open_now[here].drop_duplicates("finding").to_dict("records"):
        part = ASK if RULES[str(row["rule"])].asks else CONTRADICTS
        choices = f" Could be: {row['suggestions']}." if row["suggestions"] else ""
        shared = ("file", "sheet", "row", "column", "rule", "finding", "severity", "remedy")
        yield {"part": part, "what": f"{row['message']}{choices}", **{name: row[name] for name in shared}}
