"""Detected or not: kept as `true` and `false` inside, and turned into the words of a target only here.

Darwin Core recommends `detected` and `notDetected` for occurrenceStatus since 2026-05-26; several registries
and the draft data-quality tests still read `present` and `absent`, and a reader that does not know a word may
take it for a presence. So the target's words are named, and a row that does not say is refused.

Source: Darwin Core list of terms 2026-05-26, comment of occurrenceStatus.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from dwc_pipeline.errors import OutputRefused

#: column of the occurrence table: text "true" or "false"
DETECTED = "detected"


@dataclass(frozen=True)
class DetectionWords:
    """The two words that a target reads in occurrenceStatus."""

    detected: str
    not_detected: str


PRESENT_ABSENT = DetectionWords("present", "absent")
DETECTED_NOT_DETECTED = DetectionWords("detected", "notDetected")
#: the word sets by the name that the survey file gives them
WORD_SETS = {"present and absent": PRESENT_ABSENT, "detected and notDetected": DETECTED_NOT_DETECTED}
_READ = {
    word.casefold(): value
    for words in WORD_SETS.values()
    for word, value in ((words.detected, "true"), (words.not_detected, "false"))
}


def occurrence_status(occurrence: pd.DataFrame, words: DetectionWords) -> pd.Series:
    """The words of the target for each row of an occurrence table.

    occurrence: columns `detected`, text "true" or "false", and `occurrenceID`; `individualCount` and
    `organismQuantity` where there are such.
    Raises OutputRefused, with the rows, if a row does not say, or says detected beside a count of zero: no
    target may take an empty check for a detection.
    """
    stated = occurrence[DETECTED] if DETECTED in occurrence else pd.Series("", index=occurrence.index, dtype=object)
    _refuse(occurrence, ~stated.isin(["true", "false"]), "do not say whether the taxon was detected")
    for column in ("individualCount", "organismQuantity"):
        if column in occurrence:
            zero = pd.to_numeric(occurrence[column].where(occurrence[column] != ""), errors="coerce") == 0
            _refuse(occurrence, zero & (stated == "true"), f"say detected although {column} is 0")
    return stated.map({"true": words.detected, "false": words.not_detected}).astype(object)


def read_status(word: str) -> str:
    """ "true", "false", or "" for a word of neither set.

    >>> read_status("notDetected"), read_status("Present"), read_status("doubtful")
    ('false', 'true', '')
    """
    return _READ.get(word.strip().casefold(), "")


def _refuse(occurrence: pd.DataFrame, wrong: pd.Series, what: str) -> None:
    if wrong.any():
        names = ", ".join(occurrence.loc[wrong, "occurrenceID"].astype(str).head(5))
        raise OutputRefused(
            f"{int(wrong.sum())} occurrence rows {what} ({names}). Nothing was written: a reader could take them for "
            f"detections. Correct the rows, or answer the open questions about them."
        )
