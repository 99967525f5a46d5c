"""Totals of a taxon in an event, and what an event says of its quantities and of by-catch.

Sources: "isLeastSpecificTargetCategoryQuantityInclusive guidelines" (2024-02-28), section 3 (normative); Humboldt
Extension list of terms 2026-05-26 (comments).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags, rows_at_fault
from dwc_pipeline.check.hierarchy.event_tree import EventTree, is_non_detection, judged
from dwc_pipeline.check.hierarchy.scope_rules import event_faults, numbers_of
from dwc_pipeline.check.values.humboldt_values import INCLUSIVE, words
from dwc_pipeline.core.kept_column import keys_of
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC

GUIDELINES = "isLeastSpecificTargetCategoryQuantityInclusive guidelines (2024-02-28)"
TERMS = "Humboldt Extension list of terms 2026-05-26"
#: what may split the animals of a taxon in one event; subsets of different axes are never added to each other
AXES = ("lifeStage", "sex", "reproductiveCondition", "caste", "vitality", "degreeOfEstablishment")
RANKS = ("kingdom", "phylum", "class", "order", "superfamily", "family", "subfamily", "genus", "scientificName")
#: keeps the number of a kind apart from the same number of a name
ODD = np.uint64(0x9E3779B97F4A7C15)
#: records with quantities that are compared at once
ROWS_AT_ONCE = 200_000
QUANTITY, QUANTITY_TYPE = DWC + "organismQuantity", DWC + "organismQuantityType"


def quantity_records(tree: EventTree) -> pd.DataFrame:
    """Occurrence rows with a number in organismQuantity, by their label: event, taxon, quantity, axis.

    taxon: a number for the species and the type of the quantity together; several names of one species are one
    taxon, and a subspecies is a subset of its species. axis: which of the terms of AXES narrow the row down, a bit
    each, the first for the subspecies; 0 for a row that speaks of the whole taxon.
    """
    occurrences = tree.occurrences
    if occurrences is None or not occurrences.has(QUANTITY):
        return _as_records([])
    terms = [QUANTITY, QUANTITY_TYPE, DWC + "scientificName", *(DWC + axis for axis in AXES)]
    labels = occurrences.rows.index
    found = []
    for first, (quantities, kinds, names, *axes) in occurrences.text_blocks(terms):
        quantity, at = numbers_of(quantities), tree.at[first : first + len(names)]
        chosen = np.isfinite(quantity) & (at >= 0) & (names != "")
        number, distinct = pd.factorize(names[chosen])
        species = [species_of(name) for name in distinct]
        is_subset = np.array([one != own for one, own in zip(distinct, species, strict=True)] or [False])
        marks = np.where(is_subset[number], 1, 0).astype(np.uint8)
        for bit, texts in enumerate(axes, 1):
            marks |= np.where(texts[chosen] != "", 1 << bit, 0).astype(np.uint8)
        taxon = keys_of([*species, ""])[number] ^ (keys_of(kinds[chosen]) * ODD)
        found.append((labels[first : first + len(names)][chosen], at[chosen], taxon, quantity[chosen], marks))
    return _as_records(found)


def _as_records(blocks: Sequence[tuple[pd.Index, np.ndarray, np.ndarray, np.ndarray, np.ndarray]]) -> pd.DataFrame:
    types = {"event": np.int32, "taxon": np.uint64, "quantity": np.float64, "axis": np.uint8}
    columns = {
        name: np.concatenate([np.empty(0, kind), *(block[place].astype(kind, copy=False) for block in blocks)])
        for place, (name, kind) in enumerate(types.items(), 1)
    }
    labels = np.concatenate([np.empty(0, np.int32), *(block[0].to_numpy(dtype=np.int32) for block in blocks)])
    return pd.DataFrame(columns, index=pd.Index(labels), copy=False)


def in_order(labels: Sequence[pd.Index]) -> np.ndarray:
    """Labels of rows in the order of the rows."""
    return np.sort(np.concatenate([one.to_numpy() for one in labels]))


def species_of(name: str) -> str:
    """The species that a name of three words belongs to; any other name as it is. Authors are not names.

    >>> species_of("Ambystoma tigrinum diaboli"), species_of("Anaxyrus"), species_of("Spea bombifrons Cope, 1863")
    ('Ambystoma tigrinum', 'Anaxyrus', 'Spea bombifrons Cope, 1863')
    """
    parts = name.split()
    lower = (
        len(parts) == 3 and parts[0][:1].isupper() and all(part.isalpha() and part.islower() for part in parts[1:])
    )
    return " ".join(parts[:2]) if lower else name


def taxon_totals(records: pd.DataFrame, inclusive: dict[int, bool]) -> pd.Series:
    """Totals by event and taxon, as a reader has to compute them.

    records: as from `quantity_records`. inclusive: event -> answer of isLeastSpecificTargetCategoryQuantityInclusive;
    events that are not named are left out. true: the one row that speaks of the whole taxon, missing where there is
    none or more than one. false: all rows added up.
    Source: guidelines, section 3.
    """
    answer = records["event"].map(inclusive)
    keys = ["event", "taxon"]
    added = records[answer.eq(False)].groupby(keys)["quantity"].sum()
    is_whole = answer.eq(True) & (records["axis"] == 0)
    whole = records[is_whole].groupby(keys)["quantity"].agg(["size", "first"])
    return pd.concat([added, whole.loc[whole["size"] == 1, "first"]]).sort_index()


def _compared_with(tree: EventTree, answer: str) -> Iterator[pd.DataFrame]:
    """Rows of taxa with subsets at the events with some answer, a stretch of the events at a time."""
    records = tree.once("quantities", lambda: quantity_records(tree))
    has_answer = np.asarray(tree.eco(INCLUSIVE) == answer, dtype=bool)
    if not len(records) or not has_answer.any():
        return
    event = records["event"].to_numpy()
    stretches = len(records) // ROWS_AT_ONCE + 1
    ends = np.searchsorted(np.cumsum(np.bincount(event)), len(records) * np.arange(1, stretches + 1) / stretches) + 1
    for start, end in itertools.pairwise([0, *ends]):
        chosen = (event >= start) & (event < end)
        chosen[chosen] = has_answer[event[chosen]]
        if chosen.any():
            yield _compared(records[chosen])


def _compared(records: pd.DataFrame) -> pd.DataFrame:
    """Rows of taxa with subsets, with number and sum of the whole rows and the largest sum on one axis."""
    group = records.groupby(["event", "taxon"], sort=False).ngroup().to_numpy()
    axis, which = np.unique(records["axis"].to_numpy(), return_inverse=True)
    count, axes = int(group.max(initial=-1)) + 1, len(axis)
    is_whole, quantity = (records["axis"] == 0).to_numpy(dtype=bool), records["quantity"].to_numpy()
    wholes = np.bincount(group[is_whole], minlength=count)
    total = np.bincount(group[is_whole], quantity[is_whole], minlength=count)
    part = (group * axes + which)[~is_whole]
    sums = np.bincount(part, quantity[~is_whole], minlength=count * axes).reshape(count, axes)
    there = np.bincount(part, minlength=count * axes).reshape(count, axes) > 0
    largest = np.where(there, sums, -np.inf).max(axis=1, initial=-np.inf)
    chosen = (there.sum(axis=1) > 0)[group]
    at = group[chosen]
    return records[chosen].assign(parts=largest[at], wholes=wholes[at], total=total[at])


@flags(
    Rule(
        id="total-of-a-taxon-is-missing",
        severity=Severity.ERROR,
        what="Quantities are called inclusive, a taxon has subsets in an event and not exactly one total.",
        why="The reader takes the total from that row: without it, or with two, the number of animals is lost.",
        remedy=f"Add one row for the taxon without sex, stage or lower taxon, or write {INCLUSIVE} false.",
        source=f"{GUIDELINES}, section 3 (MUST)",
    )
)
def total_check(tree: EventTree) -> Iterator[Fault]:
    """Inclusive quantities have one total."""
    wrong = [
        compared.index[((compared["wholes"] != 1) & (compared["axis"] != 0)).to_numpy()]
        for compared in _compared_with(tree, "true")
    ]
    if tree.occurrences is not None and wrong:
        what = "has subsets and not exactly one row with the total"
        yield from rows_at_fault(tree.occurrences, in_order(wrong), what, DWC + "scientificName")


@flags(
    Rule(
        id="subsets-exceed-their-total",
        severity=Severity.ERROR,
        what="Quantities are called inclusive, and the subsets of a taxon in an event add up to more than its total.",
        why="Three adults cannot be part of two animals: a number is wrong, or the quantities are not inclusive.",
        remedy=f"Correct the numbers, or write {INCLUSIVE} false.",
        source=f"{GUIDELINES}, section 3 (MUST NOT)",
    )
)
def subsets_check(tree: EventTree) -> Iterator[Fault]:
    """Subsets fit into the total, on each axis for itself."""
    wrong = []
    for compared in _compared_with(tree, "true"):
        is_whole = (compared["wholes"] == 1) & (compared["axis"] == 0)
        wrong.append(compared.index[(is_whole & (compared["parts"] > compared["total"])).to_numpy()])
    if tree.occurrences is not None and wrong:
        yield from rows_at_fault(tree.occurrences, in_order(wrong), "is less than its subsets together", QUANTITY)


@flags(
    Rule(
        id="quantity-inclusive-is-not-said",
        severity=Severity.WARNING,
        what=f"A taxon has subsets in an event, and {INCLUSIVE} is empty.",
        why="Nobody can tell whether the juveniles are part of the total or come on top of it.",
        remedy="Write true if one row has the total, false if all rows are to be added up.",
        source=f"{GUIDELINES}, section 2 (not normative: strictly needed only then)",
    )
)
def unsaid_check(tree: EventTree) -> Iterator[Fault]:
    """Where subsets stand beside a total it is said how to add up."""
    if tree.humboldt is None:
        return
    found = [compared.loc[compared["wholes"] > 0, "event"].to_numpy(np.intp) for compared in _compared_with(tree, "")]
    events = np.unique(np.concatenate([np.empty(0, np.intp), *found]))
    yield from event_faults(tree, events, INCLUSIVE, "has a taxon with a total and subsets")


@flags(
    Rule(
        id="abundance-reported-and-not-there",
        severity=Severity.NOTE,
        what="isAbundanceReported is true, and a detection of the event has no organismQuantity or individualCount.",
        why="The data promise numbers that are not there.",
        remedy="Fill in the numbers, or write false.",
        source=f"{TERMS}, comment of isAbundanceReported (values normally in organismQuantity and its type)",
    )
)
def abundance_check(tree: EventTree) -> Iterator[Fault]:
    """Abundance that is reported is there."""
    if tree.occurrences is None or not tree.has_eco("isAbundanceReported"):
        return
    rows = tree.occurrences
    bare = (rows.text(QUANTITY) == "") & (rows.text(DWC + "individualCount") == "")
    detected = ~judged(rows.text(DWC + "occurrenceStatus"), is_non_detection)
    promised = (tree.eco("isAbundanceReported") == "true")[np.maximum(tree.at, 0)] & (tree.at >= 0)
    wrong = rows.rows.index[(bare & detected).to_numpy() & promised.astype(bool)]
    what = "has no number, though its event reports abundance"
    yield from rows_at_fault(rows, wrong, what, DWC + "scientificName")


@flags(
    Rule(
        id="non-target-taxa-disagree-with-the-records",
        severity=Severity.WARNING,
        what="hasNonTargetTaxa is false though an animal of the event is outside its scope, or true though none is.",
        why="By-catch is lost, or looked for in vain.",
        remedy="Correct hasNonTargetTaxa, or the classification of the animals.",
        source=f"{TERMS}, comment of hasNonTargetTaxa; judged only where all words of the scope stand in the "
        "classification of some animal of the archive, and the animal is classified",
    )
)
def non_target_check(tree: EventTree) -> Iterator[Fault]:
    """hasNonTargetTaxa is true exactly where an animal is outside the scope."""
    answers = tree.eco("hasNonTargetTaxa")
    if tree.occurrences is None or not np.isin(answers, ["true", "false"]).any():
        return
    outside = _outside_scope(tree)
    some = np.bincount(tree.at[outside == 1], minlength=len(answers)) > 0
    unknown = np.bincount(tree.at[outside == -1], minlength=len(answers)) > 0
    untold = (answers == "false") & some
    # An event above others may mean the by-catch of its children.
    idle = (answers == "true") & ~some & ~unknown & ~tree.is_parent & (tree.own_occurrences > 0)
    yield from event_faults(
        tree, np.flatnonzero(untold), "hasNonTargetTaxa", "has an animal outside its scope and says none"
    )
    yield from event_faults(
        tree, np.flatnonzero(idle), "hasNonTargetTaxa", "has no animal outside its scope and says some"
    )


def _outside_scope(tree: EventTree) -> np.ndarray:
    """For each occurrence: 1 outside the scope of its event, 0 inside, -1 cannot be told, -2 has no event."""
    rows = tree.occurrences
    assert rows is not None
    ranks = [DWC + rank for rank in RANKS if rows.has(DWC + rank)]
    lineages = _joined([rows.text(rank) for rank in ranks], rows.rows.index)
    known_words = {word.casefold() for lineage in lineages.unique() for word in lineage.split("\x1f") if word}
    target, excluded = tree.eco("targetTaxonomicScope"), tree.eco("excludedTaxonomicScope")
    is_classified = (rows.text(DWC + "family") != "") & (rows.text(DWC + "order") != "")
    table = pd.DataFrame({
        "lineage": lineages.to_numpy(), "classified": is_classified.to_numpy(),
        "target": np.where(tree.at >= 0, target[np.maximum(tree.at, 0)], ""),
        "excluded": np.where(tree.at >= 0, excluded[np.maximum(tree.at, 0)], ""),
    })  # fmt: skip
    codes = table.groupby(list(table.columns), sort=False).ngroup().to_numpy()
    distinct = table.drop_duplicates().itertuples(index=False, name=None)
    told = [_place_of(row[0], row[1], row[2], row[3], known_words) for row in distinct]
    return np.where(tree.at >= 0, np.array(told or [-1])[codes], -2)


def _joined(columns: Sequence[pd.Series], index: pd.Index) -> pd.Series:
    """The distinct combinations of some columns as one text each."""
    codes = np.zeros(len(index), dtype=np.int64)
    for column in columns:
        own, distinct = pd.factorize(column)
        codes = pd.factorize(codes * (len(distinct) + 1) + own)[0].astype(np.int64)
    firsts = pd.Index(codes).drop_duplicates()
    rows = np.flatnonzero(~pd.Series(codes).duplicated())
    texts = ["".join(f"{column.iloc[row]}\x1f" for column in columns) for row in rows]
    return pd.Series(pd.Series(texts, index=firsts, dtype=object).reindex(codes).to_numpy(), index=index)


def _place_of(lineage: str, classified: bool, target: str, excluded: str, known: set[str]) -> int:
    wanted, unwanted = ({word.casefold() for word in words(text)} for text in (target, excluded))
    own = {word.casefold() for word in lineage.split("\x1f") if word}
    if not wanted or not (wanted | unwanted) <= known:
        return -1
    if own & wanted and not own & unwanted:
        return 0
    return 1 if classified else -1


QUANTITY_CHECKS: Sequence[Check[EventTree]] = (
    total_check, subsets_check, unsaid_check, abundance_check, non_target_check,
)  # fmt: skip
