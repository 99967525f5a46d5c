"""What the rows of a trap log without actions may be: nights, intervals, or lines with typed trap-nights."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pandas as pd

from dwc_pipeline.draft.cell_evidence import Known, time_share
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.header_evidence import words_of
from dwc_pipeline.draft.placing import CELLS_AGREE, USUAL, Fit, Placed, is_firm
from dwc_pipeline.draft.proposal import Confidence, Setting

#: columns that together tell the place and the day of a row
OF_A_DAY = ("place", "eventDate", "day", "month", "year")
EITHER = frozenset({"traps_open", "trap_nights_typed"})
#: words that tell the time at which an interval ends from that at which it begins
TIME_WORDS = frozenset({"time", "hour", "hora"})
TIMES = ("eventTime", "end_time")
AT_THE_START = frozenset({"set", "open", "opened", "start", "started", "begin"})
AT_THE_END = frozenset({"check", "checked", "closed", "end", "ended", "pulled", "collected"})
#: share of the rows that must be alone on their place and day
NEARLY_ALL = 0.98


def log_settings(text: pd.DataFrame, placed: Sequence[Placed]) -> list[Setting]:
    """Questions about a log that says neither when traps were opened nor when they were closed.

    text: cells of the table by column letter. placed: columns that take effect.
    """
    columns = {one.field: one.column for one in placed}
    if columns.keys() & {"action", "end_date", "end_time", "sentence"}:
        return []
    settings = []
    if columns.keys() & {"traps_open", "trap_nights_typed"} and is_once_a_day(text, columns):
        note = "each place stands once on each date, with its effort: is a row one night? date_names then says which"
        settings.append(Setting("rows_are", "nights", note, active=False, cells=len(text)))
    if "trap_nights_typed" in columns:
        header = columns["trap_nights_typed"].header.strip()
        note = f'nothing says when traps were open: is "{header}" all that is known of the effort?'
        settings.append(Setting("effort", "as typed", note, active=False, cells=len(text)))
    return settings


def with_effort_of_nights(text: pd.DataFrame, placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """The columns with one called "effort" placed, where each row is a place on a date.

    Such a column may hold traps or trap-nights; on rows of one night both are the same number. text: cells of the
    table by column letter.
    """
    firm = {one.field: one.column for one in placed if is_firm(one)}
    if firm.keys() & EITHER or not is_once_a_day(text, firm):
        return tuple(placed)
    note = "traps or trap-nights, which are the same on rows of one night"
    return tuple(
        replace(one, field="traps_open", confidence=Confidence.LIKELY, runner_up="", note=note)
        if one.field in EITHER and one.runner_up in EITHER and one.fit.header >= USUAL
        else one
        for one in placed
    )


def with_times_of_intervals(placed: Sequence[Placed], known: Known) -> tuple[Placed, ...]:
    """The columns with the times of rows that last from one date to another: "Time set" begins, "Time checked" ends.

    On a row of one date "Time checked" is the time of the visit; on an interval the check is what ends it.
    """
    firm = {one.field: one for one in placed if is_firm(one)}
    if not {"eventDate", "end_date"} <= firm.keys():
        return tuple(placed)
    times = [one for one in placed if one.field in TIMES or not is_firm(one)]
    times = [one for one in times if _is_time(one.column, known)]
    ends = [one for one in times if _says(one, AT_THE_END) and not _says(one, AT_THE_START)]
    starts = [one for one in times if one not in ends]
    is_elsewhere = any(name in firm and firm[name] not in times for name in TIMES)
    if len(ends) != 1 or len(starts) > 1 or is_elsewhere:
        return tuple(placed)
    return tuple(
        _at(one, "end_time", "ends the interval", known) if one in ends
        else _at(one, "eventTime", "begins the interval", known) if one in starts
        else one
        for one in placed
    )  # fmt: skip


def _is_time(column: Column, known: Known) -> bool:
    """True if a column is called a time and holds times of day."""
    is_called = bool(TIME_WORDS & set(words_of(column.header)))
    return is_called and bool(column.counts) and (time_share(column, known).share or 0.0) >= CELLS_AGREE


def _says(one: Placed, words: frozenset[str]) -> bool:
    return bool(words & set(words_of(one.column.header)))


def _at(one: Placed, field: str, note: str, known: Known) -> Placed:
    if one.field == field and is_firm(one):
        return one
    fit = Fit(USUAL, USUAL, "time", time_share(one.column, known), "")
    return Placed(one.column, field, fit, Confidence.LIKELY, note=note)


def is_once_a_day(text: pd.DataFrame, columns: Mapping[str, Column]) -> bool:
    """True if hardly any two rows share place and date."""
    letters = [columns[name].letter for name in OF_A_DAY if name in columns]
    if "place" not in columns or len(letters) < 2:
        return False
    return bool((~text[letters].duplicated(keep=False)).mean() >= NEARLY_ALL)
