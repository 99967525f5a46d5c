"""A group of tables with the same headers -> entries of the survey file."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import NamedTuple

from dwc_pipeline.core.raw import column_number
from dwc_pipeline.draft.above_table import Fact
from dwc_pipeline.draft.cell_evidence import Known, reads_position
from dwc_pipeline.draft.date_columns import date_column
from dwc_pipeline.draft.habits import date_order_setting, fill_down_setting, habit_settings, unit_settings
from dwc_pipeline.draft.header_evidence import words_of
from dwc_pipeline.draft.kinds import Kind
from dwc_pipeline.draft.log_habits import log_habits
from dwc_pipeline.draft.log_rows import log_settings
from dwc_pipeline.draft.look import SeenTable, as_pattern
from dwc_pipeline.draft.placing import USUAL, Placed, field_of, is_firm
from dwc_pipeline.draft.proposal import ColumnPlacing, Confidence, Setting, TableProposal
from dwc_pipeline.draft.trap_rows import is_a_trap_a_row, type_of_single_traps
from dwc_pipeline.draft.wide_layouts import Wide
from dwc_pipeline.draft.yes_no_columns import meanings_of_yes
from dwc_pipeline.normalise.datum_text import find_datum

#: what degrees under the wrong header may be; suggested, never placed
DEGREES_INSTEAD = {"easting": "verbatimLongitude", "northing": "verbatimLatitude"}
POSITIONS = frozenset({"verbatimLatitude", "verbatimCoordinates", "easting"})
#: words of file and sheet names that tell how animals were met
EVENT_WORDS = {
    "roadSurvey": frozenset({"road", "roads", "aor", "dor", "cruise", "cruising"}),
    "coverSearch": frozenset({"search", "searches", "cover", "flip", "ves", "boards"}),
    "incidental": frozenset({"incidental", "incidentals", "chance", "opportunistic", "casual"}),
}
HOLDS_WORDS = {"capture": "captures", "trap_log": "trap log", "place": "places", "road_run": "road runs",
               "search": "searches"}  # fmt: skip


ZONE_IN_TEXT = re.compile(r"(?:\bzone|\butm\b[ a-z]*?)[ ._]*(\d{1,2})(?!\d)", re.I)
#: share of the run labels of captures that must stand in the table of runs
MOST_RUNS = 0.8


class Runs(NamedTuple):
    """Labels of road runs or of searches, and the one place of all of them, "" if there are several."""

    labels: frozenset[str]
    place: str


@dataclass(frozen=True)
class Group:
    """Tables with the same headers. whole: all their rows as one. facts: per table, in the same order.

    kind: with the columns as placed.
    """

    tables: tuple[SeenTable, ...]
    whole: SeenTable
    kind: Kind
    wide: Wide | None
    facts: tuple[tuple[Fact, ...], ...]
    known: Known
    is_waypoints: bool


def entries_of(
    group: Group,
    sheets_of: Mapping[str, Sequence[str]],
    aside: Mapping[str, Sequence[str]],
    runs: Mapping[str, Runs],
) -> list[TableProposal]:
    """The entries for a group: one for all its tables, or one for each place on a sheet and set of facts.

    sheets_of: every sheet with content, by file. aside: sheets that hold lists of names, by file.
    """
    parts: dict[tuple[int, tuple[tuple[str, str, str], ...]], list[int]] = {}
    for at, table in enumerate(group.tables):
        facts = tuple((fact.place, fact.field, fact.pattern) for fact in group.facts[at])
        number = table.raw.number if table.of > 1 else 0
        parts.setdefault((number, facts), []).append(at)
    made = []
    for (number, _), members in parts.items():
        for files, sheets in file_sets([group.tables[at] for at in members]):
            own = [at for at in members if group.tables[at].file in files]
            made.append(one_entry(group, own, files, sheets, number, sheets_of, aside, runs))
    return made


def file_sets(tables: Sequence[SeenTable]) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Files and sheets that can stand in one entry: files with the same sheets together."""
    by_file: dict[str, list[str]] = {}
    for table in tables:
        by_file.setdefault(table.file, []).append(table.raw.sheet)
    by_sheets: dict[tuple[str, ...], list[str]] = {}
    for file, sheets in by_file.items():
        by_sheets.setdefault(tuple(dict.fromkeys(sheets)), []).append(file)
    return [(tuple(files), sheets) for sheets, files in by_sheets.items()]


def one_entry(
    group: Group,
    members: Sequence[int],
    files: tuple[str, ...],
    sheets: tuple[str, ...],
    number: int,
    sheets_of: Mapping[str, Sequence[str]],
    aside: Mapping[str, Sequence[str]],
    runs: Mapping[str, Runs],
) -> TableProposal:
    """One [[table]] entry."""
    kind, wide = group.kind.holds, group.wide
    placed = [one for one in group.kind.placed if is_firm(one) and one.column not in (wide.columns if wide else ())]
    settings = [*_sheet_settings(files, sheets, sheets_of, aside)]
    if number:
        settings.append(Setting("table_number", number, "one of several tables on the sheet"))
    if wide:
        settings.append(Setting("layout", wide.layout, wide.why))
        if wide.grid_columns:
            settings.append(Setting("grid_columns", wide.grid_columns))
    settings += _position_settings(group, placed)
    facts = group.facts[members[0]]
    date = date_column(group.whole.raw.text, placed, next((fact.value for fact in facts if fact.field == "year"), ""))
    order = date_order_setting(date, group.known, len(group.tables) == 1) if date is not None else None
    settings += [one for one in (order, fill_down_setting(placed)) if one is not None]
    settings += log_settings(group.whole.raw.text, placed) if kind == "trap_log" and not wide else []
    constants = [*_event_type(group, placed, files, sheets, runs), *_year(placed, facts)]
    constants += _only_place(group, placed, facts)
    event_type = next((str(one.value) for one in constants if one.active and one.key == "eventType"), "")
    log = log_habits(group.whole.raw.text, placed, group.known) if kind == "trap_log" and not wide else {}
    parts = {
        "facts": tuple(Setting(fact.place, fact.field, fact.why, fact.confidence is not Confidence.UNSURE)
                       for fact in facts),
        "fact_patterns": tuple(Setting(fact.place, fact.pattern) for fact in facts if fact.pattern),
        "constants": tuple(constants),
        "units": unit_settings(kind, placed, group.is_waypoints),
        "habits": habit_settings(
            kind, placed, wide.columns if wide else (), group.known, event_type, date, log
        ),
        "colours": _colours([group.tables[at] for at in members]),
    }  # fmt: skip
    raw = group.tables[members[0]].raw
    rows = sum(len(group.tables[at].raw.text) for at in members)
    header = f"header in row {', '.join(map(str, raw.header_rows))}" if raw.header_rows else "no header found"
    return TableProposal(
        name=_name_of(kind, files, sheets, sheets_of, number),
        holds=kind,
        files=tuple(as_pattern(file) for file in files),
        confidence=group.kind.confidence,
        why=group.kind.why,
        rows=rows,
        settings=tuple(settings),
        columns=column_placings(group),
        parts={name: lines for name, lines in parts.items() if lines},
        remarks=(
            f"{rows} rows; {header}. Kind: {group.kind.confidence}, {group.kind.why}",
            *_remarks(group, members),
        ),
    )


def _name_of(
    kind: str, files: Sequence[str], sheets: Sequence[str], sheets_of: Mapping[str, Sequence[str]], number: int
) -> str:
    stem = PurePosixPath(files[0]).stem
    name = f"{HOLDS_WORDS[kind]} of {stem}" + (f" and {len(files) - 1} more" if len(files) > 1 else "")
    if any(sheets) and len(sheets_of.get(files[0], ())) > 1:
        name += f", {', '.join(sheets[:3])}" + (" ..." if len(sheets) > 3 else "")
    return name + (f", table {number}" if number else "")


def _sheet_settings(
    files: Sequence[str],
    sheets: Sequence[str],
    sheets_of: Mapping[str, Sequence[str]],
    aside: Mapping[str, Sequence[str]],
) -> list[Setting]:
    """Which sheets the entry reads; left out where it reads all that the files have."""
    every = {sheet for file in files for sheet in sheets_of.get(file, ())}
    lists = {sheet for file in files for sheet in aside.get(file, ())}
    settings = []
    if every - lists - set(sheets):
        settings.append(Setting("sheets", [as_pattern(sheet) for sheet in sheets]))
    if lists - {""}:
        settings.append(Setting("skip_sheets", sorted(as_pattern(sheet) for sheet in lists), "lists, no records"))
    return settings


def _position_settings(group: Group, placed: Sequence[Placed]) -> list[Setting]:
    """Datum and UTM zone of the table, where its file, headers or titles say them."""
    fields = {one.field for one in placed}
    has_degrees, has_planar = bool(fields & {"verbatimLatitude", "verbatimCoordinates"}), "easting" in fields
    if not has_degrees and not has_planar:
        return []
    if group.is_waypoints:
        return [Setting("datum", "WGS84", "GPX, KML and GeoJSON are always WGS 84")]
    spoken = [*group.known.titles, *(one.column.header for one in placed)]
    settings = []
    named = {find_datum(text).name: text for text in spoken if find_datum(text).is_datum}
    if "datum" not in fields and len(named) == 1:
        name, text = next(iter(named.items()))
        settings.append(Setting("datum", name, f'"{text}" says so'))
    elif "datum" not in fields:
        note = "the datum is written nowhere: look at the settings of the receiver"
        cells = max((one.column.filled for one in placed if one.field in POSITIONS), default=0)
        settings.append(Setting("datum", "WGS84", note, active=False, cells=cells))
    if has_planar and "utm_zone" not in fields:
        zones = {int(zone) for text in spoken for zone in ZONE_IN_TEXT.findall(text)}
        if len(zones) == 1 and 1 <= min(zones) <= 60:
            settings.append(Setting("utm_zone", zones.pop(), "a title or header says so"))
    return settings


def _only_place(group: Group, placed: Sequence[Placed], facts: Sequence[Fact]) -> list[Setting]:
    """The array of a grid of traps that names none, as a question, where the site list has but one."""
    names = list(group.known.places.names)
    told = {one.field for one in placed} | {fact.field for fact in facts}
    if group.wide is None or group.wide.grid_columns != "trap" or "place" in told or len(names) != 1:
        return []
    note = "no column names the array; the site list has this one only"
    return [Setting("place", names[0], note, active=False, cells=len(group.whole.raw.text))]


def _event_type(
    group: Group,
    placed: Sequence[Placed],
    files: Sequence[str],
    sheets: Sequence[str],
    runs: Mapping[str, Runs],
) -> list[Setting]:
    """How the animals of the table were met."""
    by_field = {one.field: one.column for one in placed}
    if group.kind.holds != "capture" or "eventType" in by_field:
        return []
    run = by_field.get("run")
    for event_type, known in runs.items():
        if run is not None and known.labels and run.share(known.labels.__contains__) >= MOST_RUNS:
            note = f'"{run.header.strip()}" names runs of the {event_type} table'
            said = [Setting("eventType", event_type, note)]
            if known.place and "place" not in by_field:
                said.append(Setting("place", known.place, "the place of all these runs"))
            return said
    spoken = {word for name in (*files, *sheets) for word in words_of(PurePosixPath(name).stem)}
    named = [event_type for event_type, words in EVENT_WORDS.items() if words & spoken]
    if "trap" in by_field and not named:
        return [Setting("eventType", "trapCheck", f'each row names a trap ("{by_field["trap"].header.strip()}")')]
    if len(named) == 1:
        return [Setting("eventType", named[0], "by the name of the file or sheet")]
    note = "trapCheck, roadSurvey, coverSearch or incidental? Nothing on the sheet says how the animals were met"
    rows = sum(len(table.raw.text) for table in group.tables)
    return [Setting("eventType", "trapCheck", note, active=False, cells=rows)]


def _year(placed: Sequence[Placed], facts: Sequence[Fact]) -> list[Setting]:
    """The year of dates whose day and month stand in columns of their own, to be asked where nothing gives it."""
    fields = {one.field for one in placed} | {fact.field for fact in facts}
    if "month" not in fields or "year" in fields:
        return []
    cells = max(one.column.filled for one in placed if one.field == "month")
    note = "the columns give day and month; which year? Without it the title and the season decide"
    return [Setting("year", "", note, active=False, cells=cells)]


def _colours(tables: Sequence[SeenTable]) -> tuple[Setting, ...]:
    """Fill colours of data rows, to be explained by the person."""
    found: dict[str, tuple[int, str]] = {}
    for table in tables:
        rows = set(table.raw.text.index)
        for (row, column), colour in table.raw.raw.fills.items():
            if row in rows and colour not in ("FFFFFF", "000000"):
                count, first = found.get(colour, (0, f"{table.raw.sheet} row {row}, column {column}"))
                found[colour] = (count + 1, first)
    return tuple(
        Setting(colour, "", f"{count} cells, first at {first}: what does the colour mean?", active=False)
        for colour, (count, first) in found.items()
    )


def _remarks(group: Group, members: Sequence[int]) -> list[str]:
    """What else a person should know of the table."""
    said = [f'title over the table: "{text}"' for text in dict.fromkeys(group.tables[members[0]].above.values())]
    hidden = sorted(
        {
            column.header.strip() or column.letter
            for column in group.tables[members[0]].columns
            if column_number(column.letter) in group.tables[members[0]].raw.raw.hidden_columns
        }
    )
    if hidden:
        said.append(f"hidden on the sheet: column {', '.join(hidden)}")
    return said


def column_placings(group: Group) -> tuple[ColumnPlacing, ...]:
    """Every column with its field, or with the reason why it has none."""
    headers = [" ".join(one.column.header.split()).casefold() for one in group.kind.placed]
    wide = group.wide
    lines = []
    for one, header in zip(group.kind.placed, headers, strict=True):
        is_twice = headers.count(header) > 1 or not header or not group.whole.raw.header_rows
        key = f"column {one.column.letter}" if is_twice else one.column.header
        if wide and one.column in wide.columns:
            continue
        field, confidence, reason = one.field, one.confidence, reason_of(one, group.kind.holds)
        if one.refuted in DEGREES_INSTEAD and looks_like_degrees(one):
            field = DEGREES_INSTEAD[one.refuted]
            reason = f"the header says {one.refuted}, the cells look like degrees (such as {one.column.in_order[0]})"
        if is_a_trap_a_row(group.kind.placed) and (told := type_of_single_traps(one, group.kind.placed)):
            field, (confidence, reason) = "", told
        if wide and (confidence is Confidence.UNSURE or not field):
            field, confidence, reason = "", Confidence.LIKELY, f"left aside: {reason}"
        words = one.fit.cells.words if is_firm(one) and _has_list(one, group.kind.holds) else ()
        yes = tuple(meanings_of_yes(one.column, one.field).items()) if is_firm(one) else ()
        lines.append(ColumnPlacing(one.column.letter, one.column.header, key, field, confidence, reason, words, yes))
    return tuple(lines)


def looks_like_degrees(one: Placed) -> bool:
    """True if the cells of a column called easting or northing are degrees."""
    return one.column.share(lambda text: reads_position(text, DEGREES_INSTEAD[one.refuted])) >= USUAL


def _has_list(one: Placed, kind: str) -> bool:
    return field_of(kind, one.field).reading in ("word", "trap_state")


def reason_of(one: Placed, kind: str) -> str:
    """The evidence for or against a placing, in words."""
    share = one.fit.cells.share
    if one.refuted and one.fit.header >= USUAL:
        return f"its header is usual for {one.refuted}, but {share or 0:.0%} of its cells fit"
    if one.fit.header >= USUAL:
        spoken = "usual header"
    elif one.fit.header >= 0.3 and one.fit.known:
        spoken = f'header like "{one.fit.known}"'
    elif not one.column.header.strip():
        spoken = "no header"
    else:
        spoken = "header says nothing"
    if share is not None:
        spoken += f", {share:.0%} of cells fit"
    elif not one.column.counts:
        spoken += ", column is blank"
    known, unknown = one.fit.cells.distinct, len(one.fit.cells.words)
    if one.field == "verbatimIdentification" and known + unknown:
        spoken += f", {known} of {known + unknown} names are known"
    if one.runner_up and one.confidence is Confidence.UNSURE:
        spoken += f"; could also be {one.runner_up}"
    if one.note:
        spoken += f"; {one.note}"
    if one.field and not is_firm(one) and one.column.counts:
        example = ", ".join(text[:20] for text in one.column.in_order[:3])
        spoken += f" (such as {example})"
    return spoken if one.field else f"fits no field of a {kind} row"
