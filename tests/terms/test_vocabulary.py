"""Word lists and the reading of a cell against them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.terms.schema import schemas_folder
from dwc_pipeline.terms.vocabulary import fold_word, judge_word, load_vocabulary

LISTS = sorted(path.stem for path in (schemas_folder() / "vocab").glob("*.csv"))
WITH_COLUMN = (
    "sex", "lifeStage", "reproductiveCondition", "vitality", "fate", "trap_type", "trap_state", "capture_status",
    "protocolNames", "sky", "action", "yes_no", "tail_condition", "place_kind", "eventType",
)  # fmt: skip

#: Darwin Core, Humboldt Extension: controlled or printed values (terms of 2026-05-26; from the handbook of the trade)
PRINTED_VALUES = {
    "sex": {"male", "female", "hermaphrodite"},
    "vitality": {"alive", "dead", "mixedLot", "uncertain", "notAssessed"},
    "protocolNames": {"boxTrapping", "funnelTrapping"},
    "lifeStage": {"egg", "larva", "metamorph", "juvenile", "subadult", "adult"},
    "capture_status": {"new", "recapture", "unmarked"},
    "tail_condition": {"intact", "broken", "regenerated"},
    "trap_state": {"catching", "closed", "out of order", "missing"},
}


@pytest.mark.parametrize("term", LISTS)
def test_every_word_list_says_where_its_words_come_from_and_when_they_were_checked(term: str) -> None:
    lines = (schemas_folder() / "vocab" / f"{term}.csv").read_text(encoding="utf-8").splitlines()
    header = " ".join(line for line in lines if line.startswith("#"))
    assert " · " in header
    assert "checked 20" in header


@pytest.mark.parametrize("term", LISTS)
def test_no_word_stands_twice_in_a_list(term: str) -> None:
    lines = (schemas_folder() / "vocab" / f"{term}.csv").read_text(encoding="utf-8").splitlines()
    words = [fold_word(line.split(",")[0]) for line in lines if line and not line.startswith("#")][1:]
    assert sorted(words) == sorted(set(words))


@pytest.mark.parametrize(("term", "values"), PRINTED_VALUES.items())
def test_the_printed_values_are_in_the_list(term: str, values: set[str]) -> None:
    assert values <= set(load_vocabulary(term).values)


@pytest.mark.parametrize("term", WITH_COLUMN)
def test_a_standard_value_is_kept_as_it_is(term: str) -> None:
    vocabulary = load_vocabulary(term)
    for value in vocabulary.values:
        verdict = judge_word(value, vocabulary)
        assert (verdict.value, verdict.status) in {(value, Status.KEPT), ("", Status.AMBIGUOUS)}, value


class TestWordsInTheSexColumn:
    """Handbook of the trade, 2.2: U, ?, - and juv must not become a sex."""

    @pytest.mark.parametrize("word", ["U", "?", "-", "juv", "NA", "unk", "--", "J", "YOY", "N", "X", "A", "imm"])
    def test_a_word_that_is_no_sex_does_not_become_one(self, word: str) -> None:
        assert judge_word(word, load_vocabulary("sex")).value == ""

    @pytest.mark.parametrize(
        ("word", "sex"),
        [("M", "male"), ("m.", "male"), ("Males", "male"), ("♂", "male"), ("F", "female"), ("fem", "female"),
         (" FEMALE ", "female"), ("♀", "female"), ("Hermaphrodite", "hermaphrodite")],
    )  # fmt: skip
    def test_usual_spellings_are_read(self, word: str, sex: str) -> None:
        assert judge_word(word, load_vocabulary("sex")).value == sex

    @pytest.mark.parametrize(
        ("word", "stage"), [("juv", "juvenile"), ("YOY", "juvenile"), ("sub-adult", "subadult"), ("ad", "adult")]
    )
    def test_an_age_word_goes_to_the_life_stage(self, word: str, stage: str) -> None:
        verdict = judge_word(word, load_vocabulary("sex"))
        assert (verdict.status, verdict.also["lifeStage"]) == (Status.KEPT, stage)

    def test_sex_and_age_in_one_cell_are_both_read(self) -> None:
        verdict = judge_word("ad. F", load_vocabulary("sex"))
        assert (verdict.value, verdict.also["lifeStage"]) == ("female", "adult")

    @pytest.mark.parametrize("word", ["M/F", "M & F", "M?", "F ?", "male or female?"])
    def test_two_sexes_and_doubt_are_asked(self, word: str) -> None:
        verdict = judge_word(word, load_vocabulary("sex"))
        assert verdict.status in (Status.AMBIGUOUS, Status.UNREADABLE)
        assert RULES[verdict.rule].asks

    def test_unknown_is_kept_in_the_remarks(self) -> None:
        assert judge_word("U", load_vocabulary("sex")).also == {"remark": "sex: U"}


class TestAgeClasses:
    """Handbook of the trade, 2.2: YOY, neonate and hatchling are juveniles, the word stays as age class."""

    @pytest.mark.parametrize(
        ("word", "age_class"), [("YOY", "YOY"), ("neonate", "neonate"), ("Hatchling", "hatchling")]
    )
    def test_an_age_class_is_a_juvenile_and_keeps_its_word(self, word: str, age_class: str) -> None:
        verdict = judge_word(word, load_vocabulary("lifeStage"))
        assert (verdict.value, verdict.also["age_class"]) == ("juvenile", age_class)


class TestWordsWithTwoReadings:
    @pytest.mark.parametrize("typed", ["clear/cloudy", "rain/clear", "partly cloudy, overcast", "calm, windy"])
    def test_a_sky_that_contradicts_itself_is_asked(self, typed: str) -> None:
        assert judge_word(typed, load_vocabulary("sky")).status is Status.AMBIGUOUS

    def test_a_sky_of_two_things_at_once_keeps_both(self) -> None:
        assert judge_word("overcast, drizzle", load_vocabulary("sky")).value == "overcast | drizzle"

    @pytest.mark.parametrize(
        ("term", "word"), [("vitality", "moribund"), ("capture_status", "NM"), ("capture_status", "U")]
    )
    def test_they_are_asked(self, term: str, word: str) -> None:
        """Darwin Core, vitality: a dying animal is alive. NM: no mark, or newly marked; U: unmarked, or unknown."""
        assert judge_word(word, load_vocabulary(term)).status in (Status.AMBIGUOUS, Status.UNREADABLE)


class TestTrapStates:
    """Handbook of the trade, 1.2: words on sheets, and their effort."""

    @pytest.mark.parametrize(
        ("words", "state", "effort"),
        [("closed", "closed", "none"), ("not open", "closed", "none"), ("lid on", "closed", "none"),
         ("plugged", "closed", "none"), ("pulled", "closed", "none"), ("not set", "closed", "none"),
         ("missing", "missing", "none"), ("flooded", "out of order", "half"), ("sprung", "out of order", "half"),
         ("knocked over", "out of order", "half"), ("lid blown off", "out of order", "half"),
         ("ants", "out of order", "half"), ("raccoon", "out of order", "half"), ("cow", "out of order", "half"),
         ("disturbed", "out of order", "half"), ("open", "catching", "full")],
    )  # fmt: skip
    def test_words_on_sheets_have_their_state_and_effort(self, words: str, state: str, effort: str) -> None:
        verdict = judge_word(words, load_vocabulary("trap_state"))
        assert (verdict.value, verdict.also["effort"]) == (state, effort)

    @pytest.mark.parametrize("sign", ["X", "x", "-"])
    def test_a_sign_with_two_habits_is_asked(self, sign: str) -> None:
        assert judge_word(sign, load_vocabulary("trap_state")).status is Status.AMBIGUOUS

    def test_the_surveys_own_word_settles_it(self) -> None:
        verdict = judge_word("X", load_vocabulary("trap_state"), {"x": "closed"})
        assert (verdict.value, verdict.also["effort"]) == ("closed", "none")


class TestFates:
    """Handbook of the trade, 2.5."""

    def test_an_animal_that_dies_in_the_hand_was_alive_when_found(self) -> None:
        verdict = judge_word("died in hand", load_vocabulary("vitality"))
        assert (verdict.value, verdict.also["fate"]) == ("alive", "died in hand")

    def test_dead_on_road_is_dead_and_road_killed(self) -> None:
        verdict = judge_word("DOR", load_vocabulary("vitality"))
        assert (verdict.value, verdict.also["fate"]) == ("dead", "road-killed")

    def test_escaped_is_asked_for_it_decides_whether_data_are_missing(self) -> None:
        verdict = judge_word("esc", load_vocabulary("fate"))
        assert verdict.readings == ("escaped before processing", "escaped with data")


def test_several_values_are_joined_for_a_term_that_takes_several() -> None:
    assert judge_word("gravid; yolk scar", load_vocabulary("reproductiveCondition")).value == "gravid | yolk scar"


def test_values_that_deny_each_other_are_asked() -> None:
    assert judge_word("gravid, not gravid", load_vocabulary("reproductiveCondition")).status is Status.AMBIGUOUS


def test_a_misspelt_word_is_offered_and_not_applied() -> None:
    verdict = judge_word("femlae", load_vocabulary("sex"))
    assert (verdict.status, verdict.value, verdict.readings[0]) == (Status.UNREADABLE, "", "female")
    assert RULES[verdict.rule].asks


def test_a_point_before_a_digit_is_not_folded_away() -> None:
    assert fold_word("1.5") == "1.5"


@settings(max_examples=200, deadline=None)
@given(term=st.sampled_from(WITH_COLUMN), text=st.text(max_size=12))
def test_any_text_is_read_only_as_a_value_of_the_list(term: str, text: str) -> None:
    vocabulary = load_vocabulary(term)
    verdict = judge_word(text, vocabulary)
    assert set(verdict.value.split(" | ")) <= {"", *vocabulary.values}


@settings(max_examples=100, deadline=None)
@given(term=st.sampled_from(WITH_COLUMN), data=st.data())
def test_case_and_spaces_never_change_a_reading(term: str, data: st.DataObject) -> None:
    vocabulary = load_vocabulary(term)
    word = data.draw(st.sampled_from(sorted(vocabulary.entries)))
    plain, typed = judge_word(word, vocabulary), judge_word(f"  {word.upper()} ", vocabulary)
    assert (plain.value, plain.readings, dict(plain.also).get("lifeStage")) == (
        typed.value,
        typed.readings,
        dict(typed.also).get("lifeStage"),
    )
