"""ISO 11784: 10 bits country or manufacturer code, 38 bits national code.

Source: a slide of ICAR on the bit layout; the check values were computed from it (handbook of the trade, 2.3).
The forms of readers (hexadecimal with a dot) and the manufacturer codes 982, 985 and 989: from memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.mark import MarkContext, judge_mark
from dwc_pipeline.normalise.pit_tag import LARGEST_NATIONAL_CODE, decimal_form, hexadecimal_form

PIT = MarkContext("PIT tag")


class TestNationalCode:
    """38 bits: at most 274,877,906,943."""

    def test_the_largest_national_code_is_the_printed_one(self) -> None:
        assert LARGEST_NATIONAL_CODE == 274_877_906_943

    @pytest.mark.parametrize("tag", ["900274877906943", "985141000123456", "982000363456789"])
    def test_a_legal_code_is_kept(self, tag: str) -> None:
        assert judge_mark(tag, "", PIT)[:2] == (Status.KEPT, tag)

    @pytest.mark.parametrize("tag", ["985274877906944", "985999999999999"])
    def test_a_code_over_38_bits_cannot_be(self, tag: str) -> None:
        verdict = judge_mark(tag, "", PIT)
        assert (verdict.status, verdict.rule) == (Status.UNREADABLE, "tag-impossible")


class TestHexadecimalForm:
    """Three hexadecimal digits for the country or manufacturer, ten for the national code."""

    @pytest.mark.parametrize(
        ("decimal", "hexadecimal"),
        [
            ("985141000123456", "3D9.20D4432440"),
            ("982000363456789", "3D6.0015A9E915"),
            ("900274877906943", "384.3FFFFFFFFF"),
            ("985120018088900", "3D9.1BF1A2B3C4"),
            ("982000356486189", "3D6.00153F8C2D"),
        ],
    )
    def test_both_forms_of_the_printed_tags_agree(self, decimal: str, hexadecimal: str) -> None:
        assert hexadecimal_form(decimal) == hexadecimal
        assert decimal_form(hexadecimal) == decimal
        assert judge_mark(hexadecimal, "", PIT).value == decimal

    @pytest.mark.parametrize(("hexadecimal", "code"), [("3D9", 985), ("3D6", 982), ("3DD", 989)])
    def test_manufacturer_codes_are_the_same_number(self, hexadecimal: str, code: int) -> None:
        assert int(hexadecimal, 16) == code

    @pytest.mark.parametrize("tag", ["3D9.5BF1A2B3C4", "FFF.1BF1A2B3C4"])
    def test_more_bits_than_the_standard_has_cannot_be(self, tag: str) -> None:
        assert judge_mark(tag, "", PIT).rule == "tag-impossible"

    @given(country=st.integers(1, 999), national=st.integers(1, LARGEST_NATIONAL_CODE))
    def test_any_tag_goes_to_hexadecimal_and_back(self, country: int, national: int) -> None:
        decimal = f"{country:03d}{national:012d}"
        assert decimal_form(hexadecimal_form(decimal)) == decimal

    @given(
        country=st.integers(900, 998),
        national=st.integers(1, LARGEST_NATIONAL_CODE).filter(lambda number: number % 10**7),
        form=st.sampled_from(["{0}{1}", "{0} {1}", "{0}-{1}", "{0}.{1}", "PIT {0}{1}", "#{0}{1}", " {0}{1} "]),
    )
    def test_any_legal_tag_in_any_spelling_is_the_same_tag(self, country: int, national: int, form: str) -> None:
        decimal = f"{country}{national:012d}"
        assert judge_mark(form.format(country, f"{national:012d}"), "", PIT).value == decimal
        assert judge_mark(hexadecimal_form(decimal).lower(), "", PIT).value == decimal


class TestDigitsLost:
    """A spreadsheet number has 15 exact digits, and shows them in powers of ten."""

    @pytest.mark.parametrize(
        "tag", ["9.85141E+14", "1.53E+14", "153000000000000", "985141000000000", "9,85141E+14", "inf"]
    )
    def test_a_tag_that_lost_digits_is_never_a_tag(self, tag: str) -> None:
        verdict = judge_mark(tag, "", PIT)
        assert (verdict.status, verdict.rule, verdict.readings) == (Status.UNREADABLE, "tag-digits-lost", ())

    @pytest.mark.parametrize("tag", ["4E12345678", "00153E12", "0E2000"])
    def test_a_hexadecimal_tag_read_as_text_is_no_power_of_ten(self, tag: str) -> None:
        assert judge_mark(tag, "", PIT).value == tag
