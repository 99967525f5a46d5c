"""Raw files -> a draft of the survey file, and the writing of it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from dwc_pipeline.draft.cell_evidence import Known
from dwc_pipeline.draft.code_list import checklist_from
from dwc_pipeline.draft.grouping import groups_of, with_places
from dwc_pipeline.draft.look import Look, SeenTable, files_among, look_at
from dwc_pipeline.draft.placing import is_firm
from dwc_pipeline.draft.proposal import Confidence, Draft, TableProposal
from dwc_pipeline.draft.questions import questions_of
from dwc_pipeline.draft.survey_parts import survey_parts
from dwc_pipeline.draft.table_entry import Group, Runs, entries_of
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.errors import OutputRefused, UnreadableFile
from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.sheet import SHEET_KINDS
from dwc_pipeline.write.whole_file import whole_file

#: names near an unknown one, shown at most
MOST_NEAR = 3
#: initials of observers proposed at most
MOST_PEOPLE = 40
CODE_LIST_NAME = "checklist_from_the_sheets.csv"
RUN_KINDS = {"roadSurvey": "road_run", "coverSearch": "search"}


def draft_survey(paths: Sequence[Path], to: Path, today: dt.date) -> Draft:
    """Look at files and folders and propose a survey file that will stand at `to`; nothing is written.

    today: the day that counts as today. Raises UnreadableFile if a path does not exist, or if no file holds a table
    of records.
    """
    look = look_at(files_among(paths, to), to.resolve().parent)
    if not any(len(table.columns) > 1 for table in look.tables):
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


def proposals(look: Look, groups: Sequence[Group]) -> list[TableProposal]:
    """The entries of all groups, places first; at least one of them takes effect."""
    sheets_of: dict[str, list[str]] = {}
    lists = (*look.code_lists, *look.legends)
    for table in (*look.tables, *lists):
        sheets = sheets_of.setdefault(table.file, [])
        if table.raw.sheet not in sheets:
            sheets.append(table.raw.sheet)
    aside: dict[str, list[str]] = {}
    with_records = {(table.file, table.raw.sheet) for table in look.tables}
    for table in lists:
        if (table.file, table.raw.sheet) not in with_records:
            aside.setdefault(table.file, []).append(table.raw.sheet)
    runs = {event_type: runs_of(groups, kind) for event_type, kind in RUN_KINDS.items()}
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


def runs_of(groups: Sequence[Group], kind: str) -> Runs:
    """The labels of road runs or searches in their own tables, and the one place of all of them, if it is one."""
    labels: set[str] = set()
    places: set[str] = set()
    for group in groups:
        if group.kind.holds == kind and group.kind.confidence is not Confidence.UNSURE:
            by_field = {one.field: one.column for one in group.kind.placed if is_firm(one)}
            labels |= set(by_field["run"].counts) if "run" in by_field else set()
            places |= set(by_field["place"].counts) if "place" in by_field else set()
    return Runs(frozenset(labels), places.pop() if len(places) == 1 else "")


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
    """What became of the lists of names and of codes."""
    why = "codes with their meaning and no dates, so no records: set aside. Where the run asks about one, answer so"
    said = [f"{where_of(table)}: {len(table.raw.text)} {why}" for table in look.legends]
    for table in look.code_lists:
        use = "the checklist given is used instead" if look.checklist else f"its names went into {CODE_LIST_NAME}"
        said.append(f"{where_of(table)}: a list of {len(table.raw.text)} names; {use}")
    return said


def where_of(table: SeenTable) -> str:
    """File and sheet of a table in words."""
    return f'{table.file}, sheet "{table.raw.sheet}"' if table.raw.sheet else table.file
