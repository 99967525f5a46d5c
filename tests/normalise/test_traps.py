"""Traps named on sheets, and what is said of them."""

from __future__ import annotations

import json

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.core.verdict import Status
from dwc_pipeline.normalise.trap_label import TrapList, judge_trap
from dwc_pipeline.normalise.trap_layout import expand_labels, traps_of_no_list, unread_trap_lists
from dwc_pipeline.normalise.trap_state import judge_trap_state

#: the array of the handbook's worked hierarchy, 1.6: box B1, funnels F1-F8, pits P1-P3
ARRAY = TrapList(("B1", *(f"F{number}" for number in range(1, 9)), "P1", "P2", "P3"))
LONG = TrapList(tuple(f"F{number}" for number in range(1, 15)))
NUMBERED = TrapList(tuple(str(number) for number in range(1, 13)))


class TestLabels:
    @pytest.mark.parametrize(
        ("typed", "label"),
        [("F3", "F3"), ("f-3", "F3"), ("Funnel 3", "F3"), ("F03", "F3"), ("F 3", "F3"), ("F#3", "F3"),
         ("pit 2", "P2"),
         ("Pit #2", "P2"), ("bucket 2", "P2"), ("B", "B1"), ("box", "B1"), ("trap F3", "F3"), ("8", "F8")],
    )  # fmt: skip
    def test_one_trap_in_any_usual_spelling(self, typed: str, label: str) -> None:
        assert judge_trap(typed, ARRAY).value == label

    @pytest.mark.parametrize(
        ("typed", "labels"),
        [("P1, P2", "P1|P2"), ("P1 & P2", "P1|P2"), ("P1,2", "P1|P2"), ("F1-F4", "F1|F2|F3|F4"),
         ("F1-4", "F1|F2|F3|F4"), ("F1 to F4", "F1|F2|F3|F4"), ("F1-F3, P2", "F1|F2|F3|P2"), ("pits", "P1|P2|P3"),
         ("all pits except P3", "P1|P2")],
    )  # fmt: skip
    def test_several_traps_are_written_out(self, typed: str, labels: str) -> None:
        verdict = judge_trap(typed, ARRAY)
        assert (verdict.also["labels"], verdict.value) == (labels, labels.replace("|", " | "))

    @pytest.mark.parametrize(
        "typed", ["F9", "B2", "G1", "F1-F9", "F4-F1", "F1-P3", "F33", "FI", "P3?", "F0", "outside"]
    )
    def test_a_trap_that_the_array_has_not_is_asked(self, typed: str) -> None:
        """Handbook of the trade, rules 7 and 8."""
        verdict = judge_trap(typed, ARRAY)
        assert (verdict.status, verdict.rule) == (Status.UNREADABLE, "trap-not-in-place-list")
        assert RULES[verdict.rule].asks

    @pytest.mark.parametrize(("typed", "readings"), [("3", ("F3", "P3")), ("P", ("P1", "P2", "P3"))])
    def test_a_label_that_fits_several_traps_is_asked(self, typed: str, readings: tuple[str, ...]) -> None:
        verdict = judge_trap(typed, ARRAY)
        assert (verdict.status, verdict.readings) == (Status.AMBIGUOUS, readings)

    def test_a_range_is_never_taken_for_a_two_digit_label(self) -> None:
        assert judge_trap("F1-3", LONG).also["labels"] == "F1|F2|F3"
        assert judge_trap("F1 3", LONG).status is Status.UNREADABLE

    def test_bare_numbers_are_labels_where_the_array_numbers_its_traps(self) -> None:
        assert judge_trap("03", NUMBERED).value == "3"
        assert judge_trap("1, 2", NUMBERED).also["labels"] == "1|2"

    def test_types_of_the_place_list_go_before_letters(self) -> None:
        array = TrapList(("1", "2", "3"), {"1": "funnel trap", "2": "pitfall trap", "3": "funnel trap"})
        assert judge_trap("pit", array).value == "2"
        assert judge_trap("funnels", array).also["labels"] == "1|3"

    def test_without_a_list_the_label_stays_as_typed(self) -> None:
        assert judge_trap("F3", TrapList(())).value == "F3"

    @pytest.mark.parametrize("typed", ["", "-", "NA"])
    def test_no_trap_is_empty(self, typed: str) -> None:
        assert judge_trap(typed, ARRAY).status is Status.EMPTY

    @settings(max_examples=200, deadline=None)
    @given(st.text(alphabet="BFPfp0123456789-,& alunitos", max_size=10))
    def test_every_label_written_is_a_trap_of_the_array(self, typed: str) -> None:
        labels = judge_trap(typed, ARRAY).also.get("labels", "")
        assert set(labels.split("|")) <= {"", *ARRAY.labels}


def states_of(typed: str, header_state: str = "") -> list[tuple[str, str, str, str]]:
    verdict = judge_trap_state(typed, ARRAY, header_state=header_state)
    return [
        ("|".join(one["labels"]), one["state"], one["effort"], one["time"])
        for one in json.loads(verdict.also.get("states", "[]"))
    ]


class TestStates:
    """Handbook of the trade, 1.2."""

    @pytest.mark.parametrize(
        ("typed", "states"),
        [
            ("P3 flooded; F2 closed", [("P3", "out of order", "half", ""), ("F2", "closed", "none", "")]),
            ("P3 flooded, F2 closed", [("P3", "out of order", "half", ""), ("F2", "closed", "none", "")]),
            ("P1, P2 flooded", [("P1|P2", "out of order", "half", "")]),
            ("F1-F3 flooded 02:00", [("F1|F2|F3", "out of order", "half", "02:00")]),
            ("P2 1 in water", [("P2", "catching", "full", "")]),
            ("flooded 02:00 storm", [("", "out of order", "half", "02:00")]),
            ("flooded at 2 am", [("", "out of order", "half", "02:00")]),
            ("P3: flooded", [("P3", "out of order", "half", "")]),
            ("closed F2, flooded P3", [("F2", "closed", "none", ""), ("P3", "out of order", "half", "")]),
            ("flooded: P1, P2", [("P1|P2", "out of order", "half", "")]),
            ("P3 missing", [("P3", "missing", "none", "")]),
            ("F2 closed at 22:00", [("F2", "closed", "none", "22:00")]),
            ("F2 closed all session", [("F2", "closed", "none", "")]),
            ("P1 flooded all night", [("P1", "out of order", "none", "")]),
            ("pits flooded", [("P1|P2|P3", "out of order", "half", "")]),
            ("not checked", [("", "not checked", "unknown", "")]),
        ],
    )
    def test_phrases_are_read(self, typed: str, states: list[tuple[str, str, str, str]]) -> None:
        assert states_of(typed) == states

    def test_all_closed_is_every_trap(self) -> None:
        assert states_of("all closed") == [("|".join(ARRAY.labels), "closed", "none", "")]

    def test_the_time_of_finding_is_not_the_time_of_flooding(self) -> None:
        assert states_of("P3 found flooded 07:40") == [("P3", "out of order", "half", "")]

    def test_traps_without_words_take_the_state_of_their_header(self) -> None:
        assert states_of("F2, P3", header_state="closed") == [("F2|P3", "closed", "none", "")]
        assert judge_trap_state("F2, P3", ARRAY).status is Status.UNREADABLE

    @pytest.mark.parametrize(
        "typed",
        ["not flooded", "P3 not flooded", "P1 closed until 14:00", "lid off", "closed?", "12 in water",
         "closed 16 May", "P3 flodded", "F9 closed", "X", "-", "removed", "10 of 12 open",
         "P3 flooded; storm", "P3 flooded; closed",
         "P2 flooded, P2 closed", "closed F2, F3, P1 flooded", "pit flooded", "half open", "raccoon got F1", "F2",
         "B1 closed 22:00 raccoon", "none closed", "2 funnels closed", "flooded 02:00 and 04:00", "storm"],
    )  # fmt: skip
    def test_what_is_not_certain_is_asked_for_the_whole_cell(self, typed: str) -> None:
        verdict = judge_trap_state(typed, ARRAY)
        assert verdict.status in (Status.AMBIGUOUS, Status.UNREADABLE)
        told = json.loads(verdict.also.get("states", "[]"))
        assert all((one["state"], one["effort"]) == ("", "unknown") for one in told)
        assert RULES[verdict.rule].asks

    def test_a_state_of_the_row_is_the_value(self) -> None:
        assert judge_trap_state("flooded", ARRAY).value == "out of order"
        assert judge_trap_state("P3 flooded", ARRAY).value == ""

    def test_the_surveys_own_word_is_used(self) -> None:
        verdict = judge_trap_state("P3 X", ARRAY, {"x": "closed"})
        assert json.loads(verdict.also["states"])[0]["state"] == "closed"

    @settings(max_examples=200, deadline=None)
    @given(
        st.lists(
            st.tuples(st.sampled_from(ARRAY.labels), st.sampled_from(["closed", "flooded", "missing", "open"])),
            min_size=1,
            max_size=4,
            unique_by=lambda pair: pair[0],
        ),
        st.sampled_from(["; ", ", ", " and "]),
    )
    def test_any_list_of_traps_and_states_reads_back(self, pairs: list[tuple[str, str]], between: str) -> None:
        known = {"closed": "closed", "flooded": "out of order", "missing": "missing", "open": "catching"}
        read = states_of(between.join(f"{label} {words}" for label, words in pairs))
        assert [(label, state) for label, state, _, _ in read] == [(label, known[words]) for label, words in pairs]


class TestListOfTraps:
    """The list of an array's traps: read as fewer traps than there are, it would make effort too low unseen."""

    @pytest.mark.parametrize(
        "typed",
        ["B1, F1-F8, P1-P3", "B1 F1-F8 P1-P3", "b1; f1-8; p1-3", "1 box, 8 funnels, 3 pits", "1 box 8 funnel 3 pit",
         "B1 and F1 to F8 and P1 - P3", "B1, F1-F8, P1, 2, 3", "B1/F1-F8/P1-P3"],
    )  # fmt: skip
    def test_twelve_traps_in_any_usual_form(self, typed: str) -> None:
        assert expand_labels(typed).split("|") == list(ARRAY.labels)

    @pytest.mark.parametrize(
        "typed", ["F1..F8", "F1-F8 (2 missing)", "12", "F1-8; 1 box", "as usual", "box, funnels", "4F 2P 1B"]
    )
    def test_a_list_that_is_not_understood_is_told_and_gives_no_trap(self, typed: str) -> None:
        assert expand_labels(typed) == ""
        found = unread_trap_lists(pd.DataFrame({"traps": [typed]}, dtype=object))
        assert found["rule"].tolist() == ["trap-list-not-readable"]

    @pytest.mark.parametrize("typed", ["", "none", "-", "NA"])
    def test_a_place_without_traps_is_no_fault(self, typed: str) -> None:
        assert unread_trap_lists(pd.DataFrame({"traps": [typed]}, dtype=object)).empty

    def test_an_array_without_a_list_is_told_once(self) -> None:
        rows = pd.DataFrame({"place": ["A1", "A1", "A2", "A3"], "trap": ["F1", "F2", "P1", ""]}, dtype=object)
        assert traps_of_no_list("capture", rows, {"A2"})["value"].tolist() == ["F1"]


def test_numbers_behind_a_label_are_traps_only_where_they_can_count_nothing_else() -> None:
    def labels(typed: str) -> list[list[str]]:
        return [state["labels"] for state in json.loads(judge_trap_state(typed, ARRAY).also.get("states", "[]"))]

    assert labels("F1,2,3 closed") == [["F1", "F2", "F3"]]
    assert ["P1", "P2"] not in labels("P1,2 in water")
