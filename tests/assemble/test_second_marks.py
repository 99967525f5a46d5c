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
