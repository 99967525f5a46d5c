"""Measured cells: numbers, units, limits, bags and tails."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.measurement import judge_quantity
from dwc_pipeline.normalise.quantity import Quantity, quantity
from dwc_pipeline.normalise.units import UNITS, convert, unit_of_symbol

MASS = quantity("body mass", "g", "g")
SVL = quantity("snout-vent length", "mm", "mm")
TAIL = quantity("tail length", "mm", "mm")
AIR = quantity("air temperature", "°C", "°F")
RAIN = quantity("rain", "mm", "in")
WIND = quantity("wind speed", "m/s", "mph")
HUMIDITY = quantity("relative humidity", "%")
ROAD = quantity("road distance", "km", "mi")
STOPS = quantity("duration", "min", "min")


class TestNumbers:
    @pytest.mark.parametrize("typed", ["SVL 45", "svl=45", "45 SVL", "45mm SVL", "45 (SVL)"])
    def test_the_name_of_the_column_beside_the_number_says_nothing_more(self, typed: str) -> None:
        assert judge_quantity(typed, SVL).value == "45"

    @pytest.mark.parametrize("typed", ["TL 83", "83 TL", "SVL 45 TL 83", "tail 38"])
    def test_the_name_of_another_measure_is_asked(self, typed: str) -> None:
        assert judge_quantity(typed, SVL).status in (Status.UNREADABLE, Status.AMBIGUOUS)

    @pytest.mark.parametrize(
        ("typed", "value"),
        [("12.5", "12.5"), ("12,5", "12.5"), ("12.5 g", "12.5"), ("12.5g", "12.5"), ("33g", "33"), ("1 1/2", "1.5"),
         ("½", "0.5"), ("5½", "5.5"), (".5", "0.5"), ("5.", "5"), ("1,234.5", "1234.5"), ("1.234,5", "1234.5"),
         ("0,234", "0.234"), ("1,234,567", "1234567"), ("12 G.", "12"), ("12 grams", "12"), ("45.0", "45.0"),
         ("12\xa0g", "12"), ("~12", "12"), ("c. 12", "12"), ("12 est", "12"), ("12 +/- 1", "12"), ("12±0.5 g", "12")],
    )  # fmt: skip
    def test_one_reading_is_read(self, typed: str, value: str) -> None:
        assert judge_quantity(typed, MASS).value == value

    @pytest.mark.parametrize(
        ("typed", "mark", "status", "value"),
        [("1,234", "", Status.AMBIGUOUS, ""), ("1,234", ".", Status.CHANGED, "1234"),
         ("1,234", ",", Status.CHANGED, "1.234"), ("1.234", "", Status.KEPT, "1.234"),
         ("1.234", ",", Status.AMBIGUOUS, ""), ("45,46", "", Status.AMBIGUOUS, ""),
         ("45,46", ",", Status.CHANGED, "45.46")],
    )  # fmt: skip
    def test_the_mark_of_the_column_settles_thousands_or_decimals(
        self, typed: str, mark: str, status: Status, value: str
    ) -> None:
        verdict = judge_quantity(typed, quantity("body mass", "g", "g", mark))
        assert (verdict.status, verdict.value) == (status, value)

    @pytest.mark.parametrize(
        "typed",
        ["12..5", "12. 5", "l2.5", "1O", "12.5.6", "12 13", "12/13", "12, 13", "12 x", "#12", "12*", "3824d", "1e3",
         "1.2E+01", "1e-3", "12-", "?4", "1?2", "2-3-4", "96+17.5", "none", "escaped", "12 ,5",
         "12 (12.5 on recheck)", "3lb 17oz", "12 foo", "#REF!", "9.85E+14", "1 234", "12 00", "x", "--12"],
    )  # fmt: skip
    def test_what_is_no_number_is_asked(self, typed: str) -> None:
        verdict = judge_quantity(typed, MASS)
        assert (verdict.status, verdict.value) == (Status.UNREADABLE, "")
        assert RULES[verdict.rule].asks

    @pytest.mark.parametrize(
        "typed", ["96-17.5=78.5", "96 - 17.5 = 78.5 g", "96g-17.5g=78.5g", "96 minus 17.5", "96-17.5 bag", "=96-17.5"]
    )
    def test_a_bag_taken_off_in_any_words_is_one_number(self, typed: str) -> None:
        assert judge_quantity(typed, MASS).value == "78.5"

    @pytest.mark.parametrize("typed", ["96-17.5=79.5", "96 - 17.5 = 113.5", "45-12=34"])
    def test_a_difference_that_is_not_what_stands_behind_it_is_asked(self, typed: str) -> None:
        verdict = judge_quantity(typed, MASS)
        assert (verdict.status, verdict.value, len(verdict.readings)) == (Status.AMBIGUOUS, "", 2)

    @pytest.mark.parametrize(
        ("typed", "default", "offered"),
        [("98", "°C", ("36.67",)), ("100 C", "°C", ("37.78",)), ("500", "°F", ()), ("-80", "°C", ())],
    )
    def test_a_temperature_that_no_air_has_is_asked_with_the_other_scale(
        self, typed: str, default: str, offered: tuple[str, ...]
    ) -> None:
        verdict = judge_quantity(typed, quantity("air temperature", "°C", default))
        assert (verdict.rule, verdict.value) == ("temperature-impossible", "")
        assert set(offered) <= set(verdict.readings)

    @pytest.mark.parametrize("typed", ["0", "0.0", "-3", "- 12"])
    def test_no_animal_weighs_nothing_or_less(self, typed: str) -> None:
        """Handbook of the trade, rule 33."""
        assert judge_quantity(typed, MASS).rule == "quantity-not-positive"

    @pytest.mark.parametrize("typed", ["", "NA", "--", "n/a", "-", "?"])
    def test_not_measured_is_empty(self, typed: str) -> None:
        assert judge_quantity(typed, MASS).status is Status.EMPTY

    def test_a_question_mark_is_flagged(self) -> None:
        verdict = judge_quantity("12 ?", MASS)
        assert (verdict.value, verdict.flags[0].rule) == ("12", "quantity-doubtful")

    @pytest.mark.parametrize("typed", ["5?", "12?", "12? g", "5??"])
    def test_a_question_mark_at_a_digit_may_be_a_digit_and_is_asked(self, typed: str) -> None:
        verdict = judge_quantity(typed, MASS)
        assert (verdict.status, verdict.value, verdict.rule) == (Status.AMBIGUOUS, "", "digit-not-read")

    def test_a_remark_in_brackets_is_kept(self) -> None:
        verdict = judge_quantity("132 (scale not calibrated)", MASS)
        assert (verdict.value, verdict.also["measurementRemarks"]) == ("132", "scale not calibrated")

    @pytest.mark.parametrize(("typed", "method"), [("12 pesola", "spring scale"), ("12 (pesola)", "spring scale")])
    def test_a_method_is_kept(self, typed: str, method: str) -> None:
        assert judge_quantity(typed, MASS).also["measurementMethod"] == method

    def test_a_state_that_changes_the_mass_is_kept(self) -> None:
        """Handbook of the trade, 2.1: gravid, wet and the like are left out of condition fits."""
        assert judge_quantity("45 g, wet", MASS).also["measurementRemarks"] == "wet"


class TestAboutRight:
    @pytest.mark.parametrize(
        "typed", ["~60", "60 est", "60ish", "abt 60", "c. 60", "60 (guess)", "around 60", "60 or so", "60~", "± 60"]
    )
    def test_an_approximate_number_says_so_and_claims_no_accuracy(self, typed: str) -> None:
        verdict = judge_quantity(typed, quantity("snout-vent length", "mm", "mm"))
        assert (verdict.value, verdict.rule) == ("60", "approximate")
        assert verdict.also["measurementRemarks"] == "approximate"
        assert "measurementAccuracy" not in verdict.also

    def test_a_spread_that_was_written_is_kept(self) -> None:
        assert judge_quantity("60±5", quantity("snout-vent length", "mm", "mm")).also["measurementAccuracy"] == "5"

    def test_a_doubtful_number_says_so_beside_the_finding(self) -> None:
        verdict = judge_quantity("60 mm ?", quantity("snout-vent length", "mm", "mm"))
        assert verdict.also["measurementRemarks"] == "doubtful"
        assert [flag.rule for flag in verdict.flags] == ["quantity-doubtful"]


class TestLimitsAndRanges:
    @pytest.mark.parametrize("typed", ["<1 g", ">500", "500+", "at least 500", "12-13", "12 to 13 g", "≤5"])
    def test_a_limit_or_range_is_kept_in_words_and_never_a_number(self, typed: str) -> None:
        verdict = judge_quantity(typed, MASS)
        assert (verdict.status, verdict.value, verdict.flags[-1].rule) == (Status.KEPT, "", "quantity-is-a-limit")
        assert verdict.also["measurementRemarks"]


class TestUnits:
    @pytest.mark.parametrize(
        ("typed", "asked", "value"),
        [("7 in", SVL, "177.8"), ("7in.", SVL, "177.8"), ("1' 2\"", SVL, "355.6"), ("1 ft 2 in", SVL, "355.6"),
         ("55 mm", SVL, "55"), ("5.5 cm", SVL, "55"), ("18 1/2\"", SVL, "469.9"), ("1/2 oz", MASS, "14.1747615625"),
         ("1 lb 2 oz", MASS, "510.29141625"), ("0.5 kg", MASS, "500"), ("95", AIR, "35"), ("35 C", AIR, "35"),
         ("-40", AIR, "-40"), ("70", AIR, "21.11"), ("1.25", RAIN, "31.75"), ("25 mm", RAIN, "25"),
         ("10", WIND, "4.4704"), ("36 km/h", WIND, "10"), ("31.2", ROAD, "50.2115328"), ("1 h 30 min", STOPS, "90"),
         ("1.5 h", STOPS, "90"), ("1h30", STOPS, "90"), ("45%", HUMIDITY, "45"), ("0", RAIN, "0")],
    )  # fmt: skip
    def test_a_unit_is_converted_exactly(self, typed: str, asked: Quantity, value: str) -> None:
        verdict = judge_quantity(typed, asked)
        assert (verdict.value, verdict.also["measurementUnit"]) == (value, asked.unit)

    def test_no_unit_anywhere_is_asked_with_the_usual_units(self) -> None:
        verdict = judge_quantity("12", quantity("body mass", "g"))
        assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "unit-unknown")
        assert verdict.readings == ("12", "340.1942775", "12000")

    def test_celsius_or_fahrenheit_is_asked(self) -> None:
        assert judge_quantity("95", quantity("air temperature", "°C")).readings == ("95", "35")

    def test_a_unit_of_another_kind_is_asked(self) -> None:
        assert judge_quantity("12 g", SVL).rule == "unit-of-another-kind"
        assert judge_quantity("12 mm", MASS).rule == "unit-of-another-kind"

    def test_a_unit_that_differs_from_its_column_is_used_and_flagged(self) -> None:
        verdict = judge_quantity("5.5 cm", SVL)
        assert (verdict.value, verdict.flags[0].rule) == ("55", "unit-differs-from-column")

    def test_metres_of_a_lizard_are_asked(self) -> None:
        assert judge_quantity("45 m", SVL).readings == ("45", "45000")

    @pytest.mark.parametrize(
        ("typed", "asked", "accuracy"),
        [("12.5", MASS, "0.05"), ("12", MASS, "0.5"), ("7 in", SVL, "12.7"), ("12 +/- 1", MASS, "1"),
         ("96-17.5", MASS, "0.55"),
         ("70", AIR, "0.278"), ("1/2 oz", MASS, "7.09"), ("45.00", SVL, "0.005")],
    )  # fmt: skip
    def test_the_accuracy_is_half_the_last_digit_in_the_target_unit(
        self, typed: str, asked: Quantity, accuracy: str
    ) -> None:
        """Handbook of the trade, 2.6."""
        assert judge_quantity(typed, asked).also["measurementAccuracy"] == accuracy

    def test_a_share_of_one_or_per_cent_is_asked(self) -> None:
        assert judge_quantity("0.45", HUMIDITY).readings == ("45", "0.45")

    def test_a_clock_form_of_a_duration_is_asked(self) -> None:
        assert judge_quantity("1:30", STOPS).readings == ("90", "1.5")


class TestBags:
    """Handbook of the trade, 2.1: bag mass is taken off, 96-17.5 = 78.5."""

    @pytest.mark.parametrize("typed", ["96-17.5", "96 - 17.5 g", "96g-17.5g", "96–17.5"])
    def test_the_bag_is_taken_off(self, typed: str) -> None:
        verdict = judge_quantity(typed, MASS)
        assert (verdict.value, verdict.also["measurementMethod"]) == ("78.5", "bag 17.5 taken off 96")

    def test_where_bags_are_not_taken_off_it_is_asked(self) -> None:
        verdict = judge_quantity("96-17.5", Quantity("body mass", "g", "g"))
        assert (verdict.status, verdict.readings) == (Status.AMBIGUOUS, ("78.5", "96", "17.5"))

    def test_a_length_is_never_a_difference(self) -> None:
        assert judge_quantity("96-17.5", SVL).status is Status.UNREADABLE

    @pytest.mark.parametrize("typed", ["12 in bag", "12 (in bag)", "12 g w/ bag", "12 gross"])
    def test_a_mass_with_the_bag_in_it_is_asked(self, typed: str) -> None:
        assert judge_quantity(typed, MASS).rule == "bag-mass-not-taken-off"

    @pytest.mark.parametrize("typed", ["1-1/2", "1 - 1/2"])
    def test_one_and_a_half_or_a_difference_is_asked(self, typed: str) -> None:
        assert judge_quantity(typed, MASS).readings == ("1.5", "0.5")


class TestTails:
    """Handbook of the trade, 2.1: a broken or regenerated tail is a fact, not a missing value."""

    @pytest.mark.parametrize(
        ("typed", "value", "condition"),
        [("45 brk", "45", "broken"), ("45brk", "45", "broken"), ("brk 45", "45", "broken"), ("45+", "45", "broken"),
         ("45 mm+", "45", "broken"), ("45 (regen)", "45", "regenerated"), ("45r", "45", "regenerated"),
         ("stub 12", "12", "broken"), ("4.5 cm regen", "45", "regenerated"), ("stub", "", "broken"),
         ("nub", "", "broken"),
         ("brk", "", "broken"), ("regen", "", "regenerated"), ("45 intact", "45", "intact")],
    )  # fmt: skip
    def test_the_condition_is_kept_beside_the_length(self, typed: str, value: str, condition: str) -> None:
        verdict = judge_quantity(typed, TAIL)
        assert (verdict.value, verdict.also["tail_condition"]) == (value, condition)
        assert verdict.is_read

    @pytest.mark.parametrize("typed", ["30+15", "30+15r", "45 (10 regen)", "brk?", "missing", "0"])
    def test_two_lengths_or_doubt_are_asked(self, typed: str) -> None:
        assert judge_quantity(typed, TAIL).status is Status.UNREADABLE

    def test_plus_is_a_limit_where_there_is_no_tail(self) -> None:
        assert judge_quantity("45+", SVL).also["qualifier"] == "at least 45"


class TestWeather:
    @pytest.mark.parametrize("typed", ["trace", "T", "tr."])
    def test_a_trace_of_rain_is_no_number(self, typed: str) -> None:
        verdict = judge_quantity(typed, RAIN)
        assert (verdict.value, verdict.also["qualifier"]) == ("", "trace")

    @pytest.mark.parametrize("typed", ["none", "dry", "0"])
    def test_no_rain_is_zero(self, typed: str) -> None:
        assert judge_quantity(typed, RAIN).value == "0"

    @pytest.mark.parametrize("typed", ["calm", "Beaufort 3", "B3", "gusty"])
    def test_wind_in_words_is_no_number(self, typed: str) -> None:
        verdict = judge_quantity(typed, WIND)
        assert (verdict.status, verdict.value) == (Status.KEPT, "")

    @pytest.mark.parametrize("typed", ["SW 10", "10 SW", "SW10", "sw 10 mph"])
    def test_the_direction_of_the_wind_is_kept_apart(self, typed: str) -> None:
        verdict = judge_quantity(typed, WIND)
        assert (verdict.value, verdict.also["wind_direction"]) == ("4.4704", "SW")

    @pytest.mark.parametrize("typed", ["104", "-1"])
    def test_no_humidity_over_100_or_below_zero(self, typed: str) -> None:
        assert judge_quantity(typed, HUMIDITY).status is Status.UNREADABLE


UNIT_NAMES = [
    (unit.symbol, spelling) for unit in UNITS for spelling in unit.spellings if unit.kind in ("mass", "length")
]
FORMS = ["{} {}", "{}{}", " {}  {} ", "{} {}.", "~{} {}", "{} {} (ruler)"]


@settings(max_examples=300, deadline=None)
@given(
    number=st.decimals(min_value="0.001", max_value="9999", places=3),
    name=st.sampled_from(UNIT_NAMES),
    form=st.sampled_from(FORMS),
)
def test_any_number_with_any_unit_in_any_form_is_exact(number: Decimal, name: tuple[str, str], form: str) -> None:
    """The value is the number times the unit's definition, to the last digit."""
    symbol, spelling = name
    unit = unit_of_symbol(symbol)
    target = unit_of_symbol("g" if unit.kind == "mass" else "m")
    typed = form.format(number, spelling)
    verdict = judge_quantity(typed, Quantity("anything", target.symbol, target.symbol))
    exact = convert(Fraction(number), unit, target)
    if symbol == "US survey ft":  # its decimals never end
        assert abs(Fraction(verdict.value) - exact) < Fraction(1, 30_000) * unit.factor / target.factor
    else:
        assert Fraction(verdict.value) == exact


@settings(max_examples=200, deadline=None)
@given(st.decimals(min_value="0.01", max_value="99999", places=2), st.sampled_from([".", ","]))
def test_any_number_reads_back_with_either_decimal_mark(number: Decimal, mark: str) -> None:
    typed = str(number).replace(".", mark)
    assert Decimal(judge_quantity(typed, quantity("body mass", "g", "g", mark)).value) == number


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 500), st.sampled_from([2, 4, 8, 16]), st.data())
def test_any_fraction_of_an_inch_reads_back(whole: int, below: int, data: st.DataObject) -> None:
    above = data.draw(st.integers(1, below - 1))
    verdict = judge_quantity(f'{whole} {above}/{below}"', SVL)
    assert Fraction(verdict.value) == (whole + Fraction(above, below)) * Fraction(254, 10)


@settings(max_examples=400, deadline=None)
@given(
    st.text(alphabet="0123456789.,-+~<>?/'\" gmcinoztlbrkFC%()±", max_size=12),
    st.sampled_from([MASS, SVL, TAIL, AIR, RAIN, WIND, HUMIDITY, ROAD, STOPS]),
)
def test_whatever_is_typed_the_value_is_a_plain_decimal_or_nothing(typed: str, asked: Quantity) -> None:
    verdict = judge_quantity(typed, asked)
    if verdict.value:
        assert Decimal(verdict.value).is_finite()
        assert "E" not in verdict.value
        assert verdict.also["measurementUnit"] == asked.unit
    assert not verdict.rule or not verdict.readings or RULES[verdict.rule].asks
