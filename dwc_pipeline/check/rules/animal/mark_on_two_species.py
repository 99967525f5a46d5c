"""One mark on animals of two species."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.recapture_flags import is_tag
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import mapped
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.rule import Severity

FIRST = {
    "scientificName": "Coluber constrictor", "mark": "985141000402359", "date": "2031-05-09", "place": "A3",
    "where": "june.xlsx, row 7", "taxonRank": "species",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "place": "A1", "where": "july.xlsx, row 11"}


@season_rule(
    view="animal",
    field="mark",
    severity=Severity.ERROR,
    needs=("mark", "scientificName", "date"),
    message="tag {mark} on {scientificName} at {place} on {date}; on {other} at {other_place} on {other_date} "
    "({other_where})",
    flagged=[FIRST, {**LATER, "scientificName": "Heterodon nasicus"}],
    passes=[
        FIRST,
        LATER,
        {**FIRST, "mark": "2-4-9", "scientificName": "Uta stansburiana"},
        {**FIRST, "mark": "2-4-9", "scientificName": "Holbrookia maculata"},
    ],
)
def mark_on_two_species(animal: pd.DataFrame) -> pd.DataFrame:
    """One tag is written for animals of two species.

    Clip codes are left out, since each species has its own series of them.
    Why it matters: a name or a tag is wrong; the histories of two animals are mixed.
    What to do: read both rows in the field book; correct the name, or the tag.
    """
    tagged = is_tag(animal["mark"])
    ordered = animal[tagged].sort_values("date", kind="stable")
    first = ordered.drop_duplicates("mark").set_index("mark")
    other = pd.DataFrame(
        {
            "other": mapped(animal["mark"], first["scientificName"]),
            "other_place": mapped(animal["mark"], first["place"]),
            "other_date": mapped(animal["mark"], first["date"]),
            "other_where": mapped(animal["mark"], first["where"]),
        }
    )
    coarser = on_distinct_rows(pd.DataFrame({"one": animal["scientificName"], "two": other["other"]}), is_coarser)
    differs = tagged & (other["other"] != "") & (animal["scientificName"] != other["other"])
    return other.assign(flag=differs & ~coarser)


def is_coarser(names: pd.DataFrame) -> pd.Series:
    """True where one name is a genus or family that may hold the other: a coarser name, not another species."""
    one, two = names["one"].str.split(), names["two"].str.split()
    return (one.str.len() != two.str.len()) & (
        (one.str[0] == two.str[0]) | (one.str.len() == 1) | (two.str.len() == 1)
    )
