"""A start and an end of the clock in one cell: "2200-0130", "7-9 pm", "8 pm - midnight".

Where one end says am or pm and the other does not, both stretches that can be meant are asked.
Source: ISO 8601-1 for the written result; the spoken forms are common practice, no source.
"""

from __future__ import annotations

import re

from dwc_pipeline.core.local_time import run_hours
from dwc_pipeline.core.verdict import Verdict, ambiguous, kept_or_changed
from dwc_pipeline.normalise.clock import as_clock, read_clock
from dwc_pipeline.normalise.time_context import HALF, TimeContext, other_half
from dwc_pipeline.normalise.time_rules import RUN_TOO_LONG, TWO_READINGS

RANGE = re.compile(r"(?P<one>.+?) ?(?:-+|/| to | til | till | until | thru | through |->) ?(?P<two>.+)")
_HALF_TAIL = re.compile(r"(?P<rest>.*[0-9]) ?(?P<half>[ap])(?:\.? ?m)?\.?")


def judge_run(verbatim: str, one: str, two: str, context: TimeContext) -> Verdict | None:
    """ "2200-0130": a start and an end; None if the text is no such pair."""
    half = _HALF_TAIL.fullmatch(two)
    starts, ends = _clocks_of(one, "noon"), _clocks_of(two, "noon", "midnight")
    shares_half = bool(half) and bool(re.fullmatch(r"(?:[1-9]|1[0-2])(?::?[0-5][0-9])?", one)) and len(ends) == 1
    if shares_half:
        return _shared_half(verbatim, one, ends[0], context)
    if not starts or not ends:
        offers = hours_pair(f"{one}-{two}")
        if offers:
            return ambiguous(
                TWO_READINGS.id, f"{verbatim!r} may be two hours of the day, without am or pm, or one time", offers
            )
        return None
    if len(starts) > 1 or len(ends) > 1:
        pairs = tuple(f"{start}/{end}" for start in starts for end in ends)
        return ambiguous(TWO_READINGS.id, f"{verbatim!r} mixes the twelve-hour and the 24-hour clock", pairs)
    open_half = _half_left_open(one, two, starts[0], ends[0], context)
    if open_half:
        return ambiguous(TWO_READINGS.id, f"{verbatim!r}: am or pm is not said of both times", open_half)
    return _interval(verbatim, starts[0], ends[0], context)


#: a full hour that is plain without am or pm
_FULL_HOUR = re.compile(r"(?P<h>0[0-9]|1[3-9]|2[0-4]) ?(?:h|hs|hrs?|uhr)\.?")


def _clocks_of(text: str, *words: str) -> tuple[str, ...]:
    """The times that one end of a stretch can be; noon and midnight where `words` allow them."""
    if text in words:
        return ("12:00",) if text == "noon" else ("24:00",)
    full = _FULL_HOUR.fullmatch(text)
    return (as_clock(int(full["h"]), 0),) if full else read_clock(text)


def _half_left_open(one: str, two: str, start: str, end: str, context: TimeContext) -> tuple[str, ...]:
    """The stretches that can be meant where am or pm is said of one end only, or of none; else ().

    "8 pm-8:30" may end after half an hour or in the morning, "21:30-1:30 pm" has an end that nobody waits for.
    """
    said = [bool(HALF.search(text)) for text in (one, two)]
    bare = [
        not has_half and text[:1] not in "0nm" and "h" not in text and "01:00" <= clock < "13:00"
        for text, clock, has_half in zip((one, two), (start, end), said, strict=True)
    ]
    if said == [True, False] and bare[1]:
        return _shortest_first(start, end, other_half(end))
    if said == [False, True] and start >= "13:00" and run_hours(start, end) > 12:
        return _shortest_first(start, end, other_half(end))
    if all(bare) and end < start:  # "11:30-1:15" and "12:30-1:30": within a half day, not over thirteen hours
        return f"{start}/{other_half(end)}", f"{other_half(start)}/{end}", f"{start}/{end}"
    if context.twelve_hour and all(bare):
        other = other_half(start)
        near = [next(e for e in (end, other_half(end)) if run_hours(s, e) <= 12) for s in (start, other)]
        return f"{start}/{near[0]}", f"{other}/{near[1]}"
    return ()


def _shortest_first(start: str, *ends: str) -> tuple[str, ...]:
    return tuple(f"{start}/{end}" for end in sorted(ends, key=lambda one: run_hours(start, one)))


def _shared_half(verbatim: str, one: str, end: str, context: TimeContext) -> Verdict:
    """ "7-9 pm" and "10-2 pm": the first hour is the one within twelve hours of the end.

    Ends at twelve stay a question: "9-12 pm" is often meant for midnight.
    """
    starts = [clock for side in "ap" for clock in read_clock(f"{one} {side}")]
    believable = [clock for clock in starts if 0 < run_hours(clock, end) <= 12]
    if len(believable) == 1 and end[:2] not in ("00", "12"):
        return _interval(verbatim, believable[0], end, context)
    offered = tuple(f"{clock}/{end}" for clock in (*believable, *(c for c in starts if c not in believable)))
    return ambiguous(TWO_READINGS.id, f"{verbatim!r}: am or pm of the start is not said", offered)


def _interval(verbatim: str, start: str, end: str, context: TimeContext) -> Verdict:
    also = {"end_day_shift": "1"} if end == "24:00" or end < start else {}
    start, end = start.replace("24:00", "00:00"), end.replace("24:00", "00:00")
    if start == end:
        return ambiguous(TWO_READINGS.id, f"{verbatim!r}: no time passes, or a whole day", (start, f"{start}/{end}"))
    hours = run_hours(start, end)
    if hours > context.longest_run_hours:
        note = f"{verbatim!r} would be {hours:.2f} h, longer than {context.longest_run_hours:g} h: times swapped?"
        return ambiguous(RUN_TOO_LONG.id, note, (f"{start}/{end}", f"{end}/{start}"))
    note = f"{start} to {end}" + (": the end is earlier, so it is on the next day" if also else "")
    return kept_or_changed(verbatim, f"{start}/{end}", "time-range", note, also=also)


def hours_pair(text: str) -> tuple[str, ...]:
    """ "10-12" as two hours of the day, or as hours and minutes; () if it is neither."""
    found = re.fullmatch(r"(?P<one>[0-9]{1,2}) ?[-/] ?(?P<two>[0-9]{1,2})", text)
    if not found:
        return ()
    one, two = int(found["one"]), int(found["two"])
    offered = []
    if one <= 23 and two <= 23 and one != two:
        offered.append(f"{as_clock(one, 0)}/{as_clock(two, 0)}")
        if one < 12 and two < 12:
            offered.append(f"{as_clock(one + 12, 0)}/{as_clock(two + 12, 0)}")
    if one <= 23 and two <= 59 and len(found["two"]) == 2:
        offered.append(as_clock(one, two))
    return tuple(offered)


def written_ends(cell: str) -> tuple[str, ...]:
    """Start and end of a stretch of time as written; () if the cell is none."""
    found = None if read_clock(cell) else RANGE.fullmatch(cell)
    return (found["one"], found["two"]) if found else ()


def stretches(one: str, two: str) -> tuple[tuple[str, str], ...]:
    """Every stretch that two times of one day can mean, as a time cell would read them; "24:00" for the day's end.

    >>> stretches("9:30", "11:00 pm"), stretches("22:00", "24:00")
    ((('21:30', '23:00'),), (('22:00', '24:00'),))
    """
    starts, ends = read_clock(one), read_clock(two)
    if len(starts) == len(ends) == 1 and "24:00" not in (*starts, *ends):
        verdict = judge_run(f"{one}-{two}", one, two, TimeContext())
        if verdict is not None and (verdict.is_read or verdict.rule == TWO_READINGS.id):
            told = (verdict.value,) if verdict.is_read else verdict.readings
            pairs = [one.split("/") for one in told if "/" in one]
            return tuple((start, end) for start, end in pairs)
    return tuple((start, end) for start in starts for end in ends)
