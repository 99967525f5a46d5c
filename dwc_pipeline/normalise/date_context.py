"""What is known around a date cell: the season, the column's habits, the titles, the clock."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

MONTH_FIRST = "month-first"
DAY_FIRST = "day-first"


#: traps are set early and pulled late: a day so near to the season is not ruled out (common practice, no source)
SEASON_MARGIN = dt.timedelta(days=7)


class Window(NamedTuple):
    """Days within which the records must lie, both included, and how a note names them."""

    first: dt.date
    last: dt.date
    name: str

    def holds(self, first: dt.date, last: dt.date) -> bool:
        """True if the whole stretch of days lies in the window, or the window lies in the stretch.

        The second half is for coarse dates: the year 2023 agrees with a season within 2023.
        """
        return (self.first <= first and last <= self.last) or (first <= self.first and self.last <= last)

    def nearly_holds(self, first: dt.date, last: dt.date) -> bool:
        """As `holds`, for a window that is wider by SEASON_MARGIN at both ends."""
        return Window(self.first - SEASON_MARGIN, self.last + SEASON_MARGIN, self.name).holds(first, last)

    def touches(self, first: dt.date, last: dt.date) -> bool:
        """True if at least one day is shared."""
        return first <= self.last and self.first <= last


class Anchors(NamedTuple):
    """What years and months that a cell leaves out are taken from, as in DateContext."""

    year: int | None
    year_evidence: str
    month: int | None
    month_evidence: str
    window: Window | None


@dataclass(frozen=True, kw_only=True)
class DateContext:
    """Evidence for reading the dates of one column of one sheet in one season.

    today: day of the run, handed in; nothing here reads the clock.
    season_start, season_end: both included. project_start: first day on which records can exist.
    order: "month-first", "day-first" or "" where nothing decides; order_evidence: the reason in words, or
    why no order could be decided.
    year, month: from titles or a header above the rows, with their evidence.
    date_system: "1900" or "1904" as the workbook says, "" where there is no workbook.
    time_zone: IANA name; "" if not known.
    short_form: evidence that two numbers without a year are month and day here, never month and year.
    dash_form: evidence that a dash between two numbers parts month and day, and not two days.
    year_day_month: evidence that some year-first dates of the column put the day before the month.
    typed_suspect: evidence that the spreadsheet itself may have swapped day and month in typed cells.
    """

    today: dt.date
    season_start: dt.date | None = None
    season_end: dt.date | None = None
    project_start: dt.date | None = None
    order: str = ""
    order_evidence: str = ""
    year: int | None = None
    year_evidence: str = ""
    month: int | None = None
    month_evidence: str = ""
    date_system: str = ""
    time_zone: str = ""
    short_form: str = ""
    dash_form: str = ""
    year_day_month: str = ""
    typed_suspect: str = ""

    @cached_property
    def window(self) -> Window | None:
        """The season; without one, the life of the project up to today; None where neither is known.

        A season whose end is not given ends today, one whose start is not given starts with the project.
        """
        first = self.season_start or self.project_start
        last = self.season_end or self.today
        if first is None or last < first:
            return None
        known_as = "season" if self.season_start or self.season_end else "project"
        return Window(first, last, f"the {known_as} from {first.isoformat()} to {last.isoformat()}")

    @cached_property
    def anchors(self) -> Anchors:
        """What the readings of a date depend on; the same for all passes over a column."""
        return Anchors(self.year, self.year_evidence, self.month, self.month_evidence, self.window)
