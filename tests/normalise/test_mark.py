"""Marks: clips, tags and what spreadsheets make of them."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.clip_code import FEET
from dwc_pipeline.normalise.mark import judge_mark, mark_habits
from dwc_pipeline.normalise.mark_context import MarkContext

PIT, TOES, SCALES = MarkContext("PIT tag"), MarkContext("toe clip"), MarkContext("scale clip")


class TestToeClips:
    """Handbook of the trade, 2.3: clip sets are unordered."""

    @pytest.mark.parametrize(
        "typed",
        ["LF2-RH4", "RH4-LF2", "lf2 rh4", "LF2RH4", "LF 2, RH 4", "LF2/RH4", "LF2 / RH4", "LF2 & RH4", "toe RH4 LF2"],
    )
    def test_one_set_of_clips_is_one_mark(self, typed: str) -> None:
        verdict = judge_mark(typed, "", TOES)
        assert (verdict.value, verdict.also["mark_type"]) == ("LF2-RH4", "toe clip")

    @given(st.lists(st.tuples(st.sampled_from(sorted(FEET)), st.integers(1, 5)), min_size=1, max_size=5, unique=True))
    def test_any_order_of_any_set_is_the_same_mark(self, clips: list[tuple[str, int]]) -> None:
        marks = {
            judge_mark("-".join(f"{foot}{toe}" for foot, toe in order), "", TOES).value
            for order in itertools.islice(itertools.permutations(clips), 24)
        }
        assert len(marks) == 1
        assert sorted(marks.pop().split("-")) == sorted(f"{foot}{toe}" for foot, toe in clips)

    @pytest.mark.parametrize(("typed", "value"), [("9-4-2", "2-4-9"), ("2,4,9", "2-4-9"), ("1,20,400", "1-20-400")])
    def test_codes_of_toe_numbers_are_written_in_rising_order(self, typed: str, value: str) -> None:
        assert judge_mark(typed, "", TOES).value == value

    @pytest.mark.parametrize("typed", ["2-4-1-3", "0-2-4-1", "1-1-3-2"])
    def test_a_code_of_one_number_a_foot_keeps_its_order(self, typed: str) -> None:
        assert judge_mark(typed, "", TOES).value == typed

    @pytest.mark.parametrize("typed", ["RF6", "RF0", "LF2-LF2"])
    def test_a_toe_that_does_not_exist_cannot_be_clipped(self, typed: str) -> None:
        assert judge_mark(typed, "", TOES).rule == "clip-impossible"

    @pytest.mark.parametrize("typed", ["1,204", "2.4"])
    def test_two_numbers_or_one_is_asked(self, typed: str) -> None:
        assert judge_mark(typed, "", TOES).status is Status.AMBIGUOUS


class TestDatesInAMarkColumn:
    """Handbook of the trade, 2.3 and rule 52: 2-4-9 becomes 4 Feb 2009 or 2 Apr 2009, 3-1 becomes 1 Mar or 3 Jan."""

    @pytest.mark.parametrize(
        ("shown", "stored", "candidate"),
        [("2/4/2009", "2009-02-04", "2-4-9"), ("4-Feb-09", "2009-02-04", "2-4-9"), ("2/4/09", "2009-04-02", "2-4-9"),
         ("1-Mar", "2026-03-01", "3-1"), ("3-Jan", "2026-01-03", "3-1"), ("Feb-04", "2004-02-01", "2-4")],
    )  # fmt: skip
    def test_the_code_is_offered_and_never_restored(self, shown: str, stored: str, candidate: str) -> None:
        for context in (TOES, PIT, MarkContext()):
            verdict = judge_mark(shown, stored, context)
            assert (verdict.status, verdict.value, verdict.rule) == (Status.UNREADABLE, "", "mark-is-a-date")
            assert candidate in verdict.readings

    @pytest.mark.parametrize(
        "text", ["4-Feb", "Feb-04", "1-Mar", "4-Feb-2009", "2/4/2009", "2009-02-04", "2-4-09", "02/04/09"]
    )
    def test_text_that_looks_like_a_date_is_no_mark_either(self, text: str) -> None:
        assert judge_mark(text, "", TOES).rule == "mark-is-a-date"


class TestScaleClips:
    """Handbook of the trade, 2.3: scale numbers from the vent, sides L and R."""

    @pytest.mark.parametrize("typed", ["L3 R12", "R12 L3", "l3r12", "L3,R12", "L3-R12", "3L 12R"])
    def test_one_set_of_scales_is_one_mark(self, typed: str) -> None:
        assert judge_mark(typed, "", SCALES).value == "L3 R12"

    def test_a_side_may_have_several_scales(self) -> None:
        assert judge_mark("L3,5 R12", "", SCALES).value == "L3 L5 R12"


class TestTags:
    @pytest.mark.parametrize(
        ("typed", "reading"), [("98514100O123456", "985141000123456"), ("0985141000123456", "985141000123456")]
    )
    def test_a_likely_repair_is_offered_only(self, typed: str, reading: str) -> None:
        verdict = judge_mark(typed, "", PIT)
        assert (verdict.status, verdict.value, verdict.readings) == (Status.UNREADABLE, "", (reading,))

    @pytest.mark.parametrize("typed", ["98514100012345", "9851410001234567", "G12345678A", "98514?000123456"])
    def test_a_tag_of_wrong_length_or_letters_is_asked(self, typed: str) -> None:
        verdict = judge_mark(typed, "", PIT)
        assert verdict.status is Status.UNREADABLE
        assert RULES[verdict.rule].asks

    @pytest.mark.parametrize("typed", ["123456789", "1BF1A2B3C4", "4E12345678"])
    def test_older_tags_are_kept(self, typed: str) -> None:
        assert judge_mark(typed, "", PIT).status is Status.KEPT

    @pytest.mark.parametrize("typed", ["0D5237", "0E2000", "B267EB", "604"])
    def test_a_short_code_is_kept_as_typed_and_flagged(self, typed: str) -> None:
        verdict = judge_mark(typed, "", PIT)
        assert (verdict.value, verdict.flags[0].rule) == (typed, "tag-length-unusual")

    def test_eaten_leading_zeros_are_offered_where_the_column_settles_the_length(self) -> None:
        verdict = judge_mark("12345678", "", MarkContext("PIT tag", lengths=frozenset({9})))
        assert (verdict.rule, verdict.readings) == ("mark-leading-zeros-lost", ("012345678",))

    @pytest.mark.parametrize(("typed", "known"), [("B267EB", "B267E8"), ("A1O", "A10"), ("S12", "512"), ("Z7", "27")])
    def test_a_look_alike_of_a_known_mark_is_flagged_and_not_joined(self, typed: str, known: str) -> None:
        verdict = judge_mark(typed, "", MarkContext(known=frozenset({known})))
        assert verdict.value == typed
        assert ("mark-looks-like-another", (known,)) in {(flag.rule, flag.readings) for flag in verdict.flags}

    def test_a_mark_without_look_alikes_is_not_flagged(self) -> None:
        assert judge_mark("A10", "", MarkContext(known=frozenset({"A10", "A11"}))).flags == ()

    def test_a_column_settles_its_length_and_its_look_alikes(self) -> None:
        column = [f"{number:04d}" for number in range(1, 40)] + ["123", "A10", "AI0"]
        context = mark_habits(column)
        assert judge_mark("123", "", context).readings == ("0123",)
        assert judge_mark("A10", "", context).flags[0].readings == ("AI0",)

    def test_a_few_codes_with_leading_zeros_tell_that_a_column_pads_its_numbers(self) -> None:
        context = mark_habits(["0012", "0047", "0103", "1104", "112", "12"])
        assert judge_mark("112", "", context).readings == ("0112",)
        assert judge_mark("413", "", mark_habits(["0413", "0124", "0021", "413"], "toe clip")).readings == ("0413",)

    def test_marks_that_differ_by_leading_zeros_are_flagged(self) -> None:
        assert judge_mark("W02", "", mark_habits(["W2", "W02"])).flags[0].readings == ("W2",)

    def test_a_column_of_numbers_from_1_on_settles_no_length(self) -> None:
        context = mark_habits([str(number) for number in range(1, 1200)])
        assert judge_mark("7", "", context).value == "7"
        assert judge_mark("99", "", mark_habits([str(number) for number in range(99, 1000)])).value == "99"


@pytest.mark.parametrize("sign", ["x", "X", "0", "yes", "✓", "+"])
def test_a_tick_is_no_mark_for_it_would_join_all_animals(sign: str) -> None:
    assert judge_mark(sign).status is Status.UNREADABLE


@pytest.mark.parametrize(
    ("word", "status"), [("none", "unmarked"), ("no tag", "unmarked"), ("recap", "recapture"), ("new", "new")]
)
def test_a_word_goes_to_the_capture_status(word: str, status: str) -> None:
    verdict = judge_mark(word, "", PIT)
    assert (verdict.value, verdict.also["capture_status"]) == ("", status)


def test_a_recapture_word_beside_the_code_is_taken_off() -> None:
    verdict = judge_mark("recap 985141000123456", "", PIT)
    assert (verdict.value, verdict.also["capture_status"]) == ("985141000123456", "recapture")


def test_two_tags_in_one_cell_may_be_two_animals() -> None:
    verdict = judge_mark("985141000123456 & 985141000123457", "", PIT)
    assert (verdict.status, verdict.rule) == (Status.AMBIGUOUS, "mark-has-two-readings")
    assert "985141000123457" in verdict.readings


def test_a_full_stop_behind_a_tag_is_no_part_of_it() -> None:
    assert judge_mark("985141000123456.", "", PIT).value == "985141000123456"


@pytest.mark.parametrize("typed", ["red", "1 6", "12 13"])
def test_a_colour_alone_or_two_numbers_are_no_mark(typed: str) -> None:
    assert judge_mark(typed).status is Status.UNREADABLE


def test_numbers_over_the_twenty_toes_keep_their_order_and_are_compared() -> None:
    context = mark_habits(["100-20", "20-100"], "toe clip")
    verdict = judge_mark("100-20", "", context)
    assert (verdict.value, verdict.flags[0].readings) == ("100-20", ("20-100",))


def test_two_marks_in_one_cell_are_both_kept() -> None:
    verdict = judge_mark("985141000123456; LF2-RH4", "", PIT)
    assert (verdict.value, verdict.also["mark_type"]) == ("985141000123456 | LF2-RH4", "PIT tag | toe clip")


def test_toes_by_their_numbers_are_no_tag_in_a_column_of_both() -> None:
    verdict = judge_mark("19-15-5", "", MarkContext("PIT tag", names_clips=True))
    assert (verdict.value, verdict.flags) == ("19-15-5", ())
    assert judge_mark("0098765", "", MarkContext("PIT tag", names_clips=True)).flags[0].rule == "tag-length-unusual"


def test_a_doubtful_mark_is_flagged() -> None:
    assert judge_mark("LF2?", "", TOES).flags[0].rule == "mark-doubtful"


@settings(max_examples=300, deadline=None)
@given(
    text=st.text(alphabet="0123456789ABCDEFLRH.-,/ E+?O", max_size=17),
    context=st.sampled_from([PIT, TOES, SCALES, MarkContext()]),
)
def test_a_mark_that_was_read_is_read_again_as_itself(text: str, context: MarkContext) -> None:
    value = judge_mark(text, "", context).value
    if value:
        assert judge_mark(value, "", context).value == value


@pytest.mark.parametrize(
    ("word", "kind"),
    [("PIT", "PIT tag"), ("pit-tagged", "PIT tag"), ("Toe clip", "toe clip"), ("tag", "other"), ("Marked", "other")],
)
def test_a_kind_of_mark_is_no_mark(word: str, kind: str) -> None:
    """Read as a mark it would join all animals of the kind. Common practice, no source."""
    for context in (MarkContext(), MarkContext("PIT tag"), MarkContext("toe clip")):
        verdict = judge_mark(word, "", context)
        assert verdict.value == ""
        assert verdict.also["mark_type"] == kind


class TestWhatTheColumnSays:
    """One animal under two spellings is two animals in every count. Common practice, no source."""

    def test_toes_run_together_are_asked_where_the_column_writes_them_apart(self) -> None:
        context = mark_habits(["1,3,5", "1-2", "135", "204"], "toe clip")
        asked = judge_mark("135", "", context)
        assert (asked.status, asked.readings) == (Status.AMBIGUOUS, ("1-3-5", "135"))
        assert judge_mark("204", "", context).value == "204"

    def test_numbers_alone_stay_numbers(self) -> None:
        assert judge_mark("135", "", mark_habits(["134", "135", "136"], "toe clip")).value == "135"

    def test_a_whole_number_written_out_is_that_number(self) -> None:
        assert judge_mark("12.0", "", mark_habits(["12.0", "13.0"])).value == "12"

    def test_beside_codes_with_a_point_it_is_asked(self) -> None:
        asked = judge_mark("12.0", "", mark_habits(["12.0", "12.1", "13.2"]))
        assert (asked.status, asked.readings) == (Status.AMBIGUOUS, ("12", "12.0"))

    @pytest.mark.parametrize(("one", "other"), [("KM 012", "KM012"), ("KM-012", "KM012")])
    def test_a_space_or_hyphen_between_prefix_and_number_is_told_as_a_look_alike(self, one: str, other: str) -> None:
        verdict = judge_mark(one, "", mark_habits([one, other]))
        assert [flag.rule for flag in verdict.flags] == ["mark-looks-like-another"]
