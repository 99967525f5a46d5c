"""The event tree: survey, season, array session, check; road run; search; find by chance.

Each function gives one line an event with the columns EVENT_PARTS; identifiers are given afterwards. `key` names
an event within the run: the kind of event and the row of the table it was made from.
"""

from __future__ import annotations

import re
from functools import reduce

import numpy as np
import pandas as pd

from dwc_pipeline.assemble.places import POSITION_TERMS
from dwc_pipeline.core.columns import as_text, mapped, text_column, where_true
from dwc_pipeline.core.columns import joined as joined
from dwc_pipeline.core.local_time import iso_interval
from dwc_pipeline.settings import SurveyFile

SURVEY, SEASON, SESSION = "project", "fieldSeason", "trapSession"
EVENT_PARTS = (
    "key",
    "parent",
    "eventType",
    "stem",
    "place",
    "eventDate",
    "eventTime",
    "verbatimEventDate",
    "samplingProtocol",
    "samplingEffort",
    "sampleSizeValue",
    "sampleSizeUnit",
    "fieldNumber",
    "eventRemarks",
    "hours",
    "kind",
    "tidy_row",
)
PLACE_TERMS = (
    *POSITION_TERMS,
    "locality",
    "county",
    "habitat",
    "minimumElevationInMeters",
    "maximumElevationInMeters",
    "verbatimElevation",
    "locationRemarks",
)


def in_identifier(text: str) -> str:
    """A place or label as part of an identifier: letters, digits and hyphens.

    >>> in_identifier("North Pond #2")
    'North-Pond-2'
    """
    return re.sub(r"[^A-Za-z0-9]+", "-", text).strip("-") or "x"


def frame_of(index: pd.Index, **parts: object) -> pd.DataFrame:
    """A frame of events with the parts given, blank elsewhere."""
    made = pd.DataFrame("", index=index, columns=list(EVENT_PARTS), dtype=object)
    made["hours"], made["tidy_row"] = np.nan, -1
    for name, value in parts.items():
        made[name] = value
    return made


def survey_events(survey: SurveyFile) -> pd.DataFrame:
    """The survey and its season, with the dates of the survey file."""
    about = survey.survey
    start = about.project_starts or about.starts
    return frame_of(
        pd.Index([0, 1]),
        key=[SURVEY, SEASON],
        parent=["", SURVEY],
        eventType=[SURVEY, SEASON],
        stem=[about.code, f"{about.code}-{about.season}"],
        eventDate=[f"{start}/{about.ends}", f"{about.starts}/{about.ends}"],
    )


def in_their_season(events: pd.DataFrame, survey: SurveyFile) -> pd.DataFrame:
    """The events with those outside the season taken out from under it: a whole contains its parts in time.

    Such a date is a finding of its own and is not changed; the event hangs under the survey if it lies within that,
    else under nothing. Source: Properties of hierarchical events in the Humboldt Extension, 3.2.1.
    """
    about = survey.survey
    first = events["eventDate"].str.slice(0, 10)
    last = events["eventDate"].str.split("/").str[-1].str.slice(0, 10)
    dated = (first.str.len() == 10) & (last.str.len() == 10)
    parent = events["parent"]
    for whole, begins, above in (
        (SEASON, about.starts, SURVEY),
        (SURVEY, about.project_starts or about.starts, ""),
    ):
        outside = dated & ((first < begins.isoformat()) | (last > about.ends.isoformat()))
        parent = parent.mask((parent == whole) & outside & (events["eventType"] != SEASON), above)
    return events.assign(parent=parent)


def stem_of(survey: SurveyFile, place: pd.Series, date: pd.Series, letter: str) -> pd.Series:
    """Start of the identifiers of events at a place on a day."""
    base = f"{survey.survey.code}-{survey.survey.season}-"
    names = mapped(place, {one: in_identifier(one) for one in place.unique()})
    return base + names + "-" + letter + date.str.replace("-", "", regex=False)


def day_text(days: pd.Series) -> pd.Series:
    """Days as ISO text; "" where missing."""
    return days.dt.strftime("%Y-%m-%d").fillna("").astype(object)


def spans(start_local: pd.Series, start_date: pd.Series, end_local: pd.Series, end_date: pd.Series) -> pd.DataFrame:
    """eventDate and eventTime of intervals: with times where both ends have one, else whole days."""
    timed = (start_local != "") & (end_local != "")
    days = iso_interval(day_text(start_date), day_text(end_date))
    single = start_date.isna() & (end_local != "")
    date = iso_interval(start_local, end_local).where(timed, days).where(~single, end_local)
    clock = iso_interval(start_local.str.slice(11), end_local.str.slice(11)).where(timed, "")
    return pd.DataFrame({"eventDate": date, "eventTime": clock.where(~single, end_local.str.slice(11))})


def session_events(sessions: pd.DataFrame, survey: SurveyFile, words: pd.Series) -> pd.DataFrame:
    """One event a session. words: its effort in words, by session."""
    when = spans(sessions["open_local"], sessions["open_date"], sessions["close_local"], sessions["close_date"])
    return frame_of(
        sessions.index,
        key=SESSION + sessions["session"],
        parent=SEASON,
        eventType=SESSION,
        stem=stem_of(survey, sessions["place"], day_text(sessions["open_date"]), "s"),
        place=sessions["place"],
        eventDate=when["eventDate"],
        eventTime=when["eventTime"],
        samplingProtocol=survey.protocol.name,
        samplingEffort=mapped(sessions["session"], words),
        eventRemarks=where_true(~sessions["is_closed"], "no closing in the trap log; ends with the last visit"),
        kind=sessions["kind"],
        tidy_row=sessions["tidy_row"],
    )


def check_events(
    intervals: pd.DataFrame, survey: SurveyFile, effort: pd.DataFrame, rows: pd.DataFrame
) -> pd.DataFrame:
    """One event a visit. effort: from `effort_words`. rows: verbatim dates and remarks by interval."""
    when = spans(intervals["start_local"], intervals["start_date"], intervals["end_local"], intervals["end_date"])
    hours = (intervals["end_utc"] - intervals["start_utc"]).dt.total_seconds() / 3600
    closing = where_true(intervals["is_closing"], "visit at which the array was closed")
    remarks = rows["eventRemarks"]
    return frame_of(
        intervals.index,
        key="check\x1f" + intervals.index.astype(str),
        parent=(SESSION + intervals["session"]).where(intervals["session"] != "", SEASON),
        eventType="trapCheck",
        stem=stem_of(survey, intervals["place"], day_text(intervals["end_date"]), "c"),
        place=intervals["place"],
        eventDate=when["eventDate"],
        eventTime=when["eventTime"],
        verbatimEventDate=rows["verbatimEventDate"],
        samplingProtocol=survey.protocol.name,
        samplingEffort=effort["words"].reindex(intervals.index).fillna("effort not known"),
        sampleSizeValue=as_text(hours, 2),
        sampleSizeUnit=where_true(hours.notna(), "hour"),
        eventRemarks=joined(remarks, closing),
        hours=hours,
        kind=intervals["kind"],
        tidy_row=intervals["tidy_row"],
    )


def unlogged_checks(captures: pd.DataFrame, survey: SurveyFile) -> tuple[pd.DataFrame, pd.Series]:
    """Checks that the log does not hold, made from the captures: effort unknown. Also the key of each row."""
    place, date = captures["place"], captures["when/date"]
    local = captures["when/local"]
    key = "unlogged\x1f" + place + "\x1f" + date
    first = captures.loc[~key.duplicated()].index
    same_time = local.groupby(key).transform("nunique").reindex(first) == 1
    moment = local.reindex(first).where(same_time & (local.reindex(first) != ""), date.reindex(first))
    made = frame_of(
        first,
        key=key.reindex(first),
        parent=SEASON,
        eventType="trapCheck",
        stem=stem_of(survey, place.reindex(first), date.reindex(first), "c"),
        place=place.reindex(first),
        eventDate=moment,
        samplingProtocol=survey.protocol.name,
        samplingEffort="effort not known",
        eventRemarks="the trap log has no check of this array on this day",
        kind="capture",
        tidy_row=first,
    )
    return made, key


def run_events(runs: pd.DataFrame, survey: SurveyFile, kind: str, rows: pd.DataFrame) -> pd.DataFrame:
    """One event a road run or search. rows: verbatim dates and remarks by run."""
    is_road = kind == "road_run"
    protocol = survey.protocol.road_name if is_road else survey.protocol.search_name
    distance, people = as_text(runs["distance_km"], 3), as_text(runs["people"], 0)
    covers = as_text(runs["covers"], 0)
    words = joined(
        (distance + " km").where(distance != "", ""),
        (as_text(runs["person_hours"], 2) + " person-hours").where(runs["person_hours"].notna(), ""),
        (people + " people").where(people != "", ""),
        (covers + " cover objects turned").where(covers != "", ""),
    )
    by_distance = is_road & (distance != "")
    hours = as_text(runs["hours"], 2)
    timed = (runs["local"] != "") & (runs["end_local"] != "")
    return frame_of(
        runs.index,
        key=kind + "\x1f" + runs.index.astype(str),
        parent=SEASON,
        eventType="roadSurvey" if is_road else "coverSearch",
        stem=stem_of(survey, runs["place"], runs["date"], "r" if is_road else "f"),
        place=runs["place"],
        eventDate=iso_interval(runs["local"], runs["end_local"]).where(
            timed, runs["local"].where(runs["local"] != "", runs["date"])
        ),
        eventTime=iso_interval(runs["local"].str.slice(11), runs["end_local"].str.slice(11)),
        verbatimEventDate=rows["verbatimEventDate"],
        samplingProtocol=protocol,
        samplingEffort=words.where(words != "", "effort not known"),
        sampleSizeValue=distance.where(by_distance, hours),
        sampleSizeUnit=where_true(by_distance, "kilometre").where(by_distance, where_true(hours != "", "hour")),
        fieldNumber=runs["run"],
        eventRemarks=rows["eventRemarks"],
        hours=(runs["end_utc"] - runs["utc"]).dt.total_seconds() / 3600,
        kind=kind,
        tidy_row=runs.index,
    )


def chance_events(
    captures: pd.DataFrame, survey: SurveyFile, event_type: pd.Series
) -> tuple[pd.DataFrame, pd.Series]:
    """Finds by chance, and finds of runs that are not on any sheet: one event a day, time, place and position."""
    told = pd.DataFrame({"type": event_type.reindex(captures.index)})
    names = [
        "place",
        "when/date",
        "when/local",
        "locality",
        "recordedBy",
        "position/decimalLatitude",
        "position/decimalLongitude",
    ]
    for name in names:
        told[name] = text_column(captures, name)
    key = reduce(lambda left, right: left + "\x1f" + right, (told[name].astype(object) for name in told))
    key = "chance\x1f" + key
    first = captures.index[~key.duplicated()]
    own = told.loc[first]
    place = own["place"].where(own["place"] != "", "chance")
    named = {"roadSurvey": survey.protocol.road_name, "coverSearch": survey.protocol.search_name}
    protocol = mapped(own["type"], named)
    made = frame_of(
        first,
        key=key.reindex(first),
        parent=SEASON,
        eventType=own["type"],
        stem=stem_of(survey, place, own["when/date"], "i"),
        place=own["place"],
        eventDate=own["when/local"].where(own["when/local"] != "", own["when/date"]),
        eventTime=own["when/local"].str.slice(11),
        samplingProtocol=protocol.where(protocol != "", "incidental observation"),
        samplingEffort=where_true(own["type"] != "incidental", "effort not known"),
        kind="capture",
        tidy_row=first,
    )
    return made, key


def event_features(events: pd.DataFrame) -> pd.DataFrame:
    """What the register keeps of each event, from published terms alone: the time by which the event is known.

    That is the end of a check, since its start is only the check before; the start of all other events; and the
    words for the place of a find by chance and its position.
    """
    date, kind = text_column(events, "eventDate"), text_column(events, "eventType")
    time = date.str.split("/").str[0].where(kind != "trapCheck", date.str.split("/").str[-1]).str.slice(0, 16)
    position = text_column(events, "decimalLatitude") + " " + text_column(events, "decimalLongitude")
    told = {"time": time, "locality": text_column(events, "locality"), "position": position.str.strip()}
    features = pd.DataFrame(told, index=events.index).astype(object)
    features.loc[kind != "incidental", ["locality", "position"]] = ""
    return features


def with_places(
    events: pd.DataFrame, places: pd.DataFrame, captures: pd.DataFrame, survey: SurveyFile
) -> pd.DataFrame:
    """The events with position and place terms: of the site list, or of the find itself where it has its own."""
    table = places.set_index("place") if len(places) else pd.DataFrame(columns=list(PLACE_TERMS))
    for term in PLACE_TERMS:
        events[term] = mapped(events["place"], table[term]) if term in table else ""
    by_chance = (events["kind"] == "capture") & events["key"].str.startswith("chance")
    rows = events.loc[by_chance, "tidy_row"]
    own_position = (
        captures["position/decimalLatitude"].reindex(rows) != "" if "position/decimalLatitude" in captures else None
    )
    if own_position is not None:
        placed = rows[own_position.to_numpy()]
        for term in POSITION_TERMS:
            events.loc[placed.index, term] = text_column(captures, f"position/{term}").reindex(placed).to_numpy()
    for term, name in (("locality", "locality"), ("habitat", "habitat")):
        said = text_column(captures, name).reindex(rows).to_numpy()
        current = events.loc[rows.index, term]
        events.loc[rows.index, term] = np.where(said != "", said, current)
    about = survey.survey
    events["country"], events["countryCode"], events["stateProvince"] = about.country, about.country_code, about.state
    events["county"] = events["county"].where(events["county"] != "", about.county)
    events["locationID"] = events["place"].map(
        {one: f"{about.code}-{in_identifier(one)}" if one else "" for one in events["place"].unique()}
    )
    return events
