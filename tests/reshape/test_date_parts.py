"""Dates whose day, month and year stand in columns of their own."""

from __future__ import annotations

import pytest

from dwc_pipeline.errors import BadSurveyFile

TABLE = """
[[table]]
name = "captures"
holds = "capture"
files = ["c.csv"]
columns = { Dy = "day", Mo = "month", Yr = "year", Array = "place", Species = "verbatimIdentification" }
"""


def test_three_columns_become_one_date_with_every_part_as_typed(shape):
    made = shape({"c.csv": "Dy,Mo,Yr,Array,Species\n14,5,2023,A1,SCCO\n3,May,23,A1,SCCO\n"}, TABLE)
    assert made.rows("capture", "eventDate") == [("day 14, month 5, year 2023",), ("day 3, month May, year 23",)]
    assert made.address("capture", 0, "eventDate") == "A2"


def test_a_year_of_all_rows_completes_day_and_month_and_makes_no_date_alone(shape):
    table = TABLE.replace('Yr = "year", ', "") + 'constants = { year = "2023" }\n'
    made = shape({"c.csv": "Dy,Mo,Array,Species\n14,5,A1,SCCO\n,,A1,SCCO\n"}, table)
    assert made.rows("capture", "eventDate") == [("day 14, month 5, year 2023",), ("",)]


def test_blank_parts_repeat_the_row_above_where_the_survey_file_says_so(shape):
    table = TABLE + 'fill_down = ["day", "month", "year"]\n'
    made = shape({"c.csv": "Dy,Mo,Yr,Array,Species\n14,5,2023,A1,SCCO\n,,,A1,HOMA\n15,,,A1,HOMA\n"}, table)
    assert made.rows("capture", "eventDate")[1:] == [
        ("day 14, month 5, year 2023",),
        ("day 15, month 5, year 2023",),
    ]
    assert set(made.records.changes["field"]) == {"eventDate"}


def test_a_date_cannot_come_whole_and_in_parts(shape):
    table = TABLE.replace('Dy = "day"', 'Dy = "day", Date = "eventDate"')
    with pytest.raises(BadSurveyFile, match="name one of the two"):
        shape({"c.csv": "Date,Dy,Mo,Yr,Array,Species\n"}, table)
