"""Mass against an earlier capture of the same animal."""

from __future__ import annotations

from functools import partial

import pandas as pd

from dwc_pipeline.check.dead import is_dead
from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import in_one_text, text_columns
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.rule import Severity

#: Change of mass that is named, and the days within which. [share], [days]; our choice
SHARE, DAYS = 0.5, 14
#: A smaller change is the grain of a spring balance, or a young animal growing. [g]; our choice
GRAIN_G = 1.0
#: Words on either row that explain it. Breeding explains a loss at any later capture of the season.
BREEDING = r"\bgravid|\begg|spent"
EXPLAINED = BREEDING + r"|\bfed\b|food|bolus|prey|stomach|wet|\bsick|dead|died|dried"
#: No meal and no clutch changes a live animal so many times: a decimal point did. [ratio]; our choice
SLIP = 5.0
FIRST = {
    "organismID": "X-animal-1", "date": "2031-06-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "body_mass": 11.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-06-15", "where": "june.xlsx, row 31", "eventID": "c9"}


def says(told: pd.DataFrame, words: str) -> pd.Series:
    """True where one of the words stands on a row."""
    return in_one_text(told).str.replace("not gravid", "").str.contains(words, case=False, regex=True)


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    needs=("organismID", "body_mass", "date"),
    message="{mark} at {place} on {date}: {body_mass} g; on {earlier_date} at {earlier_place}: {earlier_body_mass} g "
    "({earlier_where})",
    flagged=[FIRST, {**LATER, "body_mass": 4.9}],
    passes=[
        FIRST,
        {**LATER, "body_mass": 5.0, "reproductiveCondition": "spent"},
        {**FIRST, "organismID": "X-animal-2", "body_mass": 0.4},
        {**LATER, "organismID": "X-animal-2", "body_mass": 0.9},
    ],
)
def mass_changed_by_half(animal: pd.DataFrame) -> pd.DataFrame:
    """The mass of a marked animal changed by over half within 14 days, and nothing on the rows explains it.

    Why it matters: a decimal point slipped, the bag was not taken off, or the mark was misread.
    What to do: compare both captures with the field book; write it down if the animal was gravid, fed or sick.
    """
    told = ("reproductiveCondition", "occurrenceRemarks", "mass_remarks", "associatedTaxa", "fate")
    words = text_columns(animal, told)
    explained = on_distinct_rows(words, partial(says, words=EXPLAINED))
    breeding = on_distinct_rows(words, partial(says, words=BREEDING)).groupby(animal["organismID"]).transform("any")
    view = animal.assign(explained=explained)
    earlier = beside_earlier(view, animal["body_mass"] > 0, ("body_mass", "explained"))
    before = earlier["earlier_body_mass"].astype("float64")
    grown = animal["body_mass"] - before
    changed = (grown.abs() > SHARE * before) & (grown.abs() > GRAIN_G) & (earlier["days"] <= DAYS)
    is_told = explained | (earlier["earlier_explained"] == True) | (breeding & (grown < 0))  # noqa: E712  # or missing
    times = animal["body_mass"] / before
    slipped = ((times > SLIP) | (times < 1 / SLIP)) & ~is_dead(animal)
    return earlier.assign(flag=changed & (~is_told | slipped))
