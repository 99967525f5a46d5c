"""What a column's cells say about the field that the column feeds: the share of them that its judge can read.

A share of None means that the cells can say nothing, as with free text.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple

from dwc_pipeline.core.verdict import Status, Verdict
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.short_years import years_of_short_dates
from dwc_pipeline.draft.yes_no_columns import meanings_of_yes
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_forms import MONTHS
from dwc_pipeline.normalise.date_habits import date_habits
from dwc_pipeline.normalise.date_text import plain
from dwc_pipeline.normalise.datum_text import read_datum
from dwc_pipeline.normalise.degrees_text import parse_angle, parse_pair
from dwc_pipeline.normalise.event_date import judge_date
from dwc_pipeline.normalise.event_time import judge_time, time_habits
from dwc_pipeline.normalise.individual_count import CountWords, judge_count
from dwc_pipeline.normalise.mark import judge_mark
from dwc_pipeline.normalise.measurement import judge_quantity
from dwc_pipeline.normalise.place_name import PlaceList, judge_place
from dwc_pipeline.normalise.planar_text import parse_length, parse_planar, parse_zone
from dwc_pipeline.normalise.quantity import quantity
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.normalise.time_context import TimeContext
from dwc_pipeline.normalise.trap_label import TrapList
from dwc_pipeline.normalise.trap_state import judge_trap_state
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.sheet import SheetField
from dwc_pipeline.terms.vocabulary import judge_word, load_vocabulary

#: longest cells that can be a code or a name of a place
LONGEST_PLACE = 40
#: rows in which marks must differ at least once
FEWEST_TO_DIFFER = 5
#: share of the numbers of records that differ and have a digit, and of steps down the sheet that go up
NEARLY_DISTINCT, MOSTLY = 0.9, 0.7
#: what columns speak for that are called "No." and do not number the rows: not enough to be placed
NOT_NUMBERED = 0.4
#: share of the cells of a column that must be actions for it to hold no names
MOSTLY_ACTIONS = 0.9
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
DECIMAL = re.compile(r"[+-]?\d+[.,]\d+")
COMMA_DECIMAL = re.compile(r"\d+,\d+")
SHORT_NUMBER = re.compile(r"\d{1,4}")
CODE = re.compile(r"[A-Z]{2,6}[A-Z0-9]?|[A-Z][a-z]{1,3}[A-Z][a-z]{1,3}")
CODE_AND_SEX = re.compile(r"[A-Z]{2,6}[_ /-][MFmf]")
WORDS = re.compile(r"[^\W\d_][^\W\d_.'’() -]*(?:[ '’.()-]+[^\W\d_][^\W\d_.'’()-]*)*[.)?]?")
NAME_FORMS = (CODE, CODE_AND_SEX, WORDS)
TRAP_LABEL = re.compile(r"[A-Za-z]{0,9}[ .#-]*\d{1,4} ?[A-Za-z]?|[A-Za-z]{1,3}")
#: what judges say of labels of a place list that is not there yet: the state itself was understood
NO_LIST_YET = "trap-not-in-place-list"
#: a name that the checklist lacks, even where something in it comes near
NOT_LISTED = "name-not-in-checklist"
LATITUDE_LIMIT, LONGITUDE_LIMIT = 90.0, 180.0
EASTINGS, NORTHINGS = (100_000.0, 900_000.0), (0.0, 10_000_000.0)


@dataclass(frozen=True)
class Known:
    """What other files have told by now: names, places, trap labels, the day that counts as today."""

    today: dt.date
    checklist: Checklist = field(default_factory=Checklist)
    places: PlaceList = field(default_factory=lambda: PlaceList({}))
    traps: TrapList = field(default_factory=lambda: TrapList(()))
    titles: tuple[str, ...] = ()


class Share(NamedTuple):
    """share: of the cells that are not blank, those that the field's judge reads; None where cells say nothing.

    words: cells that the field's word list or checklist does not have, most frequent first.
    distinct: how many different cells were read.
    """

    share: float | None
    words: tuple[str, ...] = ()
    distinct: int = 0


def cell_evidence(column: Column, field: SheetField, known: Known, unit: str = "") -> Share:
    """How well the cells of a column fit a field. unit: that of bare numbers, where the header names it."""
    if not column.counts:
        return Share(None)
    if field.reading == "measure":
        return measure_share(column, field, unit)
    if field.reading == "word":
        return word_share(column, field)
    if field.name == "recordNumber":
        return record_number_share(column)
    if field.reading == "date_part":
        return Share(column.share(lambda text: reads_date_part(text, field.name)), distinct=len(column.counts))
    if field.reading == "position":
        return Share(column.share(lambda text: reads_position(text, field.name)))
    return SHARES.get(field.reading, text_share)(column, known)


def is_read(verdict: Verdict) -> bool:
    """True if the judge knew what the cell is about, also where a person has to choose between readings."""
    return verdict.status in (Status.KEPT, Status.CHANGED, Status.AMBIGUOUS)


def date_context(column: Column, known: Known) -> DateContext:
    """What the column's own dates and the titles say about reading them."""
    texts = list(column.in_order)
    stored = [column.stored.get(text, "") for text in texts]
    context = DateContext(today=known.today)
    years = years_of_short_dates((text for text in texts if text not in column.stored), known.today)
    if years is not None:
        first, last = dt.date(years[0], 1, 1), dt.date(years[1], 12, 31)
        context = replace(context, season_start=first, season_end=last)
    return date_habits(texts, stored, context, known.titles)


def date_share(column: Column, known: Known) -> Share:
    """Dates; a bare number of up to four digits may be a day, a year or anything, and counts as none."""
    context = date_context(column, known)

    def reads(text: str) -> bool:
        if text in column.stored:
            return "-" in column.stored[text]
        if SHORT_NUMBER.fullmatch(text) or COMMA_DECIMAL.fullmatch(text):
            return False
        return is_read(judge_date(text, "", context))

    return Share(column.share(reads), distinct=len(column.counts))


def time_share(column: Column, known: Known) -> Share:
    """Times of day."""
    context = time_habits(list(column.in_order), TimeContext())

    def reads(text: str) -> bool:
        stored = column.stored.get(text, "")
        if stored and "-" in stored and "T" not in stored:
            return False
        return not DECIMAL.fullmatch(text) and is_read(judge_time(text, stored, context))

    return Share(column.share(reads), distinct=len(column.counts))


def reads_date_part(text: str, part: str) -> bool:
    """True if a cell can be the day, month or year of a date."""
    number = re.fullmatch(r"(\d{1,4})(?:\.0+)?", text)
    if number is None:
        return part == "month" and plain(text) in MONTHS
    value = int(number[1])
    if part == "year":
        return len(number[1]) == 4 and 1900 <= value <= 2100
    return 1 <= value <= (31 if part == "day" else 12)


def word_share(column: Column, field: SheetField) -> Share:
    """Words of a list; the signs for nothing written down say nothing for or against it.

    A column that asks "Released?" is placed by its header where all cells say yes or no; what a no means is asked.
    """
    yes = meanings_of_yes(column, field.name)
    vocabulary = load_vocabulary(field.vocabulary)
    verdicts = {text: judge_word(text, vocabulary, yes) for text, _ in column.judged}
    told = {text: verdict for text, verdict in verdicts.items() if verdict.status is not Status.EMPTY}
    total = sum(column.counts[text] for text in told)
    if not total:
        return Share(0.0)
    readable = [text for text, verdict in told.items() if is_read(verdict)]
    unknown = tuple(text for text, verdict in told.items() if not is_read(verdict))
    share = 1.0 if yes else sum(column.counts[text] for text in readable) / total
    return Share(share, unknown, len(readable))


def measure_share(column: Column, field: SheetField, unit: str) -> Share:
    """Measured quantities, judged in the unit of the header or else in that of the field."""
    measured = quantity(field.quantity, field.unit, unit or field.unit)
    return Share(
        column.share(lambda text: text not in column.stored and _has_number(text, judge_quantity(text, measured)))
    )


def _has_number(text: str, verdict: Verdict) -> bool:
    return any(mark.isdigit() for mark in text) and is_read(verdict)


def number_share(column: Column, known: Known) -> Share:
    """Plain counts of things."""
    return Share(column.share(lambda text: re.fullmatch(r"\d{1,5}(?:\.[05]0*)?", text) is not None))


def count_share(column: Column, known: Known) -> Share:
    """Numbers of animals; numbers that never come back are the records' own."""
    if column.filled >= FEWEST_TO_DIFFER and len(column.counts) >= 0.9 * column.filled:
        return Share(0.3)
    words = CountWords()
    return Share(
        column.share(lambda text: text not in column.stored and is_read(judge_count(text, words))),
        distinct=len(column.counts),
    )


def record_number_share(column: Column) -> Share:
    """Numbers of records: hardly one comes twice, each has a digit, and they mostly rise down the sheet."""
    numbered = [text for text in column.in_order if re.search(r"\d", text)]
    if len(column.counts) < NEARLY_DISTINCT * column.filled or len(numbered) < NEARLY_DISTINCT * len(column.counts):
        return Share(min(len(numbered) / column.filled, NOT_NUMBERED))
    keys = [[part.zfill(12) for part in re.findall(r"\d+", text)] for text in numbered]
    rising = sum(later > earlier for earlier, later in pairwise(keys))
    return Share(1.0 if rising >= MOSTLY * (len(keys) - 1) else NOT_NUMBERED, distinct=len(column.counts))


def name_share(column: Column, known: Known) -> Share:
    """Names of animals: known to the checklist, or else written like codes and names.

    Words for what was done to a trap ("opened", "closed") are no names, unless the checklist has them.
    """
    verdicts = {text: judge_name(text, known.checklist) for text, _ in column.judged}
    listed = {text: is_read(verdict) and verdict.rule != NOT_LISTED for text, verdict in verdicts.items()}
    unknown = tuple(text for text, is_known in listed.items() if not is_known) if known.checklist.taxa else ()
    if is_of_actions(column) and not any(listed.values()):
        return Share(0.0, unknown)
    looks = column.share(lambda text: listed[text] or any(form.fullmatch(text) for form in NAME_FORMS))
    return Share(max(column.share(listed.__getitem__), looks * 0.9), unknown, sum(listed.values()))


def is_of_actions(column: Column) -> bool:
    """True if nearly all cells are words for what was done to a trap, whole words and not letters only."""
    actions = load_vocabulary("action")
    is_word = any(len(text) > 1 for text in column.counts)
    return is_word and column.share(lambda text: actions.find(text) is not None) >= MOSTLY_ACTIONS


def place_share(column: Column, known: Known) -> Share:
    """Codes of places: those of the site list, or else short texts that come back again and again."""
    if known.places.names:
        listed = {text: is_read(judge_place(text, known.places)) for text, _ in column.judged}
        share = column.share(listed.__getitem__)
        if share > 0.5:
            return Share(
                share, tuple(text for text, is_known in listed.items() if not is_known), sum(listed.values())
            )
    return Share(0.9 * share_like_places(column))


def share_like_places(column: Column) -> float:
    """Texts that can be the code or name of a place."""

    def can_be(text: str) -> bool:
        return len(text) <= LONGEST_PLACE and not DECIMAL.fullmatch(text) and text not in column.stored

    return column.share(can_be)


def listed_place_share(column: Column, known: Known) -> Share:
    """Codes in a site list itself: short, and each in one row only or in few."""
    return Share(share_like_places(column), distinct=len(column.counts))


def trap_share(column: Column, known: Known) -> Share:
    """Labels of traps: those of the site list, or else a letter and a number."""
    labels = {label.casefold() for label in known.traps.labels}

    def reads(text: str) -> bool:
        return text not in column.stored and (text.casefold() in labels or bool(TRAP_LABEL.fullmatch(text)))

    return Share(column.share(reads), distinct=len(column.counts))


def trap_state_share(column: Column, known: Known) -> Share:
    """States of traps; labels that no place list explains yet do not count against it."""
    verdicts = {text: judge_trap_state(text, known.traps) for text, _ in column.judged}
    readable = {text: is_read(verdict) or verdict.rule == NO_LIST_YET for text, verdict in verdicts.items()}
    return Share(column.share(readable.__getitem__), tuple(text for text, ok in readable.items() if not ok))


def mark_share(column: Column, known: Known) -> Share:
    """Marks and tags; one and the same text in every row is a kind of mark, not a mark."""
    if len(column.counts) == 1 and column.filled >= FEWEST_TO_DIFFER:
        return Share(0.0)
    verdicts = {text: judge_mark(text, column.stored.get(text, "")) for text, _ in column.judged}
    if not any(verdict.value or verdict.readings for verdict in verdicts.values()):
        return Share(0.0)
    return Share(column.share(lambda text: verdicts[text].status is not Status.UNREADABLE))


def person_share(column: Column, known: Known) -> Share:
    """Initials and names of people: words, never numbers."""
    return Share(column.share(lambda text: re.fullmatch(r"[^\d@#%°]{1,80}", text) is not None))


def text_share(column: Column, known: Known) -> Share:
    """Free text: anything, so that the cells say nothing."""
    return Share(None)


def reads_position(text: str, field: str) -> bool:
    """True if a cell can be the latitude, easting and so on that the field asks for."""
    if field == "verbatimCoordinates":
        return bool(parse_pair(text)) or parse_planar(text) is not None
    if field == "datum":
        return read_datum(text).is_datum
    if field == "utm_zone":
        return parse_zone(text) is not None
    if field in ("verbatimLatitude", "verbatimLongitude"):
        limit = LATITUDE_LIMIT if field == "verbatimLatitude" else LONGITUDE_LIMIT
        other = "is_longitude" if field == "verbatimLatitude" else "is_latitude"
        whole = re.fullmatch(r"[+-]?\d{1,3}", text)
        return not whole and any(angle.size <= limit and not getattr(angle, other) for angle in parse_angle(text))
    length = parse_length(text)
    low, high = EASTINGS if field == "easting" else NORTHINGS
    return length is not None and low <= abs(number_of(text)) <= high and abs(number_of(text)) > LONGITUDE_LIMIT


def number_of(text: str) -> float:
    """The first number of a text; 0 where there is none."""
    found = NUMBER.search(text.replace(" ", ""))
    return float(found[0].replace(",", ".")) if found else 0.0


SHARES: Mapping[str, Callable[[Column, Known], Share]] = {
    "date": date_share,
    "time": time_share,
    "number": number_share,
    "count": count_share,
    "name": name_share,
    "place": place_share,
    "place_code": listed_place_share,
    "trap": trap_share,
    "trap_state": trap_state_share,
    "mark": mark_share,
    "person": person_share,
}
