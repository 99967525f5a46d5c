"""One mark on animals of two species."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.recapture_flags import is_tag
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.core.distinct import on_distinct_rows
from dwc_pipeline.core.marks import all_marks
from dwc_pipeline.core.rule import Severity

TAG = "985141000402359"
FIRST = {
    "scientificName": "Coluber constrictor", "mark": TAG, "date": "2031-05-09", "place": "A3",
    "where": "june.xlsx, row 7", "taxonRank": "species",
}  # fmt: skip
LATER = {**FIRST, "date": "2031-07-18", "place": "A1", "where": "july.xlsx, row 11"}


@season_rule(
    view="animal",
    field="mark",
    severity=Severity.ERROR,
    needs=("mark", "scientificName", "date"),
    message="tag {tag} on {scientificName} at {place} on {date}; on {other} at {other_place} on {other_date} "
    "({other_where})",
    flagged=[FIRST, {**LATER, "scientificName": "Heterodon nasicus", "mark": "L3 R12", "second_mark": TAG}],
    passes=[
        FIRST,
        LATER,
        {**FIRST, "mark": "2-4-9", "scientificName": "Uta stansburiana"},
        {**FIRST, "mark": "2-4-9", "scientificName": "Holbrookia maculata"},
    ],
)
def mark_on_two_species(animal: pd.DataFrame) -> pd.DataFrame:
    """One tag is written for animals of two species, as the first mark or the second.

    Clip codes are left out, since each species has its own series of them.
    Why it matters: a name or a tag is wrong; the histories of two animals are mixed.
    What to do: read both rows in the field book; correct the name, or the tag.
    """
    marks = all_marks(animal)
    told = pd.DataFrame({"row": marks.index, "tag": marks.to_numpy()})
    told = told[is_tag(told["tag"])]
    for name in ("scientificName", "date", "place", "where"):
        told[name] = text_column(animal, name).reindex(told["row"]).to_numpy()
    first = told.sort_values("date", kind="stable").drop_duplicates("tag").set_index("tag")
    for name, source in (("other", "scientificName"), ("other_place", "place"), ("other_date", "date")):
        told[name] = mapped(told["tag"], first[source])
    told["other_where"] = mapped(told["tag"], first["where"])
    coarser = on_distinct_rows(pd.DataFrame({"one": told["scientificName"], "two": told["other"]}), is_coarser)
    hit = told[(told["other"] != "") & (told["scientificName"] != told["other"]) & ~coarser].drop_duplicates("row")
    answer = hit.set_index("row")[["tag", "other", "other_place", "other_date", "other_where"]]
    return answer.reindex(animal.index, fill_value="").assign(flag=animal.index.isin(hit["row"]))


def is_coarser(names: pd.DataFrame) -> pd.Series:
    """True where one name is a genus or family that may hold the other: a coarser name, not another species."""
    one, two = names["one"].str.split(), names["two"].str.split()
    return (one.str.len() != two.str.len()) & (
        (one.str[0] == two.str[0]) | (one.str.len() == 1) | (two.str.len() == 1)
    )
