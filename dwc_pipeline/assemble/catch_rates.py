"""Catch per unit of effort by species, trap type, array, habitat, session, road run and search, with exact limits.

Only units (checks, runs, searches) of known effort enter a rate. What is left out, animals and units, is counted in
the same line with the reason.
"""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.assemble.season_animals import IN_TRAPS, sessions_of
from dwc_pipeline.core.columns import mapped, text_column, where_true
from dwc_pipeline.effort.catch_rate import catch_per_effort, catch_rate_limits

KEYS = ("scientificName", "trap_type", "vitality", "place", "habitat", "session")
RATE_COLUMNS = (
    "grouping", *KEYS, "captures", "first_captures", "effort", "effort_unit", "per", "rate", "lower_95", "upper_95",
    "units", "units_with_zero_catch", "captures_left_out", "rows_counted_in_words", "units_left_out",
    "known_effort_left_out", "left_out_because",
)  # fmt: skip
UNKNOWN_EFFORT = "effort of the check or run is unknown"
NO_TRAP_TYPE = "the row names no trap, or one of a type without effort"
IN_WORDS = "counted in words"
NOT_IDENTIFIED = "not identified, so it is not known whether a target taxon"


class Grouping(NamedTuple):
    """How a rate is split. by_effort: keys that split the effort too. by_animal: keys that only split the catch."""

    name: str
    unit: str
    per: float
    by_effort: tuple[str, ...] = ()
    by_animal: tuple[str, ...] = ()


TRAP_NIGHTS, KILOMETRES, HOURS, PERSON_HOURS, COVERS = "trap-nights", "km", "hours", "person-hours", "cover objects"
BY_CHECK = (
    Grouping("season", TRAP_NIGHTS, 100),
    Grouping("species", TRAP_NIGHTS, 100, by_animal=("scientificName",)),
    Grouping("array", TRAP_NIGHTS, 100, by_effort=("place",)),
    Grouping("habitat", TRAP_NIGHTS, 100, by_effort=("habitat",)),
    Grouping("session", TRAP_NIGHTS, 100, by_effort=("place", "session")),
)
BY_TRAP_TYPE = (
    Grouping("trap type", TRAP_NIGHTS, 100, by_effort=("trap_type",)),
    Grouping("species and trap type", TRAP_NIGHTS, 100, by_effort=("trap_type",), by_animal=("scientificName",)),
)
ROAD = (
    Grouping("road, all species, per 100 km", KILOMETRES, 100, by_animal=("vitality",)),
    Grouping("road, all species, per hour", HOURS, 1, by_animal=("vitality",)),
    Grouping("road, per 100 km", KILOMETRES, 100, by_animal=("scientificName", "vitality")),
    Grouping("road, per hour", HOURS, 1, by_animal=("scientificName", "vitality")),
)
SEARCH = (
    Grouping("search, all species, per person-hour", PERSON_HOURS, 1),
    Grouping("search, all species, per 100 covers", COVERS, 100),
    Grouping("search, per person-hour", PERSON_HOURS, 1, by_animal=("scientificName",)),
    Grouping("search, per 100 covers", COVERS, 100, by_animal=("scientificName",)),
)


def catch_rates(event: pd.DataFrame, animals: pd.DataFrame, effort: pd.DataFrame, runs: pd.DataFrame) -> pd.DataFrame:
    """One line a group (RATE_COLUMNS); captures of target taxa only. [captures / `per` effort units]

    Animals that nobody could identify are told as left out; split by species they have a line without a rate.

    animals: from `season_animals`. effort: the effort table. runs: from `run_efforts`.
    """
    target = animals[animals["in_scope"] != "false"]
    trapped = target[target["eventType"].isin(IN_TRAPS)]
    checks = check_units(event, effort)
    parts = [rate_lines(one, checks, trapped) for one in BY_CHECK]
    parts += [rate_lines(one, trap_type_units(event, effort), trapped) for one in BY_TRAP_TYPE]
    for groupings, kind in ((ROAD, "roadSurvey"), (SEARCH, "coverSearch")):
        own = runs[runs["eventType"] == kind]
        met = target[target["eventType"] == kind]
        parts += [rate_lines(one, own.assign(effort=own[one.unit]), met) for one in groupings]
    filled = [part for part in parts if len(part)]
    return pd.concat(filled, ignore_index=True) if filled else pd.DataFrame(columns=list(RATE_COLUMNS))


def check_units(event: pd.DataFrame, effort: pd.DataFrame) -> pd.DataFrame:
    """One row a trap check: its keys, effort [trap-nights; missing if any trap is unknown] and the part known."""
    checks = event[event["eventType"] == "trapCheck"]
    nights = effort["trap_nights"].astype("float64")
    known_part = nights.groupby(effort["eventID"]).sum()
    whole = known_part.mask(nights.isna().groupby(effort["eventID"]).any())
    made = checks[["eventID", "place", "habitat"]].reset_index(drop=True)
    made["session"] = mapped(made["eventID"], sessions_of(event))
    made["effort"] = made["eventID"].map(whole).astype("float64")
    made["known_part"] = made["eventID"].map(known_part).astype("float64").fillna(0.0)
    return made


def trap_type_units(event: pd.DataFrame, effort: pd.DataFrame) -> pd.DataFrame:
    """One row a trap check and trap type, as `check_units`."""
    checks = check_units(event, effort)[["eventID", "place", "habitat", "session"]]
    lines = effort[["eventID", "trap_type", "trap_nights"]].rename(columns={"trap_nights": "effort"})
    made = checks.merge(lines, on="eventID")
    return made[made["trap_type"] != "all"].assign(known_part=0.0).reset_index(drop=True)


def run_efforts(event: pd.DataFrame, roads: pd.DataFrame, searches: pd.DataFrame) -> pd.DataFrame:
    """One row a road run or search that is an event: its keys and efforts, one column a unit; missing if unknown.

    roads, searches: from `run_table`; runs made from finds alone have no effort.
    """
    own = event[event["eventType"].isin(["roadSurvey", "coverSearch"])]
    made = own[["eventID", "eventType", "place", "habitat"]].reset_index(drop=True)
    made["session"], made["known_part"] = "", 0.0
    efforts = {KILOMETRES: "distance_km", HOURS: "hours", PERSON_HOURS: "person_hours", COVERS: "covers"}
    for unit, column in efforts.items():
        made[unit] = float("nan")
        for kind, table in (("road_run", roads), ("search", searches)):
            hit = (own["kind"] == kind).to_numpy()
            made.loc[hit, unit] = table[column].reindex(own.loc[hit, "tidy_row"]).to_numpy(dtype="float64")
    return made


def rate_lines(grouping: Grouping, units: pd.DataFrame, animals: pd.DataFrame) -> pd.DataFrame:
    """The lines of one grouping, zero catches among them; none where there are neither units nor animals.

    units: rows with eventID, `effort` (missing if unknown), known_part and the keys of `by_effort`.
    """
    if units.empty and animals.empty:
        return pd.DataFrame(columns=list(RATE_COLUMNS))
    by_effort, by_animal = list(grouping.by_effort), list(grouping.by_animal)
    placed = placed_animals(units, animals, by_effort)
    known = units["effort"].notna()
    spent = sums(units[known], by_effort, {"effort": ("effort", "sum"), "units": ("effort", "size")})
    lost_units = sums(
        units[~known],
        by_effort,
        {"units_left_out": ("effort", "size"), "known_effort_left_out": ("known_part", "sum")},
    )
    counted = placed[placed["left_out"] == ""]
    by = by_effort + by_animal
    caught = sums(counted, by, {"captures": ("count", "sum"), "first_captures": ("first", "sum")})
    with_catch = sums(
        counted[counted["count"] > 0].drop_duplicates([*by, "unit"]), by, {"units_with_catch": ("count", "size")}
    )
    left = placed[placed["left_out"] != ""]
    lost = sums(
        left,
        by,
        {
            "captures_left_out": ("count", "sum"),
            "rows_counted_in_words": ("is_vague", "sum"),
            "left_out_because": ("left_out", reasons),
        },
    )
    frame = all_groups(units, placed, by_effort, by_animal)
    for table, keys in ((spent, by_effort), (lost_units, by_effort), (caught, by), (with_catch, by), (lost, by)):
        frame = frame.merge(table, on=["one", *keys], how="left")
    frame["left_out_because"] = frame["left_out_because"].astype(object).fillna("")
    return with_rates(grouping, frame.fillna(0.0))


def placed_animals(units: pd.DataFrame, animals: pd.DataFrame, by_effort: list[str]) -> pd.DataFrame:
    """The animals with `unit` (the unit of effort each belongs to) and `left_out` (why one enters no rate)."""
    keys = ["eventID", "trap_type"] if "trap_type" in by_effort else ["eventID"]
    effort = units.drop_duplicates(keys).set_index(keys)["effort"]
    index = pd.MultiIndex.from_frame(animals[keys]) if len(keys) > 1 else pd.Index(animals["eventID"])
    unknown = effort.reindex(index).isna().to_numpy()
    # A check with effort lines of other trap types is known: what is missing is the trap of the animal.
    has_known_lines = animals["eventID"].isin(units.loc[units["effort"].notna(), "eventID"])
    no_type = has_known_lines & ~index.isin(effort.index)
    why = where_true(animals["count"].isna(), IN_WORDS)
    why = why.mask(unknown & ~no_type, UNKNOWN_EFFORT).mask(no_type, NO_TRAP_TYPE)
    why = why.mask(animals["in_scope"] == "", NOT_IDENTIFIED)
    unit = animals[keys[0]].astype(object) if len(keys) == 1 else animals["eventID"] + " " + animals["trap_type"]
    return animals.assign(left_out=why, unit=unit, is_vague=animals["count"].isna())


def all_groups(
    units: pd.DataFrame, animals: pd.DataFrame, by_effort: list[str], by_animal: list[str]
) -> pd.DataFrame:
    """Every group of effort with every group of animals that was met at all, sorted."""
    one = pd.DataFrame({"one": [1]})
    places = pd.concat([units[by_effort], animals[by_effort]]).drop_duplicates() if by_effort else one
    kinds = animals[by_animal].drop_duplicates() if by_animal else one
    frame = places.assign(one=1).merge(kinds.assign(one=1), on="one")
    return frame.sort_values(by_effort + by_animal, kind="stable").reset_index(drop=True)


def sums(frame: pd.DataFrame, by: list[str], what: dict[str, tuple[str, object]]) -> pd.DataFrame:
    """Grouped figures; `one` is a key that every row shares."""
    grouped = frame.assign(one=1).groupby(["one", *by], sort=False)
    return pd.DataFrame({name: grouped[column].agg(how) for name, (column, how) in what.items()}).reset_index()


def reasons(texts: pd.Series) -> str:
    """Distinct reasons with their numbers of rows, the commonest first."""
    counts = texts.value_counts(sort=False).sort_index().sort_values(ascending=False, kind="stable")
    return "; ".join(f"{text} ({number} rows)" for text, number in counts.items())


def with_rates(grouping: Grouping, frame: pd.DataFrame) -> pd.DataFrame:
    """The lines with rate and limits, in the columns of the table. No effort: the rate is missing."""
    limits = catch_rate_limits(frame["captures"], frame["effort"], grouping.per)
    made = frame.assign(
        grouping=grouping.name,
        effort_unit=grouping.unit,
        per=grouping.per,
        rate=catch_per_effort(frame["captures"], frame["effort"], grouping.per),
        lower_95=limits.lower,
        upper_95=limits.upper,
        units_with_zero_catch=frame["units"] - frame["units_with_catch"],
    )
    if "scientificName" in grouping.by_animal:
        made.loc[made["scientificName"] == "", ["rate", "lower_95", "upper_95"]] = float("nan")
    for key in KEYS:
        made[key] = text_column(made, key)
    return made[list(RATE_COLUMNS)]
