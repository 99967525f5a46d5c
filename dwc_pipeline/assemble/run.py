"""Standard rows -> event, occurrence, measurement, place, effort and humboldt tables, in one readable order."""

from __future__ import annotations

from typing import NamedTuple

import pandas as pd

from dwc_pipeline.assemble import events as tree
from dwc_pipeline.assemble.capture_events import (
    INCIDENTAL,
    ROAD,
    SEARCH,
    TRAP_CHECK,
    event_types,
    link_runs,
    link_trap_checks,
)
from dwc_pipeline.assemble.effort_table import effort_words, run_effort_lines, trap_effort_lines
from dwc_pipeline.assemble.habits_asked import (
    asked_habit_of_rows,
    causes_of_rows,
    closings_in_doubt,
    habit_of_rows,
    questions_of_closings,
    questions_of_days,
    setting_of_rows,
    source_of_rows,
)
from dwc_pipeline.assemble.humboldt import humboldt_rows, weather_text
from dwc_pipeline.assemble.identifiers import assign_identifiers, digests, doubtful_identifiers, in_order
from dwc_pipeline.assemble.log_entries import log_entries, stood_closed
from dwc_pipeline.assemble.measurements import animal_measurements, event_measurements
from dwc_pipeline.assemble.occurrences import (
    animal_stem,
    features_of,
    has_no_animal_words,
    occurrence_rows,
    says_no_animal,
)
from dwc_pipeline.assemble.organisms import marks_of, organisms
from dwc_pipeline.assemble.places import place_table
from dwc_pipeline.assemble.runs import run_table
from dwc_pipeline.assemble.runs_on_several_rows import cells_of_runs, runs_once
from dwc_pipeline.assemble.same_thing import same_animal, same_visit
from dwc_pipeline.assemble.season_summary import season_summary
from dwc_pipeline.assemble.sessions import Sessions, build_sessions
from dwc_pipeline.assemble.several_animals import with_animals_apart
from dwc_pipeline.assemble.single_traps import rows_behind, turned_twice
from dwc_pipeline.assemble.source_cells import entry_cells, row_cells, visit_cells
from dwc_pipeline.assemble.trap_effort import add_effort, trap_intervals
from dwc_pipeline.assemble.typed_effort import (
    typed_findings,
    typed_nights,
    with_typed_effort,
    without_needless,
)
from dwc_pipeline.assemble.unread_log_rows import findings_without_action, rows_without_action
from dwc_pipeline.assemble.visits_told_twice import one_visit_each
from dwc_pipeline.core.answers import WAITS
from dwc_pipeline.core.columns import mapped, text_column, where_true, without_gaps
from dwc_pipeline.core.findings import findings_on_rows, join_findings
from dwc_pipeline.core.local_time import calendar_parts
from dwc_pipeline.core.records import Outcome, Records
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.core.sheet_habits import WHOLE_DAY
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.settings import SurveyFile

ROW_WITHOUT_ANIMAL = declare(
    Rule(
        "row-without-an-animal",
        Severity.WARNING,
        "A row of a capture sheet has a place or a date, and nothing about an animal.",
        "It may be an empty check, which is data, or a row that was never finished.",
        'Say what a blank name means on this sheet (habits.blank in the survey file), or write "none" on the row.',
        asks=True,
    )
)
#: why the effort of the last night before a closing is not known
LAST_NIGHT_IN_DOUBT = f"whether it was checked on the day it was closed {WAITS}"
NOTHING = pd.Index([], dtype="int64")


class Captures(NamedTuple):
    """The capture rows: all of them, those with animals, and the kind of event of each."""

    rows: pd.DataFrame
    animals: pd.DataFrame
    types: pd.Series
    findings: pd.DataFrame


def assemble(records: Records, survey: SurveyFile) -> Records:
    """The tables of the survey with identifiers, links to the rows they came from, and the register."""
    whole = with_animals_apart(records)
    records, again, again_findings = runs_once(whole)
    places, place_links, place_findings = place_table(standard(records, "place"), row_cells(records, "place"))
    captures = split_captures(records, survey, places)
    trapping = trap_events(records, survey, places, captures)
    roads, road_findings = run_table(standard(records, "road_run"), "road_run")
    searches, search_findings = run_table(standard(records, "search"), "search")
    event, key_of_row, link_findings = event_tree(records, survey, places, captures, trapping, roads, searches)
    event, event_register = identify_events(event, records.reference.identifiers)
    effort = effort_lines(records, event, trapping.lines, roads, searches, again)
    occurrence, animal_registers, doubtful = identified_animals(records, survey, captures, event, key_of_row)
    measurement = all_measurements(records, captures, occurrence, event)
    humboldt = humboldt_rows(event, effort, occurrence, event_weather(records, event), survey)
    register = pd.concat([event_register, *animal_registers], ignore_index=True)
    links = {
        "place": place_links,
        "event": event_links(event, again),
        "occurrence": pd.DataFrame(
            {"id": occurrence["occurrenceID"], "kind": "capture", "tidy_row": occurrence.index}
        ),
        "measurement": measurement.rename(columns={"measurementID": "id"})[["id", "kind", "tidy_row", "field"]],
    }
    tables = {
        "place": places,
        "event": event,
        "occurrence": occurrence,
        "measurement": measurement,
        "effort": effort,
        "humboldt": humboldt,
        "identifiers": register,
    }
    return whole.with_(
        findings=[
            place_findings,
            captures.findings,
            trapping.findings,
            again_findings,
            road_findings,
            search_findings,
            link_findings,
            doubtful,
        ],
        tables=season_summary(tables, roads, searches, trapping.sessions.sessions, survey),
        links=links,
        rows=rows_with_outcomes(records, captures),
        answered=records.answered | trapping.answered,
    )


def standard(records: Records, kind: str) -> pd.DataFrame:
    """The standard rows of one kind; an empty frame where no sheet holds any."""
    return records.standard.get(kind, pd.DataFrame(index=NOTHING))


def split_captures(records: Records, survey: SurveyFile, places: pd.DataFrame) -> Captures:
    """Capture rows told apart: with an animal, saying that there was none, and saying nothing."""
    rows = standard(records, "capture")
    tidy = records.tidy.get("capture", TidyTable("capture", pd.DataFrame(index=NOTHING), pd.DataFrame()))
    nothing = has_no_animal_words(tidy.text) & (text_column(rows, "individualCount") == "")
    blank_means_none = habit_of_rows(records, survey, "capture", "blank") == "no animals"
    rows = rows.assign(row_is=habit_of_rows(records, survey, "capture", "row_is"))
    rows["verbatimIdentification/no_animal"] = where_true(says_no_animal(rows) | (nothing & blank_means_none), "true")
    unsaid = rows.index[nothing & ~blank_means_none]
    findings = findings_on_rows(
        ROW_WITHOUT_ANIMAL,
        "capture",
        unsaid,
        "verbatimIdentification",
        message="the row says nothing about an animal: was the check empty?",
        cause="blank name\x1f" + causes_of_rows(records, "capture").reindex(unsaid),
    )
    rows = rows.drop(index=unsaid)
    animals = rows[rows["verbatimIdentification/no_animal"] != "true"]
    return Captures(rows, animals, event_types(rows, places), findings)


class Trapping(NamedTuple):
    """Sessions and intervals of the arrays; where each visit stands; the effort of each visit by kind of trap."""

    sessions: Sessions
    cells: pd.Series
    lines: pd.DataFrame
    findings: pd.DataFrame
    answered: frozenset[str]


def trap_events(records: Records, survey: SurveyFile, places: pd.DataFrame, captures: Captures) -> Trapping:
    """Sessions and intervals of the arrays, and how long each trap could catch in each interval."""
    log = standard(records, "trap_log")
    of_traps = captures.rows[captures.types == TRAP_CHECK]
    entries, entry_findings = log_entries(log, of_traps)
    rows_at = row_cells(records, "trap_log")
    entries, log, twice = one_visit_each(entries, log, source_of_rows(records, "trap_log"), rows_at)
    entries["cell"] = entry_cells(records, entries)
    closed_day, answered = asked_habit_of_rows(records, survey, "trap_log", "closed_day")
    whole_day = closed_day == WHOLE_DAY
    by_entry = (
        entries["tidy_row"].map(whole_day).where(entries["kind"] == "trap_log", False).fillna(False).astype(bool)
    )
    entries["seen_closed"] = stood_closed(entries, log)
    doubtful = closings_in_doubt(entries, log, closed_day, of_traps) & ~entries["seen_closed"]
    sessions = build_sessions(entries, by_entry & ~entries["seen_closed"], doubtful)
    unsaid = pd.Series(False, index=log.index)
    if "trap_log" in records.tidy:
        unsaid = rows_without_action(log, records.tidy["trap_log"])
    traps, trap_findings = trap_intervals(sessions, places, log, survey, unsaid)
    typed = typed_nights(log, setting_of_rows(records, survey, "trap_log", "effort") == "as typed")
    unsettled = sessions.intervals[
        sessions.intervals["is_doubtful"] & ~sessions.intervals["tidy_row"].isin(typed.index)
    ]
    in_doubt = traps["interval"].isin(unsettled.index)
    traps = traps.assign(share=traps["share"].mask(in_doubt), why=traps["why"].mask(in_doubt, LAST_NIGHT_IN_DOUBT))
    traps = add_effort(traps, places, survey.protocol, survey.survey.time_zone)
    findings = join_findings(
        [
            entry_findings,
            twice,
            findings_without_action(log, unsaid),
            sessions.findings,
            trap_findings,
            turned_twice(log, sessions.sessions, rows_at),
            questions_of_days(records, survey, of_traps, log),
            questions_of_closings(records, unsettled),
            typed_findings(log, traps, sessions.intervals, typed),
        ]
    )
    cells = visit_cells(records, sessions.intervals)
    single = rows_behind(traps, log, sessions.sessions, rows_at)
    behind = cells + ("; " + single).reindex(cells.index).fillna("")
    computed = trap_effort_lines(traps, sessions.intervals, survey.protocol.trap_night, behind)
    lines = with_typed_effort(computed, sessions.intervals, typed)
    return Trapping(sessions, cells, lines, without_needless(findings, typed), answered)


def event_tree(
    records: Records,
    survey: SurveyFile,
    places: pd.DataFrame,
    captures: Captures,
    trapping: Trapping,
    roads: pd.DataFrame,
    searches: pd.DataFrame,
) -> tuple[pd.DataFrame, pd.Series, pd.DataFrame]:
    """All events with their keys and places, the event key of each animal row, findings."""
    animals, types = captures.animals, captures.types.reindex(captures.animals.index)
    sessions, intervals = trapping.sessions.sessions, trapping.sessions.intervals
    words = effort_words(trapping.lines, survey.protocol.trap_night)
    nearest = intervals.assign(cell=trapping.cells)
    link, link_findings = link_trap_checks(animals[types == TRAP_CHECK], nearest)
    on_road, road_findings = link_runs(animals[types == ROAD], roads, "run")
    in_search, search_findings = link_runs(animals[types == SEARCH], searches, "run")
    key = pd.Series(tree.SEASON, index=animals.index, dtype=object)
    checked = link.index[link["interval"] >= 0]
    key[checked] = "check\x1f" + link.loc[checked, "interval"].astype(str)
    doubtful = link.index[link["session"] != ""]
    key[doubtful] = tree.SESSION + link.loc[doubtful, "session"]
    unlogged, unlogged_keys = tree.unlogged_checks(with_moments(animals.loc[link.index[link["is_unlogged"]]]), survey)
    key[unlogged_keys.index] = unlogged_keys
    loose = [animals.index[types == INCIDENTAL]]
    for found, kind in ((on_road, "road_run"), (in_search, "search")):
        met = found.index[found >= 0]
        key[met] = kind + "\x1f" + found[met].astype(str)
        loose.append(found.index[found < 0])
    chance_rows = animals.loc[sorted(set().union(*loose))]
    chance, chance_keys = tree.chance_events(chance_rows, survey, types)
    key[chance_keys.index] = chance_keys
    parts = [
        tree.survey_events(survey),
        tree.session_events(sessions, survey, session_words(intervals)),
        tree.check_events(intervals, survey, words, visit_notes(records, intervals)),
        unlogged,
        tree.run_events(roads, survey, "road_run", run_notes(records, "road_run")),
        tree.run_events(searches, survey, "search", run_notes(records, "search")),
        chance,
    ]
    event = pd.concat([part for part in parts if len(part)], ignore_index=True)
    event = tree.in_their_season(event, survey)
    event = tree.with_places(event, places, standard(records, "capture"), survey)
    event["recordedBy"] = recorders(records, event)
    return event, key, join_findings([link_findings, road_findings, search_findings])


def with_moments(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows with the columns of place and moment, blank where no sheet gives them."""
    wanted = ("place", "when/date", "when/local")
    return pd.DataFrame({name: text_column(rows, name) for name in wanted}, index=rows.index)


def session_words(intervals: pd.DataFrame) -> pd.Series:
    """The effort of each session in words: the number of checks; the numbers stand on the checks."""
    count = intervals[intervals["session"] != ""].groupby("session").size()
    return count.astype(str) + " checks; effort is given with each check"


def visit_notes(records: Records, intervals: pd.DataFrame) -> pd.DataFrame:
    """Verbatim dates and remarks of the log rows behind the visits."""
    notes = pd.DataFrame("", index=intervals.index, columns=["verbatimEventDate", "eventRemarks"], dtype=object)
    for kind, rows in intervals.groupby("kind")["tidy_row"]:
        told = row_notes(records, str(kind))
        notes.loc[rows.index] = told.reindex(rows).to_numpy()
    return without_gaps(notes)


def run_notes(records: Records, kind: str) -> pd.DataFrame:
    """Verbatim dates and remarks of the runs."""
    if kind not in records.tidy:
        return pd.DataFrame({"verbatimEventDate": [], "eventRemarks": []}, index=NOTHING)
    return row_notes(records, kind)


def row_notes(records: Records, kind: str) -> pd.DataFrame:
    """Verbatim date with its times, and remarks, of the tidy rows of one kind."""
    tidy, rows = records.tidy[kind], records.standard[kind]
    parts = [
        tidy.verbatim(name).str.strip() for name in ("eventDate", "eventTime", "start_time", "end_date", "end_time")
    ]
    verbatim = parts[0].astype(object)
    for part in parts[1:]:
        verbatim = verbatim + where_true(part != "", " ") + part
    remarks = tree.joined(text_column(rows, "eventRemarks"), text_column(rows, "cell_remarks"))
    return pd.DataFrame({"verbatimEventDate": verbatim.str.strip(), "eventRemarks": remarks})


def recorders(records: Records, event: pd.DataFrame) -> pd.Series:
    """Who did the visit or run, from the log or the run sheet."""
    found = pd.Series("", index=event.index, dtype=object)
    for kind, rows in event[event["kind"].isin(["trap_log", "road_run", "search"])].groupby("kind")["tidy_row"]:
        found.loc[rows.index] = (
            text_column(standard(records, str(kind)), "recordedBy").reindex(rows, fill_value="").to_numpy()
        )
    return found


def identify_events(event: pd.DataFrame, register: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """eventID, parentEventID and the calendar terms; the register of events."""
    fixed = event["eventType"].isin([tree.SURVEY, tree.SEASON])
    features = tree.event_features(event[~fixed])
    given = assign_identifiers("event", event.loc[~fixed, "stem"], features, register, same_visit)
    identifiers = event["stem"].where(fixed)
    identifiers[~fixed] = given.identifiers
    by_key = pd.Series(identifiers.to_numpy(), index=event["key"])
    event = event.assign(eventID=identifiers, parentEventID=mapped(event["parent"], by_key))
    event["eventCategory"] = "Event"
    parts = calendar_parts(event["eventDate"])
    return event.join(parts), given.register


def event_links(event: pd.DataFrame, again: pd.DataFrame) -> pd.DataFrame:
    """The rows behind each event. again: rows that tell of a run once more, as of `runs_once`."""
    links = event[["eventID", "kind", "tidy_row"]].rename(columns={"eventID": "id"})
    if again.empty:
        return links
    more = again.merge(links, left_on=["kind", "kept"], right_on=["kind", "tidy_row"], suffixes=("", "_kept"))
    return pd.concat([links, more[["id", "kind", "tidy_row"]].astype({"tidy_row": "int64"})], ignore_index=True)


def effort_lines(
    records: Records,
    event: pd.DataFrame,
    traps: pd.DataFrame,
    roads: pd.DataFrame,
    searches: pd.DataFrame,
    again: pd.DataFrame,
) -> pd.DataFrame:
    """The effort table with eventID, and where each line comes from. traps: the effort lines of the visits."""
    by_key = pd.Series(event["eventID"].to_numpy(), index=event["key"])
    parts = [
        ("check\x1f", traps),
        ("road_run\x1f", run_effort_lines(roads, cells_of_runs(records, "road_run", again))),
        ("search\x1f", run_effort_lines(searches, cells_of_runs(records, "search", again))),
    ]
    lines = [part.assign(eventID=(prefix + part["event"].astype(str)).map(by_key)) for prefix, part in parts]
    return pd.concat([line for line in lines if len(line)] or lines[:1], ignore_index=True)


def identified_animals(
    records: Records, survey: SurveyFile, captures: Captures, event: pd.DataFrame, key: pd.Series
) -> tuple[pd.DataFrame, list[pd.DataFrame], pd.DataFrame]:
    """Occurrences with occurrenceID, eventID and organismID; the registers of animals; findings."""
    rows = captures.animals
    verbatim = records.tidy["capture"].text.loc[rows.index] if "capture" in records.tidy else rows
    made = occurrence_rows(rows, verbatim, survey)
    by_key = pd.Series(event["eventID"].to_numpy(), index=event["key"])
    made["eventID"] = key.map(by_key)
    stem = animal_stem(made["eventID"], text_column(rows, "trap"))
    register = records.reference.identifiers
    given = assign_identifiers("occurrence", stem, features_of(made, rows), register, same_animal, digests(verbatim))
    made["occurrenceID"] = given.identifiers
    made["organismID"], marked = organisms(made, marks_of(made, rows), survey.survey.code, register)
    return made, [given.register, in_order(marked.register)], doubtful_identifiers(given)


def all_measurements(
    records: Records, captures: Captures, occurrence: pd.DataFrame, event: pd.DataFrame
) -> pd.DataFrame:
    """Measurement rows of animals, then of events."""
    made = [animal_measurements(captures.animals, occurrence)]
    for kind in ("trap_log", "road_run", "search"):
        own = event[event["kind"] == kind]
        own = own[own["eventType"] != tree.SESSION]
        if len(own):
            made.append(
                event_measurements(
                    standard(records, kind), kind, pd.Series(own["eventID"].to_numpy(), index=own["tidy_row"])
                )
            )
    return pd.concat(made, ignore_index=True)


def event_weather(records: Records, event: pd.DataFrame) -> pd.Series:
    """Weather of each event as JSON text, by eventID."""
    found: dict[str, str] = {}
    for kind in ("trap_log", "road_run", "search"):
        own = event[(event["kind"] == kind) & (event["eventType"] != tree.SESSION)]
        if len(own):
            text = weather_text(standard(records, kind)).reindex(own["tidy_row"])
            found |= dict(zip(own["eventID"], text, strict=True))
    return pd.Series(found, dtype=object)


def rows_with_outcomes(records: Records, captures: Captures) -> pd.DataFrame:
    """The row accounting with rows that gave no record of their own named as what they are."""
    rows = records.rows.copy()
    empty = captures.rows.index.difference(captures.animals.index)
    unsaid = standard(records, "capture").index.difference(captures.rows.index)
    for index, outcome, reason in (
        (empty, Outcome.USED, "says that nothing was caught: an empty check"),
        (unsaid, Outcome.ASIDE, "nothing about an animal, waiting for an answer"),
    ):
        if len(index):
            origin = records.tidy["capture"].origin.loc[index]
            source = records.sources.reindex(origin["source"])
            where = pd.MultiIndex.from_arrays([source["file"], source["sheet"], origin["row"]])
            hit = pd.MultiIndex.from_frame(rows[["file", "sheet", "row"]]).isin(where)
            rows.loc[hit, "outcome"], rows.loc[hit, "reason"] = outcome, reason
    for kind in ("trap_log", "place", "road_run", "search"):
        hit = (rows["table"] == kind) & (rows["outcome"] == Outcome.PLACED)
        rows.loc[hit, "outcome"] = Outcome.USED
        rows.loc[hit, "reason"] = {
            "trap_log": "trap log: effort and checks",
            "place": "site list",
            "road_run": "road run: an event with its effort",
            "search": "search: an event with its effort",
        }[kind]
    return rows
