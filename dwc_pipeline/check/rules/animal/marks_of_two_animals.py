"""Two marks of one row that went with other marks on other rows."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.rule import Severity

ONE = {
    "scientificName": "Coluber constrictor", "mark": "985141000402359", "second_mark": "L3 R12", "place": "A3",
    "date": "2031-05-09", "where": "june.xlsx, row 7",
}  # fmt: skip
OTHER = {**ONE, "mark": "985141000402360", "second_mark": "L4 R12", "where": "june.xlsx, row 8"}
LATER = {**ONE, "date": "2031-07-18", "place": "A1", "where": "july.xlsx, row 11"}


@season_rule(
    view="animal",
    field="second_mark",
    severity=Severity.ERROR,
    needs=("scientificName", "mark", "second_mark"),
    message="{mark} and {second_mark} at {place} on {date}, but {met}",
    flagged=[ONE, OTHER, {**LATER, "second_mark": "L4 R12"}],
    passes=[ONE, OTHER, LATER, {**LATER, "mark": "L3 R12", "second_mark": "985141000402359"}],
)
def marks_of_two_animals(animal: pd.DataFrame) -> pd.DataFrame:
    """The two marks of one animal went with other marks at other captures: one says this animal, one another.

    Why it matters: a mark was misread, or an animal was marked anew; the histories of two animals are mixed.
    What to do: compare the captures with the field book. Correct the mark that was misread; where an animal lost a
    mark and was given another, leave the old one on this row and say so in the remarks.
    """
    # Which mark stands in which column tells nothing: a pair is the same pair the other way round.
    turned = animal["mark"] > animal["second_mark"]
    pairs = pd.DataFrame(
        {
            "species": animal["scientificName"],
            "low": animal["mark"].where(~turned, animal["second_mark"]),
            "high": animal["second_mark"].where(~turned, animal["mark"]),
            "where": text_column(animal, "where"),
            "date": text_column(animal, "date"),
        }
    )
    usual = usual_pairs(pairs)
    first = met_otherwise(pairs, usual, "low", "high")
    second = met_otherwise(pairs, usual, "high", "low")
    both = (first != "") & (second != "")
    return pd.DataFrame(
        {"flag": (first + second) != "", "met": first + both.map({True: ", and ", False: ""}) + second}
    )


def usual_pairs(pairs: pd.DataFrame) -> pd.DataFrame:
    """Each pair of marks of a species once, at its earliest row; pairs met most often first, then the earliest."""
    met = ["species", "low", "high"]
    often = pairs.assign(rows=pairs.groupby(met)["date"].transform("size")).sort_values("date", kind="stable")
    return often.drop_duplicates(met).sort_values("rows", ascending=False, kind="stable")


def met_otherwise(pairs: pd.DataFrame, usual: pd.DataFrame, mark: str, other: str) -> pd.Series:
    """In words, the mark with which one mark of each row usually went and where; "" where it is the row's own."""
    told = pd.concat(
        [usual.rename(columns={"low": "one", "high": "two"}), usual.rename(columns={"high": "one", "low": "two"})]
    )
    told = told.sort_values(["rows", "date"], ascending=[False, True], kind="stable").drop_duplicates(
        ["species", "one"]
    )
    told = told.set_index(["species", "one"])
    found = told.reindex(pd.MultiIndex.from_frame(pairs[["species", mark]])).set_axis(pairs.index)
    words = pairs[mark] + " went with " + found["two"] + " on " + found["date"] + " (" + found["where"] + ")"
    return words.where(found["two"] != pairs[other], "")
