"""The account of each species: how many animals were met, and what became of every one of them."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.season_animals import IN_TRAPS, RECAPTURE

#: What the agency's account calls each fate of the word list (schemas/vocab/fate.csv).
ACCOUNT_OF_FATE = {
    "released at capture": "released",
    "released elsewhere": "released",
    "left in place": "left_in_place",
    "escaped before processing": "escaped",
    "escaped with data": "escaped",
    "voucher": "removed",
    "salvaged": "removed",
    "transferred": "removed",
    "euthanised": "died",
    "died in trap": "died",
    "died in hand": "died",
    "predated in trap": "died",
    "road-killed": "dead_on_road",
}
#: animals = the sum of these, for every species.
FATE_COLUMNS = ("released", "left_in_place", "removed", "died", "escaped", "dead_on_road", "unknown_fate")
ACCOUNT_COLUMNS = (
    "scientificName", "in_scope", "animals", "rows_counted_in_words", "in_traps", "on_roads", "in_searches",
    "by_chance", "new", "recaptures", "unmarked_or_not_noted", *FATE_COLUMNS, "first_date", "last_date", "localities",
)  # fmt: skip


def account_of(animals: pd.DataFrame) -> pd.Series:
    """The part of the account (FATE_COLUMNS) that each row belongs to.

    A row without a fate counts as died, or dead on a road survey, where it says that the animal was dead; any other
    fate that is not told is unknown, never released.
    """
    told = animals["fate"].map(ACCOUNT_OF_FATE)
    dead = animals["vitality"] == "dead"
    on_road = animals["eventType"] == "roadSurvey"
    told = told.mask(told.isna() & dead & on_road, "dead_on_road").mask(told.isna() & dead & ~on_road, "died")
    return told.fillna("unknown_fate")


def species_account(animals: pd.DataFrame) -> pd.DataFrame:
    """One line a name (ACCOUNT_COLUMNS), by-catch and unnamed animals ("") among them. [animals]

    A row counted in words adds nothing to the numbers and is told in rows_counted_in_words.
    """
    kind = (
        animals["eventType"]
        .map(dict.fromkeys(IN_TRAPS, "in_traps"))
        .fillna(animals["eventType"].map({"roadSurvey": "on_roads", "coverSearch": "in_searches"}))
    )
    status = animals["status"].map({"new": "new", RECAPTURE: "recaptures"}).fillna("unmarked_or_not_noted")
    count = animals["count"].fillna(0.0)
    where = animals["place"].where(animals["place"] != "")
    date = animals["date"].where(animals["date"] != "")
    by = animals["scientificName"].astype("category")  # put in groups once, for every sum
    made = pd.DataFrame(
        {
            "in_scope": animals["in_scope"].groupby(by).first(),
            "animals": count.groupby(by).sum(),
            "rows_counted_in_words": animals["count"].isna().groupby(by).sum(),
            "first_date": date.groupby(by).min(),
            "last_date": date.groupby(by).max(),
            "localities": where.groupby(by).nunique(),
        }
    )
    for columns, values in (
        (("in_traps", "on_roads", "in_searches", "by_chance"), kind.fillna("by_chance")),
        (("new", "recaptures", "unmarked_or_not_noted"), status),
        (FATE_COLUMNS, account_of(animals)),
    ):
        for column in columns:
            made[column] = count.where(values == column, 0.0).groupby(by).sum()
    made[["first_date", "last_date"]] = made[["first_date", "last_date"]].astype(object).fillna("")
    made.index = made.index.astype(object)
    return made.reset_index(names="scientificName").reindex(columns=list(ACCOUNT_COLUMNS))
