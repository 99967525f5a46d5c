"""Any day written in any form: read back with evidence, asked without it, and never another day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_habits import date_habits
from dwc_pipeline.normalise.event_date import judge_date

TODAY = dt.date(2026, 11, 1)
DAYS = st.dates(dt.date(1985, 1, 1), dt.date(2026, 10, 31))
ROMAN = ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii"]
MARKS = st.sampled_from(["/", "-", ".", " ", "_", ", "])
Write = Callable[[dt.date, str], str]

MONTH_FIRST: dict[str, Write] = {
    "5/14/2023": lambda day, s: f"{day.month}{s}{day.day}{s}{day.year}",
    "05/14/2023": lambda day, s: f"{day.month:02d}{s}{day.day:02d}{s}{day.year}",
    "5/14/23": lambda day, s: f"{day.month}{s}{day.day}{s}{day:%y}",
    "05/14/23": lambda day, s: f"{day:%m}{s}{day:%d}{s}{day:%y}",
    "05142023": lambda day, s: f"{day:%m%d%Y}",
    "051423": lambda day, s: f"{day:%m%d%y}",
    "5/14/2023 7:15": lambda day, s: f"{day.month}{s}{day.day}{s}{day.year} 7:15 am",
}
DAY_FIRST: dict[str, Write] = {
    "14/5/2023": lambda day, s: f"{day.day}{s}{day.month}{s}{day.year}",
    "14/05/23": lambda day, s: f"{day:%d}{s}{day:%m}{s}{day:%y}",
    "14052023": lambda day, s: f"{day:%d%m%Y}",
    "14.5.2023, 07:15": lambda day, s: f"{day.day}{s}{day.month}{s}{day.year}, 07:15",
}
SURE: dict[str, Write] = {
    "2023-05-14": lambda day, s: day.isoformat(),
    "2023/5/14": lambda day, s: f"{day.year}/{day.month}/{day.day}",
    "20230514": lambda day, s: f"{day:%Y%m%d}",
    "14 May 2023": lambda day, s: f"{day.day}{s}{day:%B}{s}{day.year}",
    "May 14, 2023": lambda day, s: f"{day:%b} {day.day}, {day.year}",
    "14May2023": lambda day, s: f"{day.day}{day:%b}{day.year}",
    "14.v.2023": lambda day, s: f"{day.day}.{ROMAN[day.month - 1]}.{day.year}",
    "Sunday, May 14, 2023": lambda day, s: f"{day:%A}, {day:%B} {day.day}, {day.year}",
    "2023-134": lambda day, s: f"{day:%Y-%j}",
    "134/2023": lambda day, s: f"{day:%j}/{day.year}",
    "2023-W19-7": lambda day, s: "{}-W{:02d}-{}".format(*day.isocalendar()),
    "2023-05-14T07:15": lambda day, s: f"{day.isoformat()}T07:15",
    "day number": lambda day, s: str((day - dt.date(1899, 12, 30)).days),
}
ANY_SHORT: dict[str, Write] = {
    "14-May-23": lambda day, s: f"{day.day}-{day:%b}-{day:%y}",
    "May 14 '23": lambda day, s: f"{day:%b} {day.day} '{day:%y}",
    "14 May": lambda day, s: f"{day.day} {day:%B}",
    "May 14th": lambda day, s: f"{day:%B} {day.day}th",
}


def season_of(day: dt.date, before: int, after: int) -> DateContext:
    """A season of at most some months around the day."""
    return DateContext(
        today=TODAY,
        season_start=day - dt.timedelta(days=before),
        season_end=day + dt.timedelta(days=after),
        date_system="1900",
        time_zone="America/Chicago",
    )


def day_of(verdict: Verdict) -> str:
    return verdict.value[:10]


BEFORE, AFTER = st.integers(0, 100), st.integers(0, 100)


@settings(max_examples=100, deadline=None)
@given(DAYS, MARKS, st.sampled_from(sorted(SURE)))
def test_a_form_with_one_reading_gives_the_day_back_without_any_evidence(day: dt.date, mark: str, form: str) -> None:
    assume(not (form == "14 May 2023" and mark == "_ "))
    verdict = judge_date(SURE[form](day, mark), "", DateContext(today=TODAY, date_system="1900"))
    assert day_of(verdict) == day.isoformat()
    assert not verdict.flags


@settings(max_examples=120, deadline=None)
@given(DAYS, MARKS, st.sampled_from(sorted(MONTH_FIRST)), BEFORE, AFTER)
@example(dt.date(2012, 5, 11), "-", "05/14/23", 30, 30)
def test_a_month_first_column_in_its_season_gives_the_day_back(
    day: dt.date, mark: str, form: str, before: int, after: int
) -> None:
    context = replace(season_of(day, before, after), order="month-first", order_evidence="the column")
    expect_the_day_or_a_question(MONTH_FIRST[form](day, mark), context, day, form)


@settings(max_examples=120, deadline=None)
@given(DAYS, MARKS, st.sampled_from(sorted(DAY_FIRST)), BEFORE, AFTER)
def test_a_day_first_column_in_its_season_gives_the_day_back(
    day: dt.date, mark: str, form: str, before: int, after: int
) -> None:
    context = replace(season_of(day, before, after), order="day-first", order_evidence="the column")
    expect_the_day_or_a_question(DAY_FIRST[form](day, mark), context, day, form)


@settings(max_examples=100, deadline=None)
@given(DAYS, st.sampled_from(sorted(ANY_SHORT)), BEFORE, AFTER)
def test_a_short_form_takes_its_year_from_the_season(day: dt.date, form: str, before: int, after: int) -> None:
    expect_the_day_or_a_question(ANY_SHORT[form](day, ""), season_of(day, before, after), day, form)


def expect_the_day_or_a_question(typed: str, context: DateContext, day: dt.date, form: str) -> None:
    """The day; a question only where the text has another reading within the season, and then the day is in it."""
    verdict = judge_date(typed, "", context)
    if verdict.status is Status.AMBIGUOUS:
        assert day.isoformat() in {reading[:10] for reading in verdict.readings}
        others = {reading[:10] for reading in verdict.readings} - {day.isoformat()}
        assert any(inside(other, context) for other in others), f"{form}: {typed} needed no question"
    else:
        assert day_of(verdict) == day.isoformat(), f"{form}: {typed} became {verdict.value}"


def inside(text: str, context: DateContext) -> bool:
    window = context.window
    assert window is not None
    if len(text) < 10 or "X" in text:
        return True
    return window.nearly_holds(dt.date.fromisoformat(text), dt.date.fromisoformat(text))


@settings(max_examples=120, deadline=None)
@given(DAYS, MARKS, st.sampled_from(sorted(MONTH_FIRST) + sorted(DAY_FIRST)))
def test_without_evidence_a_day_up_to_the_twelfth_is_asked_and_never_guessed(
    day: dt.date, mark: str, form: str
) -> None:
    write = MONTH_FIRST.get(form) or DAY_FIRST[form]
    verdict = judge_date(write(day, mark), "", DateContext(today=TODAY))
    if verdict.is_read:
        assert day_of(verdict) == day.isoformat()
        assert day.day > 12 or day.day == day.month
        assert not form.endswith("23") or form.endswith("2023")
    else:
        assert day.isoformat() in {reading[:10] for reading in verdict.readings}


@settings(max_examples=100, deadline=None)
@given(st.lists(DAYS, min_size=1, max_size=12, unique=True), MARKS, st.booleans())
def test_a_whole_column_of_one_hand_is_never_read_wrongly(days: list[dt.date], mark: str, month_first: bool) -> None:
    """The column's own evidence, whatever the days are."""
    write = MONTH_FIRST["5/14/2023"] if month_first else DAY_FIRST["14/5/2023"]
    texts = [write(day, mark) for day in days]
    context = date_habits(texts, [""] * len(texts), DateContext(today=TODAY))
    for day, text in zip(days, texts, strict=True):
        verdict = judge_date(text, "", context)
        assert verdict.status is Status.AMBIGUOUS or day_of(verdict) == day.isoformat()
    if any(day.day > 12 for day in days):
        assert all(judge_date(text, "", context).is_read for text in texts)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.dates(dt.date(2023, 1, 1), dt.date(2023, 12, 28)), min_size=4, max_size=14, unique=True),
    st.booleans(),
)
def test_rows_in_the_order_of_time_never_prove_the_wrong_order(days: list[dt.date], month_first: bool) -> None:
    write = MONTH_FIRST["5/14/2023"] if month_first else DAY_FIRST["14/5/2023"]
    texts = [write(day, "/") for day in sorted(days)]
    context = date_habits(texts, [""] * len(texts), DateContext(today=TODAY))
    assert context.order in ("", "month-first" if month_first else "day-first")


@settings(max_examples=80, deadline=None)
@given(
    st.dates(dt.date(1985, 1, 1), dt.date(2026, 10, 1)),
    st.integers(1, 20),
    st.sampled_from(["-", " - ", " to ", " thru ", "\u2013"]),
    st.integers(0, 6),
)
def test_a_stretch_of_days_in_any_form_keeps_both_ends(start: dt.date, days: int, to: str, form: int) -> None:
    end = start + dt.timedelta(days=days)
    same_month = (start.year, start.month) == (end.year, end.month)
    assume(same_month or form in (0, 3, 4, 5))
    texts = (
        f"{start.month}/{start.day}/{start.year}{to}{end.month}/{end.day}/{end.year}",
        f"{start.day}{to}{end.day} {end:%B} {end.year}",
        f"{start:%b} {start.day}{to}{end.day}, {end.year}",
        f"{start.day} {start:%b} {start.year}{to}{end.day} {end:%b} {end.year}",
        f"{start.isoformat()}/{end.isoformat()}",
        f"{start.day} {start:%B}{to}{end.day} {end:%B} {end.year}",
        f"{start.month}/{start.day}{to}{end.day}/{end.year}",
    )
    context = replace(season_of(start, 5, days + 5), order="month-first", order_evidence="the column")
    verdict = judge_date(texts[form], "", context)
    wanted = f"{start.isoformat()}/{end.isoformat()}"
    assert verdict.value == wanted or (verdict.status is Status.AMBIGUOUS and wanted in verdict.readings), texts[form]


@settings(max_examples=80, deadline=None)
@given(DAYS, st.sampled_from(["1900", "1904"]))
def test_day_numbers_of_both_counts_give_the_day_back(day: dt.date, system: str) -> None:
    first = dt.date(1899, 12, 30) if system == "1900" else dt.date(1904, 1, 1)
    context = replace(season_of(day, 20, 20), date_system=system)
    assert day_of(judge_date(str((day - first).days), "", context)) == day.isoformat()


ODD = st.text(alphabet="0123456789/-. :,?&'TZWamp mayjunv~()", max_size=18)


@settings(max_examples=100, deadline=None)
@given(ODD)
def test_any_cell_at_all_gets_a_verdict_that_keeps_the_contract(text: str) -> None:
    for context in (DateContext(today=TODAY), season_of(dt.date(2023, 5, 14), 60, 60)):
        verdict = judge_date(text, "", context)
        if verdict.is_read:
            assert verdict.value
            assert all(len(end) in (4, 7, 10, 16, 19) for end in verdict.value.split("/"))
            assert "X" not in verdict.value
        else:
            assert verdict.value == ""
            assert verdict.status is Status.EMPTY or (verdict.rule and verdict.note)


@pytest.mark.parametrize("year", range(1935, 2065))
def test_two_digit_years_are_those_of_the_season_and_never_of_a_fixed_turning_point(year: int) -> None:
    verdict = judge_date(f"5/14/{year % 100:02d}", "", season_of(dt.date(year, 5, 14), 30, 30))
    assert verdict.value == f"{year}-05-14"
