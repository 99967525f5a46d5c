"""Detected and not detected, in the words of a target."""

from __future__ import annotations

import pandas as pd
import pytest

from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.terms.detection import DETECTED_NOT_DETECTED, PRESENT_ABSENT, occurrence_status, read_status


def test_each_target_gets_its_own_words() -> None:
    rows = pd.DataFrame({"occurrenceID": ["a", "b"], "detected": ["true", "false"]}, dtype=object)
    assert list(occurrence_status(rows, PRESENT_ABSENT)) == ["present", "absent"]
    assert list(occurrence_status(rows, DETECTED_NOT_DETECTED)) == ["detected", "notDetected"]


@pytest.mark.parametrize("words", [PRESENT_ABSENT, DETECTED_NOT_DETECTED])
def test_the_words_of_a_target_are_read_back_as_what_they_were(words: object) -> None:
    for stated in ("true", "false"):
        rows = pd.DataFrame({"occurrenceID": ["a"], "detected": [stated]}, dtype=object)
        assert read_status(occurrence_status(rows, words).iloc[0]) == stated  # type: ignore[arg-type]


@pytest.mark.parametrize("word", ["", "doubtful", "0", "not present", "presente", "undetected"])
def test_a_word_of_neither_list_is_not_read_as_a_detection(word: str) -> None:
    assert read_status(word) == ""


def test_a_refusal_names_the_rows() -> None:
    rows = pd.DataFrame({"occurrenceID": ["a", "b"], "detected": ["true", ""]}, dtype=object)
    with pytest.raises(OutputRefused, match=r"1 occurrence rows do not say .* \(b\)"):
        occurrence_status(rows, PRESENT_ABSENT)
