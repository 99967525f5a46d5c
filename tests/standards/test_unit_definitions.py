"""Units against their published definitions.

Sources: international yard and pound agreement of 1959 and the temperature scale as in NIST Special Publication
811 (2008), appendix B; US survey foot: 1200/3937 m; knot: 1852 m an hour. Check values: handbook of the trade, 1.4.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from dwc_pipeline.normalise.units import convert, decimal_text, unit_in_header, unit_of_symbol


@pytest.mark.parametrize(
    ("number", "unit", "target", "exact"),
    [
        ("1", "mi", "m", "1609.344"),
        ("1", "ft", "m", "0.3048"),
        ("1", "in", "mm", "25.4"),
        ("1", "yd", "m", "0.9144"),
        ("1", "oz", "g", "28.349523125"),
        ("1", "lb", "g", "453.59237"),
        ("1", "mph", "m/s", "0.44704"),
        ("95", "°F", "°C", "35"),
        ("32", "°F", "°C", "0"),
        ("-40", "°F", "°C", "-40"),
        ("212", "°F", "°C", "100"),
        ("37", "°C", "°F", "98.6"),
        ("1.25", "in", "mm", "31.75"),
        ("31.2", "mi", "km", "50.2115328"),
        ("16", "oz", "lb", "1"),
        ("12", "in", "ft", "1"),
        ("1", "inHg", "hPa", "33.8639"),
        ("36", "km/h", "m/s", "10"),
    ],
)
def test_a_unit_is_exactly_its_definition(number: str, unit: str, target: str, exact: str) -> None:
    assert convert(Fraction(number), unit_of_symbol(unit), unit_of_symbol(target)) == Fraction(exact)


def test_the_survey_foot_is_2_parts_in_a_million_longer() -> None:
    """1.2192 m at 2,000,000 ft: handbook of the trade, 1.4."""
    feet = Fraction(2_000_000)
    difference = convert(feet, unit_of_symbol("US survey ft"), unit_of_symbol("m")) - convert(
        feet, unit_of_symbol("ft"), unit_of_symbol("m")
    )
    assert float(difference) == pytest.approx(1.2192, abs=1e-4)


def test_a_knot_is_1852_metres_an_hour() -> None:
    assert convert(Fraction(3600), unit_of_symbol("kn"), unit_of_symbol("m/s")) == 1852


def test_units_of_different_kinds_never_meet() -> None:
    with pytest.raises(ValueError, match="cannot be turned into"):
        convert(Fraction(1), unit_of_symbol("g"), unit_of_symbol("mm"))


@pytest.mark.parametrize(("number", "text"), [("1/3", "0.3333"), ("2/3", "0.6667"), ("1/8", "0.125"), ("100", "100")])
def test_decimals_that_never_end_are_cut_two_digits_beyond_their_step(number: str, text: str) -> None:
    assert decimal_text(Fraction(number), Fraction(1, 200)) == text


@pytest.mark.parametrize(
    ("header", "kind", "symbol"),
    [
        ("Mass (g)", "", "g"), ("SVL mm", "", "mm"), ("temp_F", "", "°F"), ("wt.oz", "", "oz"),
        ("TempC", "", "°C"), ("Air Temp (°F)", "", "°F"), ("Rain (in)", "", "in"), ("rain in", "", "in"),
        ("miles driven", "", "mi"), ("RH%", "", "%"), ("SVLmm", "", "mm"), ("Weight in g", "", "g"),
        ("SVL (in mm)", "", "mm"), ("Wind mph", "", "mph"), ("stop min", "time", "min"), ("start mi", "length", "mi"),
        ("accuracy m", "length", "m"), ("F", "temperature", "°F"), ("Time in", "", ""), ("M F", "", ""),
        ("Total M", "", ""), ("Sex (M/F)", "", ""), ("min temp", "", ""), ("TL", "", ""),
        ("Depth (cm/in)", "", ""), ("mass (g) or oz", "", ""), ("Wind (m/s)", "length", ""), ("Age F", "", ""),
    ],
)  # fmt: skip
def test_a_header_names_its_unit_or_none(header: str, kind: str, symbol: str) -> None:
    assert unit_in_header(header, kind) == symbol
