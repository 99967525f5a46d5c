"""One animal on two sheets, or by two people."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.check.animal_view import MEASURES
from dwc_pipeline.check.doubles import LEAST_EQUAL, TIMED
from dwc_pipeline.check.season_rule import season_rule
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.rule import Severity

TEXTS = ("place", "trap", "mark", "sheet", "where", "event_type", "recordedBy", "sex", "lifeStage")
SPOT = ("own_latitude", "own_longitude")
MOMENT = ["scientificName", "date", "utc"]
ONE = {
    "scientificName": "Thamnophis radix", "place": "A5", "date": "2031-05-13", "trap": "F5",
    "mark": "985141000402377",
    "file": "km.xlsx", "sheet": "May", "where": 'km.xlsx, sheet "May", row 37', "snout_vent_length": 512.0,
    "tail_length": 141.0, "body_mass": 71.0,
}  # fmt: skip
TWO = {**ONE, "file": "rt.xlsx", "sheet": "A5", "where": 'rt.xlsx, sheet "A5", row 9', "body_mass": 68.5}

#: How far apart one position may be typed by two people, [degrees], near 20 m; our choice
SAME_SPOT = 0.0002
ROAD = {
    "scientificName": "Masticophis flagellum", "place": "R1", "date": "2031-07-10", "event_type": "roadSurvey",
    "utc": pd.Timestamp("2031-07-11T02:30", tz="UTC"), "own_latitude": 36.613, "own_longitude": -99.68,
    "file": "roads.xlsx", "sheet": "KM", "where": 'roads.xlsx, sheet "KM", row 5',
}  # fmt: skip
AGAIN = {**ROAD, "sheet": "RT", "where": 'roads.xlsx, sheet "RT", row 2'}


@season_rule(
    view="animal",
    field="verbatimIdentification",
    severity=Severity.WARNING,
    needs=("scientificName", "date", "file"),
    asks=True,
    message="{scientificName} {met} also stands in {other_where}{differs}",
    flagged=[ONE, TWO, ROAD, AGAIN],
    passes=[
        ONE,
        {**TWO, "mark": "985141000402398"},
        {**TWO, "mark": "", "tail_length": 160.0},
        ROAD,
        {**AGAIN, "own_latitude": 36.615},
        {**AGAIN, "utc": pd.Timestamp("2031-07-11T02:34", tz="UTC")},
        {**ROAD, "where": 'roads.xlsx, sheet "KM", row 6'},
    ],
)
def animal_typed_twice(animal: pd.DataFrame) -> pd.DataFrame:
    """Two people or sheets have one animal, as it seems: same array, trap, day and body, or same spot and minute.

    Why it matters: an animal typed by two people is counted twice in every catch and rate.
    What to do: ask both observers. If it is one animal, remove the row that is less complete.
    """
    view = animal.assign(
        **{name: text_column(animal, name).fillna("") for name in TEXTS},
        **{name: number_column(animal, name) for name in (*MEASURES, *SPOT)},
        utc=animal.get("utc", pd.NaT),
        row=animal.index,
    )[["scientificName", "date", "file", "row", *TEXTS, "utc", *MEASURES, *SPOT]]
    pairs = pd.concat([bodies_met_twice(view[view["place"] != ""]), moments_told_twice(view)])
    differ = sum(
        (pairs[name].notna() & pairs[f"{name}_other"].notna() & (pairs[name] != pairs[f"{name}_other"])).astype(int)
        for name in MEASURES
    )
    found = pairs.assign(differs=(differ > 0).map({True: "; a measurement differs", False: ""}))
    found = found.drop_duplicates("row").set_index("row")
    made = found[["where_other", "differs"]].rename(columns={"where_other": "other_where"}).reindex(animal.index)
    place, trap = view["place"], view["trap"]
    met = (
        ("in " + trap + " of ").where(trap != "", "at ")
        + place.where(place != "", "one spot")
        + " on "
        + view["date"]
    )
    return made.assign(flag=made["other_where"].notna(), met=met)


def bodies_met_twice(view: pd.DataFrame) -> pd.DataFrame:
    """Pairs of rows on two sheets with one mark, or without a mark in one of them and with equal measures."""
    pairs = pairs_of(view, ["scientificName", "place", "date", "trap"])
    pairs = pairs[other_sheet(pairs)]
    equal = sum((pairs[name] == pairs[f"{name}_other"]).astype(int) for name in MEASURES)
    both_marked = (pairs["mark"] != "") & (pairs["mark_other"] != "")
    return pairs[(both_marked & (pairs["mark"] == pairs["mark_other"])) | (~both_marked & (equal >= LEAST_EQUAL))]


def moments_told_twice(view: pd.DataFrame) -> pd.DataFrame:
    """Pairs of rows, by two people or on two sheets, about animals out of traps at one minute and one spot.

    Where one of them has no position, one place is enough on roads and for what was met by chance. Two marks, sexes
    or stages are two animals.
    """
    moving = view[view["utc"].notna() & (view["trap"] == "") & (view["event_type"] != "trapCheck")]
    pairs = pairs_of(moving.assign(utc=pd.to_datetime(moving["utc"], utc=True).dt.floor("min")), MOMENT)
    people = (pairs["recordedBy"] != "") & (pairs["recordedBy_other"] != "")
    apart = other_sheet(pairs) | (people & (pairs["recordedBy"] != pairs["recordedBy_other"]))
    one_kind = pd.Series(True, index=pairs.index)
    for name in ("mark", "sex", "lifeStage"):
        own, other = pairs[name], pairs[f"{name}_other"]
        one_kind &= (own == "") | (other == "") | (own == other)
    away = pd.concat([(pairs[name] - pairs[f"{name}_other"]).abs() for name in SPOT], axis=1)
    one_place = (pairs["place"] != "") & (pairs["place"] == pairs["place_other"]) & pairs["event_type"].isin(TIMED)
    is_there = (away <= SAME_SPOT).all(axis=1) | (away.isna().any(axis=1) & one_place)
    return pairs[apart & one_kind & is_there]


def pairs_of(view: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    """Each row beside the earlier rows that are like it in the keys; those of the other row end in "_other"."""
    several = view[view.duplicated(keys, keep=False)]
    pairs = several.merge(several, on=keys, suffixes=("", "_other"))
    for name in keys:
        pairs[f"{name}_other"] = pairs[name]
    return pairs[pairs["row"] > pairs["row_other"]]


def other_sheet(pairs: pd.DataFrame) -> pd.Series:
    """True where the two rows of a pair stand on two sheets."""
    return (pairs["file"] != pairs["file_other"]) | (pairs["sheet"] != pairs["sheet_other"])
