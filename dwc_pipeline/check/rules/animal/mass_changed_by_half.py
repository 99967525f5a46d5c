"""Mass against an earlier capture of the same animal."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.histories import beside_earlier
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import in_one_text, text_columns
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.rule import Severity

#: Change of mass that is named, and the days within which. [share], [days]; our choice
SHARE, DAYS = 0.5, 14
#: Words on either row that explain it.
EXPLAINED = r"\bgravid|\begg|spent|\bfed\b|food|bolus|prey|stomach|wet|\bsick|dead|died"
FIRST = {
    "organismID": "X-animal-1", "date": "2031-06-09", "place": "A3", "where": "june.xlsx, row 7", "eventID": "c1",
    "body_mass": 11.0, "mark": "2-4-9",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-06-15", "where": "june.xlsx, row 31", "eventID": "c9"}


def is_explained(told: pd.DataFrame) -> pd.Series:
    """True where the words of a row say why the mass of an animal changed."""
    words = in_one_text(told).str.replace("not gravid", "")
    return words.str.contains(EXPLAINED, case=False, regex=True)


@season_rule(
    view="animal",
    field="body_mass",
    severity=Severity.WARNING,
    needs=("organismID", "body_mass", "date"),
    message="{mark} at {place} on {date}: {body_mass} g; on {earlier_date} at {earlier_place}: {earlier_body_mass} g "
    "({earlier_where})",
    flagged=[FIRST, {**LATER, "body_mass": 4.9}],
    passes=[FIRST, {**LATER, "body_mass": 5.0, "reproductiveCondition": "spent"}],
)
def mass_changed_by_half(animal: pd.DataFrame) -> pd.DataFrame:
    """The mass of a marked animal changed by over half within 14 days, and nothing on the rows explains it.

    Why it matters: a decimal point slipped, the bag was not taken off, or the mark was misread.
    What to do: compare both captures with the field book; write it down if the animal was gravid, fed or sick.
    """
    told = ("reproductiveCondition", "occurrenceRemarks", "mass_remarks", "associatedTaxa", "fate")
    explained = on_distinct_rows(text_columns(animal, told), is_explained)
    view = animal.assign(explained=explained)
    earlier = beside_earlier(view, animal["body_mass"] > 0, ("body_mass", "explained"))
    before = earlier["earlier_body_mass"].astype("float64")
    change = (animal["body_mass"] - before).abs() / before
    told = explained | (earlier["earlier_explained"] == True)  # noqa: E712  # missing where there is no earlier one
    return earlier.assign(flag=(change > SHARE) & (earlier["days"] <= DAYS) & ~told)
