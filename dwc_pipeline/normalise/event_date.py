"""When it was: reads one date cell, writes `eventDate`.

Writes a day, a coarser date (2023-05, 2023), a local date and time without offset where the cell holds a
time, or start/end written out in full on both sides. The offset is added later (local_time.localise).
Source: Darwin Core, definition and examples of `eventDate`; ISO 8601-1; the order of evidence is common
practice, no source.

>>> import datetime as dt
>>> context = DateContext(today=dt.date(2031, 11, 1))
>>> judge_date("5/14/2031", "", context).value, judge_date("5/6/2031", "", context).readings
('2031-05-14', ('2031-05-06', '2031-06-05'))
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence

from dwc_pipeline.core.local_time import (
    LOCAL_TIME_DOES_NOT_EXIST,
    LOCAL_TIME_HAPPENS_TWICE,
    offset_text,
    offsets_at,
    zone_of,
)
from dwc_pipeline.core.verdict import EMPTY, Flag, Status, Verdict, ambiguous, kept_or_changed, unreadable
from dwc_pipeline.normalise.date_choice import choose
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_flags import place_flags
from dwc_pipeline.normalise.date_forms import Point
from dwc_pipeline.normalise.date_parts import date_of_parts
from dwc_pipeline.normalise.date_phrases import HALVES, Phrase, take_apart
from dwc_pipeline.normalise.date_readings import Reading, readings_of
from dwc_pipeline.normalise.date_rules import (
    CANNOT_BE_READ,
    DOUBTFUL,
    LONG_RANGE,
    MIDNIGHT,
    MIDNIGHT_UTC,
    NOT_ON_CALENDAR,
    RARE_FORM,
    RUNS_BACKWARDS,
    SEVERAL_DATES,
    TIME_TOO_COARSE,
    TWO_READINGS,
    ZONE_UNKNOWN,
)
from dwc_pipeline.normalise.date_spans import RARE_RANGE, TWO_CLOCKS, Span, several_dates, spans
from dwc_pipeline.normalise.date_text import is_blank, plain
from dwc_pipeline.normalise.typed_date import judge_typed

__all__ = ["DateContext", "judge_date"]

#: longest believable stretch between two times of one date, as for times of day [h]
LONGEST_RUN_HOURS = 16
#: names of clocks on sheets of North America, and their hours from UTC (common practice, no source)
NAMED_CLOCKS = {"est": -5, "edt": -4, "cst": -6, "cdt": -5, "mst": -7, "mdt": -6, "pst": -8, "pdt": -7}
_NAMED_CLOCK = re.compile(r"(?P<rest>.*[0-9apmh.]) ?\(?(?P<name>[ecmp][sd]t)\)?")
#: how a date is named that stood in several columns
PARTS_FORM = "day-month-and-year-apart"
_ONE_DAY = dt.timedelta(days=1)
#: a longer stretch in one cell is read, and told
LONG_RANGE_DAYS = dt.timedelta(days=62)


def judge_date(verbatim: str, stored: str, context: DateContext) -> Verdict:
    """The date of one cell.

    verbatim: what a person sees. stored: the date that the file itself holds in the cell, in ISO 8601; "" if
    the cell is plain text. `also` may fill date_qualifier ("ca."), time_word ("dusk") and utc_offset.
    """
    if stored:
        return judge_typed(verbatim, stored, context)
    if is_blank(verbatim):
        return EMPTY
    whole = date_of_parts(verbatim)
    if whole is not None:
        return _of_parts(verbatim, judge_date(whole, "", context))
    if named := _NAMED_CLOCK.fullmatch(plain(verbatim)):
        return _by_named_clock(verbatim, named["rest"], named["name"], context)
    phrase = take_apart(plain(verbatim))
    if phrase.season:
        return _season(verbatim, phrase, context)
    if phrase.is_open:
        return unreadable(CANNOT_BE_READ.id, f"{verbatim!r} gives only an earliest or a latest date")
    found, phrase = _spans(phrase)
    zoned = [span for span in found if span.start.zone]
    if zoned:
        question = _zone_or_range(verbatim, zoned[0], found, context)
        return question or _with_offset(verbatim, zoned[0], phrase, context)
    readings = [one for span in found for one in readings_of(span, context)]
    if phrase.is_coarse:
        readings = [one for one in readings if one.point.day is None]
    possible = [one for one in readings if not one.fault]
    if not possible or _is_no_day(readings, possible):
        return _impossible(verbatim, phrase, readings, context)
    return _decide(verbatim, _whole_nights(possible, phrase), phrase, context)


def _by_named_clock(verbatim: str, rest: str, name: str, context: DateContext) -> Verdict:
    """A local time with the name of its clock; asked where the place kept another clock on that day.

    "CST" in May is as often a slip for CDT as the standard time itself.
    """
    verdict = judge_date(rest, "", context)
    if not verdict.is_read:
        return verdict
    if "T" not in verdict.value or not context.time_zone or "utc_offset" in verdict.also:
        return unreadable(CANNOT_BE_READ.id, f"{verbatim!r} names a clock without a time that it could be put to")
    offset = dt.timedelta(hours=NAMED_CLOCKS[name])
    ends = [dt.datetime.fromisoformat(end) for end in verdict.value.split("/") if "T" in end]
    if all(offset in offsets_at(end, context.time_zone) for end in ends):
        return kept_or_changed(
            verbatim, verdict.value, verdict.rule or "date", verdict.note, also=verdict.also, flags=verdict.flags
        )
    moved = (
        end.replace(tzinfo=dt.timezone(offset)).astimezone(zone_of(context.time_zone)).strftime("%Y-%m-%dT%H:%M")
        for end in ends
    )
    note = f"{verbatim!r}: the clock of {context.time_zone} was not {name.upper()} then"
    return ambiguous(TWO_READINGS.id, note, (verdict.value, "/".join(moved)))


def _of_parts(verbatim: str, verdict: Verdict) -> Verdict:
    """The verdict on a date that stood in several columns."""
    if verdict.status is Status.KEPT:
        return verdict._replace(
            status=Status.CHANGED, rule=PARTS_FORM, note=f"{verbatim!r} put together: {verdict.value}"
        )
    return verdict


def _spans(phrase: Phrase) -> tuple[tuple[Span, ...], Phrase]:
    """The spans of the phrase; "7 am" at its end is a time, unless the 7 belongs to the date."""
    found = spans(phrase.core)
    if phrase.time_word not in HALVES:
        return found, phrase
    timed = tuple(span for span in spans(f"{phrase.core} {phrase.time_word}") if span.start.clock)
    if timed and not found:
        return timed, phrase._replace(time_word="")
    return found + tuple(span._replace(weak=True) for span in timed), phrase


def _zone_or_range(verbatim: str, zoned: Span, found: Sequence[Span], context: DateContext) -> Verdict | None:
    """ "2023-05-14 02:00-05:00": an offset from UTC, or from two to five o'clock; None where only the offset fits."""
    if zoned.end is not None or zoned.start.zone[0] != "-" or "t" in plain(verbatim) or verbatim.count(":") == 3:
        return None
    runs = [
        one.value for span in found if span.end is not None and span.end.clock for one in readings_of(span, context)
    ]
    if not runs:
        return None
    local = _with_offset(verbatim, zoned, Phrase(""), context).value
    offered = tuple(dict.fromkeys(filter(None, (*runs, local))))
    return ambiguous(TWO_READINGS.id, f"{verbatim!r}: an offset from UTC, or a start and an end?", offered)


def _decide(verbatim: str, possible: Sequence[Reading], phrase: Phrase, context: DateContext) -> Verdict:
    choice = choose(possible, phrase.weekdays, context)
    if choice.chosen is not None and choice.chosen.point.form == TWO_CLOCKS:
        start, end = (dt.datetime.fromisoformat(moment) for moment in choice.chosen.value.split("/"))
        if (hours := (end - start).total_seconds() / 3600) > LONGEST_RUN_HOURS:
            note = f"{verbatim!r} would be {hours:.2f} h, longer than {LONGEST_RUN_HOURS} h: times swapped?"
            return ambiguous(TWO_READINGS.id, note, (choice.chosen.value,))
    if choice.chosen is None:
        return ambiguous(choice.rule.id, f"{verbatim!r}: {choice.note}", choice.left)
    if phrase.night == "eve":
        return _eve(verbatim, choice.chosen)
    return _read(verbatim, choice.chosen, choice.note, phrase, context)


def _read(
    verbatim: str,
    one: Reading,
    note: str,
    phrase: Phrase,
    context: DateContext,
    also: Mapping[str, str] | None = None,
) -> Verdict:
    """The verdict on a date with one reading: clock changes, flags and what else the cell said."""
    value, flags = one.value, _flags(one, phrase, context)
    if one.point.clock == "00:00" and one.point.form != "end-of-the-day" and "/" not in value:
        value = value.removesuffix("T00:00")
        flags += (Flag(MIDNIGHT.id, "00:00 is read as no time given"),)
    also = {**(also or {}), **_also(phrase)}
    if "utc_offset" not in also:
        question = _clock_change(verbatim, value, context.time_zone)
        if question is not None:
            return question
    return kept_or_changed(verbatim, value, one.form, note or f"{verbatim!r} read as {value}", also=also, flags=flags)


def _also(phrase: Phrase) -> dict[str, str]:
    said = {"date_qualifier": phrase.qualifier, "time_word": phrase.time_word}
    return {term: text for term, text in said.items() if text}


def _flags(one: Reading, phrase: Phrase, context: DateContext) -> tuple[Flag, ...]:
    flags: tuple[Flag, ...] = ()
    if one.system and one.point.form == "coarse-day-number":
        flags += (Flag(TIME_TOO_COARSE.id, "too few decimals to tell the minute, so only the day is used"),)
    if one.weak and one.order == "year-day-month":
        flags += (Flag(RARE_FORM.id, f"{one.value} is the only day that fits, with the day before the month"),)
    elif one.weak or one.point.form == RARE_RANGE:
        flags += (Flag(RARE_FORM.id, f"{one.value} is the only day that fits, in a rare way of writing"),)
    if one.first is not None and one.last is not None:
        if one.point.day is not None and one.last - one.first > LONG_RANGE_DAYS and one.point.form != "decade":
            flags += (Flag(LONG_RANGE.id, f"{one.value} covers {(one.last - one.first).days + 1} days"),)
        last = max(one.first, one.last - _ONE_DAY) if phrase.night == "night" else one.last
        flags += place_flags(one.first, last, one.point.day is None, bool(one.system), context)
    if phrase.is_doubtful:
        flags += (Flag(DOUBTFUL.id, f"marked {phrase.qualifier!r} by the writer"),)
    return flags


def _clock_change(verbatim: str, value: str, zone: str) -> Verdict | None:
    """A question if a local time in the value falls into a change of the clock; None otherwise."""
    ends = value.split("/")
    if not zone or "T" not in value:
        return None
    offered: list[tuple[str, ...]] = []
    for end in ends:
        if "T" not in end:
            offered.append((end,))
            continue
        found = offsets_at(dt.datetime.fromisoformat(end), zone)
        if not found:
            note = f"{verbatim!r}: the clock jumped over {end.replace('T', ' ')} in {zone}"
            return unreadable(LOCAL_TIME_DOES_NOT_EXIST.id, note)
        offered.append(tuple(end + offset_text(one) for one in found) if len(found) > 1 else (end,))
    if all(len(one) == 1 for one in offered):
        return None
    readings = tuple("/".join(pair) for pair in _pairs(offered))
    return ambiguous(
        LOCAL_TIME_HAPPENS_TWICE.id, f"{verbatim!r}: the clock was put back over this time in {zone}", readings
    )


def _pairs(offered: list[tuple[str, ...]]) -> Iterable[tuple[str, ...]]:
    if len(offered) == 1:
        return ((one,) for one in offered[0])
    return ((one, two) for one in offered[0] for two in offered[1])


def _whole_nights(readings: Sequence[Reading], phrase: Phrase) -> list[Reading]:
    """ "night of 12 May": from the evening of the day to the morning of the next."""
    if phrase.night != "night":
        return list(readings)
    nights = []
    for one in readings:
        if one.first is not None and one.first == one.last and one.point.day is not None and not one.point.clock:
            following = one.first + _ONE_DAY
            one = one._replace(value=f"{one.value}/{following.isoformat()}", last=following, form="night-of")
        nights.append(one)
    return nights


def _eve(verbatim: str, one: Reading) -> Verdict:
    if one.first is None or one.first != one.last:
        return ambiguous(TWO_READINGS.id, f"{verbatim!r}: 'eve' may be the evening or the day before", (one.value,))
    offered = (one.first.isoformat(), (one.first - _ONE_DAY).isoformat())
    return ambiguous(TWO_READINGS.id, f"{verbatim!r}: 'eve' may be the evening of the day or the day before", offered)


def _season(verbatim: str, phrase: Phrase, context: DateContext) -> Verdict:
    """ "spring 2023" is some time in 2023; a winter lies in two years."""
    found = re.search(r"(?P<y>[0-9]{4})(?:[-/](?P<to>[0-9]{2,4}))?$", phrase.core)
    if found is None:
        return unreadable(CANNOT_BE_READ.id, f"{verbatim!r} names a season without a year")
    year = int(found["y"])
    if found["to"]:
        if int(found["to"]) % 100 != (year + 1) % 100 or len(found["to"]) == 3:
            return unreadable(CANNOT_BE_READ.id, f"{verbatim!r} does not name two years in a row")
        one = Reading(f"{year}/{year + 1}", dt.date(year, 1, 1), dt.date(year + 1, 12, 31), form="season-word")
    elif phrase.season == "winter":
        offered = (str(year), f"{year - 1}/{year}", f"{year}/{year + 1}")
        return ambiguous(TWO_READINGS.id, f"{verbatim!r}: a winter lies in two years", offered)
    else:
        one = Reading(str(year), dt.date(year, 1, 1), dt.date(year, 12, 31), form="season-word")
    note = f"{verbatim!r}: a season is no date, so only the year is used"
    return _read(verbatim, one, note, phrase, context)


def _with_offset(verbatim: str, span: Span, phrase: Phrase, context: DateContext) -> Verdict:
    """A time with its offset from UTC, put into local time of the survey."""
    end = span.end
    if end is not None and not end.zone:
        end = end._replace(zone=span.start.zone)
    moments = [_moment(point) for point in (span.start, end) if point is not None]
    if any(moment is None for moment in moments):
        return unreadable(NOT_ON_CALENDAR.id, f"{verbatim!r} is no date and time of the calendar")
    known = [moment for moment in moments if moment is not None]
    if not context.time_zone:
        days = [moment.date().isoformat() for moment in known[:1]]
        return ambiguous(
            ZONE_UNKNOWN.id, f"{verbatim!r}: the local day depends on the time zone of the survey", tuple(days)
        )
    local = [moment.astimezone(zone_of(context.time_zone)) for moment in known]
    values = [one.replace(tzinfo=None).isoformat(timespec="seconds" if one.second else "minutes") for one in local]
    is_utc = known[0].utcoffset() == dt.timedelta()
    if len(known) == 1 and is_utc and known[0].time() == dt.time():
        note = f"{verbatim!r}: a plain date stored as midnight UTC, or {values[0].replace('T', ' ')} local time"
        return ambiguous(MIDNIGHT_UTC.id, note, (known[0].date().isoformat(), values[0]))
    if local[0] > local[-1]:
        return unreadable(RUNS_BACKWARDS.id, f"{verbatim!r}: the end lies before the start")
    offsets = dict.fromkeys(offset_text(one.utcoffset() or dt.timedelta()) for one in local)
    point = Point(local[0].year, local[0].month, local[0].day, clock=values[0][11:])
    one = Reading(
        "/".join(dict.fromkeys(values)), local[0].date(), local[-1].date(), form="time-with-offset", point=point
    )
    note = f"{verbatim!r} is {one.value} in {context.time_zone}"
    also = {"utc_offset": "/".join(offsets)}
    return _read(verbatim, one, note, phrase, context, also)


def _moment(point: Point) -> dt.datetime | None:
    if point.year is None or point.month is None or point.day is None or point.short_year or not point.clock:
        return None
    zone = "+00:00" if point.zone in ("z", "utc", "gmt") else point.zone
    zone = zone if ":" in zone else f"{zone[:3]}:{zone[3:] or '00'}"
    try:
        return dt.datetime.fromisoformat(f"{point.year:04d}-{point.month:02d}-{point.day:02d}T{point.clock}{zone}")
    except ValueError:
        return None


def _is_no_day(readings: Sequence[Reading], possible: Sequence[Reading]) -> bool:
    """True where a whole date is no day of the calendar, and only its year could be a time: 29 Feb 2023."""
    is_faulty = any(not one.weak and one.point.year is not None and one.fault.endswith(" days") for one in readings)
    return is_faulty and all(one.weak and one.point.year is None for one in possible)


def _impossible(verbatim: str, phrase: Phrase, faulty: Sequence[Reading], context: DateContext) -> Verdict:
    """Why the cell holds no date, with what could have been meant."""
    parts = several_dates(phrase.core)
    if parts:
        ranges = [f"{part} - {parts[-1]}" for part in parts[:-1]]
        days = [judge_date(text, "", context).value.split("/")[0] for text in (*ranges, parts[-1])]
        offered = tuple(dict.fromkeys(day for day in days if day))
        if " or " in phrase.core:
            return ambiguous(TWO_READINGS.id, f"{verbatim!r} leaves open which day it was", offered)
        note = f"{verbatim!r} holds {len(parts)} dates; it does not say that the days between belong to them"
        return ambiguous(SEVERAL_DATES.id, note, offered)
    faults = dict.fromkeys(one.fault for one in faulty if not one.weak)
    if not faults:
        return unreadable(CANNOT_BE_READ.id, f"{verbatim!r} is not written in a form of a date known here")
    rule = RUNS_BACKWARDS if any("backwards" in fault for fault in faults) else NOT_ON_CALENDAR
    offers = dict.fromkeys(offer for one in faulty for offer in _offers(one, context))
    return unreadable(rule.id, f"{verbatim!r}: " + "; ".join(faults), tuple(offers))


def _offers(one: Reading, context: DateContext) -> Iterable[str]:
    """Days that the writer may have meant: never applied."""
    year, month, day = one.point.year, one.point.month, one.point.day
    if month is None or day is None or not 1 <= month <= 12 or not 1 <= day <= 31 or one.weak:
        return
    window = context.window
    if year is not None and "cannot be meant" in one.fault:
        years = {window.first.year, window.last.year} if window else {context.year} if context.year else set()
        for likely in sorted(years):
            offered = _day(likely, month, day)
            if offered and (window is None or window.holds(offered, offered)):
                yield offered.isoformat()
    elif year is not None and "has" in one.fault and one.first is None:
        following = dt.date(year + month // 12, month % 12 + 1, 1)
        yield (following - _ONE_DAY).isoformat()
        yield following.isoformat()
        same = _day(following.year, following.month, day)
        if same:
            yield same.isoformat()


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
