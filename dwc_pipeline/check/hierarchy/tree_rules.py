"""Events and their parents: identifiers, links, time and place.

Source: Humboldt Extension, "Properties of hierarchical events" (2024-02-28), section 3 (normative).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from dwc_pipeline.check.archive_fault import Check, Fault, flags, rows_at_fault
from dwc_pipeline.check.hierarchy.event_tree import EVENT_ID, LOST, PARENT, EventTree, event_keys
from dwc_pipeline.check.hierarchy.place_span import reaching_out, read_places
from dwc_pipeline.check.hierarchy.time_span import outside, read_spans
from dwc_pipeline.check.identifier_keys import Flags, repeated_in
from dwc_pipeline.core.rule import Rule, Severity
from dwc_pipeline.terms.darwin_core import DWC

HIERARCHY = "Humboldt Extension, properties of hierarchical events (2024-02-28)"
DATE, LATITUDE = DWC + "eventDate", DWC + "decimalLatitude"
PLACE_TERMS = (
    "decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters", "geodeticDatum", "footprintWKT",
    "footprintSRS",
)  # fmt: skip


@flags(
    Rule(
        id="archive-has-no-event",
        severity=Severity.ERROR,
        what="An archive of events has no event row.",
        why="There is nothing that effort or animals could belong to.",
        remedy="Write at least one event.",
        source=f"{HIERARCHY} 3.3 no. 1 (MUST)",
    )
)
def no_event_check(tree: EventTree) -> Iterator[Fault]:
    """There is an event."""
    if not tree.events.count:
        yield Fault("the core has no row.", tree.events.locations[0] if tree.events.locations else "")


@flags(
    Rule(
        id="event-has-no-identifier",
        severity=Severity.ERROR,
        what="An event has an empty eventID.",
        why="Neither children nor animals nor effort can be tied to it.",
        remedy="Give every event an identifier of its own that never changes.",
        source=f"{HIERARCHY} 3.3 no. 2 (MUST)",
    )
)
def no_identifier_check(tree: EventTree) -> Iterator[Fault]:
    """Events have identifiers; with extensions another rule has said so."""
    if not _is_told_by_archive_rules(tree):
        without = tree.labels(event_keys(tree.events) == 0)
        yield from rows_at_fault(tree.events, without, "as eventID", EVENT_ID, tree.ids_at)


@flags(
    Rule(
        id="event-identifier-is-repeated",
        severity=Severity.ERROR,
        what="Two events have the same eventID.",
        why="Children, animals and effort of one end up at the other.",
        remedy="Give every event an identifier of its own.",
        source=f"{HIERARCHY} 3.3 no. 2 (MUST)",
    )
)
def repeated_check(tree: EventTree) -> Iterator[Fault]:
    """Identifiers of events are unique; with extensions another rule has said so."""
    if not _is_told_by_archive_rules(tree):
        repeated = tree.labels(repeated_in(event_keys(tree.events), tree.ids_at))
        yield from rows_at_fault(tree.events, repeated, "is the eventID of two", EVENT_ID, tree.ids_at)


def _is_told_by_archive_rules(tree: EventTree) -> bool:
    return bool(tree.contents.extensions) and tree.events.id_index is not None


@flags(
    Rule(
        id="parent-event-is-not-there",
        severity=Severity.ERROR,
        what="parentEventID names an event that is not in the archive.",
        why="The visit hangs in the air: it belongs to no session and no project.",
        remedy="Correct parentEventID, or add the parent event.",
        source=f"{HIERARCHY} 3.3 no. 4 (MUST)",
    )
)
def lost_parent_check(tree: EventTree) -> Iterator[Fault]:
    """Parents are there."""
    yield from rows_at_fault(tree.events, tree.labels(tree.parent == LOST), "is no event", PARENT)


@flags(
    Rule(
        id="event-is-its-own-ancestor",
        severity=Severity.ERROR,
        what="Following parentEventID upward leads back to the event itself.",
        why="No reader can tell which event is the broader one.",
        remedy="Correct parentEventID of one of the events of the circle.",
        source=f"{HIERARCHY} 3.1 and 3.3 no. 4",
    )
)
def cycle_check(tree: EventTree) -> Iterator[Fault]:
    """Nothing contains itself."""
    yield from rows_at_fault(tree.events, tree.labels(tree.in_cycle), "leads back to the event", PARENT)


def _pairs(tree: EventTree) -> tuple[np.ndarray, np.ndarray]:
    children = np.flatnonzero(tree.is_child & ~tree.in_cycle)
    return children, tree.parent[children]


def _out_of_time(tree: EventTree) -> pd.DataFrame:
    """Children with a column for those that reach out of their parent for certain, and one for those that may."""

    def compute() -> pd.DataFrame:
        children, parents = _pairs(tree)
        spans = read_spans(tree.text(DATE))
        certain, perhaps = outside(spans.at(children), spans.at(parents))
        return pd.DataFrame({"certain": certain, "perhaps": perhaps}, index=children)

    return tree.once("time", compute)


@flags(
    Rule(
        id="child-is-outside-its-parent-in-time",
        severity=Severity.ERROR,
        what="An event begins before its parent begins, or ends after its parent ends.",
        why="Whoever sums up the session by its dates loses the visit, its effort and its animals.",
        remedy="Correct the date, or widen the interval of the parent to hold all its children.",
        source=f"{HIERARCHY} 3.2.1 (MUST)",
    )
)
def time_check(tree: EventTree) -> Iterator[Fault]:
    """Parents contain their children in time."""
    told = _out_of_time(tree)
    yield from _time_faults(tree, _where(told["certain"]), "reaches out of its parent")


@flags(
    Rule(
        id="child-may-be-outside-its-parent-in-time",
        severity=Severity.NOTE,
        what="The date of an event is coarser than its parent's, or tells no offset, and may reach out of it.",
        why="It cannot be told whether the parent holds the visit.",
        remedy="Write both as intervals with times and offsets.",
        source=f"{HIERARCHY} 3.2.1 (MUST); coarse dates as moments somewhere within: Darwin Core eventDate, examples",
    )
)
def vague_time_check(tree: EventTree) -> Iterator[Fault]:
    """Where it cannot be told, it is said."""
    told = _out_of_time(tree)
    yield from _time_faults(tree, _where(told["perhaps"]), "may reach out of its parent")


def _where(flags: pd.Series) -> np.ndarray:
    return flags.index[flags].to_numpy()


def _time_faults(tree: EventTree, children: np.ndarray, what: str) -> Iterator[Fault]:
    around = tree.text(DATE)[tree.parent[children]]
    faults = rows_at_fault(tree.events, tree.labels(children), what, DATE)
    for fault, date in zip(faults, around, strict=False):  # rows_at_fault shows the first rows, in their order
        yield fault._replace(message=f"{fault.message[:-1]}: the parent's is {date!r}.")


@flags(
    Rule(
        id="child-is-outside-its-parent-in-place",
        severity=Severity.ERROR,
        what="The place of an event lies outside the place of its parent.",
        why="Whoever maps the session loses the visit; one of the two points is wrong, or the parent's is too small.",
        remedy="Correct the point, or give the parent an outline or a radius that holds all its children.",
        source=f"{HIERARCHY} 3.2.1 (MUST)",
    )
)
def place_check(tree: EventTree) -> Iterator[Fault]:
    """Parents contain their children in place."""
    told = _out_of_place(tree)
    yield from _place_faults(tree, _where(told["certain"]), "lies outside the place of its parent")


@flags(
    Rule(
        id="child-may-be-outside-its-parent-in-place",
        severity=Severity.NOTE,
        what="The place of an event reaches out of its parent's, or a radius is missing to tell.",
        why="It cannot be told whether the parent holds the visit.",
        remedy="Give the parent an outline, or a radius that holds all its children; give every point a radius.",
        source=f"{HIERARCHY} 3.2.1 (MUST)",
    )
)
def vague_place_check(tree: EventTree) -> Iterator[Fault]:
    """Where it cannot be told, it is said."""
    told = _out_of_place(tree)
    yield from _place_faults(tree, _where(told["perhaps"]), "may reach out of the place of its parent")


def _out_of_place(tree: EventTree) -> pd.DataFrame:
    """As `_out_of_time`."""

    def compute() -> pd.DataFrame:
        children, parents = _pairs(tree)
        places = read_places({name: tree.text(DWC + name) for name in PLACE_TERMS})
        certain, perhaps = reaching_out(places, places, children, parents)
        # A parent with a point and no radius does not say how large it is: only a child far away is worth a word.
        perhaps &= ~(np.isnan(places.radius[parents]) & ~_is_outlined(places.outline[parents]))
        return pd.DataFrame({"certain": certain, "perhaps": perhaps}, index=children)

    return tree.once("place", compute)


def _is_outlined(outlines: np.ndarray) -> Flags:
    return np.array([one is not None for one in outlines], dtype=bool)


def _place_faults(tree: EventTree, children: np.ndarray, what: str) -> Iterator[Fault]:
    """The identifier of the event stands for the value: no message repeats a point."""
    yield from rows_at_fault(tree.events, tree.labels(children), what, LATITUDE, tree.ids_at)


@flags(
    Rule(
        id="child-is-in-another-country-than-its-parent",
        severity=Severity.ERROR,
        what="countryCode, or the name of a state or county, differs between an event and its parent.",
        why="A parent that is in one country, state or county cannot contain a visit in another.",
        remedy="Correct the one that is wrong, or leave it empty on a parent that spans several.",
        source=f"{HIERARCHY} 3.2.1 (MUST)",
    )
)
def country_check(tree: EventTree) -> Iterator[Fault]:
    """Areas that are named contain what is in them."""
    children, parents = _pairs(tree)
    for name in ("countryCode", "stateProvince", "county"):
        term = DWC + name
        text = np.array([one.strip().casefold() for one in tree.text(term)], dtype=object)
        small, large = text[children], text[parents]
        # ZZ stands for several countries; a list names several areas.
        several = np.array([one == "zz" or "|" in one for one in large], dtype=bool)
        wrong = (small != "") & (large != "") & (small != large) & ~several
        labels = tree.labels(children[wrong.astype(bool)])
        yield from rows_at_fault(tree.events, labels, "is not that of its parent", term)


TREE_CHECKS: tuple[Check[EventTree], ...] = (
    no_event_check, no_identifier_check, repeated_check, lost_parent_check, cycle_check, time_check, vague_time_check,
    place_check, vague_place_check, country_check,
)  # fmt: skip
