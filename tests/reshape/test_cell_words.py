"""Cells of grids and of columns of captures: signs, states of traps, animals."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.reshape.cell_words import Animal, animals_in, cell_meaning, parts_of, states_in
from dwc_pipeline.settings import Habits


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("0", "checked"),
        ("none", "checked"),
        ("No captures", "checked"),
        ("closed", "closed"),
        ("not set", "closed"),
        ("lids on", "closed"),
        ("opened", "opened"),
        ("flooded", "state"),
        ("F3 flooded 02:00", "state"),
        ("2 HEPL", "animals"),
        ("2", "animals"),
        ("missing", "state"),
    ],
)
def test_words_with_one_meaning_are_read(text, meaning):
    assert cell_meaning(text, Habits()) == meaning


@pytest.mark.parametrize("text", ["", " ", "-", "–", "X", "x", "C", "O", "✓", ".", "?", "NA"])
def test_signs_that_sheets_use_in_two_ways_are_asked(text):
    assert cell_meaning(text, Habits()) == "ask"


@pytest.mark.parametrize(
    ("habits", "text", "meaning"),
    [
        (Habits(dash="closed"), "–", "closed"),
        (Habits(dash="no animals"), "-", "checked"),
        (Habits(blank="not checked"), "", "nothing"),
        (Habits(blank="no animals"), " ", "checked"),
        (Habits(zero="blank"), "0", "nothing"),
        (Habits(not_available="no animals"), "NA", "checked"),
        (Habits(not_available="code"), "NA", "animals"),
    ],
)
def test_the_habits_of_the_sheet_decide(habits, text, meaning):
    assert cell_meaning(text, habits) == meaning


@pytest.mark.parametrize(
    ("text", "animals"),
    [
        ("2 HEPL", [("HEPL", "2")]),
        ("2HEPL", [("HEPL", "2")]),
        ("3x SCCO", [("SCCO", "3")]),
        ("SCCO x3", [("SCCO", "3")]),
        ("SCCO (3)", [("SCCO", "3")]),
        ("SCCO, 3 ANCO", [("SCCO", ""), ("ANCO", "3")]),
        ("2 SCCO\n1 THRA", [("SCCO", "2"), ("THRA", "1")]),
        ("2 HEPL (1 M, 1 F)", [("HEPL", "2 (1 M, 1 F)")]),
        ("3+ SPBO", [("SPBO", "3+")]),
        ("~20 SPBO", [("SPBO", "~20")]),
        ("12", [("", "12")]),
        ("2 M, 1 F", [("", "2 M, 1 F")]),
        ("texanum/barbouri", [("texanum/barbouri", "")]),
        ("black and white snake", [("black and white snake", "")]),
        ("THRA #12", [("THRA #12", "")]),
        ("2 HEPL; F2 closed", [("HEPL", "2")]),
    ],
)
def test_animals_of_a_cell_are_told_apart(text, animals):
    assert animals_in(text) == [Animal(*one) for one in animals]


def test_what_a_cell_says_of_traps_goes_to_the_log():
    assert states_in("2 HEPL; F2 closed, P1 flooded") == "F2 closed; P1 flooded"


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 40), st.sampled_from(["HEPL", "SCCO", "THRA"])), min_size=1, max_size=5))
def test_counts_written_into_a_cell_come_back(pairs):
    for text in (", ".join(f"{n} {code}" for n, code in pairs), "; ".join(f"{code} x{n}" for n, code in pairs)):
        assert animals_in(text) == [Animal(code, str(n)) for n, code in pairs]


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet="ABx1 2,;()+&-\n", max_size=25))
def test_no_letter_or_digit_of_a_cell_is_lost(text):
    letters = "".join(character for character in text if character.isalnum())
    assert "".join(c for part in parts_of(text) for c in part if c.isalnum()) == letters
