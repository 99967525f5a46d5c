"""Trap-nights as somebody typed them, where the survey file says that a sheet has nothing better.

They stand in the effort table as typed, with their own convention and without trap-hours, and never beside effort
that was computed for the same array without a word.
"""

from __future__ import annotations

import pandas as pd

from dwc_pipeline.assemble.effort_table import ALL_TRAPS, AS_TYPED
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.findings import findings_on_rows
from dwc_pipeline.core.rule import Rule, Severity, declare

TYPED_AND_COMPUTED = declare(
    Rule(
        "typed-and-computed-effort-together",
        Severity.WARNING,
        "An array has trap-nights that were typed and others that were computed from its log.",
        "Nobody can tell what was taken out of the typed ones (closed, flooded, missing traps), so that a rate over "
        "both compares unlike things.",
        "Say under `effort` of the tables which one holds, or read the two kinds of checks as different arrays.",
    )
)
TYPED_EFFORT_BLANK = declare(
    Rule(
        "typed-effort-is-blank",
        Severity.WARNING,
        "A row of a sheet whose trap-nights count as typed gives none that can be read.",
        "Its effort is unknown, and its animals enter no rate.",
        "Write the trap-nights on the row.",
        asks=True,
    )
)
#: what cannot be said against a check whose effort was typed: it needs no opening and no number of traps
NOT_NEEDED = ("check-of-a-closed-array", "number-of-traps-unknown")


def typed_nights(log: pd.DataFrame, is_typed: pd.Series) -> pd.Series:
    """Trap-nights by log row, of the rows whose sheet gives them as the effort; missing where blank. [trap-nights]"""
    own = log.index[is_typed.reindex(log.index, fill_value=False).astype(bool)]
    own = own[~text_column(log, "action").reindex(own).isin(["opened", "not checked"])]
    return number_column(log, "trap_nights_typed").reindex(own).astype("float64")


def with_typed_effort(lines: pd.DataFrame, intervals: pd.DataFrame, typed: pd.Series) -> pd.DataFrame:
    """The effort lines with one for each visit whose trap-nights were typed, in place of what was computed.

    lines: from `trap_effort_lines`. typed: from `typed_nights`.
    """
    own = intervals[(intervals["kind"] == "trap_log") & intervals["tidy_row"].isin(typed.index)]
    if own.empty:
        return lines
    nights = own["tidy_row"].map(typed)
    first = lines.drop_duplicates("event").set_index("event")
    made = pd.DataFrame({"event": own.index, "place": own["place"].to_numpy(), "trap_type": ALL_TRAPS})
    made["trap_nights"] = made["trap_nights_uncorrected"] = nights.to_numpy()
    made["convention"], made["excluded"] = AS_TYPED, ""
    known = nights.notna().to_numpy()
    made["unknown"] = pd.Series("trap-hours: the sheet gives trap-nights only", index=made.index).where(
        known, "the sheet gives no trap-nights"
    )
    made["source_cells"] = first["source_cells"].reindex(own.index).fillna("").to_numpy()
    kept = lines[~lines["event"].isin(own.index)]
    whole = pd.concat([kept, made.reindex(columns=list(lines.columns))], ignore_index=True)
    return whole.astype(lines.dtypes.to_dict()).sort_values(["event", "trap_type"], kind="stable", ignore_index=True)


def typed_findings(log: pd.DataFrame, traps: pd.DataFrame, intervals: pd.DataFrame, typed: pd.Series) -> pd.DataFrame:
    """Arrays that have both kinds of effort, and rows that give none. traps: lines with `share`, by `interval`."""
    place = text_column(log, "place").reindex(typed.index)
    of_typed = intervals.index[(intervals["kind"] == "trap_log") & intervals["tidy_row"].isin(typed.index)]
    computed = traps[~traps["interval"].isin(of_typed) & traps["share"].notna()]
    both = place[place.isin(computed["place"])].drop_duplicates()
    blank = typed.index[typed.isna() & (place != "")]
    return pd.concat(
        [
            findings_on_rows(
                TYPED_AND_COMPUTED,
                "trap_log",
                both.index,
                "trap_nights_typed",
                value=both,
                cause=both,
                message="some trap-nights of " + both + " are as typed, others computed",
            ),
            findings_on_rows(
                TYPED_EFFORT_BLANK,
                "trap_log",
                blank,
                "trap_nights_typed",
                value=place.reindex(blank),
                message="no trap-nights on this row of " + place.reindex(blank),
            ),
        ],
        ignore_index=True,
    )


def without_needless(findings: pd.DataFrame, typed: pd.Series) -> pd.DataFrame:
    """Findings without those about openings and numbers of traps that typed effort does not need."""
    needless = findings["rule"].isin(NOT_NEEDED) & (findings["kind"] == "trap_log")
    return findings[~(needless & findings["tidy_row"].isin(typed.index))]
