"""The traps of each place, where its list has one row a trap or several rows that say the same."""

from __future__ import annotations

import re
from collections.abc import Iterable

import pandas as pd

SEPARATOR = "|"


def fold_label(text: str) -> str:
    """A label without capitals, spaces, hyphens and leading zeros; two numbers stay apart.

    >>> fold_label("f-03"), fold_label("P 1"), fold_label("F10"), fold_label("F1-3")
    ('f3', 'p1', 'f10', 'f1-3')
    """
    joined = re.sub(r"(?<=\d)[\s_.#:-]+(?=\d)", "-", text.casefold())
    return re.sub(r"(?<!\d)0+(?=\d)", "", re.sub(r"(?<!\d)[\s_.#:-]+|[\s_.#:-]+(?!\d)", "", joined))


def add_up(layouts: Iterable[str]) -> bool:
    """Whether the lists of one place name different traps, so that together they are its traps.

    Lists that share a trap say twice what one list should say. So may "1|2" and "F1|F2": where one names traps by
    number alone and another by letters, nobody can tell.

    >>> add_up(["F1", "F2"]), add_up(["F1", "F1"]), add_up(["F1|F2", "f-2|P1"]), add_up(["F1|F2", "1|2"])
    (True, True, False, False)
    """
    lists = {frozenset(map(fold_label, text.split(SEPARATOR))) for text in layouts if text}
    labels = [label for one in lists for label in one]
    return len(labels) == len(set(labels)) and len({label.isdigit() for label in labels}) <= 1


def traps_of_places(place: pd.Series, layout: pd.Series) -> pd.Series:
    """The traps of each place, "|" between, by place: of all its rows where they add up, else of the first.

    place, layout: one row a row of the place list; layout: the labels that the row names, "|" between, or "".
    """
    told = pd.DataFrame({"place": place, "layout": layout})
    told = told[(told["place"] != "") & (told["layout"] != "")]
    return told.groupby("place", sort=False)["layout"].agg(_of_one_place).astype(object)


def _of_one_place(layouts: pd.Series) -> str:
    if not add_up(layouts):
        return str(layouts.iloc[0])
    by_key: dict[str, str] = {}
    for text in layouts:
        for label in text.split(SEPARATOR):
            by_key.setdefault(fold_label(label), label)
    return SEPARATOR.join(by_key.values())
