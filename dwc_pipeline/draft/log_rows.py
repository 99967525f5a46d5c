"""What the rows of a trap log without actions may be: nights, or lines with typed trap-nights. Asked, not assumed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd

from dwc_pipeline.draft.cell_evidence import Column
from dwc_pipeline.draft.placing import Placed
from dwc_pipeline.draft.proposal import Setting

#: columns that together tell the place and the day of a row
OF_A_DAY = ("place", "eventDate", "day", "month", "year")
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


def is_once_a_day(text: pd.DataFrame, columns: Mapping[str, Column]) -> bool:
    """True if hardly any two rows share place and date."""
    letters = [columns[name].letter for name in OF_A_DAY if name in columns]
    if "place" not in columns or len(letters) < 2:
        return False
    return bool((~text[letters].duplicated(keep=False)).mean() >= NEARLY_ALL)
