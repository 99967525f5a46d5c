"""Masses of rows that give the mass of a bag too: the bag is taken off, is off already, or the sheet is asked.

What the mass is, is a habit of the sheet (survey file, habits.mass_is). Where it does not say, the header may ("net
wt", "mass with bag"); a mass below that of its own bag shows that the bag is off. All other sheets are asked once,
and the masses in question stay blank.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

import pandas as pd

from dwc_pipeline.core.changes import changes_on_rows, join_changes
from dwc_pipeline.core.columns import number_column, text_column
from dwc_pipeline.core.distinct import on_distinct, on_distinct_rows
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.sheet_habits import WITH_BAG, WITHOUT_BAG, habit_questions, habits_of, sheet_cause
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.normalise.column_reading import ASKED
from dwc_pipeline.normalise.field_readers import Around
from dwc_pipeline.normalise.measurement_words import BAG_WORDS

MASS, BAG = "body_mass", "bag_mass"
#: rules of the changes
TAKEN_OFF, WAITS, NO_NET = "bag-taken-off", "bag-in-the-mass-not-known", "no-mass-without-the-bag"
OFF_AFTER = r"\bbag\s+(?:was\s+|is\s+)?(?:subtracted|deducted|(?:taken\s+)?off|removed|excluded|excl\.?)(?!\w)"
NET_IN_HEADER = re.compile(rf"\bnet\b|\b(?:without|w/o|less|minus|excl\w*\.?)\s+(?:the\s+)?bag\b|{OFF_AFTER}", re.I)
GROSS_IN_HEADER = re.compile(
    r"\bgross\b|(?:\b(?:with|incl\w*\.?|in|plus)\s+|\bw/\s*|\+\s*)(?:the\s+)?bag\b|\bbag\s+incl", re.I
)
SPEAKS_OF_BAG = r"\b(?:bags?|bagged|gross|net|tared?)\b"
#: remarks quoted in a question; our choice
QUOTED = 2

MASS_BELOW_ITS_BAG = declare(
    Rule(
        "mass-with-its-bag-not-above-the-bag",
        Severity.ERROR,
        "The sheet gives masses with the bag, and this one is not above that of the bag alone.",
        "Nothing is left for the animal: one of the two numbers is a slip, or it was weighed without the bag.",
        "Look at the field book and correct the cell, or clear the bag if it is off already. Until then the mass "
        "stays blank.",
    )
)
BAG_NOT_READ = declare(
    Rule(
        "mass-with-a-bag-that-cannot-be-read",
        Severity.WARNING,
        "The sheet gives masses with the bag, and the mass of this bag cannot be read.",
        "What the animal weighs cannot be told from the mass with the bag.",
        "Correct the cell of the bag, or answer the question about it. Until then the mass stays blank.",
    )
)
BAG_SHOWN_OFF = declare(
    Rule(
        "bag-shown-to-be-off",
        Severity.NOTE,
        "A mass below that of its own bag shows that the sheet gives masses without the bag; they stay as typed.",
        "If that one mass is a slip, the others may still have the bag in them.",
        "Look at the row. Write mass_is under [table.habits] in the survey file to say it for good.",
    )
)


class Weighed(NamedTuple):
    """What became of the masses: standard rows, findings, changes, questions that answers settled."""

    rows: pd.DataFrame
    findings: pd.DataFrame
    changes: pd.DataFrame
    answered: frozenset[str]


def take_off_bags(rows: pd.DataFrame, tidy: TidyTable, around: Around, unread: pd.Index) -> Weighed:
    """The captures with net masses where their sheet tells what its masses are.

    rows: standard rows, masses as decimal text in g. unread: rows whose bag is typed and cannot be read.
    Masses whose own cell tells of the bag (96-17.5) are left as they are.
    """
    weighed = with_a_bag(rows, tidy, unread)
    if weighed.empty:
        return Weighed(rows, join_findings([]), join_changes([]), frozenset())
    weighed["cause"] = weighed["source"].map(
        {n: sheet_cause(source.table.file, source.table.sheet) for n, source in around.sources.items()}
    )
    habits, answered = bags_of_sources(weighed, tidy, around)
    habit = weighed["source"].map(habits)
    below = weighed["mass"] < weighed["bag"]
    shown = (habit == "") & below.groupby(weighed["cause"]).transform("any")
    shown &= ~weighed["said_with"].groupby(weighed["cause"]).transform("any")
    first = weighed[shown & below].drop_duplicates("cause")
    asked = weighed[(habit == "") & ~shown]
    rows, found, changes = without_bags(rows, weighed[habit == WITH_BAG])
    rows, waiting = left_blank(rows, asked.index, WAITS, "the mass may have the bag in it")
    told = findings_on_rows(
        BAG_SHOWN_OFF, "capture", first.index, MASS, value=first["mass_text"], cause=first["cause"],
        message="mass " + first["mass_text"] + " g, bag " + first["bag_text"] + " g: taken as masses without the bag",
    )  # fmt: skip
    question = habit_questions(
        "mass_is", "capture", asked[["cause"]].assign(value=asked["mass_text"]), messages(asked), MASS
    )
    return Weighed(rows, join_findings([found, told, question]), join_changes([changes, waiting]), answered)


def with_a_bag(rows: pd.DataFrame, tidy: TidyTable, unread: pd.Index) -> pd.DataFrame:
    """Rows with a mass and a bag: mass and bag in g and as text, source, remark, said_with."""
    mass, bag = number_column(rows, MASS), number_column(rows, BAG)
    cell_tells = text_column(rows, f"{MASS}/measurementMethod").str.startswith("bag ")
    if MASS in tidy.text:
        cell_tells |= on_distinct(tidy.verbatim(MASS), lambda texts: texts.str.contains(BAG_WORDS))
    there = mass.notna() & ((bag > 0) | rows.index.isin(unread)) & ~cell_tells
    remark = text_column(rows, "occurrenceRemarks")[there]
    return pd.DataFrame(
        {
            "mass": mass[there], "bag": bag[there], "source": tidy.origin["source"][there], "remark": remark,
            "mass_text": text_column(rows, MASS)[there], "bag_text": text_column(rows, BAG)[there],
            "said_with": remark.str.contains(GROSS_IN_HEADER) & ~remark.str.contains(NET_IN_HEADER),
        }
    )  # fmt: skip


def bags_of_sources(
    weighed: pd.DataFrame, tidy: TidyTable, around: Around
) -> tuple[Mapping[int, str], frozenset[str]]:
    """What the masses of each source are, by the survey file, an answer or the header; the questions settled."""
    own = weighed.drop_duplicates("source")
    sources = [around.sources[int(number)] for number in own["source"]]
    declared = [source.entry.habits.mass_is or told_by_header(source.header(tidy, MASS)) for source in sources]
    found, settled = habits_of("mass_is", zip(declared, own["cause"], strict=True), around.records.reference.answers)
    return {source.number: said for source, said in zip(sources, found, strict=True)}, settled


def told_by_header(header: str) -> str:
    """What a header says of the bag in its masses; "" where it says nothing.

    >>> told_by_header("Weight in g (bag subtracted)"), told_by_header("gross mass"), told_by_header("Mass")
    ('without the bag', 'with the bag', '')
    """
    if NET_IN_HEADER.search(header):
        return WITHOUT_BAG
    return WITH_BAG if GROSS_IN_HEADER.search(header) else ""


def without_bags(rows: pd.DataFrame, gross: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """The rows with the bag taken off the gross masses; findings and blanks where that leaves nothing; changes."""
    unread = gross.index[gross["bag"].isna()]
    nothing = gross[gross["mass"] <= gross["bag"]]
    net = gross[gross["mass"] > gross["bag"]]
    pairs = net[["mass_text", "bag_text"]]
    number = on_distinct_rows(pairs, differences)
    both = "mass " + pairs["mass_text"] + " g with the bag, bag " + pairs["bag_text"] + " g"
    changes = [changes_on_rows("capture", net.index, MASS, pairs["mass_text"], number, TAKEN_OFF, both)]
    rows = with_values(rows, MASS, number)
    rows = with_values(
        rows, f"{MASS}/measurementMethod", "bag " + pairs["bag_text"] + " taken off " + pairs["mass_text"]
    )
    accuracy = pd.DataFrame(
        {name: text_column(rows, f"{name}/measurementAccuracy").reindex(net.index) for name in (MASS, BAG)}
    )
    rows = with_values(rows, f"{MASS}/measurementAccuracy", on_distinct_rows(accuracy, sums))
    rows, lost = left_blank(rows, nothing.index.union(unread), NO_NET, "the mass with the bag tells no net mass")
    found = [
        findings_on_rows(
            MASS_BELOW_ITS_BAG, "capture", nothing.index, MASS, value=nothing["mass_text"],
            message="mass " + nothing["mass_text"] + " g with the bag, bag alone " + nothing["bag_text"] + " g",
        ),
        findings_on_rows(
            BAG_NOT_READ, "capture", unread, MASS, value=gross["mass_text"].reindex(unread),
            message="mass " + gross["mass_text"].reindex(unread) + " g with the bag, whose own mass cannot be read",
        ),
    ]  # fmt: skip
    return rows, join_findings(found), join_changes([*changes, lost])


def differences(pairs: pd.DataFrame) -> pd.Series:
    """First column less the second, of decimal texts; exact, with the digits of the finer of the two."""
    found = [f"{Decimal(a) - Decimal(b):f}" for a, b in pairs.to_numpy()]
    return pd.Series(found, index=pairs.index, dtype=object)


def sums(pairs: pd.DataFrame) -> pd.Series:
    """Both columns together, of decimal texts; "" where one is not known."""
    found = [f"{Decimal(a) + Decimal(b):f}" if a and b else "" for a, b in pairs.to_numpy()]
    return pd.Series(found, index=pairs.index, dtype=object)


def with_values(rows: pd.DataFrame, column: str, values: pd.Series) -> pd.DataFrame:
    """The rows with the column set where there are values; the rest as it was."""
    told = text_column(rows, column).astype(object)
    told.loc[values.index] = values
    return rows.assign(**{column: told})


def left_blank(rows: pd.DataFrame, at: pd.Index, rule: str, note: str) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows without the mass at some of them, where it waits for a person; the changes."""
    if at.empty:
        return rows, join_changes([])
    changes = changes_on_rows("capture", at, MASS, text_column(rows, MASS)[at], "", rule, note)
    rows = with_values(rows, MASS, pd.Series("", index=at, dtype=object))
    return with_values(rows, f"{MASS}/{ASKED}", pd.Series("true", index=at, dtype=object)), changes


def messages(asked: pd.DataFrame) -> pd.Series:
    """The question with what speaks for either reading, by row; the same for all rows of a sheet."""
    told = {cause: evidence(own) for cause, own in asked.groupby("cause", sort=False)}
    return asked["cause"].map(told).astype(object)


def evidence(own: pd.DataFrame) -> str:
    """What the rows of one sheet say of their bags."""
    below = own[own["mass"] < own["bag"]]
    example = own.iloc[0]
    pair = f"mass {example['mass_text']} g and bag {example['bag_text'] or '?'} g"
    parts = [f"is the bag still in the mass, as in {pair}, or taken off already?"]
    if len(below):
        first = below.iloc[0]
        pair = f"{first['mass_text']} and {first['bag_text']} g"
        parts.append(f"masses below their bag speak for without: {len(below)} of {len(own)} ({pair})")
    else:
        parts.append(f"none of {len(own)} masses is below its bag")
    said = own.loc[own["remark"].str.contains(SPEAKS_OF_BAG, case=False), "remark"].unique()[:QUOTED]
    if len(said):
        parts.append("remarks: " + ", ".join(f"'{one}'" for one in said))
    return "; ".join(parts)
