"""One mark on two rows of one check."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import instant_column
from dwc_pipeline.core.rule import Severity

#: One check takes less; an animal met so much later on the day was released between. [hours]; our choice
LONGEST_CHECK = 3
ONE = {
    "organismID": "X-animal-1", "mark": "2-4-9", "date": "2031-05-09", "place": "A3", "eventID": "c1",
    "file": "june.xlsx", "sheet": "A3", "sheet_row": 7, "where": "june.xlsx, row 7", "snout_vent_length_typed": "52",
}  # fmt: skip
TWO = {**ONE, "sheet_row": 8, "where": "june.xlsx, row 8", "snout_vent_length_typed": "47"}


@season_rule(
    view="animal",
    field="mark",
    severity=Severity.ERROR,
    needs=("organismID", "place", "eventID"),
    message="{mark} at {place} on {date} is also on {other_where}, at the same check",
    flagged=[ONE, TWO],
    passes=[ONE, {**TWO, "eventID": "c2"}],
)
def mark_twice_at_one_check(animal: pd.DataFrame) -> pd.DataFrame:
    """One mark is written for two animals of one species at one check.

    An animal whose times are hours apart was released and captured again. Rows that repeat another cell for cell, and
    animals typed on two sheets, have findings of their own.
    Why it matters: an animal is counted twice, or a mark was misread and an animal has the history of another.
    What to do: read both rows in the field book; remove the second row, or correct its mark.
    """
    keys = ["organismID", "eventID", "file", "sheet"]
    ordered = animal.sort_values("sheet_row", kind="stable")
    typed = [column for column in animal if column.endswith("_typed")]
    again = ordered.duplicated(keys) & ~ordered.duplicated([*keys, *typed])
    first = animal.loc[ordered.index].groupby(keys, sort=False)["where"].transform("first")
    at = pd.to_datetime(instant_column(animal, "utc"), utc=True)
    waited = at - at.groupby([animal[key] for key in keys]).transform("min")
    met_anew = waited >= pd.Timedelta(hours=LONGEST_CHECK)
    return (
        pd.DataFrame({"flag": again, "other_where": first})
        .reindex(animal.index)
        .assign(flag=lambda made: made["flag"].astype(bool) & ~met_anew)
    )
