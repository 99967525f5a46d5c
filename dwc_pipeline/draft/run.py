"""Raw files -> a draft of the survey file, and the writing of it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath

import pandas as pd

from dwc_pipeline.core.raw import column_number
from dwc_pipeline.draft.above_table import Fact, facts_of
from dwc_pipeline.draft.cell_evidence import Known
from dwc_pipeline.draft.code_list import checklist_from
from dwc_pipeline.draft.kinds import Kind, is_firm, kind_of
from dwc_pipeline.draft.look import Look, SeenTable, as_group, files_among, look_at
from dwc_pipeline.draft.placing import Evidence, place_columns
from dwc_pipeline.draft.proposal import Confidence, Draft, Setting, TableProposal
from dwc_pipeline.draft.questions import questions_of
from dwc_pipeline.draft.season import (
    dates_in,
    points_in,
    season_settings,
    survey_name,
    time_zone_setting,
    utm_zone_of,
)
from dwc_pipeline.draft.table_entry import Group, entries_of
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.draft.wide_layouts import wide_layout
from dwc_pipeline.errors import OutputRefused, UnreadableFile
from dwc_pipeline.normalise.place_name import PlaceList
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.normalise.trap_label import TrapList
from dwc_pipeline.normalise.trap_layout import expand_labels
from dwc_pipeline.reshape.header_match import folded
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.sheet import SHEET_KINDS
from dwc_pipeline.write.whole_file import whole_file

#: names near an unknown one, shown at most
MOST_NEAR = 3
#: initials of observers proposed at most
MOST_PEOPLE = 40
CODE_LIST_NAME = "checklist_from_the_sheets.csv"
RUN_KINDS = {"roadSurvey": "road_run", "coverSearch": "search"}
PROTOCOL = (
    Setting("trap_night", "midnights", "what a trap-night is; see docs/survey_file.md"),
    Setting("out_of_order", "half interval", "effort of a trap found flooded or sprung at an unknown time"),
    Setting("target_taxa", ["Anura", "Caudata", "Squamata", "Testudines"], "what the survey set out to record",
            active=False),
    Setting("scope_fully_reported", True, "was every animal of these that was seen written down?", active=False),
)  # fmt: skip


def draft_survey(paths: Sequence[Path], to: Path, today: dt.date) -> Draft:
    """Look at files and folders and propose a survey file that will stand at `to`; nothing is written.

    today: the day that counts as today. Raises UnreadableFile if a path does not exist, or if no file holds a table
    of records.
    """
    look = look_at(files_among(paths, to), to.resolve().parent)
    if not look.tables:
        reasons = "\n".join(look.not_placed)
        raise UnreadableFile(f"No table of records was found.{chr(10) if reasons else ''}{reasons}")
    code_list = pd.DataFrame() if look.checklist else checklist_from(look.code_lists)
    checklist = Checklist.from_frame(look.checklist_rows if look.checklist else code_list)
    known = Known(today, checklist)
    groups = groups_of(look, known)
    groups = groups_of(look, with_places(known, groups))
    tables = proposals(look, groups)
    draft = Draft(
        path=to,
        parts=survey_parts(look, groups, to, today, CODE_LIST_NAME if len(code_list) else ""),
        tables=tuple(tables),
        initials=initials_in(groups),
        unknown_names=unknown_names(groups, checklist),
        not_placed=(*look.not_placed, *lists_left_aside(look)),
        code_list=code_list,
        code_list_name=CODE_LIST_NAME if len(code_list) else "",
    )
    return replace(draft, questions=questions_of(draft))


def write_draft(draft: Draft, replace_it: bool = False) -> list[Path]:
    """Write the survey file, and the checklist made from code lists if there is one; the files written.

    Raises OutputRefused if one of them stands there already and `replace_it` is not set.
    """
    texts = {draft.path: draft_toml(draft)}
    if draft.code_list_name:
        texts[draft.path.parent / draft.code_list_name] = draft.code_list.to_csv(index=False, lineterminator="\n")
    refuse_to_replace(texts, replace_it)
    for path, text in texts.items():
        with whole_file(path) as building:
            building.write_text(text, encoding="utf-8", newline="\n")
    return list(texts)


def refuse_to_replace(paths: Iterable[Path], replace_it: bool) -> None:
    """Raises OutputRefused if one of the files is there and may not be replaced."""
    there = [path for path in paths if path.exists()]
    if there and not replace_it:
        raise OutputRefused(
            f"{there[0]} is there already and may hold your own corrections. Name another file with --to, or add "
            "--replace to write it anew."
        )


def groups_of(look: Look, known: Known) -> list[Group]:
    """Tables with the same headers together, each group with its kind and its columns placed."""
    by_headers: dict[tuple[object, ...], list[SeenTable]] = {}
    for table in look.tables:
        headers = tuple(folded(column.header) for column in table.columns)
        alone = () if table.raw.header_rows else (table.file, table.raw.sheet)
        by_headers.setdefault((headers, alone, table.file in look.waypoint_files), []).append(table)
    return [group_of(tuple(tables), known, tables[0].file in look.waypoint_files) for tables in by_headers.values()]


def group_of(tables: tuple[SeenTable, ...], known: Known, is_waypoints: bool) -> Group:
    """One group looked at as a whole."""
    titles = dict.fromkeys(text for table in tables for text in (table.raw.sheet, *table.above.values(),
                                                                 PurePosixPath(table.file).stem) if text)  # fmt: skip
    own = replace(known, titles=tuple(titles))
    whole = as_group(tables)
    columns = whole.columns
    evidence = Evidence(own)
    kind = kind_of(columns, bare_headers(whole), tuple(titles), evidence)
    wide = wide_layout(kind.placed, own)
    if wide is not None:
        kind = Kind(
            "capture" if wide.layout == "species columns" else "trap_log", kind.placed, Confidence.LIKELY, wide.why
        )
        kind = kind._replace(placed=place_columns(kind.holds, columns, bare_headers(whole), evidence))
    fed = [one.field for one in kind.placed if is_firm(one)]
    facts = tuple(facts_of(table, kind.holds, fed, own) for table in tables)
    kind = with_facts(kind, facts)
    return Group(tables, whole, kind, wide, facts, own, is_waypoints)


def bare_headers(table: SeenTable) -> list[str]:
    """For a header of several rows, what stands in its last row over each column; "" for a single row."""
    rows = table.raw.header_rows
    if len(rows) < 2:
        return [""] * len(table.columns)
    return [table.raw.raw.text(rows[-1], column_number(column.letter)).strip() for column in table.columns]


def with_facts(kind: Kind, facts: Sequence[Sequence[Fact]]) -> Kind:
    """The kind once more with what stands over the tables: a species over each makes rows captures."""
    named = {fact.field for one in facts for fact in one}
    if kind.confidence is Confidence.UNSURE and kind.holds == "capture" and "verbatimIdentification" in named:
        return kind._replace(confidence=Confidence.LIKELY, why="the species stands over each table")
    return kind


def with_places(known: Known, groups: Sequence[Group]) -> Known:
    """What the site list tells of the codes of places and the labels of traps."""
    codes: dict[str, tuple[str, ...]] = {}
    labels: dict[str, None] = {}
    for group in groups:
        if group.kind.holds != "place" or group.kind.confidence is Confidence.UNSURE:
            continue
        by_field = {one.field: one.column for one in group.kind.placed if is_firm(one)}
        if "place" in by_field and not group.is_waypoints:
            codes |= dict.fromkeys(by_field["place"].counts, ())
        if "traps" in by_field:
            labels |= dict.fromkeys(
                label for text in by_field["traps"].counts for label in expand_labels(text).split("|")
            )
    return replace(known, places=PlaceList(codes), traps=TrapList(tuple(labels)))


def proposals(look: Look, groups: Sequence[Group]) -> list[TableProposal]:
    """The entries of all groups, places first; at least one of them takes effect."""
    sheets_of: dict[str, list[str]] = {}
    for table in (*look.tables, *look.code_lists):
        sheets = sheets_of.setdefault(table.file, [])
        if table.raw.sheet not in sheets:
            sheets.append(table.raw.sheet)
    aside: dict[str, list[str]] = {}
    for table in look.code_lists:
        aside.setdefault(table.file, []).append(table.raw.sheet)
    runs = {event_type: run_labels(groups, kind) for event_type, kind in RUN_KINDS.items()}
    order = sorted(groups, key=lambda group: SHEET_KINDS.index(group.kind.holds))
    made = [entry for group in order for entry in entries_of(group, sheets_of, aside, runs)]
    if all(entry.confidence is Confidence.UNSURE for entry in made):
        best = max(range(len(made)), key=lambda at: sum(column.is_placed for column in made[at].columns))
        why = "THE ONLY TABLES ARE UNCLEAR: this one takes effect so that there is something to run"
        made[best] = replace(made[best], confidence=Confidence.LIKELY, remarks=(why, *made[best].remarks))
    return with_names_of_their_own(made)


def with_names_of_their_own(tables: Sequence[TableProposal]) -> list[TableProposal]:
    """No two entries with the same name, so that messages are clear."""
    seen: dict[str, int] = {}
    made = []
    for table in tables:
        seen[table.name] = seen.get(table.name, 0) + 1
        number = seen[table.name]
        made.append(replace(table, name=f"{table.name} ({number})") if number > 1 else table)
    return made


def run_labels(groups: Sequence[Group], kind: str) -> frozenset[str]:
    """The labels of road runs or searches in their own tables."""
    return frozenset(
        text
        for group in groups
        if group.kind.holds == kind and group.kind.confidence is not Confidence.UNSURE
        for one in group.kind.placed
        if one.field == "run" and is_firm(one)
        for text in one.column.counts
    )


def survey_parts(
    look: Look, groups: Sequence[Group], to: Path, today: dt.date, code_list: str
) -> dict[str, tuple[Setting, ...]]:
    """[survey], [files], [reading] and [protocol]."""
    firm = [group for group in groups if group.kind.confidence is not Confidence.UNSURE]
    dated = [
        (one.column, group.known)
        for group in firm
        if group.kind.holds != "place"
        for one in group.kind.placed
        if is_firm(one) and one.field in ("eventDate", "end_date")
    ]
    titles = [title for group in firm for title in group.known.titles]
    points = points_in((group.whole, [one for one in group.kind.placed if is_firm(one)]) for group in firm)
    if not points and look.boundary_shape is not None:
        points = [(look.boundary_shape.centroid.x, look.boundary_shape.centroid.y)]
    season, *span = season_settings(dates_in(dated), titles, today)
    code, title = survey_name(to)
    checklist = look.checklist or code_list
    note = "made from the code lists on the sheets; look it through" if code_list else ""
    files = [
        Setting("checklist", checklist or "checklist.csv", note or ("" if checklist else
                "none was given: names cannot be checked without one"), bool(checklist)),
        Setting("boundary", look.boundary, "outline of the area") if look.boundary else
        Setting("boundary", "boundary.geojson", "an outline would catch positions that are wrong", active=False),
    ]  # fmt: skip
    return {
        "survey": (code, title, season, *span, time_zone_setting(points),
                   Setting("country_code", "US", "which country?", active=False),
                   Setting("state", "", "which state or province?", active=False)),
        "files": tuple(files),
        "reading": tuple(reading_settings(firm, points)),
        "protocol": PROTOCOL,
    }  # fmt: skip


def reading_settings(groups: Sequence[Group], points: Sequence[tuple[float, float]]) -> list[Setting]:
    """UTM zone where eastings come without one; the decimal comma where text files write it."""
    settings = []
    for group in groups:
        fields = {one.field for one in group.kind.placed if is_firm(one)}
        if "easting" in fields and "utm_zone" not in fields:
            zone = utm_zone_of(points)
            note = f"the other positions lie in zone {zone}" if zone else "which zone? Written nowhere"
            settings = [Setting("utm_zone", zone or 14, note, active=zone is not None)]
    settings.append(
        Setting("unsigned_means_north_west", True, "if positions without sign lie north and west", active=False)
    )
    return settings


def initials_in(groups: Sequence[Group]) -> tuple[str, ...]:
    """How the sheets write their observers, each once, the most frequent first."""
    counts: dict[str, int] = {}
    for group in groups:
        for one in group.kind.placed:
            if one.field == "recordedBy" and is_firm(one):
                for text, number in one.column.counts.items():
                    for part in re.split(r"\s*[;/&|]\s*|,\s+(?=[A-Z]{2,3}\b)|\band\b", text):
                        if part.strip():
                            counts[part.strip()] = counts.get(part.strip(), 0) + number
    return tuple(sorted(counts, key=lambda text: -counts[text])[:MOST_PEOPLE])


def unknown_names(groups: Sequence[Group], checklist: Checklist) -> dict[str, tuple[str, ...]]:
    """Names on the sheets that the checklist does not have, with what comes near."""
    if not checklist.taxa:
        return {}
    texts = dict.fromkeys(
        text
        for group in groups
        for one in group.kind.placed
        if one.field == "verbatimIdentification" and is_firm(one)
        for text in one.fit.cells.words
    )
    return {text: judge_name(text, checklist).readings[:MOST_NEAR] for text in texts}


def lists_left_aside(look: Look) -> list[str]:
    """What became of the lists of names."""
    said = []
    for table in look.code_lists:
        where = f'{table.file}, sheet "{table.raw.sheet}"' if table.raw.sheet else table.file
        use = "the checklist given is used instead" if look.checklist else f"its names went into {CODE_LIST_NAME}"
        said.append(f"{where}: a list of {len(table.raw.text)} names; {use}")
    return said
