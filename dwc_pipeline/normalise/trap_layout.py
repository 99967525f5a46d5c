"""The labels of an array's traps, from the list of the site list or from the numbers of each trap type."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection

import pandas as pd

from dwc_pipeline.core.columns import first_filled, mapped, number_column, text_column
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.normalise.trap_label import TYPE_LETTERS
from dwc_pipeline.terms.vocabulary import load_vocabulary

LIST_NOT_READABLE = declare(
    Rule(
        "trap-list-not-readable",
        Severity.ERROR,
        "The list of an array's traps could not be taken apart into labels.",
        "Read as fewer traps than there are it makes effort too low and catch rates too high; so it is not read.",
        "Write it as labels and ranges, `B1, F1-F8, P1-P3`, or give the numbers of each trap type in own columns.",
    )
)
NO_LIST = declare(
    Rule(
        id="trap-list-missing",
        severity=Severity.WARNING,
        what="A trap is named, but the place list names no traps for its array.",
        why="A mistyped label cannot be noticed, and effort by trap type cannot be computed.",
        remedy="Give the numbers of box, funnel and pitfall traps of the array in the place list.",
    )
)
#: one label: letters and one number, a number, or up to three letters; the word for a type is one too
LABEL = re.compile(r"[A-Z]{0,8}[-.#]?\d{1,3}[A-Z]?|\d{1,3}[A-Z]{1,2}|[A-Z]{1,3}")
#: a number of traps and their type: "8 funnels"
COUNTED = r"(\d{1,2})\s*x?\s+([A-Za-z]{3,})(?:\s+traps?)?"
#: a space after the number of one label and before the letter of the next
BETWEEN_LABELS = r"(?<=\d)\s+(?!to\b|thru\b|through\b)(?=[A-Za-z])"


def trap_layout(place: pd.DataFrame) -> pd.Series:
    """Labels of the traps of each place, "|" between; from the list, or counted from the numbers of each type."""
    listed = labels_listed(text_column(place, "traps"))
    counted = pd.Series("", index=place.index, dtype=object)
    for column, letter in (("box_traps", "B"), ("funnel_traps", "F"), ("pitfall_traps", "P")):
        count = number_column(place, column).fillna(0).astype(int)
        labels = count.map({n: "|".join(f"{letter}{i}" for i in range(1, n + 1)) for n in count.unique()})
        both = (counted != "") & (labels != "")
        counted = counted + both.map({True: "|", False: ""}) + labels
    return first_filled(listed, counted)


def labels_listed(lists: pd.Series) -> pd.Series:
    """What `expand_labels` makes of each list, each distinct one taken apart once."""
    return mapped(lists, {text: expand_labels(text) for text in lists.unique()})


def expand_labels(text: str) -> str:
    """Every label of a list with ranges, set apart by marks, by "and", or by spaces alone; "" if a part is no label.

    Numbers of traps by type are counted out: a list that is read as fewer traps than there are makes effort too low.

    >>> expand_labels("B1, F1-F3, P1 to 2"), expand_labels("B1 F1-F3 P 1 - 2")
    ('B1|F1|F2|F3|P1|P2', 'B1|F1|F2|F3|P1|P2')
    >>> expand_labels("1 box, 3 funnels"), expand_labels("P1, 2"), expand_labels("F1..F8"), expand_labels("12")
    ('B1|F1|F2|F3', 'P1|P2', '', '')
    """
    if re.fullmatch(rf"(?:{COUNTED}(?:\s*[,;&+]\s*|\s+and\s+|\s+|$))+", text.strip()):
        every = [labels_by_count(int(number), word) for number, word in re.findall(COUNTED, text)]
        return "|".join(dict.fromkeys(itertools.chain(*every))) if all(every) else ""
    if re.search(rf"(?:^|[,;&+])\s*{COUNTED}", text) or says_nothing(text):
        return ""
    labels: list[str] = []
    letters = ""
    for part in re.split(rf"[,;&+/|\n]|\band\b|{BETWEEN_LABELS}", text):
        word = part.strip().upper().replace(" ", "")
        if not word:
            continue
        letters = re.split(r"[\d#.-]", word, maxsplit=1)[0] or letters
        own = labels_of(word if word.startswith(letters) else letters + word)
        if not own:
            return ""
        labels += own
    return "|".join(dict.fromkeys(labels)) if labels != [text.strip()] or not text.strip().isdigit() else ""


def says_nothing(text: str) -> bool:
    """True for a list that says there are no traps, or nothing of them."""
    return load_vocabulary("not_told").find(text) is not None or text.strip().casefold() in ("none", "no traps", "0")


def labels_of(word: str) -> list[str]:
    """The labels of one part of a list: a label or a range; [] if it is neither."""
    span = re.fullmatch(r"([A-Z]*)(\d+)(?:[-–—]|TO|THRU|THROUGH)([A-Z]*)(\d+)", word)
    if span and (not span[3] or span[3] == span[1]):
        return [f"{span[1]}{number}" for number in range(int(span[2]), int(span[4]) + 1)]
    is_type = word.isalpha() and not word.endswith("S") and load_vocabulary("trap_type").find(word) is not None
    return [word] if LABEL.fullmatch(word) or is_type else []


def labels_by_count(number: int, word: str) -> list[str]:
    """Labels for a number of traps of a type; [] if the word is no type of trap that has a letter of its own."""
    types = load_vocabulary("trap_type")
    entry = types.find(word) or types.find(word.removesuffix("s")) or types.find(word.removesuffix("es"))
    letter = TYPE_LETTERS.get(entry.value, "") if entry is not None else ""
    return [f"{letter}{one}" for one in range(1, number + 1)] if letter else []


def unread_trap_lists(place: pd.DataFrame) -> pd.DataFrame:
    """A finding for each list of traps that was not understood."""
    listed = text_column(place, "traps")
    is_said = listed.map({text: bool(text.strip()) and not says_nothing(text) for text in set(listed)})
    rows = place.index[is_said.astype(bool) & (labels_listed(listed) == "")]
    value = listed.reindex(rows)
    return findings_on_rows(
        LIST_NOT_READABLE, "place", rows, "traps", value=value, message="'" + value + "' is no list of trap labels"
    )


def traps_of_no_list(kind: str, rows: pd.DataFrame, listed: Collection[str]) -> pd.DataFrame:
    """One finding for each array whose traps are named on the rows though the place list has none; at its first row.

    listed: arrays with a list of traps.
    """
    place, trap = text_column(rows, "place"), text_column(rows, "trap")
    first = place[(trap != "") & (place != "") & ~place.isin(list(listed))].drop_duplicates()
    message = "'" + trap[first.index] + "': no traps are listed for " + first
    return findings_on_rows(NO_LIST, kind, first.index, "trap", value=trap[first.index], cause=first, message=message)
