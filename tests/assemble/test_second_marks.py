"""Animals with two marks: which of them they are known by. Common practice, no source."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.organisms import marks_of


def marks(*rows: tuple[str, str, str]) -> list[str]:
    frame = pd.DataFrame(rows, columns=["scientificName", "mark", "second_mark"])
    return marks_of(frame[["scientificName"]], frame[["mark", "second_mark"]]).tolist()


def test_an_animal_is_known_by_its_first_mark_where_only_the_second_was_read() -> None:
    assert marks(("Coluber", "T1", "2-4"), ("Coluber", "", "2-4"), ("Coluber", "", "1-3")) == ["T1", "T1", "1-3"]


def test_a_second_mark_of_two_animals_settles_nothing() -> None:
    assert marks(("Coluber", "T1", "2-4"), ("Coluber", "T2", "2-4"), ("Coluber", "", "2-4"))[2] == "2-4"


def test_a_clip_of_another_species_is_another_animal() -> None:
    assert marks(("Coluber", "T1", "2-4"), ("Uta", "", "2-4")) == ["T1", "2-4"]


def test_without_a_column_of_second_marks_nothing_changes() -> None:
    frame = pd.DataFrame({"scientificName": ["Uta"], "mark": ["7"]})
    assert marks_of(frame[["scientificName"]], frame[["mark"]]).tolist() == ["7"]


def test_a_pair_of_marks_is_one_animal_in_whichever_column_a_mark_stands() -> None:
    told = marks(("Coluber", "T1", "2-4"), ("Coluber", "2-4", ""), ("Coluber", "2-4", "T1"), ("Uta", "2-4", ""))
    assert told == ["T1", "T1", "T1", "2-4"]


def test_marks_that_went_with_several_others_are_joined_by_nothing() -> None:
    rows = (("Coluber", "T1", "2-4"), ("Coluber", "T2", "1-3"), ("Coluber", "T1", "1-3"), ("Coluber", "1-3", ""))
    assert marks(*rows) == ["T1", "T2", "T1", "1-3"]


def test_two_marks_in_one_cell_are_two_marks_of_one_animal_and_stay_whole_on_a_row_of_several() -> None:
    frame = pd.DataFrame(
        {
            "scientificName": "Coluber",
            "mark": ["T1 | 2-4", "2-4", "T1", "T8 | T9"],
            "individualCount": ["1", "1", "", "2"],
        }
    )
    assert marks_of(frame[["scientificName"]], frame).tolist() == ["T1", "T1", "T1", "T8 | T9"]
