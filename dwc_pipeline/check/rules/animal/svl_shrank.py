"""Snout-vent length against an earlier capture: one fault, graver the more an animal seems to have shrunk."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.length_histories import lengths_beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.rule import Severity

#: From the first on it may be handling or a slip; beyond the second nobody measures so badly. [share]; our choice
SOMEWHAT, FAR = 0.05, 0.10
#: Less than this is the grain of a ruler. [mm]; our choice
GRAIN_MM = 1.0
NEEDS = ("organismID", "snout_vent_length", "date")
MESSAGE = (
    "{mark} at {place} on {date}: SVL {snout_vent_length} mm; on {earlier_date} at {earlier_place}: "
    "{earlier_snout_vent_length} mm ({earlier_where})"
)
SOURCE = (
    "lengths of live snakes vary with handling: Luiselli 2005, Amphibia-Reptilia 26 (from memory); limits: our choice"
)
FIRST = {
    "organismID": "X-animal-1", "date": "2031-05-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "snout_vent_length": 73.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "where": "july.xlsx, row 11", "eventID": "c9"}


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.ERROR,
    needs=NEEDS,
    message=MESSAGE,
    flagged=[FIRST, {**LATER, "snout_vent_length": 60.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 68.0}],
    source=SOURCE,
)
def svl_shrank(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal is over 10 % shorter than at an earlier capture.

    Why it matters: one of the lengths is wrong, or the mark was misread and this is another animal.
    What to do: compare both lengths and both marks with the field book.
    """
    told = lengths_beside_earlier(animal)
    return told.assign(flag=(told["lost_share"] > FAR) & ~told["is_back"])


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.WARNING,
    needs=NEEDS,
    message=MESSAGE,
    flagged=[FIRST, {**LATER, "snout_vent_length": 68.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 72.0}],
    source=SOURCE,
)
def svl_shrank_somewhat(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal is 5 to 10 % shorter than at an earlier capture.

    Why it matters: a live animal cannot be measured exactly, but this is more than is usual; growth rates suffer.
    What to do: compare both lengths with the field book. Keep both if they were read so.
    """
    told = lengths_beside_earlier(animal)
    return told.assign(flag=told["lost_share"].between(SOMEWHAT, FAR) & ~told["is_back"])


@season_rule(
    view="animal",
    field="snout_vent_length",
    severity=Severity.NOTE,
    needs=NEEDS,
    message=MESSAGE,
    flagged=[FIRST, {**LATER, "snout_vent_length": 71.0}],
    passes=[FIRST, {**LATER, "snout_vent_length": 72.5}],
    source=SOURCE,
)
def svl_shrank_a_little(animal: pd.DataFrame) -> pd.DataFrame:
    """A marked animal is a little shorter than at an earlier capture, by less than 5 %.

    Why it matters: it shows how exactly lengths are measured here; growth below that cannot be told.
    What to do: nothing. Keep both lengths.
    """
    told = lengths_beside_earlier(animal)
    return told.assign(flag=(told["lost"] > GRAIN_MM) & (told["lost_share"] < SOMEWHAT))
