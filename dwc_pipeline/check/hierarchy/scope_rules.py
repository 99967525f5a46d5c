"""Which level of a hierarchy says what: scopes, effort, completeness, vouchers.

Source: Humboldt Extension, "Properties of hierarchical events" (2024-02-28), section 3 (normative). Whether a value
was derived, or a scope thought up afterwards, cannot be seen in the data: such rules are hints and say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags, rows_at_fault
from dwc_pipeline.check.hierarchy.event_tree import EventTree, is_non_detection, judged
from dwc_pipeline.check.identifier_keys import Flags
from dwc_pipeline.check.quality.reading import as_number
from dwc_pipeline.check.values.humboldt_values import FIELDS, words
from dwc_pipeline.core.archive_contents import ArchivePart
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC, ECO

HIERARCHY = "Humboldt Extension, properties of hierarchical events (2024-02-28)"
SCOPE_TERMS = tuple(name for name in FIELDS if name.startswith(("target", "excluded")) and name.endswith("Scope"))
#: terms from which absence is inferred
INFERENCE_TERMS = (
    *SCOPE_TERMS,
    "taxonCompletenessReported",
    "taxonCompletenessProtocols",
    "isTaxonomicScopeFullyReported",
)
#: numbers that a higher event should not have from adding up; a duration is left out, visits fill a session by nature
ADDED_UP = ("samplingEffortValue", "totalAreaSampledValue", "siteCount")
#: lists that a higher event should not have from collecting
COLLECTED = ("materialSampleTypes", "voucherInstitutions", "samplingPerformedBy", "absentTaxa", "nonTargetTaxa")
#: terms that speak of the records of an event
OF_RECORDS = ("hasVouchers", "voucherInstitutions", "hasMaterialSamples", "materialSampleTypes")


def _filled(tree: EventTree, name: str) -> Flags:
    return np.asarray(tree.eco(name) != "", dtype=bool)


def _children(tree: EventTree) -> tuple[np.ndarray, np.ndarray]:
    inside = np.flatnonzero(tree.is_child & ~tree.in_cycle)
    return inside, tree.parent[inside]


def event_faults(tree: EventTree, positions: np.ndarray, name: str, what: str) -> Iterator[Fault]:
    """Faults of events about a Humboldt term: at the Humboldt row of the event, else at its row in the core."""
    term = ECO + name
    if tree.humboldt is not None and tree.humboldt.has(term):
        rows = pd.Series(tree.humboldt.rows.index, index=tree.own)
        rows = rows[~rows.index.duplicated()]
        there = positions[np.isin(positions, rows.index.to_numpy())]
        positions = np.setdiff1d(positions, there)
        event_of = dict(zip(rows.loc[there], tree.labels(there), strict=True))

        def shown(records: Sequence[int]) -> list[str]:
            return tree.ids_at([event_of[record] for record in records])

        yield from rows_at_fault(tree.humboldt, list(event_of), f"{what}: {name}", term, shown)
    for fault in rows_at_fault(tree.events, tree.labels(positions), f"{what}: {name}", "", tree.ids_at):
        yield fault._replace(field=name)


@flags(
    Rule(
        id="scope-is-missing-on-a-child",
        severity=Severity.ERROR,
        what="A scope, or what is said of its completeness, is filled on an event and empty on a child of it.",
        why="Absence may only be read where the scope is written: a visit without it counts as if nobody had looked.",
        remedy="Repeat the term on every child to which it applies; what was not part of the survey, such as a find "
        "by chance, belongs under another parent.",
        source=f"{HIERARCHY} 3.2.4 (MUST: the highest event and all its children)",
    )
)
def inference_check(tree: EventTree) -> Iterator[Fault]:
    """What absence is inferred from stands on all levels below."""
    children, parents = _children(tree)
    for name in INFERENCE_TERMS:
        if tree.has_eco(name):
            filled = _filled(tree, name)
            wrong = children[filled[parents] & ~filled[children]]
            yield from event_faults(tree, wrong, name, "lacks a term that its parent has")


@flags(
    Rule(
        id="value-stands-on-the-broader-event-only",
        severity=Severity.NOTE,
        what="A Humboldt term is filled on an event, and empty on all its children that have animals or effort.",
        why="Readers must not look it up at the parent, and should not have to.",
        remedy="If it holds for the children too, repeat it there; if it belongs to the broader event alone, leave "
        "it: only you can tell.",
        source=f"{HIERARCHY} 3.2.2 (SHOULD), 3.3 no. 6; a hint, the data cannot show to which level a term applies",
    )
)
def applicability_check(tree: EventTree) -> Iterator[Fault]:
    """A hint where a value has to be looked up above."""
    children, parents = _children(tree)
    working = (tree.own_occurrences > 0) | _filled(tree, "samplingEffortValue")
    children, parents = children[working[children]], parents[working[children]]
    count = len(tree.parent)
    has_working = np.bincount(parents, minlength=count) > 0
    for name in FIELDS:
        if name in INFERENCE_TERMS or not tree.has_eco(name):
            continue
        filled = _filled(tree, name)
        below = np.bincount(parents[filled[children]], minlength=count) > 0
        wrong = np.flatnonzero(filled & has_working & ~below)
        yield from event_faults(tree, wrong, name, "has a term that none of its children has")


@flags(
    Rule(
        id="value-looks-added-up",
        severity=Severity.NOTE,
        what="A number of an event equals the sum of its children's, or a list equals all of theirs together.",
        why="A value of a broader event should be its own. Added up, it is counted twice by whoever adds up again.",
        remedy="If it was derived from the children, empty it; if it was measured for the broader event, leave it.",
        source=f"{HIERARCHY} 3.2.3 and 3.3 no. 7 (SHOULD NOT); a hint, the data cannot show how a value was made",
    )
)
def derivation_check(tree: EventTree) -> Iterator[Fault]:
    """A hint where a value looks derived."""
    children, parents = _children(tree)
    for name in ADDED_UP:
        if tree.has_eco(name):
            numbers = numbers_of(tree.eco(name))
            added = np.bincount(parents, np.nan_to_num(numbers[children]), minlength=len(numbers))
            several = np.bincount(parents[numbers[children] > 0], minlength=len(numbers)) > 1
            wrong = np.flatnonzero(several & np.isclose(numbers, added, rtol=1e-6))
            yield from event_faults(tree, wrong, name, "has exactly the sum of its children")
    for name in COLLECTED:
        if tree.has_eco(name):
            yield from event_faults(tree, _collected(tree.eco(name), children, parents), name, "has exactly what its "
                               "children have together")  # fmt: skip


def numbers_of(texts: np.ndarray) -> np.ndarray:
    codes, distinct = pd.factorize(texts)
    numbers = [as_number(text.strip()) for text in distinct]
    return np.array([np.nan if one is None else one for one in numbers] or [np.nan])[codes]


def _collected(texts: np.ndarray, children: np.ndarray, parents: np.ndarray) -> np.ndarray:
    """Parents whose list holds what their children's lists hold, where these differ."""
    candidates = np.unique(parents[(texts[parents] != "") & (texts[children] != "")])
    chosen = np.isin(parents, candidates)
    below = pd.DataFrame({"parent": parents[chosen], "text": texts[children[chosen]]})
    below = below[below["text"] != ""].drop_duplicates()
    wrong = [
        parent
        for parent, lists in below.groupby("parent")["text"]
        if len(lists) > 1 and {word for text in lists for word in words(text)} == set(words(texts[parent]))
    ]
    return np.array(wrong, dtype=np.intp)


@flags(
    Rule(
        id="value-speaks-of-records-that-are-elsewhere",
        severity=Severity.NOTE,
        what="Vouchers or samples are told of an event that has no occurrences of its own, while its children have.",
        why="The vouchers belong to the visits; on the session they are counted twice.",
        remedy="Leave the term empty there and fill it on the children.",
        source=f"{HIERARCHY} 3.2.3 (SHOULD be left empty; hasVouchers is its example)",
    )
)
def level_check(tree: EventTree) -> Iterator[Fault]:
    """Terms about records stand where the records are."""
    children, parents = _children(tree)
    below = np.bincount(parents[tree.own_occurrences[children] > 0], minlength=len(tree.parent)) > 0
    for name in OF_RECORDS:
        if tree.has_eco(name):
            wrong = np.flatnonzero(_filled(tree, name) & below & (tree.own_occurrences == 0))
            yield from event_faults(tree, wrong, name, "has no records of its own")


@flags(
    Rule(
        id="scope-looks-like-what-was-found",
        severity=Severity.WARNING,
        what="The target taxonomic scope of an event is exactly the list of the taxa that were found there.",
        why="A scope is what was looked for. Made from the animals, it hides everything that was looked for in vain.",
        remedy="Ask whoever planned the survey. If no scope was set, leave the term empty.",
        source=f"{HIERARCHY} 3.2.3 and 3.2.4 (MUST NOT be summarised or inferred); a hint, a full house is possible",
    )
)
def found_scope_check(tree: EventTree) -> Iterator[Fault]:
    """A hint where a scope looks like a list of finds."""
    scopes = tree.eco("targetTaxonomicScope")
    listed = np.array([text.count("|") > 0 for text in scopes], dtype=bool)
    if tree.occurrences is None or not listed.any():
        return
    taxa = list(dict.fromkeys(word for text in pd.unique(scopes[listed]) for word in words(text)))
    number, seen = _taxa_seen(tree, tree.occurrences, taxa)
    is_named = number >= 0
    below, above = tree.ancestry
    # An event above a taxon that no scope names cannot have a scope of what was found: most rows need no look.
    unnamed = np.bincount(tree.at[seen & ~is_named], minlength=len(scopes)) > 0
    listed[above[unnamed[below]]] = False
    seen &= is_named
    found = pd.DataFrame({"event": tree.at[seen], "taxon": number[seen]}).drop_duplicates()
    chain = pd.DataFrame({"event": below, "above": above})
    chain = chain[listed[chain["above"]]]
    pairs = found.merge(chain, on="event")[["above", "taxon"]].drop_duplicates()
    # Only where as many taxa were found as the scope names can the two be the same.
    count = pairs.groupby("above").size()
    named = pd.Series([len(words(scopes[event])) for event in count.index], index=count.index)
    pairs = pairs[pairs["above"].isin(count.index[(count == named) & (count > 1)])]
    wrong = [
        event
        for event, own in pairs.groupby("above")["taxon"]
        if {taxa[one] for one in own} == set(words(scopes[event]))
    ]
    what = "has a scope of exactly the taxa found"
    yield from event_faults(tree, np.array(wrong, dtype=np.intp), "targetTaxonomicScope", what)


def _taxa_seen(tree: EventTree, occurrences: ArchivePart, taxa: Sequence[str]) -> tuple[np.ndarray, Flags]:
    """For each occurrence the place of its name in `taxa`, -1 if it is not there; and whether it is a detection."""
    number, seen = np.full(occurrences.count, -1, dtype=np.int32), tree.at >= 0
    place = {taxon: number for number, taxon in enumerate(taxa)}
    terms = [DWC + "scientificName", DWC + "occurrenceStatus"]
    for first, (names, status) in occurrences.text_blocks(terms):
        rows = slice(first, first + len(names))
        codes, distinct = pd.factorize(names)
        number[rows] = np.array([place.get(name, -1) for name in distinct] or [-1], dtype=np.int32)[codes]
        seen[rows] &= (names != "") & ~judged(pd.Series(status, dtype=object), is_non_detection)
    return number, seen


@flags(
    Rule(
        id="absence-beside-incomplete-reporting",
        severity=Severity.NOTE,
        what="An event says that its taxa were not reported fully, and has occurrences that were not detected.",
        why="Not reported is not absent; if the absence was not written on the sheet it must not be made up.",
        remedy="Keep absences that somebody noted; take out those that were only inferred.",
        source=f"{HIERARCHY} 3.2.4 (SHOULD NOT be assumed); a hint, the data cannot show who noted it",
    )
)
def assumed_absence_check(tree: EventTree) -> Iterator[Fault]:
    """A hint where absence has no ground."""
    if tree.occurrences is None:
        return
    partly = (tree.eco("isTaxonomicScopeFullyReported") == "false") | (
        tree.eco("taxonCompletenessReported") == "reportedIncomplete"
    )
    if not partly.any():
        return
    status = tree.occurrences.text(DWC + "occurrenceStatus")
    absent = judged(status, is_non_detection) & (tree.at >= 0)
    wrong = status.index[absent & np.where(tree.at >= 0, partly[np.maximum(tree.at, 0)], False).astype(bool)]
    what = "stands at an event that was not reported fully"
    yield from rows_at_fault(tree.occurrences, wrong, what, DWC + "occurrenceStatus")


@flags(
    Rule(
        id="several-protocols-on-one-event",
        severity=Severity.NOTE,
        what="samplingProtocol lists several protocols on an event that has no children.",
        why="Nobody can tell which animal was caught by which method.",
        remedy="Make an event for each protocol; a list is meant for a summary event.",
        source="Darwin Core list of terms 2026-05-26, comment of samplingProtocol (recommended)",
    )
)
def protocols_check(tree: EventTree) -> Iterator[Fault]:
    """Single events have one protocol."""
    term = DWC + "samplingProtocol"
    text = tree.events.text(term)
    wrong = text.index[text.str.contains("|", regex=False).to_numpy(dtype=bool) & ~tree.is_parent]
    yield from rows_at_fault(tree.events, wrong, "names several protocols", term)


def events_with_inferable_absence(tree: EventTree) -> int:
    """How many events allow a taxon in scope without a record to be read as zero.

    Source: properties of hierarchical events 3.2.4: a target taxonomic scope, and isTaxonomicScopeFullyReported true;
    not where completeness is said to be incomplete.
    """
    full = (tree.eco("targetTaxonomicScope") != "") & (tree.eco("isTaxonomicScopeFullyReported") == "true")
    return int((full & (tree.eco("taxonCompletenessReported") != "reportedIncomplete")).sum())


SCOPE_CHECKS: Sequence[Check[EventTree]] = (
    inference_check, applicability_check, derivation_check, level_check, found_scope_check, assumed_absence_check,
    protocols_check,
)  # fmt: skip
