"""Contexts that the tests of dates share: a 2023 season in the southern plains, and nothing known at all."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from dwc_pipeline.normalise.date_context import DateContext

TODAY = dt.date(2023, 12, 1)
SEASON = DateContext(
    today=TODAY,
    season_start=dt.date(2023, 3, 1),
    season_end=dt.date(2023, 11, 30),
    project_start=dt.date(2021, 1, 1),
    date_system="1900",
    time_zone="America/Chicago",
)
NOTHING = DateContext(today=TODAY, time_zone="America/Chicago")
NEW_YEAR = replace(SEASON, season_start=dt.date(2022, 10, 1), season_end=dt.date(2023, 4, 30))
MONTH_FIRST = replace(SEASON, order="month-first", order_evidence="the survey file says month first")
DAY_FIRST = replace(SEASON, order="day-first", order_evidence="the survey file says day first")
TITLE = replace(NOTHING, year=2023, year_evidence='the title "2023"')
HEADER = replace(TITLE, month=5, month_evidence='the header "MAY 2023"')
