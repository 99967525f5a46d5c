"""Times as typed: rows 49 to 63 of the handbook's section 3 (the statuses are ours), and more hands.

Source of the expected times: the clock; the twelve-hour forms are common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.rule import RULES, Severity
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.event_time import judge_time, time_habits
from dwc_pipeline.normalise.time_context import TimeContext

ANY = TimeContext()
MORNING = TimeContext(working_hours=(("05:00", "11:30"),))
NIGHT = TimeContext(working_hours=(("18:00", "02:00"),))
BOTH = TimeContext(working_hours=(("05:00", "11:00"), ("17:00", "22:00")))

READ = [
    ("49", "0.3020833333", "07:15"), ("50", "0715", "07:15"), ("51", "715", "07:15"), ("52", "7:15a", "07:15"),
    ("53", "7:15 pm", "19:15"), ("54", "1930h", "19:30"), ("55", "12:00 am", "00:00"), ("56", "noon", "12:00"),
    ("57", "2400", "00:00"), ("62", "2200-0130", "22:00/01:30"),
    ("-", "07:15", "07:15"), ("-", "7:15", "07:15"), ("-", "07:15:30", "07:15:30"), ("-", "07:15:00", "07:15"),
    ("-", "7 am", "07:00"), ("-", "7AM", "07:00"), ("-", "7 a.m.", "07:00"), ("-", "7.15 pm", "19:15"),
    ("-", "12 pm", "12:00"), ("-", "12:30 am", "00:30"), ("-", "12:30 pm", "12:30"), ("-", "13:00 pm", "13:00"),
    ("-", "19h30", "19:30"), ("-", "19 h", "19:00"), ("-", "0715 hrs", "07:15"), ("-", "07:15 hrs", "07:15"),
    ("-", "15", "15:00"), ("-", "midday", "12:00"), ("-", "12 noon", "12:00"), ("-", "07 15", "07:15"),
    ("-", "7;15", "07:15"), ("-", "7 : 15", "07:15"), ("-", "7 15 pm", "19:15"),
    ("-", "7.75", "07:45"), ("-", "0.375", "09:00"), ("-", "0.8125", "19:30"), ("-", "45060.30208", "07:15"),
    ("-", "24:00", "00:00"), ("-", "0000", "00:00"), ("-", "~0715", "07:15"), ("-", "7:15?", "07:15"),
    ("-", "7:15.", "07:15"),
    ("-", "7\u00a0:15".replace("\u00a0", ""), "07:15"), ("-", "\uff10\uff17\uff1a\uff11\uff15", "07:15"),
    ("-", "07:15 - 08:30", "07:15/08:30"), ("-", "7:15-8:30pm", "19:15/20:30"), ("-", "7-9 pm", "19:00/21:00"),
    ("-", "10-2 pm", "10:00/14:00"), ("-", "11-1am", "23:00/01:00"), ("-", "10 pm-2 am", "22:00/02:00"),
    ("-", "2130 to 2245", "21:30/22:45"), ("-", "21:30\u201322:45", "21:30/22:45"), ("-", "2200-2400", "22:00/00:00"),
]  # fmt: skip

ASKED = [
    ("58", "7.15", ("07:15", "07:09")), ("59", "8", ("08:00", "20:00")),
    ("63", "2130-2045", ("21:30/20:45", "20:45/21:30")),
    ("-", "midnight", ("00:00", "24:00")), ("-", "12 midnight", ("00:00", "24:00")), ("-", "0", ("00:00",)),
    ("-", "12", ("12:00", "00:00")), ("-", "7.5", ("07:30", "07:50")), ("-", "19.30", ("19:30", "19:18")),
    ("-", "7,15", ("07:15",)),
    ("-", "0.5", ("12:00", "00:30")), ("-", "0.25", ("06:00", "00:25", "00:15")),
    ("-", "13:00 am", ("13:00", "01:00")),
    ("-", "0:15 pm", ("12:15", "00:15")), ("-", "7:5", ("07:05", "07:50")), ("-", "10-12", ("10:00/12:00", "10:12")),
    ("-", "3-1", ("03:00/01:00",)), ("-", "8-20", ("08:00/20:00", "08:20")),
    ("-", "9-12 pm", ("09:00/12:00", "21:00/12:00")),
    ("-", "1900-1900", ("19:00",)), ("-", "11:30-12:30 pm", ("11:30/12:30", "23:30/12:30")),
]  # fmt: skip

REFUSED = [
    "2560", "24:30", "1260", "7:60", "675", "99:99", "25", "25:00", "2401", "24:00 pm", "null", "NA",
    "sunset+30", "x", "?", "5/14/2023",
    "7:15:99", "0.999", "0.9999", "0.99999", "12345", "-7", "7::15", "0.30208333.1", "1e3", "23.75.1", "7:15 or 8:15",
]  # fmt: skip

WORDS = [
    "dusk",
    "dawn",
    "AM",
    "pm",
    "first light",
    "morning",
    "Morning",
    "early morning",
    "late evening",
    "sunset",
    "night",
    "dark",
]


@pytest.mark.parametrize(("row", "typed", "expected"), READ)
def test_a_time_with_one_reading_is_read(row: str, typed: str, expected: str) -> None:
    verdict = judge_time(typed, "", ANY)
    assert verdict.value == expected
    assert verdict.status is (Status.KEPT if typed == expected else Status.CHANGED)


@pytest.mark.parametrize(("row", "typed", "readings"), ASKED)
def test_a_time_with_two_readings_is_asked(row: str, typed: str, readings: tuple[str, ...]) -> None:
    verdict = judge_time(typed, "", ANY)
    assert (verdict.status, verdict.value) == (Status.AMBIGUOUS, "")
    assert set(readings) <= set(verdict.readings)
    assert RULES[verdict.rule].asks


@pytest.mark.parametrize("typed", REFUSED)
def test_row_60_a_time_that_no_clock_shows_is_refused(typed: str) -> None:
    verdict = judge_time(typed, "", ANY)
    assert (verdict.status, verdict.rule) == (Status.UNREADABLE, "time-cannot-be-read")


@pytest.mark.parametrize("word", WORDS)
def test_row_61_a_word_is_no_clock_time_and_only_a_note(word: str) -> None:
    verdict = judge_time(word, "", NIGHT)
    assert (verdict.status, verdict.rule) == (Status.UNREADABLE, "time-is-a-word")
    assert RULES[verdict.rule].severity is Severity.NOTE


def test_row_57_the_end_of_the_day_belongs_to_the_next_day() -> None:
    assert judge_time("2400", "", ANY).also["day_shift"] == "1"


def test_row_62_a_run_over_midnight_ends_on_the_next_day() -> None:
    assert judge_time("2200-0130", "", ANY).also["end_day_shift"] == "1"
    assert "end_day_shift" not in judge_time("2000-2200", "", ANY).also


@pytest.mark.parametrize(
    ("typed", "context", "value"),
    [
        ("8", MORNING, "08:00"),
        ("8", NIGHT, "20:00"),
        ("1", NIGHT, "01:00"),
        ("7:15", MORNING, "07:15"),
        ("19:15", NIGHT, "19:15"),
    ],
)
def test_row_59_working_hours_settle_a_bare_hour(typed: str, context: TimeContext, value: str) -> None:
    assert judge_time(typed, "", context).value == value


@pytest.mark.parametrize(("typed", "context"), [("8", BOTH), ("3", MORNING), ("7:15", NIGHT), ("715", NIGHT)])
def test_working_hours_that_do_not_settle_it_leave_a_question(typed: str, context: TimeContext) -> None:
    assert judge_time(typed, "", context).status is Status.AMBIGUOUS


@pytest.mark.parametrize("typed", ["0715", "07:15", "7:15 am", "14:00"])
def test_a_full_time_outside_the_working_hours_is_told(typed: str) -> None:
    verdict = judge_time(typed, "", NIGHT)
    assert verdict.is_read
    assert [flag.rule for flag in verdict.flags] == ["time-outside-working-hours"]


@pytest.mark.parametrize(
    ("typed", "mark"), [("7:30 PM?", "?"), ("1930 ?", "?"), ("7:30 pm (?)", "?"), ("19:30*", "*")]
)
def test_a_mark_of_doubt_at_a_time_is_told(typed: str, mark: str) -> None:
    verdict = judge_time(typed, "", ANY)
    assert (verdict.value, verdict.also["time_qualifier"]) == ("19:30", mark)
    assert [flag.rule for flag in verdict.flags] == ["time-doubtful"]


@pytest.mark.parametrize("typed", ["~19:30", "ca 1930", "c.19:30", "abt 7:30 pm", "7:30 pm-ish", "1930 approx"])
def test_an_approximate_time_says_so_in_its_change(typed: str) -> None:
    verdict = judge_time(typed, "", ANY)
    assert verdict.value == "19:30"
    assert "approximate" in verdict.note


def test_hours_with_a_point_may_be_decimal_unless_they_are_called_those_of_the_clock() -> None:
    assert judge_time("19.30 h", "", ANY).readings == ("19:30", "19:18")
    assert judge_time("19.30 Uhr", "", ANY).value == "19:30"


def test_est_behind_a_time_may_be_a_time_zone_and_is_asked() -> None:
    assert judge_time("0730 est", "", ANY).status is Status.UNREADABLE


def test_a_column_with_am_and_pm_asks_where_they_are_missing() -> None:
    context = time_habits(["7:15 pm", "8:30", "6:45 am"], ANY)
    assert judge_time("8:30", "", context).readings == ("08:30", "20:30")
    assert time_habits(["7:15 pm", "19:30", "8:30"], ANY).twelve_hour == ""
    assert time_habits(["7:15", "8:30"], ANY).twelve_hour == ""


@pytest.mark.parametrize(
    ("shown", "stored", "value"),
    [
        ("7:15", "07:15", "07:15"),
        ("7:15 PM", "19:15", "19:15"),
        ("7:15", "1899-12-31T07:15", "07:15"),
        ("", "07:15:30", "07:15:30"),
    ],
)
def test_a_typed_time_is_one_reading(shown: str, stored: str, value: str) -> None:
    assert judge_time(shown, stored, ANY).value == value


def test_a_time_that_a_spreadsheet_made_a_date_is_refused_with_offers() -> None:
    verdict = judge_time("10-12", "2023-10-12", ANY)
    assert verdict.status is Status.UNREADABLE
    assert "10:00/12:00" in verdict.readings


def test_midnight_is_told_because_it_may_mean_no_time() -> None:
    assert [flag.rule for flag in judge_time("00:00", "", ANY).flags] == ["midnight-may-mean-no-time"]


@pytest.mark.parametrize("blank", ["", "  ", "\x00"])
def test_a_blank_time_is_empty(blank: str) -> None:
    assert judge_time(blank, "", ANY).status is Status.EMPTY


DURATION = TimeContext(kind="duration")


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("1:30", "01:30"), ("90 min", "01:30"), ("1.5 h", "01:30"), ("1 h 30 min", "01:30"),
        ("1h30", "01:30"), ("2 hrs", "02:00"),
        ("26:30", "26:30"), ("1 hr, 30 min", "01:30"), ("0:45", "00:45"), ("45'", "00:45"), ("1:30:15", "01:30:15"),
    ],
)  # fmt: skip
def test_elapsed_time_with_a_unit_is_read(typed: str, value: str) -> None:
    assert judge_time(typed, "", DURATION).value == value


@pytest.mark.parametrize("typed", ["90", "1.5", "2"])
def test_elapsed_time_without_a_unit_is_asked(typed: str) -> None:
    assert judge_time(typed, "", DURATION).status is Status.AMBIGUOUS


@pytest.mark.parametrize("typed", ["all day", "1:75", "x", "-2 h"])
def test_no_elapsed_time_is_refused(typed: str) -> None:
    assert judge_time(typed, "", DURATION).status is Status.UNREADABLE


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 23), st.integers(0, 59), st.integers(0, 5))
def test_any_minute_of_the_day_comes_back_from_any_full_form(hour: int, minute: int, form: int) -> None:
    half = "am" if hour < 12 else "pm"
    twelve = hour % 12 or 12
    forms = (
        f"{hour:02d}:{minute:02d}", f"{hour:02d}{minute:02d}", f"{twelve}:{minute:02d} {half}",
        f"{hour:02d}{minute:02d}h",
        f"{twelve}:{minute:02d}{half[0]}", repr(round((hour * 60 + minute) / 1440, 10)),
    )  # fmt: skip
    typed = forms[form]
    verdict = judge_time(typed, "", ANY)
    if "." in typed and len(typed.partition(".")[2]) < 3:
        assert verdict.status is Status.AMBIGUOUS
    elif "." in typed and len(typed.partition(".")[2]) < 4:
        assert verdict.value in ("", f"{hour:02d}:{minute:02d}")  # too few decimals to tell every minute
    elif "e" not in typed:
        assert verdict.value == f"{hour:02d}:{minute:02d}"
