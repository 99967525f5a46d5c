"""Cells in which the spreadsheet stores a date: handbook section 3 and common practice, no source."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from date_contexts import HEADER, NOTHING, SEASON, TITLE

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.event_date import judge_date

LAST_YEAR = replace(SEASON, season_start=dt.date(2022, 3, 1), season_end=dt.date(2022, 11, 30))


@pytest.mark.parametrize(
    ("shown", "stored", "context", "value"),
    [
        ("5/6/2023", "2023-05-06", NOTHING, "2023-05-06"),
        ("5/6/2023", "2023-06-05", NOTHING, "2023-06-05"),
        ("2023-05-14", "2023-05-14", SEASON, "2023-05-14"),
        ("14-May", "2023-05-14", SEASON, "2023-05-14"),
        ("14-May", "2023-05-14", TITLE, "2023-05-14"),
        ("May-23", "2023-05-01", SEASON, "2023-05"),
        ("May-23", "2023-05-23", SEASON, "2023-05-23"),
        ("Sunday, May 14, 2023", "2023-05-14", SEASON, "2023-05-14"),
        ("2023-05-14 07:15", "2023-05-14T07:15", SEASON, "2023-05-14T07:15"),
        ("5/14/2023 7:15", "2023-05-14T07:15:30", SEASON, "2023-05-14T07:15:30"),
        ("5/14/2023", "2023-05-14T00:00", SEASON, "2023-05-14"),
        ("45060", "2023-05-14", SEASON, "2023-05-14"),
        ("", "2023-05-14", SEASON, "2023-05-14"),
    ],
)
def test_a_typed_date_is_one_reading(shown: str, stored: str, context: DateContext, value: str) -> None:
    verdict = judge_date(shown, stored, context)
    assert verdict.value == value


def test_the_year_behind_a_short_format_is_asked_where_it_does_not_fit() -> None:
    """Sheets typed up in January carry the new year into the old season."""
    verdict = judge_date("14-May", "2023-05-14", LAST_YEAR)
    assert (verdict.rule, verdict.readings) == ("date-year-hidden-by-format", ("2022-05-14", "2023-05-14"))
    assert judge_date("8-Jan", "2015-01-08", replace(NOTHING, year=2014)).readings == ("2014-01-08", "2015-01-08")
    assert judge_date("14-May", "2023-05-14", NOTHING).status is Status.AMBIGUOUS


def test_a_range_of_days_that_became_a_date_is_asked() -> None:
    verdict = judge_date(
        "13-Dec", "2023-12-13", replace(HEADER, season_start=dt.date(2023, 3, 1), season_end=dt.date(2023, 9, 1))
    )
    assert verdict.status is Status.AMBIGUOUS
    assert "2023-05-12/2023-05-13" in verdict.readings


@pytest.mark.parametrize(
    ("stored", "rule", "offer"),
    [
        ("2019-05-13", "date-four-years-off", "2023-05-14"),
        ("2027-05-15", "date-four-years-off", "2023-05-14"),
        ("2022-05-14", "date-outside-season", "2023-05-14"),
        ("2023-01-05", "date-outside-season", "2023-05-01"),
        ("2033-12-14", "date-in-the-future", ""),
        ("1923-12-14", "date-before-project", ""),
    ],
)
def test_a_typed_date_outside_the_season_is_told(stored: str, rule: str, offer: str) -> None:
    day = dt.date.fromisoformat(stored)
    verdict = judge_date(f"{day.month}/{day.day}/{day.year}", stored, SEASON)
    assert verdict.value == stored
    assert verdict.flags[0].rule == rule
    assert not offer or verdict.flags[0].readings[0] == offer


@pytest.mark.parametrize("stored", ["1900-01-14", "1899-12-30T07:15", "1904-01-03", "07:15"])
def test_a_small_number_or_a_time_shown_as_a_date_is_no_date(stored: str) -> None:
    assert judge_date("x", stored, NOTHING).status is Status.UNREADABLE


def test_a_cell_that_shows_another_date_than_it_stores_is_asked() -> None:
    assert judge_date("5/14/2023", "2023-05-15", SEASON).status is Status.AMBIGUOUS
