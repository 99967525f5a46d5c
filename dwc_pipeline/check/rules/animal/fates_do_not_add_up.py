"""Fates of a species against its captures."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.distinct import stripped
from dwc_pipeline.core.rule import Severity

#: A sheet with fates on at least this share of its target animals records fates. [share]; our choice
RECORDED = 0.5
TOLD = {
    "scientificName": "Uta stansburiana", "file": "june.xlsx", "sheet": "A1", "in_scope": "true",
    "date": "2031-06-09",
    "fate": "released at capture", "fate_typed": "rel", "count": 1.0,
}  # fmt: skip


@season_rule(
    view="animal",
    field="fate",
    severity=Severity.ERROR,
    needs=("scientificName", "in_scope", "file"),
    message="{scientificName} of {date} has no fate: of its {captures} captures on sheets with fates, {with_fate}"
    " have "
    "one",
    flagged=[TOLD, TOLD, {**TOLD, "fate": "", "fate_typed": ""}],
    passes=[TOLD, TOLD, {**TOLD, "file": "roads.csv", "fate": "", "fate_typed": ""}],
    cause="scientificName",
)
def fates_do_not_add_up(animal: pd.DataFrame) -> pd.DataFrame:
    """The fates of a species do not add up to its captures, on sheets that record fates.

    By-catch is left out. Each row without a fate is named; a fate that could not be read has a finding of its own.
    Why it matters: a permit's report says for each species how many were released, died and were kept; the parts must
    add up to the captures.
    What to do: fill in the fate from the field book, also for animals that escaped.
    """
    target = animal["in_scope"] == "true"
    count = number_column(animal, "count").fillna(1).where(target, 0)
    has_fate = text_column(animal, "fate").fillna("") != ""
    sheet = [animal["file"], animal["sheet"]]
    share = (has_fate & target).groupby(sheet).transform("sum") / target.groupby(sheet).transform("sum")
    audited = target & (share >= RECORDED)
    species = animal["scientificName"]
    captures = count.where(audited, 0).groupby(species).transform("sum")
    with_fate = count.where(audited & has_fate, 0).groupby(species).transform("sum")
    unread = stripped(text_column(animal, "fate_typed")) != ""
    return pd.DataFrame({"flag": audited & ~has_fate & ~unread, "captures": captures, "with_fate": with_fate})
