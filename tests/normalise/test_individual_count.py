"""Counts of animals."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.individual_count import CountWords, judge_count

EXACT = {
    "3": "3", "three": "3", "Three": "3", "0": "0", "none": "0", "zero": "0", "no animals": "0", "3.0": "3",
    "003": "3", "dozen": "12", "n=12": "12", "x3": "3", "12 individuals": "12", "12 ind.": "12", "1,234": "1234",
    " 7 ": "7", "twenty-one": "21", "total 3": "3", "3 indiv.": "3",
}  # fmt: skip
VAGUE = [
    "~20", ">50", "<10", "2-3", "several", "3+", "c. 20", "ca 20", "about 20", "20ish", "20±5", "at least 5",
    "5 or more", "2 to 3", "a few", "many", "hundreds", "100s", "present", "x", "TNTC", "50+ tadpoles",
]  # fmt: skip
NO_COUNT = [
    "1.5", ".5", "½", "1,5", "-2", "- 2", "1e3", "1.0E+02", "2/3", "12, 13", "2-Mar", "1 2", "absent", "A", "M",
    "juv", "2 egg masses", "1 toad", "?4", "1 N", "#REF!", "1.2E+03", "yes?", "2 (1 escaped)", "3 recaptures",
    "two or three",
]  # fmt: skip


@pytest.mark.parametrize(("typed", "count"), EXACT.items())
def test_a_number_in_any_usual_spelling_is_a_count(typed: str, count: str) -> None:
    assert judge_count(typed).value == count


@pytest.mark.parametrize("typed", VAGUE)
def test_a_vague_count_is_kept_in_words_and_never_a_number(typed: str) -> None:
    """Handbook of the trade, rule 25; Darwin Core organismQuantity needs its type beside it."""
    verdict = judge_count(typed)
    assert (verdict.status, verdict.value) == (Status.KEPT, "")
    assert verdict.also["organismQuantity"] == typed
    assert verdict.also["organismQuantityType"]
    assert [flag.rule for flag in verdict.flags] == ["count-is-vague"]


@pytest.mark.parametrize("typed", NO_COUNT)
def test_what_is_no_whole_number_of_animals_is_asked(typed: str) -> None:
    """Handbook of the trade, rule 23: negative, fractional or text count."""
    verdict = judge_count(typed)
    assert (verdict.status, verdict.value) == (Status.UNREADABLE, "")
    assert RULES[verdict.rule].asks


@pytest.mark.parametrize(
    ("typed", "readings"),
    [("1.000", ("1", "1000")), ("1.2.3", ("6",)), ("3 (2M 2F)", ("3", "4")), ("1l", ("1", "11"))],
)
def test_a_count_with_two_readings_is_asked(typed: str, readings: tuple[str, ...]) -> None:
    verdict = judge_count(typed)
    assert (verdict.status, verdict.readings) == (Status.AMBIGUOUS, readings)


@pytest.mark.parametrize(
    ("typed", "count", "parts"),
    [
        ("2 M, 1 F", "3", [{"count": 2, "sex": "male"}, {"count": 1, "sex": "female"}]),
        ("2M1F", "3", [{"count": 2, "sex": "male"}, {"count": 1, "sex": "female"}]),
        ("3 (1 juv)", "3", [{"count": 1, "lifeStage": "juvenile"}, {"count": 2}]),
        ("1 ad 3 juv", "4", [{"count": 1, "lifeStage": "adult"}, {"count": 3, "lifeStage": "juvenile"}]),
        ("2 males and a female", "3", [{"count": 2, "sex": "male"}, {"count": 1, "sex": "female"}]),
        ("1 male 2 unknown", "3", [{"count": 1, "sex": "male"}, {"count": 2}]),
        ("2 ad. M", "2", [{"count": 2, "sex": "male", "lifeStage": "adult"}]),
    ],
)
def test_counts_by_sex_and_age_are_split_and_add_up(typed: str, count: str, parts: list[dict[str, object]]) -> None:
    verdict = judge_count(typed)
    assert verdict.value == count
    assert json.loads(verdict.also["parts"]) == parts


def test_one_kind_of_animal_fills_its_terms() -> None:
    assert judge_count("5 (juv)").also["lifeStage"] == "juvenile"
    assert judge_count("2♂").also["sex"] == "male"


def test_a_doubtful_count_is_flagged() -> None:
    verdict = judge_count("20?")
    assert (verdict.value, verdict.flags[0].rule) == ("20", "count-doubtful")


@pytest.mark.parametrize("typed", ["", "NA", "--", "?"])
def test_a_cell_without_a_count_is_empty_and_not_zero(typed: str) -> None:
    assert judge_count(typed).status is Status.EMPTY


def test_the_surveys_own_word_is_used() -> None:
    assert judge_count("tr", CountWords(extra={"tr": "several"})).also["organismQuantity"] == "several"


@given(st.integers(0, 10**6))
def test_any_whole_number_reads_back(number: int) -> None:
    assert judge_count(str(number)).value == str(number)
    assert judge_count(f"{number:,}").value == str(number)
    assert judge_count(f" {number}.0 ").value == str(number)


@settings(max_examples=100, deadline=None)
@given(
    males=st.integers(1, 40),
    females=st.integers(1, 40),
    form=st.sampled_from(["{} M, {} F", "{}M {}F", "{} males & {} females"]),
)
def test_parts_always_add_up_to_the_count(males: int, females: int, form: str) -> None:
    verdict = judge_count(form.format(males, females))
    assert int(verdict.value) == males + females == sum(part["count"] for part in json.loads(verdict.also["parts"]))


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="0123456789.,-+~<>?/ MFjuvadx()", max_size=10))
def test_whatever_is_typed_the_count_is_a_whole_number_or_none(typed: str) -> None:
    value = judge_count(typed).value
    assert value == "" or value.isdigit()


@pytest.mark.parametrize("typed", ["dozens", "dozens of toadlets", "tens", "twenties", "hundreds"])
def test_the_plural_of_a_number_is_no_number(typed: str) -> None:
    """A dozen is 12, dozens is not; common practice, no source."""
    assert judge_count(typed).value == ""


def test_what_stands_beside_the_count_of_one_kind_of_animals_is_not_lost() -> None:
    verdict = judge_count("1 gravid F")
    assert (verdict.value, verdict.also["sex"], verdict.also["reproductiveCondition"]) == ("1", "female", "gravid")
    assert json.loads(verdict.also["parts"]) == [{"count": 1, "sex": "female"}]
