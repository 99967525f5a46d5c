"""What time it was: reads one time cell, writes `eventTime`.

Writes HH:MM, HH:MM:SS where seconds were given, or start/end. Words such as "dusk" give no clock time.
Source: Darwin Core, definition of `eventTime`; ISO 8601-1; the spoken forms are common practice, no source.

>>> judge_time("7:15 pm", "", TimeContext()).value, judge_time("7.15", "", TimeContext()).readings
('19:15', ('07:15', '07:09'))
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from dwc_pipeline.core.verdict import EMPTY, Flag, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.clock import as_clock, read_clock
from dwc_pipeline.normalise.date_forms import seconds_of_day
from dwc_pipeline.normalise.date_rules import MIDNIGHT
from dwc_pipeline.normalise.date_text import is_blank, plain
from dwc_pipeline.normalise.elapsed import judge_duration
from dwc_pipeline.normalise.time_context import HALF, TimeContext, other_half
from dwc_pipeline.normalise.time_phrases import plain_time, points_part_minutes, with_colons
from dwc_pipeline.normalise.time_ranges import RANGE, hours_pair, judge_run, written_ends
from dwc_pipeline.normalise.time_rules import (
    CANNOT_BE_READ,
    DOUBTFUL,
    IS_A_WORD,
    OUTSIDE_WORKING_HOURS,
    TWO_READINGS,
)


def time_habits(distinct_texts: Sequence[str], base: TimeContext) -> TimeContext:
    """`base`, with the habits of the column: a twelve-hour clock, and a point between hours and minutes.

    A twelve-hour clock shows in am or pm in some cells and no hour past 12; both ends of a stretch count.
    """
    typed = [text for text in distinct_texts if not is_blank(text)]
    cells = [plain(text) for text in typed]
    base = replace(base, points=points_part_minutes(cells))
    ends = [
        (text, end)
        for text, cell in zip(typed, cells, strict=True)
        for end in (cell, *written_ends(cell))
        if read_clock(end)
    ]
    halves = [text for text, end in ends if HALF.search(end)]
    bare = [time for _, end in ends if not HALF.search(end) for time in read_clock(end)]
    if not halves or any(time >= "13:00" or time < "01:00" for time in bare):
        return base
    return replace(base, twelve_hour=f"the column also has {halves[0]!r}")


def judge_time(verbatim: str, stored: str, context: TimeContext) -> Verdict:
    """The time of one cell.

    verbatim: what a person sees. stored: time or date-time that the file itself holds, ISO 8601, "" if plain text.
    `also` may fill day_shift ("1": the time belongs to the next day) and end_day_shift (the end of a run does).
    """
    if context.kind == "duration":
        return judge_duration(verbatim, stored)
    if stored:
        return _typed(verbatim, stored, context)
    if is_blank(verbatim):
        return EMPTY
    text = plain(_NO_DAY.sub("", verbatim)).rstrip(".,;") if not plain(verbatim).endswith("m.") else plain(verbatim)
    text = _DEED.sub("", plain_time(text))
    bare = _ABOUT.sub("", text)
    mark = _MARKED.search(bare)
    bare = _MARKED.sub("", bare)
    colons = with_colons(bare) if context.points else bare
    verdict = _judge_text(verbatim, colons, context)
    if colons != bare and verdict.is_read:
        verdict = verdict._replace(note=f"{verdict.note}; {context.points}")
    return _with_doubt(verdict, verbatim, mark[0].strip("( )") if mark else "") if bare != text else verdict


#: words and signs that make a time less exact (EST behind it may be a time zone), and marks that it was not certain
_ABOUT = re.compile(
    r"^(?:~|≈|ca\.?(?=[ 0-9])|c\.? ?(?=[0-9])|about|abt\.?|around|approx\.?|approximately|est\.?) ?"
    r"|(?: ?-?ish| ?\(?(?:approx\.?|ca\.?)\)?)$"
)
_MARKED = re.compile(r"[ (]*(?:\?+|\*+)\)?$")


def _with_doubt(verdict: Verdict, verbatim: str, mark: str) -> Verdict:
    """The verdict on a time that was marked as uncertain, or as about right: the mark is told with the time."""
    if not verdict.is_read:
        return verdict
    also = {**verdict.also, "time_qualifier": mark or "ca."}
    if not mark:
        return verdict._replace(also=also, note=f"{verdict.note} (approximate)")
    return verdict._replace(
        also=also, flags=(*verdict.flags, Flag(DOUBTFUL.id, f"{verbatim!r} is marked {mark!r} by the writer"))
    )


#: the day that a spreadsheet or program puts before a bare time of day
_NO_DAY = re.compile(r"^\s*(?:1899-12-3[01]|12/3[01]/1899|1/0/1900|1900-01-00)[ T]|^\s*T(?=\d\d:)")
#: words before a time that say what was done then
_DEED = re.compile(
    r"^(?:(?:checked|check|chk|opened|closed|start(?:ed)?|began|begin|arrived)(?: at)?|at|@)[ :]*(?=[0-9~])"
)
_TYPED = re.compile(r"(?:[0-9]{4}-[0-9]{2}-[0-9]{2}[T ])?(?P<clock>[0-9]{2}:[0-9]{2}(?::[0-9]{2})?)(?:\.[0-9]+)?")


def _typed(verbatim: str, stored: str, context: TimeContext) -> Verdict:
    found = _TYPED.fullmatch(stored)
    if not found or (clocks := read_clock(found["clock"])) == ():
        offers = hours_pair(plain(verbatim))
        return unreadable(
            CANNOT_BE_READ.id, f"the cell shows {verbatim!r} and stores {stored}, which is no time of day", offers
        )
    return _read(verbatim, clocks[0], "typed-time", f"the file stores {stored}", context, is_padded=True)


_WORDS = re.compile(
    r"(?:(?:at|just|around|about|early|late|mid|before|after|shortly|well|civil) ?-?)*"
    r"(?:dusk|dawn|sunset|sunrise|sundown|sunup|first light|last light|daybreak|nightfall|dark|twilight"
    r"|a\.?m\.?|p\.?m\.?"
    r"|morning|afternoon|evening|night|nite|day|lunch(?:time)?|crepuscular"
    r"|nocturnal|diurnal|daytime|night ?time|overnight)"
)
_NOON = re.compile(r"(?:12(?::?00)? ?)?(?:noon|midday|mid-day)|12 ?n|mediod[ií]a|midi|mittag|meio-dia")
_MIDNIGHT = re.compile(r"(?:(?:12|00)(?::?00)? ?)?(?:midnight|mid-night)")
_FRACTION = re.compile(r"(?P<day>[0-9]{0,6})\.(?P<part>[0-9]+)")
_BARE = re.compile(r"(?P<h>[0-9]{1,2})(?P<hour>(?: ?(?:h|hs|hrs?|hours?|uhr|o'?clock)\.?)?)")


def _judge_text(verbatim: str, text: str, context: TimeContext) -> Verdict:
    """The forms in order of how sure they are."""
    if _NOON.fullmatch(text):
        return _read(verbatim, "12:00", "noon", f"{verbatim!r} is 12:00", context, is_padded=True)
    if _MIDNIGHT.fullmatch(text):
        note = f"{verbatim!r}: the start of the day is 00:00, the end of it 24:00"
        return ambiguous(TWO_READINGS.id, note, ("00:00", "24:00"))
    if _WORDS.fullmatch(text):
        return unreadable(IS_A_WORD.id, f"{verbatim!r} is kept as typed; it is no time of the clock")
    text = re.sub(r"^([0-9]{1,2})(?: ?[:;] ?| )([0-5][0-9])(?= ?[ap]|$)", r"\1:\2", text)
    text = re.sub(r"^([0-9]{1,2}),([0-9]{1,2})(?=$| ?[ap])", r"\1.\2", text)
    text = re.sub(r"^([0-9]{1,2})[.:]([0-5][0-9]) ?uhr$", r"\1:\2", text)
    text = re.sub(r"^([0-9]{1,2}\.[0-9]{1,2}) ?(?:h|hs|hrs?|hours)\.?$", r"\1", text)
    if _FRACTION.fullmatch(text):
        return _decimal(verbatim, text, context)
    bare = _BARE.fullmatch(text)
    if bare:
        return _bare_hour(verbatim, int(bare["h"]), bool(bare["hour"]), context)
    one_digit = re.fullmatch(r"(?P<h>[0-9]{1,2}):(?P<m>[0-9])", text)
    if one_digit and int(one_digit["h"]) < 24:
        hour, digit = int(one_digit["h"]), int(one_digit["m"])
        offered = [as_clock(hour, digit), *([as_clock(hour, digit * 10)] if digit < 6 else [])]
        return ambiguous(
            TWO_READINGS.id, f"{verbatim!r} has one digit for the minutes", tuple(dict.fromkeys(offered))
        )
    clocks = read_clock(text)
    if clocks:
        return _clock(verbatim, text, clocks, context)
    found = RANGE.fullmatch(text)
    return (judge_run(verbatim, found["one"], found["two"], context) if found else None) or _none(verbatim, text)


def _none(verbatim: str, text: str) -> Verdict:
    if text.isdigit() or re.fullmatch(r"[0-9]{1,2}[:.h][0-9]{1,2}", text):
        return unreadable(CANNOT_BE_READ.id, f"{verbatim!r}: no clock shows this time")
    return unreadable(CANNOT_BE_READ.id, f"{verbatim!r} is not written in a form of a time known here")


def _clock(verbatim: str, text: str, clocks: tuple[str, ...], context: TimeContext) -> Verdict:
    if len(clocks) > 1:
        return ambiguous(TWO_READINGS.id, f"{verbatim!r} mixes the twelve-hour and the 24-hour clock", clocks)
    if clocks[0] == "24:00":
        also = {"day_shift": "1"}
        return kept_or_changed(verbatim, "00:00", "end-of-the-day", "24:00 is 00:00 of the next day", also=also)
    is_sure = bool(HALF.search(text)) or clocks[0] >= "13:00" or clocks[0] < "01:00"
    is_padded = text.startswith("0") or "h" in text
    if context.twelve_hour and not is_sure and not is_padded:
        both = (clocks[0], other_half(clocks[0]))
        inside = [one for one in both if _works(one, context)] if context.working_hours else list(both)
        if len(inside) == 1:
            return _read(
                verbatim,
                inside[0],
                "working-hours",
                f"{inside[0]} lies within the working hours",
                context,
                is_padded=True,
            )
        return ambiguous(TWO_READINGS.id, f"{verbatim!r} says neither am nor pm; {context.twelve_hour}", both)
    return _read(
        verbatim, clocks[0], "clock-time", f"{verbatim!r} is {clocks[0]}", context, is_padded=is_padded or is_sure
    )


def _read(verbatim: str, clock: str, rule: str, note: str, context: TimeContext, *, is_padded: bool) -> Verdict:
    """A time with one reading; outside the working hours it is told, or asked where pm may have been left out."""
    flags: tuple[Flag, ...] = ()
    if clock == "00:00":
        flags += (Flag(MIDNIGHT.id, "00:00 may stand for no time given"),)
    if context.working_hours and not _works(clock, context):
        other = other_half(clock)
        if not is_padded and _works(other, context):
            return ambiguous(
                TWO_READINGS.id, f"{clock} lies outside the working hours, {other} within", (other, clock)
            )
        offers = (other,) if _works(other, context) else ()
        flags += (
            Flag(OUTSIDE_WORKING_HOURS.id, f"{clock} lies outside the working hours {_spoken(context)}", offers),
        )
    return kept_or_changed(verbatim, clock, rule, note, flags=flags)


def _spoken(context: TimeContext) -> str:
    return ", ".join(f"{start} to {end}" for start, end in context.working_hours)


def _works(clock: str, context: TimeContext) -> bool:
    """True if the protocol works at this time; hours that end before they start run over midnight."""
    time = clock[:5]
    return any(
        start <= time <= end if start <= end else time >= start or time <= end for start, end in context.working_hours
    )


def _decimal(verbatim: str, text: str, context: TimeContext) -> Verdict:
    """A fraction of a day as spreadsheets store it, or hours with a point."""
    whole, part = text.split(".")
    if len(part) >= 3 and (whole in ("", "0") or len(whole) >= 4):
        seconds = seconds_of_day(part)
        if seconds is None:
            about = int(float(f"0.{part}") * 1440)
            note = f"{verbatim!r} has too few decimals of a day to tell the minute"
            return unreadable(CANNOT_BE_READ.id, note, (as_clock(about // 60, about % 60),))
        clock = as_clock(seconds // 3600, seconds // 60 % 60, seconds % 60)
        return _read(verbatim, clock, "fraction-of-a-day", f"{verbatim} of a day is {clock}", context, is_padded=True)
    hour = int(whole or 0)
    if not part.strip("0"):  # a whole number, as spreadsheets write "8" or "0"
        return _bare_hour(verbatim, hour, False, context)
    if len(part) > 2 or hour > 23:
        return _none(verbatim, text)
    offered = []
    if len(part) == 2 and int(part) < 60:
        offered.append(as_clock(hour, int(part)))
    minutes = float(f"0.{part}") * 60
    offered.append(as_clock(hour, int(minutes + 0.5)) if minutes + 0.5 < 60 else as_clock(hour, 59))
    if len(part) == 1:
        offered += [as_clock(hour, int(part) * 10)] if int(part) < 6 else []
    if hour == 0:
        seconds = round(float(f"0.{part}") * 86400)
        offered.append(as_clock(seconds // 3600, seconds // 60 % 60, seconds % 60))
    offered = list(dict.fromkeys(offered))
    if len(offered) == 1:
        return _read(verbatim, offered[0], "decimal-hours", f"{verbatim} h is {offered[0]}", context, is_padded=False)
    note = f"{verbatim!r} may be hours and minutes, or decimal hours"
    return ambiguous(TWO_READINGS.id, note, tuple(offered))


def _bare_hour(verbatim: str, hour: int, says_hour: bool, context: TimeContext) -> Verdict:
    """ "8": morning or evening, unless the protocol works in one of them only."""
    if hour > 24:
        return unreadable(CANNOT_BE_READ.id, f"{verbatim!r}: no clock shows this hour")
    if hour == 0 or hour == 24:
        return ambiguous(TWO_READINGS.id, f"{verbatim!r}: midnight, or no time given", ("00:00", "24:00"))
    both = (
        (as_clock(hour, 0),) if hour > 12 else (as_clock(hour, 0), as_clock((hour + 12) % 24 if hour < 12 else 0, 0))
    )
    inside = [one for one in both if _works(one, context)] if context.working_hours else []
    if len(both) == 1:
        return _read(verbatim, both[0], "hour", f"{verbatim!r} is {both[0]}", context, is_padded=True)
    if len(inside) == 1:
        note = f"only {inside[0]} lies within the working hours {_spoken(context)}"
        return kept_or_changed(verbatim, inside[0], "working-hours", note)
    return ambiguous(TWO_READINGS.id, f"{verbatim!r} may be {' or '.join(both)}", both)
