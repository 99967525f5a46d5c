"""A point in a sheet that writes decimal commas is read twice: decimals, or thousands. Common practice, no source."""

from __future__ import annotations

import pytest
from small_survey import CAPTURES_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.core.columns import text_column

HEADER = "Array;Date;Time;Species;SVL;Mass\n"
COMMA = "\n[reading]\ndecimal_comma = true\n"


@pytest.fixture
def masses(tmp_path):
    def read(*rows: str, setting: str = ""):
        text = HEADER + "".join(f"A1;2023-05-{5 + at:02d};07:30;THRA;{row}\n" for at, row in enumerate(rows))
        season = prepared(
            tmp_path, {"sites.csv": SITES, "captures.csv": text}, SITES_TABLE + CAPTURES_TABLE + setting
        )
        asked = season.records.findings
        asked = asked[asked["rule"] == "number-has-two-readings"].set_index("value")["readings"].to_dict()
        return text_column(season.records.standard["capture"], "body_mass").tolist(), asked

    return read


def test_a_point_before_three_digits_is_asked_where_the_column_holds_decimal_commas(masses):
    values, asked = masses("301;12,5", "302;1.025", "303;2.500")
    assert values == ["12.5", "", ""]
    assert asked == {"1.025": "1025 | 1.025", "2.500": "2500 | 2.500"}


def test_a_decimal_comma_in_another_measure_of_the_sheet_is_evidence_too(masses):
    values, asked = masses("62,5;8", "302;1.250")
    assert values == ["8", ""]
    assert set(asked) == {"1.250"}


def test_a_comma_before_three_digits_is_asked_where_the_column_holds_decimal_points(masses):
    values, asked = masses("301;12.5", "302;1,025")
    assert values == ["12.5", ""]
    assert set(asked) == {"1,025"}


def test_points_that_cannot_part_thousands_are_read_beside_decimal_commas(masses):
    values, asked = masses("301;12,5", "302;12.4", "303;0.125")
    assert values == ["12.5", "12.4", "0.125"]
    assert not asked


def test_a_column_of_points_alone_has_nothing_to_ask(masses):
    values, asked = masses("301;12.5", "302;1.025")
    assert values == ["12.5", "1.025"]
    assert not asked


def test_the_survey_file_settles_a_comma_before_three_digits(masses):
    values, asked = masses("301;12,5", "302;1,025", setting=COMMA)
    assert values == ["12.5", "1.025"]
    assert not asked
