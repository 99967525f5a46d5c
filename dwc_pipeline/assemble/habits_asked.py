"""Habits of the sheets behind the rows: as the survey file or an answer says, and the questions about the others."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.assemble.log_entries import CHECKED, CLOSED
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import distinct_rows
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.sheet_habits import CHECKED_FIRST, habit_questions, habits_of, sheet_cause
from dwc_pipeline.core.tidy import SPEAKS_OF, THE_END
from dwc_pipeline.settings import SurveyFile

NO_ROWS = pd.Index([], dtype="int64")


def source_of_rows(records: Records, kind: str) -> pd.Series:
    """The source of each tidy row of a kind; empty where there is none."""
    origin = records.tidy[kind].origin if kind in records.tidy else pd.DataFrame({"source": []}, index=NO_ROWS)
    return origin["source"]


def setting_of_rows(records: Records, survey: SurveyFile, kind: str, setting: str) -> pd.Series:
    """A setting of the table that each tidy row came from."""
    by_source = {n: getattr(survey.table[int(entry)], setting) for n, entry in records.sources["entry"].items()}
    return source_of_rows(records, kind).map(by_source).astype(object)


def habit_of_rows(records: Records, survey: SurveyFile, kind: str, habit: str) -> pd.Series:
    """A habit that the survey file gives for the sheet of each tidy row."""
    by_source = {n: getattr(survey.table[int(entry)].habits, habit) for n, entry in records.sources["entry"].items()}
    return source_of_rows(records, kind).map(by_source).astype(object)


def causes_of_rows(records: Records, kind: str) -> pd.Series:
    """What questions about the sheet of each tidy row are bound to."""
    sources = records.sources
    by_source = {n: sheet_cause(sources.at[n, "file"], sources.at[n, "sheet"]) for n in sources.index}
    return source_of_rows(records, kind).map(by_source).astype(object)


def asked_habit_of_rows(
    records: Records, survey: SurveyFile, kind: str, habit: str
) -> tuple[pd.Series, frozenset[str]]:
    """A habit by the survey file or by an answer, "" where nobody has said; the questions that answers settled."""
    declared, causes = habit_of_rows(records, survey, kind, habit), causes_of_rows(records, kind)
    codes, firsts = distinct_rows(declared, causes)
    sheets = zip(declared.iloc[firsts], causes.iloc[firsts], strict=True)
    found, settled = habits_of(habit, sheets, records.reference.answers)
    return pd.Series(np.array(found, dtype=object)[codes], index=declared.index, dtype=object), settled


def questions_of_days(
    records: Records, survey: SurveyFile, captures: pd.DataFrame, log: pd.DataFrame
) -> pd.DataFrame:
    """Which day the dates of overnight checks name, asked once for each sheet that does not say.

    captures: rows about animals in traps. A check in the afternoon or evening is on its own day, so is an opening.
    """
    parts = []
    for kind, rows in (("trap_log", log), ("capture", captures)):
        if kind not in records.tidy:
            continue
        habit, _ = asked_habit_of_rows(records, survey, kind, "date_names")
        at_noon_or_later = text_column(rows, "when/time").str.slice(0, 2) >= "12"
        acted = text_column(rows, "action").isin(["opened", "not checked"])
        ends_told = (text_column(rows, "until/date") != "") | (text_column(rows, SPEAKS_OF) == THE_END)
        open_rows = (habit.reindex(rows.index) == "") & (text_column(rows, "when/date") != "")
        asked = rows.index[open_rows & ~at_noon_or_later & ~acted & ~ends_told]
        cells = pd.DataFrame(
            {"cause": causes_of_rows(records, kind).reindex(asked), "value": text_column(rows, "when/date")[asked]}
        )
        message = "does the date of an overnight check name the morning or the evening before?"
        parts.append(habit_questions("date_names", kind, cells, message))
    return join_findings(parts)


def closings_in_doubt(
    entries: pd.DataFrame, log: pd.DataFrame, habit: pd.Series, captures: pd.DataFrame
) -> pd.Series:
    """Closings of the log without a time of which nothing says whether the array was checked on that day.

    entries: from `log_entries`, in order. habit: closed_day by log row. captures: rows about traps; an animal of that
    day, or a check of it in any log, shows that it was. So does a row from one day to the next: closed all the second
    day, it would tell of no night. Rows whose end follows from their one night are not asked either.
    """
    closing = (entries["action"] == CLOSED) & (entries["local"] == "") & (entries["kind"] == "trap_log")
    unsaid = entries["tidy_row"].map(habit).where(closing, CHECKED_FIRST).fillna(CHECKED_FIRST) == ""
    checks = log[text_column(log, "action").isin(["", CHECKED]) & (text_column(log, "until/date") == "")]
    day = pd.MultiIndex.from_frame(entries[["place", "date"]])
    is_checked = day.isin(day[(entries["action"] == CHECKED).to_numpy()])
    for rows in (checks, captures):
        is_checked |= day.isin(days_of(rows))
    begun = pd.to_datetime(text_column(log, "when/date"), format="%Y-%m-%d", errors="coerce")
    end = pd.to_datetime(text_column(log, "until/date"), format="%Y-%m-%d", errors="coerce")
    one_night = log.index[(end - begun) <= pd.Timedelta(days=1)]
    return closing & unsaid & ~is_checked & ~entries["tidy_row"].isin(one_night)


def days_of(rows: pd.DataFrame) -> pd.MultiIndex:
    """Place and day of rows."""
    dates = pd.to_datetime(text_column(rows, "when/date"), format="%Y-%m-%d", errors="coerce")
    return pd.MultiIndex.from_arrays([text_column(rows, "place"), dates])


def questions_of_closings(records: Records, intervals: pd.DataFrame) -> pd.DataFrame:
    """The question about closed days, once for each sheet. intervals: those in doubt."""
    own = intervals.drop_duplicates("tidy_row").set_index("tidy_row").sort_index()
    cells = pd.DataFrame(
        {
            "cause": causes_of_rows(records, "trap_log").reindex(own.index),
            "value": own["place"] + " " + own["end_date"].dt.strftime("%Y-%m-%d"),
        }
    )
    message = "was the array still checked on the morning of the day it was closed, or closed all that day?"
    return habit_questions("closed_day", "trap_log", cells, message)
