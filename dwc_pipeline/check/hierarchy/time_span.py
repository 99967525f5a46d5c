"""Does the time of one event lie within the time of another?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dwc_pipeline.check.quality.iso_date import read_ends

Seconds = NDArray[np.float64]
Flags = NDArray[np.bool_]
#: offsets from UTC reach from -12 to +14 hours, so clocks whose offset is not told differ by no more. [s]
FARTHEST_CLOCKS = 26 * 3600.0
BEGINNING = datetime(1, 1, 1)  # noqa: DTZ001  # local, zone apart


@dataclass(frozen=True)
class Spans:
    """Start and end of events, each somewhere between an earliest and a latest moment; local time. [s]

    zone: offset from UTC, NaN where it is not told. NaN in all where the date cannot be read.
    """

    start_from: Seconds
    start_before: Seconds
    end_from: Seconds
    end_before: Seconds
    zone: Seconds

    def at(self, positions: NDArray[np.intp]) -> Spans:
        """The spans at some positions."""
        return Spans(*(values[positions] for values in vars(self).values()))


def read_spans(dates: NDArray[np.object_]) -> Spans:
    """The spans of eventDate texts, each distinct text read once."""
    codes, distinct = pd.factorize(dates)
    table = np.array([_span(str(text)) for text in distinct], dtype=np.float64).reshape(-1, 5)
    return Spans(*table[codes].T)


def _span(text: str) -> tuple[float, ...]:
    ends = read_ends(text)
    if ends is None:
        return (np.nan,) * 5
    start, end = ends
    zone = np.nan if start.offset is None or end.offset is None else start.offset * 60.0
    # An end in another zone than the start (clocks changed) is told by the start's clock.
    moved = (start.offset or 0) - (end.offset or 0) if start.offset is not None and end.offset is not None else 0
    return (
        _seconds(start.earliest),
        _seconds(start.latest),
        _seconds(end.earliest) + moved * 60.0,
        _seconds(end.latest) + moved * 60.0,
        zone,
    )


def _seconds(moment: datetime) -> float:
    return (moment - BEGINNING).total_seconds()


def outside(inner: Spans, outer: Spans) -> tuple[Flags, Flags]:
    """Which inner spans certainly reach out of their outer ones, and which may.

    A day or month stands for a moment somewhere in it. A span reaches out for certain if it does so wherever in
    their days and minutes the ends lie, and, where only one of the two tells its offset, whatever the other's is.
    It may reach out if it does so as it is written, both read to the end of their last unit.
    """
    known_zones = np.isfinite(inner.zone) & np.isfinite(outer.zone)
    same_clock = known_zones | (np.isnan(inner.zone) & np.isnan(outer.zone))
    apart = np.where(known_zones, np.nan_to_num(inner.zone) - np.nan_to_num(outer.zone), 0.0)
    slack = np.where(same_clock, 0.0, FARTHEST_CLOCKS)
    certain = (inner.start_before - apart + slack <= outer.start_from) | (
        inner.end_from - apart - slack >= outer.end_before
    )
    perhaps = (inner.start_from - apart < outer.start_from) | (inner.end_before - apart > outer.end_before)
    return certain, perhaps & ~certain
