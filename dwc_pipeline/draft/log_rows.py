"""What the rows of a trap log without actions may be: nights, or lines with typed trap-nights. Asked, not assumed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pandas as pd

from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.placing import USUAL, Placed, is_firm
from dwc_pipeline.draft.proposal import Confidence, Setting

#: columns that together tell the place and the day of a row
OF_A_DAY = ("place", "eventDate", "day", "month", "year")
EITHER = frozenset({"traps_open", "trap_nights_typed"})
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


def is_once_a_day(text: pd.DataFrame, columns: Mapping[str, Column]) -> bool:
    """True if hardly any two rows share place and date."""
    letters = [columns[name].letter for name in OF_A_DAY if name in columns]
    if "place" not in columns or len(letters) < 2:
        return False
    return bool((~text[letters].duplicated(keep=False)).mean() >= NEARLY_ALL)
