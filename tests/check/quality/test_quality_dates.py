"""ISO 8601 dates, dates in words, and the date tests where the official rows are silent."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.check.quality import quality_response
from dwc_pipeline.check.quality.date_text import no_such_day, readings
from dwc_pipeline.check.quality.iso_date import Precision, read_iso

TODAY = date(2026, 11, 25)
days = st.dates(date(1600, 1, 1), date(2100, 1, 1))


@given(day=days)
@settings(max_examples=50)
def test_a_day_reads_the_same_in_every_writing(day):
    week = day.isocalendar()
    for text in (day.isoformat(), f"{day:%Y%m%d}", f"{day:%Y-%j}", f"{week.year}-W{week.week:02}-{week.weekday}"):
        read = read_iso(text)
        assert (read.first, read.last, read.seconds, read.precision) == (day, day, 86_400, Precision.DAY)


@given(day=days, nights=st.integers(0, 400))
@settings(max_examples=50)
def test_an_interval_keeps_both_ends_and_its_length(day, nights):
    end = day + timedelta(days=nights)
    read = read_iso(f"{day}/{end}")
    assert (read.first, read.last, read.seconds) == (day, end, 86_400 * (nights + 1))
    assert (read_iso(f"{end}/{day}") is None) == (nights > 0)


@given(year=st.integers(1600, 2400), month=st.integers(1, 12))
@settings(max_examples=50)
def test_a_month_runs_from_its_first_to_its_last_day(year, month):
    read = read_iso(f"{year}-{month:02}")
    assert read.first.day == 1
    assert (read.last + timedelta(days=1)).day == 1
    assert read.is_within_month


@pytest.mark.parametrize(
    "text",
    [
        "", "0", "19", "202", "1963-03-08T4", "1963-03-08T14:0", "1963-03-08T14:67-0600", "2023-02-29", "2023-366",
        "2023-W53", "2021/10/28", "2021-28-10", "2007/..", "P1D", "R3/2007", "-2000", "0000", "null", "2021_10_29",
        " 2021-10-29", "2021-06-03T24:00", "2020-01-02/2020-01-01", "2020-01-01/02/03", "2020-01T10:00", "２０２０",
    ],
)  # fmt: skip
def test_what_is_no_date(text):
    assert read_iso(text) is None


@pytest.mark.parametrize(
    ("text", "first", "last", "seconds"),
    [
        ("2007-11-13/15", date(2007, 11, 13), date(2007, 11, 15), 3 * 86_400),
        ("2007-11-13/12-01", date(2007, 11, 13), date(2007, 12, 1), 19 * 86_400),
        ("2020-01-01T10:00/12:00", date(2020, 1, 1), date(2020, 1, 1), 7260),
        ("2024", date(2024, 1, 1), date(2024, 12, 31), 366 * 86_400),
        ("9999", date(9999, 1, 1), date(9999, 12, 31), 365 * 86_400),
        ("2023-05-14T18:30-05:00/2023-05-15T07:40-05:00", date(2023, 5, 14), date(2023, 5, 15), 13 * 3600 + 11 * 60),
        ("2023-11-04T18:00-05:00/2023-11-05T07:00-06:00", date(2023, 11, 4), date(2023, 11, 5), 14 * 3600 + 60),
    ],
)
def test_intervals_and_their_length(text, first, last, seconds):
    read = read_iso(text)
    assert (read.first, read.last, read.seconds) == (first, last, seconds)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12 Oct 1999 - 14 Nov 1999", ("1999-10-12/1999-11-14",)),
        ("15-18 May 1995", ("1995-05-15/1995-05-18",)),
        ("4 de julio de 1999", ("1999-07-04",)),
        ("10-VI-1932", ("1932-06-10",)),
        ("13/04/2020", ("2020-04-13",)),
        ("3/3/2020", ("2020-03-03",)),
        ("05.06.1932", ("1932-05-06", "1932-06-05")),
        ("03/04/20", ()),
        ("Monday 29 Oct 2021", ()),
        ("31 June 1999", ()),
        ("2023-05-04 10:00", ("2023-05-04T10:00",)),
        ("2023-05-04 10:00/2023-05-05 07:30", ("2023-05-04T10:00/2023-05-05T07:30",)),
        ("0377", ()),
    ],
)
def test_dates_in_words_have_one_reading_or_are_left_alone(text, expected):
    assert readings(text) == expected


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("29 Feb 2023", "February 2023 has 28 days"),
        ("2023-02-29", "February 2023 has 28 days"),
        ("2100-02-29T10:00", "February 2100 has 28 days"),
        ("31/04/2023", "April has 30 days"),
        ("29 Feb 2024", ""),
        ("2023-13-40", ""),
        ("32 May 2023", ""),
    ],
)
def test_the_reason_names_the_length_of_the_month(text, reason):
    """Gregorian calendar; the official note on VALIDATION_EVENTDATE_STANDARD names 29 Feb in a non-leap year."""
    assert no_such_day(text) == reason
    comment = quality_response("VALIDATION_EVENTDATE_STANDARD", {"dwc:eventDate": text}).comment
    assert (reason in comment) if reason else "no day of the calendar" not in comment


def test_a_blank_before_the_time_is_put_right():
    """AMENDMENT_EVENTDATE_STANDARDIZED: "not a properly formatted ISO 8601 date but is unambiguous" is AMENDED."""
    response = quality_response("AMENDMENT_EVENTDATE_STANDARDIZED", {"dwc:eventDate": "2023-05-04 10:00"})
    assert response.status == "AMENDED"
    assert "2023-05-04T10:00" in response.result


@given(day=days)
@settings(max_examples=30)
def test_the_order_of_day_and_month_is_never_guessed(day):
    found = readings(f"{day.day}/{day.month}/{day.year}")
    assert day.isoformat() in found
    assert len(found) == (2 if day.day <= 12 and day.day != day.month else 1)


def test_current_year_and_day_are_those_that_are_passed_in():
    year = {"year": "2026"}
    assert quality_response("VALIDATION_YEAR_INRANGE", year, today=TODAY).result == "COMPLIANT"
    assert quality_response("VALIDATION_YEAR_INRANGE", year, today=date(2025, 1, 1)).result == "NOT_COMPLIANT"
    event = {"eventDate": "2026-12-31"}
    assert quality_response("VALIDATION_EVENTDATE_INRANGE", event, today=TODAY).result == "COMPLIANT"
    named = {"dateIdentified": "2026-12-31"}
    assert quality_response("VALIDATION_DATEIDENTIFIED_INRANGE", named, today=TODAY).result == "NOT_COMPLIANT"


def test_an_early_verbatim_date_names_the_assumed_calendar():
    answer = quality_response("AMENDMENT_EVENTDATE_FROM_VERBATIM", {"verbatimEventDate": "5 May 1899"}, today=TODAY)
    assert answer.proposals == {"dwc:eventDate": "1899-05-05"}
    assert "Gregorian" in answer.comment


@given(day=days, nights=st.integers(0, 3))
@settings(max_examples=40)
def test_parts_filled_from_a_date_are_found_consistent_with_it(day, nights):
    record = {"eventDate": f"{day}/{day + timedelta(days=nights)}"}
    filled = quality_response("AMENDMENT_EVENT_FROM_EVENTDATE", record, today=TODAY).proposals
    again = quality_response("VALIDATION_EVENT_CONSISTENT", {**record, **filled}, today=TODAY)
    assert again.result == "COMPLIANT"
    assert ("dwc:day" in filled) == (nights == 0)


def test_the_29th_of_february_is_judged_by_its_year():
    for year, result in (("2000", "COMPLIANT"), ("1900", "NOT_COMPLIANT"), ("", "")):
        record = {"day": "29", "month": "2", "year": year}
        assert quality_response("VALIDATION_DAY_INRANGE", record, today=TODAY).result == result
