"""For each way of reading a field: what its judge depends on, and the judge.

`READERS` maps the `reading` of schemas/sheet/<kind>.json to a reader here. A reader gives, for every source, a
context (cells with the same context and text are judged once) and the judge for a context.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import cast

import numpy as np
import pandas as pd

from dwc_pipeline.core.distinct import on_distinct
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.core.verdict import EMPTY, Verdict, kept_or_changed
from dwc_pipeline.normalise.date_context import DateContext
from dwc_pipeline.normalise.date_habits import date_habits
from dwc_pipeline.normalise.decimal_marks import decimal_marks
from dwc_pipeline.normalise.event_date import judge_date
from dwc_pipeline.normalise.event_time import judge_time, time_habits
from dwc_pipeline.normalise.individual_count import CountWords, judge_count
from dwc_pipeline.normalise.mark import judge_mark, mark_habits
from dwc_pipeline.normalise.measurement import judge_quantity
from dwc_pipeline.normalise.name_match import NameContext
from dwc_pipeline.normalise.name_words import meaning_instead_of_name
from dwc_pipeline.normalise.person import PeopleList, judge_people
from dwc_pipeline.normalise.place_name import PlaceList, fold_place, judge_place
from dwc_pipeline.normalise.quantity import Quantity, quantity
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.normalise.sources import Source
from dwc_pipeline.normalise.time_context import TimeContext
from dwc_pipeline.normalise.trap_label import TrapList, judge_trap
from dwc_pipeline.normalise.trap_state import judge_trap_state
from dwc_pipeline.normalise.units import unit_in_header, unit_of_symbol
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.sheet import SheetField
from dwc_pipeline.terms.vocabulary import judge_word, load_vocabulary

DASHES = frozenset({"-", "–", "—", "--", "---"})
#: what a dash in place of a name is, by the habit of the sheet; a dash for a closed trap is asked
DASH_IN_NAMES = {"no animals": "no animals", "blank": "missing", "not applicable": "missing"}
Judge = Callable[[str, str], Verdict]


@dataclass(frozen=True)
class Around:
    """What every reader may consult."""

    survey: SurveyFile
    records: Records
    sources: Mapping[int, Source]
    checklist: Checklist
    places: PlaceList
    traps: Mapping[str, TrapList]


@dataclass(frozen=True)
class FieldReader:
    """context: per tidy row. judge_of: judge for a context. where: what questions are bound to, by context.

    is_plain: which of many texts every judge keeps as typed, with nothing to say of them; None where only they know.
    """

    context: pd.Series
    judge_of: Callable[[Hashable], Judge]
    where: Mapping[Hashable, str]
    keep_as_typed: bool = False
    is_plain: Callable[[np.ndarray], np.ndarray] | None = None


def one_context(tidy: TidyTable, judge: Judge, keep_as_typed: bool = False) -> FieldReader:
    """A reader whose judge depends on nothing but the cell."""
    return FieldReader(pd.Series(0, index=tidy.text.index), lambda _: judge, {}, keep_as_typed)


def by_source(
    tidy: TidyTable, around: Around, judges: Mapping[int, Judge], keep_as_typed: bool = False
) -> FieldReader:
    """A reader with a judge for each source; questions are bound to the sheet."""
    where: dict[Hashable, str] = {number: around.sources[number].place for number in judges}
    return FieldReader(tidy.origin["source"], lambda number: judges[int(str(number))], where, keep_as_typed)


def sources_in(tidy: TidyTable) -> list[int]:
    """The sources that rows of a tidy table come from."""
    return [int(number) for number in tidy.origin["source"].unique()]


def date_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Dates: the evidence is that of the column, then of the same file and table entry."""
    about, reading = around.survey.survey, around.survey.reading
    contexts: dict[int, DateContext] = {}
    texts, stored = tidy.verbatim(field.name), tidy.stored_iso(field.name)
    entries = tidy.origin["source"].map(
        {n: around.sources[n].entry.name + "\x1f" + around.sources[n].table.file for n in sources_in(tidy)}
    )
    pairs = pd.DataFrame(
        {"source": tidy.origin["source"], "entry": entries, "text": texts, "stored": stored}
    ).drop_duplicates()
    for number in sources_in(tidy):
        source = around.sources[number]
        declared = source.entry.date_order if source.entry.date_order != "by evidence" else reading.date_order
        base = DateContext(
            today=around.records.reference.today,
            season_start=about.starts,
            season_end=about.ends,
            project_start=about.project_starts,
            order="" if declared == "by evidence" else declared,
            order_evidence="" if declared == "by evidence" else f"the survey file says {declared}",
            date_system=date_system(source),
            time_zone=about.time_zone,
        )
        own = pairs[pairs["source"] == number]
        context = date_habits(own["text"].tolist(), own["stored"].tolist(), base, source.titles)
        if not context.order:
            wider = pairs[pairs["entry"] == own["entry"].iloc[0]].drop_duplicates(["text", "stored"])
            shared = date_habits(wider["text"].tolist(), wider["stored"].tolist(), base, source.titles)
            if shared.order:
                context = shared
        contexts[number] = context
    return by_source(tidy, around, {n: partial(judge_date, context=context) for n, context in contexts.items()})


def date_system(source: Source) -> str:
    """The date system of the workbook, "" for text files."""
    said = source.table.raw.facts.get("date system", "")
    return "1904" if "1904" in said else "1900" if "1900" in said else ""


def time_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Times of day, with the working hours of trap checks where the survey file gives them."""
    limits = around.survey.limits
    hours = ((limits.earliest_check, limits.latest_check),) if limits.earliest_check and limits.latest_check else ()
    base = TimeContext(longest_run_hours=limits.longest_run_hours)
    texts = tidy.verbatim(field.name)
    judges: dict[int, Judge] = {}
    for number in sources_in(tidy):
        own = texts[tidy.origin["source"] == number].unique().tolist()
        is_check = (
            tidy.kind == "capture" and around.sources[number].entry.constants.get("eventType", "") == "trapCheck"
        )
        context = TimeContext(working_hours=hours, longest_run_hours=limits.longest_run_hours) if is_check else base
        judges[number] = partial(judge_time, context=time_habits(own, context))
    return by_source(tidy, around, judges)


def word_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Words of a list, with the sheet's own words before it."""
    vocabulary = load_vocabulary(field.vocabulary)
    own = {n: around.sources[n].entry.words.get(field.name, {}) for n in sources_in(tidy)}
    if not any(own.values()):
        return one_context(tidy, lambda text, _: judge_word(text, vocabulary), keep_as_typed=True)
    keys = {n: tuple(sorted(words.items())) for n, words in own.items()}
    return FieldReader(
        tidy.origin["source"].map(keys),
        lambda key: lambda text, _: judge_word(text, vocabulary, dict(key)),  # type: ignore[call-overload]
        {},
        keep_as_typed=True,
    )


def quantity_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Measured quantities; the unit of bare numbers is the survey file's, else the header's."""
    judges: dict[int, Judge] = {}
    marks = decimal_marks(tidy, around.survey.reading.decimal_comma)
    for number in sources_in(tidy):
        source = around.sources[number]
        unit = source.entry.units.get(field.name) or unit_in_header(
            source.header(tidy, field.name), unit_of_symbol(field.unit).kind if field.unit else ""
        )
        judges[number] = quantity_judge(quantity(field.quantity, field.unit, unit, marks[number]))
    return by_source(tidy, around, judges)


def quantity_judge(measured: Quantity) -> Judge:
    """The judge of one quantity; a typed date or time in such a cell is read as shown."""
    return lambda text, _: judge_quantity(text, measured)


def number_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Plain counts of things: traps, people, covers."""
    marks = tidy.origin["source"].map(decimal_marks(tidy, around.survey.reading.decimal_comma))
    return FieldReader(marks, lambda mark: quantity_judge(quantity("number", "", decimal_mark=str(mark))), {})


def count_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Numbers of animals."""
    words = CountWords()
    return one_context(tidy, lambda text, _: judge_count(text, words))


def name_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Names of animals; what NA, a dash and a 0 mean are habits of the sheet, and asked once for each."""
    habits = {n: around.sources[n].entry.habits for n in sources_in(tidy)}
    of_dash = {n: DASH_IN_NAMES.get(own.dash, "") if own.dash else own.not_available for n, own in habits.items()}
    meaning = {n: (own.not_available, of_dash[n], own.zero, "") for n, own in habits.items()}
    of_sign = {n: (*key[:3], around.sources[n].place) for n, key in meaning.items()}
    sign_there = on_distinct(tidy.verbatim(field.name), are_signs)
    context = tidy.origin["source"].map(meaning).where(~sign_there, tidy.origin["source"].map(of_sign))

    def judge_of(key: Hashable) -> Judge:
        na_means, dash_means, zero_means, _ = cast("tuple[str, str, str, str]", key)
        context = NameContext(
            na_means=na_means,
            declared_words=around.survey.names,
            target_taxa=frozenset(around.survey.protocol.target_taxa),
        )
        with_dash = replace(context, na_means=dash_means)

        def judge(text: str, _: str) -> Verdict:
            sign = without_spaces_round(text)
            if sign == "0" and zero_means == "blank":
                return EMPTY
            return judge_name(text, around.checklist, with_dash if sign in DASHES else context)

        return judge

    where: dict[Hashable, str] = {key: key[3] for key in of_sign.values()}
    return FieldReader(context, judge_of, where, keep_as_typed=True)


def are_signs(texts: pd.Series) -> pd.Series:
    """True where NA, a dash or the like stands in place of a name."""
    return texts.map(lambda text: meaning_instead_of_name(without_spaces_round(text)) == "not available").astype(bool)


def place_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Codes of places against the site list; without a site list every code is kept as typed."""
    if not around.places.names:
        return place_code_reader(tidy, field, around)
    return one_context(tidy, lambda text, _: judge_place(text, around.places), keep_as_typed=True)


def place_code_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Codes in the site lists themselves: spellings that differ only in spaces, capitals or zeros are one place.

    The first spelling is the code; the others are changed to it.
    """
    first: dict[str, str] = {}
    for text in tidy.verbatim(field.name).unique():
        if code := without_spaces_round(text):
            first.setdefault(fold_place(code), code)

    def judge(text: str, _: str) -> Verdict:
        code = without_spaces_round(text)
        if not code:
            return EMPTY
        known = first.get(fold_place(code), code)
        return kept_or_changed(text, known, "place-spelling", f"'{code}' is another spelling of {known}")

    return one_context(tidy, judge, keep_as_typed=True)


def without_spaces_round(text: str) -> str:
    """The text with single spaces and none at its ends."""
    return " ".join(text.replace("\u200b", "").split())


def trap_reader(tidy: TidyTable, field: SheetField, around: Around, places: pd.Series) -> FieldReader:
    """Trap labels against the traps of the row's own array; as typed where the array itself could not be read.

    places: standard place of each row.
    """
    nothing = TrapList(())

    def judge_of(place: Hashable) -> Judge:
        traps = around.traps.get(str(place), nothing)
        return lambda text, _: judge_trap(text, traps)

    return FieldReader(
        places,
        judge_of,
        {place: str(place) for place in places.unique()},
        keep_as_typed=True,
    )


def trap_state_reader(tidy: TidyTable, field: SheetField, around: Around, places: pd.Series) -> FieldReader:
    """What a cell says of the traps of the row's array, with the sheet's own words before the list."""
    nothing = TrapList(())
    own = {n: tuple(sorted(around.sources[n].entry.words.get(field.name, {}).items())) for n in sources_in(tidy)}
    shut = {n: header_state(around.sources[n].header(tidy, field.name)) for n in sources_in(tidy)}
    origin = tidy.origin["source"]
    keys = list(zip(places, origin.map(own), origin.map(shut), strict=True))
    context = pd.Series(keys, index=places.index, dtype=object)

    def judge_of(key: Hashable) -> Judge:
        place, words, state = cast("tuple[str, tuple[tuple[str, str], ...], str]", key)
        traps = around.traps.get(place, nothing)
        return lambda text, _: judge_trap_state(text, traps, dict(words), state)

    return FieldReader(context, judge_of, {key: str(key[0]) for key in context.unique()})


def header_state(header: str) -> str:
    """The state that a column of bare trap labels gives by its header: "traps closed", "not open"."""
    return "closed" if re.search(r"\b(?:closed|not open|shut)\b", header, re.IGNORECASE) else ""


def mark_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Marks; the kind where the header names it."""
    judges: dict[int, Judge] = {}
    texts = tidy.verbatim(field.name)
    for number in sources_in(tidy):
        header = around.sources[number].header(tidy, field.name).casefold()
        kind = "PIT tag" if re.search(r"\bpit\b", header) else "toe clip" if "toe" in header else ""
        own = texts[tidy.origin["source"] == number].unique().tolist()
        judges[number] = partial(judge_mark, context=mark_habits(own, kind, "clip" in header))
    return by_source(tidy, around, judges, keep_as_typed=True)


def person_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Observers against the people of the survey file."""
    people = PeopleList({person.name: person.initials for person in around.survey.people})
    return one_context(tidy, lambda text, _: judge_people(text, people), keep_as_typed=True)


def text_reader(tidy: TidyTable, field: SheetField, around: Around) -> FieldReader:
    """Free text: spaces and line breaks are evened out, nothing else."""

    def judge(text: str, _: str) -> Verdict:
        even = without_spaces_round(text)
        return Verdict(EMPTY.status) if not even else kept_or_changed(text, even, "spaces-evened-out")

    return replace(one_context(tidy, judge, keep_as_typed=True), is_plain=are_even)


def are_even(texts: np.ndarray) -> np.ndarray:
    """True for the texts that have no spaces to even out; there may be one a row, so no call is made for each."""
    even = np.empty(len(texts), dtype=object)
    even[:] = [" ".join(text.split()) for text in texts]
    hidden = np.array(["\u200b" in text for text in texts], dtype=bool)
    return (even == texts) & ~hidden


READERS: Mapping[str, Callable[[TidyTable, SheetField, Around], FieldReader]] = {
    "date": date_reader,
    "time": time_reader,
    "word": word_reader,
    "measure": quantity_reader,
    "number": number_reader,
    "count": count_reader,
    "name": name_reader,
    "place": place_reader,
    "place_code": place_code_reader,
    "mark": mark_reader,
    "person": person_reader,
    "text": text_reader,
}
#: Readings that depend on the place of the row, which must be read before them.
READERS_BY_PLACE = {"trap": trap_reader, "trap_state": trap_state_reader}
