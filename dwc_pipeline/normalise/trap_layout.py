"""The labels of an array's traps, from the list of the site list or from the numbers of each trap type."""

from __future__ import annotations

import re

import pandas as pd

from dwc_pipeline.core.columns import first_filled, number_column, text_column


def trap_layout(place: pd.DataFrame) -> pd.Series:
    """Labels of the traps of each place, "|" between; from the list, or counted from the numbers of each type."""
    listed = text_column(place, "traps").map(
        {text: expand_labels(text) for text in text_column(place, "traps").unique()}
    )
    counted = pd.Series("", index=place.index, dtype=object)
    for column, letter in (("box_traps", "B"), ("funnel_traps", "F"), ("pitfall_traps", "P")):
        count = number_column(place, column).fillna(0).astype(int)
        labels = count.map({n: "|".join(f"{letter}{i}" for i in range(1, n + 1)) for n in count.unique()})
        both = (counted != "") & (labels != "")
        counted = counted + both.map({True: "|", False: ""}) + labels
    return first_filled(listed, counted)


def expand_labels(text: str) -> str:
    """Every label of a list with ranges.

    >>> expand_labels("B1, F1-F3, P1 to 2")
    'B1|F1|F2|F3|P1|P2'
    """
    labels: list[str] = []
    for part in re.split(r"[,;&]|\band\b", text):
        word = part.strip().upper().replace(" ", "")
        span = re.fullmatch(r"([A-Z]+)(\d+)(?:[-–—]|TO|THRU)([A-Z]*)(\d+)", word)
        if span and (not span[3] or span[3] == span[1]):
            labels.extend(f"{span[1]}{number}" for number in range(int(span[2]), int(span[4]) + 1))
        elif word:
            labels.append(word)
    return "|".join(dict.fromkeys(labels))
