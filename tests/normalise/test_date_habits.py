"""What a column tells of day and month, and titles of year and month: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest
from date_contexts import DAY_FIRST, MONTH_FIRST, NOTHING, SEASON

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_habits import date_habits
from dwc_pipeline.normalise.event_date import judge_date


def habits(
    cells: list[str], base: DateContext = NOTHING, stored: list[str] | None = None, titles: tuple[str, ...] = ()
):  # type: ignore[no-untyped-def]
    return date_habits(cells, stored or [""] * len(cells), base, titles)


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["5/6/2023", "5/14/2023"], "month-first"),
        (["5/6/2023", "14/5/2023"], "day-first"),
        (["5/6/2023", "5/12-5/13/23"], "month-first"),
        (["5/6/2023", "05142023"], "month-first"),
        (["5/6/2023", "5/6/2022", "2023-05-14", "14 May 2023"], ""),
        (["5/6/2023", "5/14/2023", "14/5/2023"], ""),
        (["5/6/2023", "31/4/2023"], ""),
    ],
)
def test_an_impossible_reading_elsewhere_in_the_column_gives_the_order(cells: list[str], order: str) -> None:
    assert habits(cells).order == order


def test_both_kinds_of_evidence_decide_nothing_even_against_the_survey_file() -> None:
    context = habits(["5/6/2023", "5/14/2023", "14/5/2023"], MONTH_FIRST)
    assert context.order == ""
    assert "5/14/2023" in context.order_evidence
    assert "14/5/2023" in context.order_evidence
    assert judge_date("5/6/2023", "", context).status is Status.AMBIGUOUS


def test_a_column_that_contradicts_the_survey_file_is_asked() -> None:
    context = habits(["5/6/2023", "14/5/2023"], MONTH_FIRST)
    assert context.order == ""
    assert "the survey file says month first" in context.order_evidence


@pytest.mark.parametrize(("base", "value"), [(MONTH_FIRST, "2023-05-06"), (DAY_FIRST, "2023-06-05")])
def test_the_survey_file_decides_last_and_is_named(base: DateContext, value: str) -> None:
    verdict = judge_date("5/6/2023", "", habits(["5/6/2023"], base))
    assert verdict.value == value
    assert "the survey file says" in verdict.note


def test_rows_that_run_forward_under_one_order_only_give_the_order() -> None:
    cells = ["5/10/2023", "5/12/2023", "6/1/2023", "6/3/2023", "10/2/2023"]
    context = habits(cells)
    assert context.order == "month-first"
    assert "run forward" in context.order_evidence


def test_rows_sorted_as_text_prove_no_order() -> None:
    """A spreadsheet sorts text by its first figure, whether that is the day or the month."""
    assert habits(["1/6/2023", "2/5/2023", "3/4/2023", "4/5/2023", "5/3/2023", "6/2/2023"]).order == ""


def test_few_rows_or_rows_that_run_forward_either_way_prove_no_order() -> None:
    assert habits(["5/6/2023", "6/6/2023", "7/6/2023", "8/6/2023", "9/6/2023", "10/6/2023"]).order == ""
    assert habits(["9/10/2023", "10/1/2023", "10/3/2023"]).order == ""
    assert habits(["9/10/2023", "9/11/2023", "9/12/2023", "10/1/2023", "10/3/2023"]).order == ""


def test_a_year_first_column_with_the_day_before_the_month_is_asked() -> None:
    context = habits(["2021-28-10", "2021-05-06"])
    assert judge_date("2021-05-06", "", context).readings == ("2021-05-06", "2021-06-05")


def test_short_dates_of_a_column_show_whether_a_number_is_a_day_or_a_year() -> None:
    assert judge_date("5/23", "", habits(["5/23"], SEASON)).status is Status.AMBIGUOUS
    assert judge_date("5/23", "", habits(["5/23", "5/14"], SEASON)).value == "2023-05-23"
    assert judge_date("May 23", "", habits(["May 23", "May 5"], SEASON)).value == "2023-05-23"


@pytest.mark.parametrize(
    ("titles", "year", "month"),
    [
        (("MAY 2023",), 2023, 5),
        (("May",), None, 5),
        (("Array 3", "herps_2023.xlsx"), 2023, None),
        (("Herps 2022", "herps_2023.xlsx"), None, None),
        (("Sept. 2023",), 2023, 9),
        (("captures 20230514.csv",), None, None),
        (("Maybe 2023",), 2023, None),
        (("May 2023", "June 2023"), 2023, None),
        (("marsh 2023",), 2023, None),
        (("Sheet1",), None, None),
        (("plots 2050",), None, None),
    ],
)
def test_titles_give_year_and_month_only_where_they_agree(
    titles: tuple[str, ...], year: int | None, month: int | None
) -> None:
    context = habits(["3-Sep"], titles=titles)
    assert (context.year, context.month) == (year, month)
    assert bool(context.year_evidence) == (year is not None)


def test_a_title_against_the_season_is_asked() -> None:
    new_year = replace(SEASON, season_start=SEASON.season_start.replace(year=2022, month=11), year=2023)  # type: ignore[union-attr]
    assert judge_date("20-Dec", "", replace(new_year, year_evidence="the title")).status is Status.AMBIGUOUS


def test_typed_cells_in_a_column_whose_impossible_dates_stayed_text_are_asked() -> None:
    """A spreadsheet set to month first swaps 5/6/2023 silently and leaves 14/5/2023 as text."""
    context = habits(["14/5/2023", "5/6/2023"], stored=["", "2023-05-06"])
    verdict = judge_date("5/6/2023", "2023-05-06", context)
    assert verdict.rule == "date-typed-cell-may-be-swapped"
    assert verdict.readings == ("2023-06-05", "2023-05-06")


def test_typed_cells_with_days_after_the_twelfth_are_not_suspected() -> None:
    context = habits(["14/5/2023", "5/6/2023", "5/20/2023"], stored=["", "2023-05-06", "2023-05-20"])
    assert judge_date("5/6/2023", "2023-05-06", context).value == "2023-05-06"
