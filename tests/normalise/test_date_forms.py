"""Many hands: forms beyond the handbook's table, and odd cells that must be read rightly or asked.

Source: calendar arithmetic; the readings are ours.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from date_contexts import HEADER, NEW_YEAR, NOTHING, SEASON, TITLE

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.event_date import judge_date

A_DAY = """
5-14-2023|5.14.2023|5_14_2023|5,14,2023|5 14 2023|5/14-2023|5-14/2023|5-14/23|14/5-2023|14. 5. 2023|14.5.23
14-05-2023|2023.05.14|2023_05_14|2023 05 14|2023-5-14|2023-May-14|2023May14|14May2023|14may23|May142023
14 MAY 2023|14. May 2023|14-V-23|14/V/2023|14 v 2023|14V2023|2023-v-14|the 14th of May, 2023|14th May 2023
May 14 2023|May-14-2023|May.14.2023|may/14/2023|14/may/2023|14 Mai 2023|14 maj 2023|14 mayo 2023|14 Mai 23
Sun 14 May 2023|14 May 2023 (Sun)|Sunday, May 14, 2023|14 May 2023, Sunday|05142023|14052023|5142023|2023134
2023W197|'5/14/2023|"5/14/2023"|5/14/2023.|5/14/2023,|140523|051423|２０２３-０５-１４|14\u00a0May\u00a02023|5／14／2023
2023\u201105\u201114|\u200e5/14/2023\u200e| 5/14/2023 |5\u204414\u20442023|May 14|14 May|14-May|5/14|14/5|14.5.
5.14|14 v|14-May-2023|14-May-23|23-05-14|23/05/14|2023-05-14|May 14th|14th May|5/14/'23|45060|45060.0
(5/14/2023)|[5/14/2023]|~5/14/2023|c. 14 May 2023|?5/14/2023|5/14/2023 ?|5/14/2023*|5/14/2023 (approx)
evening of 14 May 2023|5/14/2023 AM|5/14/2023 dawn|14 May 2023 00:00|2023-05-14T00:00:00|2023-05-14 00:00:00
"""
A_TIME = """
2023-05-14 07:15:00|2023-05-14 07:15|2023-05-14T07:15|2023-05-14T0715|5/14/2023 7:15 AM|5/14/2023 7:15am
5/14/23 7:15a|5/14/2023 07:15|5/14/2023 0715|5/14/2023 715|5/14/2023, 7:15 am|5/14/2023 @ 7:15|5/14/23@7:15
14 May 2023 at 0715h|14 May 0715|5/14 0715|May 14 7:15 am|14-05-23 7:15|14.05.23, 07:15|20230514T071500
20230514T0715|202305140715|20230514 0715|7:15 5/14/2023|07:15 14 May 2023|2023-05-14T07:15-05:00
2023-05-14T07:15-0500|2023-05-14T12:15Z|2023-05-14T12:15:00.000Z|2023-05-14 07:15:00-05|2023-05-14 12:15 UTC
45060.30208|45060.3021|Sunday 14 May 2023 7:15 am
"""

A_NIGHT = """
12-13 May 2023|12/13 May 2023|12 / 13 May|12/13 May|May 12/13|May 12-13, 2023|May 12 - 13 2023|May 12-13
12 to 13 May 2023|12 thru 13 May 2023|May 12 to May 13, 2023|12 May through 13 May 2023|5/12/23-5/13/23
5/12/2023 - 5/13/2023|5/12-5/13|5/12 - 5/13|5/12-13/23|5/12-13/2023|12-13/5/2023|12.-13.5.2023|12-13.v.2023
2023-05-12/13|2023-05-12/05-13|2023-05-12/2023-05-13|2023-05-12 to 2023-05-13|2023-05-12--2023-05-13
2023-05-12-2023-05-13|12-13-May-2023|12-13-May-23|12th-13th May|May 12th to the 13th|night of 12 May 2023
nite of May 12, 2023|night of 12 May|overnight 12 May 2023|12 May 2023 night|12 May nite|night of 12-13 May 2023
Fri-Sat 12-13 May 2023|Fri 12 May - Sat 13 May 2023|12\u201313 May 2023|45058-45059|5/12-13
"""

MUST_ASK = """
5/6/2023|5/6/23|5-6-2023|5 6 2023|05062023|5/6|5.6|5.1|05-06-07|12-05-11|10/11/12|May 23|May-23|5/23|May 14-23
5/14-23|May 14 - 23|23-May-14|eve of 5/12/2023|winter 2023|3-5/6/2023|12 & 13 May 2023|12, 13 May 2023
5/14/2023, 5/20/2023|5/14/2023; 5/20/2023|5/14/2023 5/20/2023|5/14/2023 or 5/15/2023
14 or 15 May 2023|Mon 14 May 2023|Sun 5/6/2023|14 May 2015|5/14 2015|51423|61423|201112|010203|12012023|14|31
May|June 31|Feb 30|May 32|5/32|25-Dec|1-Jan|12/13|13/12|29/2|Feb 29|12.30|30 Dec - 2 Jan|2023-05-14T00:00:00Z
2023-05-14 02:00-05:00|May 14 12 pm|10-12
"""

MUST_REFUSE = """
5/14/|14/14|5-14-2023 to|00:00|1/0/1900|31-Apr|5/14/23/24|13/2023|2023-00|2023/13|2023-05-00|2023-05-32
0000-05-14|00/00/00|99/99/9999|4/31/2023|31/4/2023|2/30/2023|June 31, 2023|9/31/2023|0/5/2023|5/0|32/5|60|59|134
366|999|0|0377|0514|514|1405|2560|1234|1582|2200|2023-366|366/2023|0/2023|2023-W53-1|2023-13|5/14/203|5/14/20233
5/14/2023²|5/1?/2023|?/14/2023|5/xx/2023|5/14/2O23|l4 May 2023|14 Mya 2023|14 May 203|14 May 20234|14 May 3
5//14//2023|-5/14/2023|2023-05-14-|--05-14|2023--14|.5.14|1.5e3|4.506E4|45,060|NaN|TRUE|#REF!|#####|same|"|ditto
Array 3|A3|2023-05-14T14:67-0600|1963-03-08T4|2023-05-14T14:0|5/14/2023 2560|5/14/2023 25:00|5/14/2023 7
5/14/2023 17|before 14 May 2023|by 5/14/2023|after 5/14|<5/14/2023|since May 2023|early 14 May 2023|summer
spring 23|Sunday|Sun|30-2 May 2023|5/14-5/12/23|15-12 May 2023|May 12, 13, 2023|1-2-3|1-2-3-4|x-xii-2023|x|v
14/2023/05|05/2023/14|24:00|7:15|0715|'23 May|5/14/2023 #3|1/2/3|5/6/7|1-366/2023|nan|None|May 0|0 May
"""


def cells(block: str) -> list[str]:
    """The cells of a block, one between bars or line ends; a break within a cell is written as an escape."""
    lines = [line for line in block.strip("\n").split("\n") if line]
    return [cell for line in lines for cell in line.split("|")]


@pytest.mark.parametrize("cell", cells(A_DAY))
def test_one_day_in_many_hands_is_the_same_day(cell: str) -> None:
    assert judge_date(cell, "", SEASON).value == "2023-05-14"


@pytest.mark.parametrize("cell", cells(A_TIME))
def test_one_moment_in_many_hands_is_the_same_moment(cell: str) -> None:
    assert judge_date(cell, "", SEASON).value == "2023-05-14T07:15"


@pytest.mark.parametrize("cell", cells(A_NIGHT))
def test_one_night_in_many_hands_is_the_same_night(cell: str) -> None:
    assert judge_date(cell, "", SEASON).value == "2023-05-12/2023-05-13"


@pytest.mark.parametrize("cell", ["5/14/2023\n5/15/2023", *cells(MUST_ASK)])
def test_a_cell_with_two_readings_is_asked(cell: str) -> None:
    verdict = judge_date(cell, "", SEASON)
    assert verdict.status is Status.AMBIGUOUS
    assert verdict.value == ""
    assert verdict.note


@pytest.mark.parametrize("cell", cells(MUST_REFUSE))
def test_a_cell_with_no_reading_is_refused(cell: str) -> None:
    for context in (SEASON, NOTHING):
        verdict = judge_date(cell, "", context)
        assert not verdict.is_read
        assert verdict.note


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("2023-5", "2023-05"), ("5/2023", "2023-05"), ("05-2023", "2023-05"), ("May '23", "2023-05"),
        ("2023 May", "2023-05"), ("xi.2023", "2023-11"), ("202305", "2023-05"), ("early May 2023", "2023-05"),
        ("mid-May 2023", "2023-05"), ("late May 2023", "2023-05"), ("Fall 2023", "2023"), ("2023.10", "2023-10"),
        ("Apr-May 2023", "2023-04/2023-05"), ("2022-2023", "2022/2023"), ("winter 2022/23", "2022/2023"),
        ("2023-W19", "2023-05-08/2023-05-14"), ("30 Dec - 2 Jan 2023", "2022-12-30/2023-01-02"),
        ("30 Dec 2022 - 2 Jan", "2022-12-30/2023-01-02"),
        ("14 to 20 May", "2023-05-14/2023-05-20"),
        ("5/14/2023 2200-0130", "2023-05-14T22:00/2023-05-15T01:30"),
        ("5/14/2023 22:00-23:00", "2023-05-14T22:00/2023-05-14T23:00"),
        ("5/14/2023 22:00 - 5/15/2023 01:30", "2023-05-14T22:00/2023-05-15T01:30"),
        ("2023-05-14T22:00Z/2023-05-15T01:30Z", "2023-05-14T17:00/2023-05-14T20:30"),
        ("5/14/2023 2400", "2023-05-15T00:00"), ("2023-05-14T07:15+02:00", "2023-05-14T00:15"),
        ("Sat 5/6/2023", "2023-05-06"), ("Mon 5/6/2023", "2023-06-05"),
    ],
)  # fmt: skip
def test_coarser_dates_stretches_and_weekdays(cell: str, value: str) -> None:
    assert judge_date(cell, "", SEASON).value == value


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("25-Dec", "2022-12-25"),
        ("1/1", "2023-01-01"),
        ("30 Dec - 2 Jan", "2022-12-30/2023-01-02"),
        ("20-Feb", "2023-02-20"),
    ],
)
def test_a_season_over_new_year_gives_each_month_its_year(cell: str, value: str) -> None:
    verdict = judge_date(cell, "", NEW_YEAR)
    assert verdict.value == value
    assert "season" in verdict.note


@pytest.mark.parametrize(
    ("cell", "value"), [("14", "2023-05-14"), ("14th", "2023-05-14"), ("12 to 13", "2023-05-12/2023-05-13")]
)
def test_a_header_with_month_and_year_completes_bare_days(cell: str, value: str) -> None:
    verdict = judge_date(cell, "", HEADER)
    assert verdict.value == value
    assert "MAY 2023" in verdict.note


def test_the_season_settles_a_single_date_and_is_named() -> None:
    verdict = judge_date("1/5/2023", "", SEASON)
    assert verdict.value == "2023-05-01"
    assert "2023-01-05 would lie outside the season" in verdict.note


@pytest.mark.parametrize(
    "cell",
    [
        "1.1",
        "13.1",
        "2023.1",
        "1/6-1",
        "5/24-24",
        "10-5/5",
        "6/5.11",
        "5/30.6",
        "5-05/14",
        "5/23-6",
        "30/6-30",
        "5/14/2023 715",
        "6-10/12",
        "1/12/1/24",
        "5.99/6-31",
        "dec-2023 5",
        "May-2023 12",
        "6/2023-may",
        "3.5-10/1",
        "24/v/1-10",
        "5/14 to 10/20",
    ],
)
def test_a_slip_is_not_taken_for_a_date_because_it_happens_to_fall_into_the_season(cell: str) -> None:
    """Cells that fit the season only under a rare reading: a question, or a date with a finding."""
    verdict = judge_date(cell, "", SEASON)
    assert not verdict.is_read or verdict.flags


def test_a_reading_a_few_days_outside_the_season_is_not_ruled_out() -> None:
    """Traps are set early and pulled late; NEW_YEAR ends on 30 April."""
    assert set(judge_date("1/5/2023", "", NEW_YEAR).readings) == {"2023-01-05", "2023-05-01"}
    assert judge_date("1/6/2023", "", NEW_YEAR).value == "2023-01-06"
    assert set(judge_date("5/1", "", NEW_YEAR).readings) == {"2023-01-05", "2023-05-01"}
    late = judge_date("2 May", "", NEW_YEAR)
    assert (late.value, [flag.rule for flag in late.flags]) == ("2023-05-02", ["date-outside-season"])


def test_season_and_order_that_disagree_are_asked() -> None:
    verdict = judge_date("1/5/2023", "", replace(SEASON, order="month-first", order_evidence="the column says so"))
    assert verdict.status is Status.AMBIGUOUS
    assert set(verdict.readings) == {"2023-01-05", "2023-05-01"}


def test_a_date_stored_as_midnight_utc_is_asked_because_it_may_be_a_day_early() -> None:
    verdict = judge_date("2023-05-14T00:00:00Z", "", SEASON)
    assert verdict.readings == ("2023-05-14", "2023-05-13T19:00")


def test_an_instant_needs_the_time_zone_of_the_survey() -> None:
    assert judge_date("2023-05-15T02:10:00Z", "", TITLE).value == "2023-05-14T21:10"
    assert judge_date("2023-05-15T02:10:00Z", "", replace(TITLE, time_zone="")).rule == "date-needs-the-time-zone"
