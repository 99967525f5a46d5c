"""What the order of openings, checks and closings in a log tells of its habits: which day a date names, closed days.

The first check after an opening is on the next morning. If it is dated a day later, dates name the morning; dated on
the day of the opening itself, with a clock time before that of the opening, they name the evening. Source: common
practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import pandas as pd

from dwc_pipeline.draft.cell_evidence import Known, date_context
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.placing import Placed
from dwc_pipeline.draft.proposal import Setting
from dwc_pipeline.normalise.clock import read_clock
from dwc_pipeline.normalise.date_text import plain
from dwc_pipeline.normalise.event_date import judge_date
from dwc_pipeline.terms.vocabulary import load_vocabulary

#: openings or closings that must agree, and the share of them
FEWEST, NEARLY_ALL = 2, 0.9
NIGHT = np.timedelta64(1, "D")


class Act(NamedTuple):
    """What a row of the log says was done: "opened", "checked", "closed" or several, when, and the clock time."""

    action: str
    day: np.datetime64
    clock: str


def log_habits(text: pd.DataFrame, placed: Sequence[Placed], known: Known) -> dict[str, Setting]:
    """Settings of date_names and closed_day that the rows of a log decide, by name; a question where they do not.

    text: cells of the table by column letter. placed: columns that take effect.
    """
    columns = {one.field: one.column for one in placed}
    if {"eventDate", "end_date"} <= columns.keys():
        closed = closed_day_of_intervals(text, columns, known)
        return {} if closed is None else {closed.key: closed}
    if not {"place", "action", "eventDate"} <= columns.keys():
        return {}
    acts = acts_by_place(text, columns, known)
    found = [setting for setting in (date_names_of(acts), closed_day_of(acts)) if setting is not None]
    return {setting.key: setting for setting in found}


def acts_by_place(text: pd.DataFrame, columns: Mapping[str, Column], known: Known) -> dict[str, list[Act]]:
    """The readable rows of each place in the order of the log."""
    words = load_vocabulary("action")
    days = days_of(columns["eventDate"], known)
    time = columns.get("eventTime")
    cells = pd.DataFrame({name: text[columns[name].letter].str.strip() for name in ("place", "action", "eventDate")})
    cells["time"] = text[time.letter].str.strip() if time is not None else ""
    found: dict[str, list[Act]] = defaultdict(list)
    for place, action, day, clock in cells.drop_duplicates().itertuples(index=False):
        entry = words.find(action) if action else None
        said = entry.value if entry is not None and entry.value and "|" not in entry.value else ""
        if place and said and len(days.get(day, "")) == 10:
            clocks = read_clock(plain(clock)) if clock else []
            found[place].append(Act(said, np.datetime64(days[day]), clocks[0] if len(clocks) == 1 else ""))
    return found


def days_of(date: Column, known: Known) -> dict[str, str]:
    """The first day of each text of a date column; shorter than a day where it gives none."""
    context = date_context(date, known)
    return {cell: judge_date(cell, date.stored.get(cell, ""), context).value[:10] for cell in date.counts}


def closed_day_of_intervals(text: pd.DataFrame, columns: Mapping[str, Column], known: Known) -> Setting | None:
    """The question whether arrays were checked on the closing day of rows that last from one day to another.

    None where all closings have a time, or come on the day after the opening.
    """
    start, end = columns["eventDate"], columns["end_date"]
    begun, closed = days_of(start, known), days_of(end, known)
    bare = pd.Series(True, index=text.index)
    if "end_time" in columns:
        bare = text[columns["end_time"].letter].str.strip() == ""
    pairs = zip(text.loc[bare, start.letter].str.strip(), text.loc[bare, end.letter].str.strip(), strict=True)
    days = [(begun.get(first, ""), closed.get(last, "")) for first, last in pairs]
    whole = [(first, last) for first, last in days if len(first) == 10 and len(last) == 10]
    long = sum(bool(np.datetime64(last) - np.datetime64(first) > NIGHT) for first, last in whole)
    note = f"{long} rows end on a day without a time: was the array still checked that morning?"
    return Setting("closed_day", "after the morning check", note, active=False, cells=long) if long else None


def date_names_of(acts: Mapping[str, Sequence[Act]]) -> Setting | None:
    """Which day the dates of checks name, by the first check after each opening."""
    later = evening = openings = 0
    for own in acts.values():
        for at, act in enumerate(own[:-1]):
            if act.action != "opened" or "checked" not in own[at + 1].action:
                continue
            first = own[at + 1]
            openings += 1
            later += first.day == act.day + NIGHT
            evening += first.day == act.day and bool(first.clock) and first.clock < act.clock
    if openings >= FEWEST and later >= NEARLY_ALL * openings:
        note = f"the first check after {later} of {openings} openings is dated a day later"
        return Setting("date_names", "morning", note)
    if openings >= FEWEST and evening >= NEARLY_ALL * openings:
        note = f"the first check after {evening} of {openings} openings bears the date of the evening of the opening"
        return Setting("date_names", "evening", note)
    return None


def closed_day_of(acts: Mapping[str, Sequence[Act]]) -> Setting | None:
    """Whether an array was checked on the day it was closed; None if no closing leaves it open."""
    bare = [(place, act) for place, own in acts.items() for act in own if act.action == "closed" and not act.clock]
    if not bare:
        return None
    checked = {(place, act.day) for place, own in acts.items() for act in own if "checked" in act.action}
    both = sum((place, act.day) in checked for place, act in bare)
    if len(bare) >= FEWEST and both >= NEARLY_ALL * len(bare):
        note = f"{both} of {len(bare)} closings have a check on the same day"
        return Setting("closed_day", "after the morning check", note)
    note = (
        f"{len(bare) - both} closings without a time or a check that day: was the array still checked that morning?"
    )
    return Setting("closed_day", "after the morning check", note, active=False, cells=len(bare))
