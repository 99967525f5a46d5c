"""Shown texts of cells, against examples of ECMA-376 part 1, section 18.8.31, and common practice."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.read.number_format import shown_text

DAY = dt.date(2031, 7, 6)
MOMENT = dt.datetime(2031, 7, 6, 19, 5, 9)


@pytest.mark.parametrize(
    ("value", "code", "shown"),
    [
        (7.0, "000", "007"),
        (-7.0, "000", "-007"),
        (12.5, "0.00", "12.50"),
        (0.25, "0%", "25%"),
        (5.0, '0" mm"', "5 mm"),
        (5.0, '"F"0', "F5"),
        (5.0, "0\\ \\g", "5 g"),
        (5.0, "[Red]0.0", "5.0"),
        (DAY, "d/m/yy", "6/7/31"),
        (DAY, "mm/dd/yyyy", "07/06/2031"),
        (DAY, "d-mmm", "6-Jul"),
        (DAY, "[$-409]dddd, mmmm d, yyyy", "Sunday, July 6, 2031"),
        (DAY, "d.m.yy", "6.7.31"),
        (MOMENT, "h:mm AM/PM", "7:05 PM"),
        (MOMENT, "m/d/yy h:mm", "7/6/31 19:05"),
        (MOMENT, "mm:ss", "05:09"),
        (dt.time(0, 5), "h:mm A/P", "12:05 A"),
        (dt.time(7, 5), "hh:mm", "07:05"),
        (dt.timedelta(days=1, hours=12, minutes=1), "[h]:mm", "36:01"),
    ],
)
def test_common_formats_show_what_a_person_sees(value, code, shown):
    assert shown_text(value, code) == shown


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (7.0, "General"),
        (1234.0, "#,##0"),
        (5.0, "0.00E+00"),
        (5.0, "# ?/?"),
        (5000.0, "0.0,"),
        (5.0, "[>100]0;00"),
        (DAY, "[$-40C]d mmm"),
        (DAY, "[$-F800]dddd, mmmm dd, yyyy"),
        ("7", "000"),
        (True, "000"),
        (dt.time(7, 5), "d/m/yy"),
    ],
)
def test_rare_formats_and_those_of_the_readers_own_machine_are_left_alone(value, code):
    assert shown_text(value, code) is None


@pytest.mark.parametrize(("value", "code", "shown"), [(12.3456, "0.00", "12.3456"), (0.255, "0%", "25.5%")])
def test_decimals_that_a_format_hides_are_kept(value, code, shown):
    assert shown_text(value, code) == shown


@settings(max_examples=80)
@given(st.floats(min_value=0, max_value=1e9, allow_nan=False), st.sampled_from(["0.0", "0.000", "0000", "00.00"]))
def test_a_shown_number_is_the_stored_number_to_15_digits(value, code):
    shown = shown_text(value, code)
    assert shown is not None
    assert float(shown) == pytest.approx(float(f"{value:.15g}"), rel=1e-14, abs=1e-19)
