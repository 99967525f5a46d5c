"""The effort table: one line a check interval and trap type, one a road run or search."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dwc_pipeline.core.answers import WAITS
from dwc_pipeline.core.columns import as_text, mapped, where_true

EFFORT_COLUMNS = (
    "event",
    "place",
    "trap_type",
    "traps_total",
    "traps_catching",
    "trap_nights",
    "trap_nights_uncorrected",
    "trap_hours",
    "array_nights",
    "person_hours",
    "distance_km",
    "convention",
    "excluded",
    "unknown",
    "source_cells",
)
ALL_TRAPS = "all"
#: convention of trap-nights that the sheet itself gives
AS_TYPED = "as typed on the sheet"
WHOLE = ("trap_nights", "trap_nights_uncorrected", "trap_hours")


def trap_effort_lines(
    traps: pd.DataFrame, intervals: pd.DataFrame, convention: str, cells: pd.Series
) -> pd.DataFrame:
    """One line an interval and trap type, numbers as floats, `event` being the row of `intervals`.

    known_nights: trap-nights of the traps whose state is known; more than those nobody can promise. [trap-nights]

    traps: from `add_effort`. cells: where the log row of each interval stands, by interval.
    array_nights is given once an interval, on its first line: sums over lines are then right.
    """
    waits = traps["why"].str.endswith(WAITS)
    marked = traps.assign(
        out=(traps["trap"] + " " + traps["why"]).where((traps["why"] != "") & ~waits, ""),
        doubt=traps["trap"].where(traps["trap_nights"].isna(), ""),
        catching=traps["share"].where(traps["share"] > 1, traps["share"].clip(upper=1)),
        total=traps["share"].where(traps["share"] > 1, 1.0),
    )
    keys = ["interval", "trap_type"]
    grouped = marked.groupby(keys, sort=True)
    # Missing where any part is missing, so that an unknown trap is never counted as none.
    whole = grouped[["catching", *WHOLE]].sum(skipna=False).rename(columns={"catching": "traps_catching"})
    lines = whole.assign(
        place=grouped["place"].first(),
        traps_total=grouped["total"].sum(),
        excluded=said(marked, "out", keys),
        known_nights=grouped["trap_nights"].sum(),
        doubt=said(marked, "doubt", keys),
    )
    lines[["excluded", "doubt"]] = lines[["excluded", "doubt"]].fillna("")
    lines = lines.reset_index()
    some = marked[marked["share"] > 0].groupby("interval")["nights"].max()
    lines["array_nights"] = lines["interval"].map(some).fillna(0.0).where(~lines["interval"].duplicated(), 0.0)
    lines.loc[lines["trap_nights"].isna(), "array_nights"] = np.nan
    lines["unknown"] = (
        where_true(lines["trap_hours"].isna(), "trap-hours: a time is missing")
        + where_true(lines["trap_nights"].isna(), "; trap-nights: the state or the time of a trap is not known")
        + (" (" + lines["doubt"].str.replace(" | ", ", ") + "); at least " + as_text(lines["known_nights"], 2)).where(
            lines["trap_nights"].isna() & (lines["known_nights"] > 0), ""
        )
    ).str.removeprefix("; ")
    missing = intervals.index.difference(lines["interval"])
    nothing = pd.DataFrame(
        {
            "interval": missing,
            "place": intervals["place"].reindex(missing).to_numpy(),
            "trap_type": ALL_TRAPS,
            "excluded": "",
            "unknown": "the log does not say since when, or with which traps, the array was open",
        }
    )
    every = pd.concat([lines, nothing], ignore_index=True).sort_values(["interval", "trap_type"])
    every["convention"] = convention
    every["source_cells"] = mapped(every["interval"], cells)
    every["person_hours"] = every["distance_km"] = np.nan
    return every.rename(columns={"interval": "event"})[[*EFFORT_COLUMNS, "known_nights"]].reset_index(drop=True)


def run_effort_lines(runs: pd.DataFrame, cells: pd.Series) -> pd.DataFrame:
    """One line a road run or search, `event` being the row of `runs`."""
    lines = pd.DataFrame(index=runs.index)
    lines["event"], lines["place"], lines["trap_type"] = runs.index, runs["place"], ALL_TRAPS
    for name in (
        "traps_total",
        "traps_catching",
        "trap_nights",
        "trap_nights_uncorrected",
        "trap_hours",
        "array_nights",
    ):
        lines[name] = np.nan
    lines["person_hours"], lines["distance_km"] = runs["person_hours"], runs["distance_km"]
    lines["convention"], lines["excluded"] = "", ""
    lines["unknown"] = where_true(
        runs["person_hours"].isna(), "person-hours: a time or the number of people is missing"
    )
    lines["source_cells"] = mapped(lines["event"], cells)
    return lines[list(EFFORT_COLUMNS)].reset_index(drop=True)


def said(lines: pd.DataFrame, name: str, keys: list[str]) -> pd.Series:
    """The texts of a column that say something, " | " between, by the keys; keys without any are left out."""
    told = lines[lines[name].fillna("") != ""]
    return told[name].astype(object).groupby([told[key] for key in keys]).agg(" | ".join)


def effort_words(lines: pd.DataFrame, convention: str) -> pd.DataFrame:
    """samplingEffort in words and the numbers of each event: trap_nights, trap_hours, words."""
    grouped = lines.groupby("event")
    whole = grouped[["traps_catching", "trap_nights", "trap_hours"]].sum(skipna=False)
    totals = whole.set_axis(["catching", "nights", "hours"], axis=1).assign(
        total=grouped["traps_total"].sum(),
        excluded=said(lines, "excluded", ["event"]),
        least=grouped["known_nights"].sum(),
        convention=grouped["convention"].first(),
    )
    totals["excluded"] = totals["excluded"].fillna("")
    known = totals["nights"].notna()
    words = (
        as_text(totals["catching"], 2)
        + " of "
        + as_text(totals["total"], 0)
        + " traps catching; "
        + as_text(totals["nights"], 2)
        + f" trap-nights ({convention})"
        + ("; " + as_text(totals["hours"], 2) + " trap-hours").where(totals["hours"].notna(), "")
        + ("; not catching: " + totals["excluded"].str.replace(" | ", ", ")).where(totals["excluded"] != "", "")
    )
    by_sheet = as_text(totals["nights"], 2) + f" trap-nights, {AS_TYPED}"
    words = words.mask(totals["convention"] == AS_TYPED, by_sheet)
    at_least = "; at least " + as_text(totals["least"], 2) + f" trap-nights ({convention})"
    unknown = "effort not known" + at_least.where(totals["least"] > 0, "")
    return totals.assign(words=words.where(known, unknown))
