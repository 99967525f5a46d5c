"""One animal on two sheets."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity

MEASURES = ("snout_vent_length", "tail_length", "total_length", "straight_carapace_length", "body_mass")
#: Measurements that must agree before two unmarked animals are taken for one. [number]; our choice
LEAST_EQUAL = 2
ONE = {
    "scientificName": "Thamnophis radix", "place": "A5", "date": "2031-05-13", "trap": "F5",
    "mark": "985141000402377",
    "file": "km.xlsx", "sheet": "May", "where": 'km.xlsx, sheet "May", row 37', "snout_vent_length": 512.0,
    "tail_length": 141.0, "body_mass": 71.0,
}  # fmt: skip
TWO = {**ONE, "file": "rt.xlsx", "sheet": "A5", "where": 'rt.xlsx, sheet "A5", row 9', "body_mass": 68.5}


@season_rule(
    view="animal",
    field="verbatimIdentification",
    severity=Severity.WARNING,
    needs=("scientificName", "place", "date", "file"),
    asks=True,
    message="{scientificName} in {trap} of {place} on {date} also stands in {other_where}{differs}",
    flagged=[ONE, TWO],
    passes=[ONE, {**TWO, "mark": "985141000402398"}, {**TWO, "mark": "", "tail_length": 160.0}],
)
def animal_typed_twice(animal: pd.DataFrame) -> pd.DataFrame:
    """Two sheets have what looks like the same animal: one species, array, trap and day, and one mark or body.

    Why it matters: an animal typed by two people is counted twice in every catch and rate.
    What to do: ask both observers. If it is one animal, remove the row that is less complete.
    """
    view = animal.assign(
        trap=text_column(animal, "trap"),
        mark=text_column(animal, "mark"),
        where=text_column(animal, "where"),
        row=animal.index,
        **{name: number_column(animal, name) for name in MEASURES},
    )[["scientificName", "place", "date", "trap", "mark", "file", "sheet", "where", "row", *MEASURES]]
    keys = ["scientificName", "place", "date", "trap"]
    several = view[view.duplicated(keys, keep=False)]
    pairs = several.merge(several, on=keys, suffixes=("", "_other"))
    apart = (pairs["file"] != pairs["file_other"]) | (pairs["sheet"] != pairs["sheet_other"])
    pairs = pairs[apart & (pairs["row"] > pairs["row_other"])]
    equal = sum((pairs[name] == pairs[f"{name}_other"]).astype(int) for name in MEASURES)
    differ = sum(
        (pairs[name].notna() & pairs[f"{name}_other"].notna() & (pairs[name] != pairs[f"{name}_other"])).astype(int)
        for name in MEASURES
    )
    both_marked = (pairs["mark"] != "") & (pairs["mark_other"] != "")
    same = (both_marked & (pairs["mark"] == pairs["mark_other"])) | (~both_marked & (equal >= LEAST_EQUAL))
    found = pairs.assign(differs=(differ > 0).map({True: "; a measurement differs", False: ""}))[same]
    found = found.drop_duplicates("row").set_index("row")
    made = found[["where_other", "differs"]].rename(columns={"where_other": "other_where"}).reindex(animal.index)
    return made.assign(flag=made["other_where"].notna())
