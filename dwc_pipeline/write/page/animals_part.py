"""Catch rates, completeness, the account of each species and the animals' safety, from the summary tables."""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.core.records import Records
from dwc_pipeline.write.figures.curve import Curve, curve
from dwc_pipeline.write.figures.interval_plot import IntervalPlot, Rate, interval_plot
from dwc_pipeline.write.page.data_table import NUMBER, TEXT, DataTable, data_table, number_text

#: Points of the curve that its table shows at most; tables/accumulation.csv holds all.
MOST_POINTS = 40
RATE_NAMES = {
    "captures": "captures",
    "first_captures": "first captures",
    "effort": "effort",
    "effort_unit": "unit of effort",
    "per": "rate per",
    "rate": "rate",
    "lower_95": "lower 95 %",
    "upper_95": "upper 95 %",
    "units": "checks or runs",
    "units_with_zero_catch": "of them with none",
    "captures_left_out": "captures left out",
    "units_left_out": "checks or runs left out",
    "left_out_because": "why left out",
}
ESTIMATES = {
    "species_observed": "species observed",
    "individuals_n": "animals n",
    "f1": "f1",
    "f2": "f2",
    "checks_m": "checks m",
    "incidences_U": "incidences U",
    "Q1": "Q1",
    "Q2": "Q2",
    "chao1_classic": "Chao1",
    "chao1_bias_corrected": "Chao1, bias-corrected",
    "chao2_classic": "Chao2",
    "chao2_bias_corrected": "Chao2, bias-corrected",
    "ace": "ACE",
    "ice": "ICE",
    "jackknife_1": "jackknife 1",
    "jackknife_2": "jackknife 2",
    "coverage_of_individuals": "coverage of animals",
    "coverage_of_checks": "coverage of checks",
}
NO_NAME = "not identified"
#: Columns of the species account that add up to its animals.
FATES = ("released", "left_in_place", "removed", "died", "escaped", "dead_on_road", "unknown_fate")


def rates_of(records: Records, *groupings: str) -> pd.DataFrame:
    """The lines of some groupings of the table of catch rates; none where the table is absent."""
    table = records.tables.get("catch_rate", pd.DataFrame(columns=["grouping", "scientificName", *RATE_NAMES]))
    own = table[table["grouping"].isin(groupings)]
    return own.assign(scientificName=own["scientificName"].replace("", NO_NAME))


def species_rates(records: Records) -> tuple[IntervalPlot | None, DataTable]:
    """The figure and its table: catch per 100 trap-nights by species, the highest first."""
    lines = rates_of(records, "species").sort_values(
        ["rate", "scientificName"], ascending=[False, True], kind="stable"
    )
    drawn = lines[lines["rate"].notna()]
    rates = [
        Rate(name, value, lower, upper, f"{value:.2f} (n = {number_text(count)})")
        for name, value, lower, upper, count in zip(
            drawn["scientificName"],
            drawn["rate"],
            drawn["lower_95"],
            drawn["upper_95"],
            drawn["captures"],
            strict=True,
        )
    ]
    names = {"scientificName": "species", **RATE_NAMES}
    return interval_plot(rates), data_table("Captures per 100 trap-nights by species", lines, names)


def other_rates(records: Records) -> list[DataTable]:
    """Catch rates split in the other ways; those without lines are left out."""
    tables = []
    for caption, groupings, keys in (
        ("Catch of the season and of each array", ("season", "array"), {"place": "array"}),
        ("Catch by habitat", ("habitat",), {"habitat": "habitat"}),
        ("Catch by trap type", ("trap type",), {"trap_type": "trap type"}),
        (
            "Catch by species and trap type",
            ("species and trap type",),
            {"scientificName": "species", "trap_type": "trap type"},
        ),
        (
            "Animals on roads, per 100 km and per hour",
            ("road, all species, per 100 km", "road, all species, per hour", "road, per 100 km", "road, per hour"),
            {"grouping": "rate", "scientificName": "species", "vitality": "alive or dead"},
        ),
        (
            "Animals in searches",
            (
                "search, all species, per person-hour",
                "search, all species, per 100 covers",
                "search, per person-hour",
                "search, per 100 covers",
            ),
            {"grouping": "rate", "scientificName": "species"},
        ),
    ):
        lines = rates_of(records, *groupings)
        whole = lines["grouping"].str.contains("all species") | (lines["grouping"] == "season")
        lines = lines.assign(scientificName=lines["scientificName"].mask(whole, "all"))
        if "place" in keys:
            lines["place"] = lines["place"].mask(whole, "all")
        if len(lines):
            tables.append(data_table(caption, lines, {**keys, **RATE_NAMES}))
    return tables


def accumulation(records: Records) -> tuple[Curve | None, DataTable]:
    """The accumulation curve and a table of its points, thinned evenly, the last one kept."""
    empty = pd.DataFrame({"checks": [], "species_expected": [], "sd": []})
    points = records.tables.get("accumulation", empty)
    step = max(-(-len(points) // MOST_POINTS), 1)
    shown = points[(points.index % step == 0) | (points.index == len(points) - 1)].reset_index(drop=True)
    picture = curve(list(shown["checks"]), list(shown["species_expected"]), list(shown["sd"]))
    names = {"checks": "checks", "species_expected": "species expected", "sd": "standard deviation"}
    note = f"Every {step}th point; tables/accumulation.csv holds all." if step > 1 else ""
    return picture, data_table("Species expected in a number of checks", shown, names, note=note)


def estimators(records: Records) -> DataTable | None:
    """The estimators, one column a group of taxa; None where nothing was observed."""
    table = records.tables.get("completeness", pd.DataFrame())
    if table.empty or not table["species_observed"].sum():
        return None
    rows = [[title, *(number_text(value, 3) for value in table[column])] for column, title in ESTIMATES.items()]
    left = table["taxa"] + ": " + table["left_out_because"]
    told = "; ".join(left[table["left_out_because"] != ""])
    note = f"Animals left out: {told}." if told else ""
    kinds = [TEXT, *[NUMBER] * len(table)]
    return DataTable("How complete the list is", ["figure", *table["taxa"]], kinds, rows, note)


def species_table(records: Records) -> DataTable:
    """The account of each species; what became of the animals adds up to their number."""
    names = {
        "scientificName": "name", "animals": "animals", "in_traps": "in traps", "on_roads": "on roads",
        "in_searches": "in searches", "by_chance": "by chance", "new": "new", "recaptures": "recaptures",
        "released": "released", "left_in_place": "left in place", "removed": "removed", "died": "died",
        "escaped": "escaped", "dead_on_road": "dead on road", "unknown_fate": "fate not told",
        "first_date": "first", "last_date": "last", "localities": "places",
    }  # fmt: skip
    table = records.tables.get("species_account", pd.DataFrame(columns=list(names)))
    told = table.assign(scientificName=table["scientificName"].replace("", NO_NAME))
    filled = [one for one in names if one not in FATES or (told[one] != 0).any()]
    parts = " + ".join(names[one] for one in FATES if one in filled)
    note = f"Animals = {parts}; what has no animals has no column." if len(told) else ""
    return data_table("What was met, and what became of it", told, {one: names[one] for one in filled}, note=note)


def welfare_table(records: Records) -> DataTable:
    """What the log says beside the limits of the survey file."""
    names = {
        "place": "array", "sessions": "sessions", "sessions_never_closed": "without a closing", "checks": "checks",
        "longest_interval_hours": "longest interval, h", "limit_hours": "limit, h",
        "checks_over_the_limit": "checks over it", "limit_hours_in_heat": "limit in heat, h",
        "checks_in_heat": "checks in heat", "checks_over_the_limit_in_heat": "of them over the limit",
        "animals": "animals", "deaths": "deaths", "deaths_per_100": "per 100", "deaths_lower_95": "lower 95 %",
        "deaths_upper_95": "upper 95 %", "deaths_told": "each death, as written",
    }  # fmt: skip
    table = records.tables.get("welfare", pd.DataFrame(columns=list(names)))
    return data_table("Checks and deaths by array", table, names, digits=1, note="A blank limit is not set.")
