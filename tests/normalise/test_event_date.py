"""Dates as typed: the table of the handbook's section 3, row by row.

Source of the expected days: calendar arithmetic; the statuses are ours. Day numbers 36161 = 1999-01-01 and
40179 = 2010-01-01 are published for the 1900 count.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pandas as pd
import pytest
from date_contexts import HEADER, MONTH_FIRST, NEW_YEAR, NOTHING, SEASON, TITLE

from dwc_pipeline.core.local_time import localise
from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_habits import date_habits
from dwc_pipeline.normalise.event_date import judge_date

JUST_1904 = replace(SEASON, date_system="1904")
SHEET_2024 = replace(
    SEASON, today=dt.date(2024, 12, 1), season_start=dt.date(2024, 2, 1), season_end=dt.date(2024, 11, 30)
)

READ = [
    ("1", "5/14/2023", SEASON, "2023-05-14"),
    ("2", "5/14/23", SEASON, "2023-05-14"),
    ("3", "05-14-23", SEASON, "2023-05-14"),
    ("4", "14/5/2023", SEASON, "2023-05-14"),
    ("8", "6/6/2023", SEASON, "2023-06-06"),
    ("9", "14-May-23", SEASON, "2023-05-14"),
    ("10", "14 May 2023", SEASON, "2023-05-14"),
    ("11", "May 14, 2023", SEASON, "2023-05-14"),
    ("12", "May 14th 2023", SEASON, "2023-05-14"),
    ("13", "14.v.2023", SEASON, "2023-05-14"),
    ("14", "14.05.2023", SEASON, "2023-05-14"),
    ("15", "2023-05-14", SEASON, "2023-05-14"),
    ("16", "2023/05/14", SEASON, "2023-05-14"),
    ("17", "20230514", SEASON, "2023-05-14"),
    ("18", "051423", SEASON, "2023-05-14"),
    ("20", "230514", SEASON, "2023-05-14"),
    ("21", "Sept 3 23", SEASON, "2023-09-03"),
    ("22", "3-Sep", TITLE, "2023-09-03"),
    ("24", "Sunday 14 May 2023", SEASON, "2023-05-14"),
    ("26", "134/2023", SEASON, "2023-05-14"),
    ("26", "2023-134", SEASON, "2023-05-14"),
    ("27", "2023-W19-7", SEASON, "2023-05-14"),
    ("28", "ca. 14 May 2023", SEASON, "2023-05-14"),
    ("29", "14 May 2023?", SEASON, "2023-05-14"),
    ("30", "May 2023", SEASON, "2023-05"),
    ("31", "2023", SEASON, "2023"),
    ("32", "spring 2023", SEASON, "2023"),
    ("33", "12-13 May 2023", SEASON, "2023-05-12/2023-05-13"),
    ("34", "12-13 May", TITLE, "2023-05-12/2023-05-13"),
    ("35", "12-13", HEADER, "2023-05-12/2023-05-13"),
    ("37", "14/15 May 2023", SEASON, "2023-05-14/2023-05-15"),
    ("38", "5/12-5/13/23", SEASON, "2023-05-12/2023-05-13"),
    ("39", "30 Apr - 1 May 2023", SEASON, "2023-04-30/2023-05-01"),
    ("40", "31 Dec 22 - 1 Jan 23", NEW_YEAR, "2022-12-31/2023-01-01"),
    ("43", "night of 12 May 2023", SEASON, "2023-05-12/2023-05-13"),
    ("44", "45060", SEASON, "2023-05-14"),
    ("45", "43598", JUST_1904, "2023-05-14"),
    ("46", "43598", SEASON, "2019-05-13"),
    ("47", "45060.3020833333", SEASON, "2023-05-14T07:15"),
    ("64", "5/14/2023 0715", SEASON, "2023-05-14T07:15"),
    ("65", "11/6/2023 0715", MONTH_FIRST, "2023-11-06T07:15"),
    ("68", "2023-05-15T02:10:00Z", SEASON, "2023-05-14T21:10"),
    ("72", "2/29/2024", SHEET_2024, "2024-02-29"),
    ("74", "5/14/2032", SEASON, "2032-05-14"),
    ("76", "5/14/1923", SEASON, "1923-05-14"),
]

ASKED = [
    ("5", "5/6/2023", SEASON, "date-has-two-readings", ("2023-05-06", "2023-06-05")),
    ("19", "230514", NOTHING, "date-has-two-readings", ("2023-05-14", "2014-05-23")),
    ("23", "5/14", NOTHING, "date-has-no-year", ("XXXX-05-14", "2014-05")),
    ("25", "Mon 14 May 2023", SEASON, "date-disagrees-with-its-weekday", ("2023-05-14", "2023-05-15")),
    ("36", "12-13", NOTHING, "date-has-no-year", ("XXXX-XX-12/XXXX-XX-13", "XXXX-12-13", "2013-12")),
    ("41", "5/14/2023 & 5/20/2023", SEASON, "date-cell-holds-several-dates", ("2023-05-14", "2023-05-20")),
    (
        "67",
        "11/5/2023 0130",
        MONTH_FIRST,
        "local-time-happens-twice",
        ("2023-11-05T01:30-05:00", "2023-11-05T01:30-06:00"),
    ),
    ("77", "5/14/68", NOTHING, "date-has-two-readings", ("1968-05-14", "2068-05-14")),
]

IMPOSSIBLE = [
    ("42", "15-12 May 2023", SEASON, "date-range-runs-backwards", ()),
    ("48", "60", SEASON, "date-is-not-on-the-calendar", ()),
    ("66", "3/12/2023 0230", MONTH_FIRST, "local-time-does-not-exist", ()),
    ("69b", "29 Feb 2023", SEASON, "date-is-not-on-the-calendar", ("2023-02-28", "2023-03-01", "2023-03-29")),
    ("69", "31 June 2023", SEASON, "date-is-not-on-the-calendar", ("2023-06-30", "2023-07-01", "2023-07-31")),
    ("70", "13/13/2023", SEASON, "date-is-not-on-the-calendar", ()),
    ("71", "2/29/2023", SEASON, "date-is-not-on-the-calendar", ()),
    ("73", "0/14/2023", SEASON, "date-is-not-on-the-calendar", ()),
    ("73", "5/0/2023", SEASON, "date-is-not-on-the-calendar", ()),
    ("75", "5/14/0203", SEASON, "date-is-not-on-the-calendar", ("2023-05-14",)),
]

FLAGGED = [
    ("28", "ca. 14 May 2023", SEASON, "date-doubtful", ()),
    ("29", "14 May 2023?", SEASON, "date-doubtful", ()),
    ("46", "43598", SEASON, "date-four-years-off", ("2023-05-14",)),
    ("74", "5/14/2032", SEASON, "date-in-the-future", ("2023-05-14",)),
    ("76", "5/14/1923", SEASON, "date-before-project", ("2023-05-14",)),
    ("-", "5/14/2022", SEASON, "date-outside-season", ("2023-05-14",)),
    ("-", "5/14/2022", TITLE, "date-disagrees-with-title", ("2023-05-14",)),
    ("-", "12/13/2022", replace(HEADER, year=2022), "date-disagrees-with-title", ("2022-05-13",)),
    ("-", "2021-28-10", NOTHING, "date-in-a-rare-form", ()),
    ("-", "1/1/1900", NOTHING, "date-may-be-a-small-number", ()),
    ("-", "2023-05-14 00:00:00", SEASON, "midnight-may-mean-no-time", ()),
    ("-", "45060.99", SEASON, "date-number-too-coarse-for-time", ()),
]


@pytest.mark.parametrize(("row", "typed", "context", "expected"), READ)
def test_a_date_with_one_reading_is_read(row: str, typed: str, context: DateContext, expected: str) -> None:
    verdict = judge_date(typed, "", context)
    assert verdict.value == expected
    assert verdict.status is (Status.KEPT if typed == expected else Status.CHANGED)
    assert verdict.note


@pytest.mark.parametrize(("row", "typed", "context", "rule", "readings"), ASKED)
def test_a_date_with_two_readings_is_asked(
    row: str, typed: str, context: DateContext, rule: str, readings: tuple[str, ...]
) -> None:
    verdict = judge_date(typed, "", context)
    assert (verdict.status, verdict.value, verdict.rule) == (Status.AMBIGUOUS, "", rule)
    assert set(readings) <= set(verdict.readings)


@pytest.mark.parametrize(("row", "typed", "context", "rule", "offers"), IMPOSSIBLE)
def test_a_day_that_is_not_on_the_calendar_is_never_repaired(
    row: str, typed: str, context: DateContext, rule: str, offers: tuple[str, ...]
) -> None:
    verdict = judge_date(typed, "", context)
    assert (verdict.status, verdict.value, verdict.rule) == (Status.UNREADABLE, "", rule)
    assert set(offers) <= set(verdict.readings)


@pytest.mark.parametrize(("row", "typed", "context", "rule", "offers"), FLAGGED)
def test_a_readable_date_in_an_unlikely_place_is_told(
    row: str, typed: str, context: DateContext, rule: str, offers: tuple[str, ...]
) -> None:
    verdict = judge_date(typed, "", context)
    assert verdict.is_read
    assert rule in {flag.rule for flag in verdict.flags}
    assert set(offers) <= {offer for flag in verdict.flags for offer in flag.readings}


def test_row_6_another_date_of_the_column_shows_that_the_month_comes_first() -> None:
    context = date_habits(["5/6/2023", "5/14/2023"], ["", ""], SEASON)
    verdict = judge_date("5/6/2023", "", context)
    assert verdict.value == "2023-05-06"
    assert "5/14/2023" in verdict.note


def test_row_7_other_dates_of_the_column_show_that_the_day_comes_first() -> None:
    context = date_habits(["5/6/2023", "14/5/2023", "21/5/2023"], ["", "", ""], SEASON)
    verdict = judge_date("5/6/2023", "", context)
    assert verdict.value == "2023-06-05"
    assert "14/5/2023" in verdict.note


@pytest.mark.parametrize(
    ("row", "typed", "expected"),
    [
        ("47", "45060.3020833333", "2023-05-14T07:15-05:00"),
        ("64", "5/14/2023 0715", "2023-05-14T07:15-05:00"),
        ("65", "11/6/2023 0715", "2023-11-06T07:15-06:00"),
        ("68", "2023-05-15T02:10:00Z", "2023-05-14T21:10-05:00"),
    ],
)
def test_the_local_time_gets_the_offset_of_the_day(row: str, typed: str, expected: str) -> None:
    date, clock = judge_date(typed, "", MONTH_FIRST).value.split("T")
    placed = localise(pd.Series([date], dtype=object), pd.Series([clock], dtype=object), "America/Chicago")
    assert placed["local_iso"].tolist() == [expected]


def test_row_61_a_word_for_the_time_of_day_stays_beside_the_date() -> None:
    verdict = judge_date("5/14/2023 dusk", "", SEASON)
    assert (verdict.value, verdict.also["time_word"]) == ("2023-05-14", "dusk")


@pytest.mark.parametrize(
    ("typed", "expected"), [("36161", "1999-01-01"), ("40179", "2010-01-01"), ("45060", "2023-05-14")]
)
def test_day_numbers_of_the_1900_count_agree_with_published_ones(typed: str, expected: str) -> None:
    """Published: 36161 is 1999-01-01 and 40179 is 2010-01-01 in the count from 1900."""
    assert judge_date(typed, "", DateContext(today=dt.date(2026, 1, 1), date_system="1900")).value == expected


def test_without_knowing_the_count_a_day_number_is_asked_unless_the_season_tells() -> None:
    assert judge_date("45060", "", NOTHING).readings == ("2023-05-14", "2027-05-15")
    assert judge_date("45060", "", replace(SEASON, date_system="")).value == "2023-05-14"


def test_every_rule_a_date_can_raise_is_declared() -> None:
    cells = [row[1] for row in (*READ, *ASKED, *IMPOSSIBLE, *FLAGGED)]
    verdicts = [judge_date(cell, "", context) for cell in cells for context in (SEASON, NOTHING, HEADER)]
    raised = {verdict.rule for verdict in verdicts if not verdict.is_read}
    raised |= {flag.rule for verdict in verdicts for flag in verdict.flags}
    assert raised <= set(RULES)


@pytest.mark.parametrize("blank", ["", " ", "\t", "\x00", "\x0e\x0f", " \n"])
def test_a_cell_of_spaces_and_control_characters_is_empty(blank: str) -> None:
    """BDQ draft, bdqval:Empty: nothing but U+0000 to U+0020."""
    assert judge_date(blank, "", SEASON).status is Status.EMPTY


@pytest.mark.parametrize("word", ["null", "NULL", "NA", "n/a", "X", "-", "unknown", "#REF!", "see above", "\u00a0"])
def test_a_word_in_place_of_a_date_is_unreadable_and_not_empty(word: str) -> None:
    """BDQ draft: the texts NULL and NA are NotEmpty, a lone no-break space too."""
    assert judge_date(word, "", SEASON).status is Status.UNREADABLE


class TestPartsThatStoodApart:
    """Day, month and year typed in three columns, as reshaping puts them together. Common practice, no source."""

    @pytest.mark.parametrize(
        ("text", "value"),
        [
            ("day 14, month 5, year 2023", "2023-05-14"),
            ("day 5, month 14.0, year 2023", ""),
            ("day 31, month 2, year 2023", ""),
            ("day 5, month mayo, year 2023", "2023-05-05"),
            ("month 5, year 2023", "2023-05"),
            ("day 3-4, month 5, year 2023", "2023-05-03/2023-05-04"),
            ("day x, month 5, year 2023", "2023-05"),
        ],
    )
    def test_the_columns_say_which_number_is_the_month(self, text, value):
        verdict = judge_date(text, "", DateContext(today=dt.date(2031, 11, 1)))
        assert verdict.value == value
        assert verdict.status == ("changed" if value else "unreadable")
