"""Tables with the same headers are looked at as one: its kind, its layout, its columns, the facts over each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePosixPath

from dwc_pipeline.core.raw import column_number
from dwc_pipeline.draft.above_table import Fact, facts_of
from dwc_pipeline.draft.cell_evidence import CODE, Known
from dwc_pipeline.draft.date_columns import with_whole_dates
from dwc_pipeline.draft.kinds import Kind, kind_of
from dwc_pipeline.draft.look import Look, SeenTable, as_group
from dwc_pipeline.draft.placing import Evidence, is_firm, place_columns
from dwc_pipeline.draft.proposal import Confidence
from dwc_pipeline.draft.table_entry import Group
from dwc_pipeline.draft.wide_layouts import wide_layout
from dwc_pipeline.normalise.place_name import PlaceList
from dwc_pipeline.normalise.trap_label import TrapList
from dwc_pipeline.normalise.trap_layout import expand_labels
from dwc_pipeline.reshape.header_match import folded

#: what each row of a table of species columns may hold beside captures, for it is a visit too
WEATHER = ("air_temperature", "minimum_air_temperature", "maximum_air_temperature", "rain", "wind", "humidity", "sky")
#: share of the animals of a sheet that are codes, where the sheet is kept in codes
MOST_CODES = 0.5


def groups_of(look: Look, known: Known) -> list[Group]:
    """Tables with the same headers together, each group with its kind and its columns placed."""
    by_headers: dict[tuple[object, ...], list[SeenTable]] = {}
    for table in look.tables:
        headers = tuple(folded(column.header) for column in table.columns)
        # columns that only their letter can name must stand in the same place on every sheet
        letters = tuple(column.letter for column in table.columns)
        are_clear = table.raw.header_rows and len(set(headers)) == len(headers) and all(headers)
        alone = () if are_clear else (table.file, table.raw.sheet, letters)
        by_headers.setdefault((headers, alone, table.file in look.waypoint_files), []).append(table)
    return [group for tables in by_headers.values() for group in groups_by_names(tables, known, look.waypoint_files)]


def groups_by_names(tables: Sequence[SeenTable], known: Known, waypoint_files: set[str]) -> list[Group]:
    """Tables with the same headers as one group; as several where some write codes and others names of animals.

    What "NA" or a word unknown to the checklist means on one kind of sheet it need not mean on the other.
    """
    group = group_of(tuple(tables), known, tables[0].file in waypoint_files)
    at = next((n for n, one in enumerate(group.kind.placed)
               if one.field == "verbatimIdentification" and is_firm(one)), None)  # fmt: skip
    if at is None:
        return [group]
    by_names: dict[bool, list[SeenTable]] = {}
    for table in tables:
        by_names.setdefault(table.columns[at].share(is_code) >= MOST_CODES, []).append(table)
    if len(by_names) == 1:
        return [group]
    return [group_of(tuple(own), known, own[0].file in waypoint_files) for own in by_names.values()]


def is_code(text: str) -> bool:
    """True if a cell is written like the code of an animal, such as "ASSE"."""
    return CODE.fullmatch(text) is not None


def group_of(tables: tuple[SeenTable, ...], known: Known, is_waypoints: bool) -> Group:
    """One group looked at as a whole."""
    titles = dict.fromkeys(text for table in tables for text in (table.raw.sheet, *table.above.values(),
                                                                 PurePosixPath(table.file).stem) if text)  # fmt: skip
    own = replace(known, titles=tuple(titles))
    whole = as_group(tables)
    columns = whole.columns
    evidence = Evidence(own, bool(whole.raw.header_rows))
    kind = kind_of(columns, bare_headers(whole), tuple(titles), evidence, whole.raw.text)
    wide = wide_layout(kind.placed, own)
    if wide is not None:
        kind = Kind(
            "capture" if wide.layout == "species columns" else "trap_log", kind.placed, Confidence.LIKELY, wide.why
        )
        further = WEATHER if wide.layout == "species columns" else ()
        kind = kind._replace(
            placed=with_whole_dates(place_columns(kind.holds, columns, bare_headers(whole), evidence, further))
        )
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
