"""All tidy rows -> standard rows: every field read by its reader, moments and positions put together."""

from __future__ import annotations

from collections.abc import Mapping
from functools import reduce

import pandas as pd

from dwc_pipeline.core.columns import text_column
from dwc_pipeline.core.distinct import on_distinct, stripped
from dwc_pipeline.core.findings import join_findings
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.sheet_habits import EVENING, habits_of, sheet_cause
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.core.trap_lists import traps_of_places
from dwc_pipeline.core.verdict import Verdict
from dwc_pipeline.normalise.bag_mass import take_off_bags
from dwc_pipeline.normalise.column_reading import ColumnReading, read_column
from dwc_pipeline.normalise.field_readers import READERS, READERS_BY_PLACE, Around, FieldReader, text_reader
from dwc_pipeline.normalise.georeference import add_uncertainty
from dwc_pipeline.normalise.moments import add_moments
from dwc_pipeline.normalise.place_name import PlaceList
from dwc_pipeline.normalise.position_context import PositionContext
from dwc_pipeline.normalise.position_text import POSITION_COLUMNS, judge_positions
from dwc_pipeline.normalise.sources import sources_of
from dwc_pipeline.normalise.state_in_remarks import states_in_remarks
from dwc_pipeline.normalise.told_elsewhere import fill_told
from dwc_pipeline.normalise.trap_label import TrapList
from dwc_pipeline.normalise.trap_layout import trap_layout, traps_of_no_list, unread_trap_lists
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.sheet import SHEET_KINDS, SheetField, sheet_fields

#: field of a sheet row -> its name among POSITION_COLUMNS.
POSITION_FIELDS = {
    "verbatimCoordinates": "coordinates",
    "verbatimLatitude": "latitude",
    "verbatimLongitude": "longitude",
    "easting": "easting",
    "northing": "northing",
    "utm_zone": "zone",
    "datum": "datum",
}


def normalise(records: Records, survey: SurveyFile) -> Records:
    """Standard rows of every kind, with changes and findings. Places are read first: others are checked by them."""
    around = Around(
        survey,
        records,
        sources_of(records, survey),
        Checklist.from_frame(records.reference.checklist, survey.files.checklist),
        PlaceList({}),
        {},
    )
    standard: dict[str, pd.DataFrame] = {}
    for kind in SHEET_KINDS:
        if kind not in records.tidy:
            continue
        rows, findings, changes, answered = read_kind(records.tidy[kind], around)
        standard[kind] = rows
        records = records.with_(findings=findings, changes=changes, answered=records.answered | answered)
        if kind == "place":
            around = with_places(around, rows)
    return records.with_(standard=standard)


def with_places(around: Around, rows: pd.DataFrame) -> Around:
    """What later kinds are checked by: codes and other names of the places, traps of the arrays."""
    codes = text_column(rows, "place")
    layouts = traps_of_places(codes, text_column(rows, "layout"))
    traps = {str(place): TrapList(tuple(labels.split("|"))) for place, labels in layouts.items()}
    names: dict[str, tuple[str, ...]] = {}
    for code, name in zip(codes, text_column(rows, "locality"), strict=True):
        if code:
            names[code] = tuple(dict.fromkeys((*names.get(code, ()), *([name] if name else []))))
    return Around(around.survey, around.records, around.sources, around.checklist, PlaceList(names), traps)


def read_kind(
    tidy: TidyTable, around: Around
) -> tuple[pd.DataFrame, list[pd.DataFrame], list[pd.DataFrame], frozenset[str]]:
    """Standard rows of one kind; findings; changes; answered questions."""
    fields = sheet_fields(tidy.kind)
    readings: list[ColumnReading] = []
    columns: dict[str, pd.Series] = {}
    named = [fields[name] for name in tidy.text if name in fields]
    extra = [SheetField(name, "", "text") for name in tidy.text if name not in fields and name != "cell_remarks"]
    for field in sorted([*named, *extra], key=lambda one: one.reading in READERS_BY_PLACE):
        if field.reading == "position":
            continue
        reader = field_reader(tidy, field, around, columns)
        reading = read_field(tidy, field.name, reader, around)
        readings.append(reading)
        columns.update(reading.columns)
    if any(name in tidy.text for name in POSITION_FIELDS):
        reading = read_positions(tidy, around)
        readings.append(reading)
        columns.update(reading.columns)
    rows = pd.DataFrame(columns, index=tidy.text.index)
    rows["cell_remarks"] = tidy.verbatim("cell_remarks")
    if tidy.kind == "place":
        rows["layout"] = trap_layout(rows)
    answered: frozenset[str] = frozenset().union(*(reading.answered for reading in readings))
    findings = [reading.findings for reading in readings]
    if tidy.kind == "place":
        findings.append(unread_trap_lists(rows))
    elif "trap" in rows:
        findings.append(traps_of_no_list(tidy.kind, rows, around.traps))
    changes = [reading.changes for reading in readings]
    if tidy.kind == "capture":
        rows, told, filled = fill_told(rows, tidy)
        findings.append(told)
        changes.append(filled)
        if "bag_mass" in tidy.text:
            weighed = take_off_bags(rows, tidy, around, unread_rows(findings, rows, "bag_mass"))
            rows, answered = weighed.rows, answered | weighed.answered
            findings.append(weighed.findings)
            changes.append(weighed.changes)
    if any(field.reading == "date" for field in named) and tidy.kind != "place":
        survey = around.survey
        day_names, settled = days_named(around)
        origin = tidy.origin["source"]
        nights = {n: source.entry.rows_are == "nights" for n, source in around.sources.items()}
        rows, found, moved = add_moments(
            rows,
            tidy.kind,
            survey.survey.time_zone,
            survey.limits.longest_run_hours,
            origin.map({n: habit == EVENING for n, habit in day_names.items()}),
            origin.map({n: habit if nights[n] else "" for n, habit in day_names.items()}).astype(object),
        )
        findings.append(found)
        changes.append(moved)
        answered |= settled
    if tidy.kind == "trap_log":
        findings.append(states_in_remarks(tidy, rows, around))
    if "position/decimalLatitude" in rows:
        reading_settings = around.survey.reading
        rows, found = add_uncertainty(
            rows, tidy.kind, str(around.survey.survey.starts), reading_settings.assume_gps_uncertainty
        )
        findings.append(found)
    return rows, findings, changes, answered


def unread_rows(findings: list[pd.DataFrame], rows: pd.DataFrame, field: str) -> pd.Index:
    """Rows whose cell of a field says something that gave no value, so that somebody is asked."""
    told = join_findings(findings)
    asked = told.loc[told["field"] == field, "tidy_row"]
    return rows.index[rows.index.isin(asked) & (text_column(rows, field) == "")]


def days_named(around: Around) -> tuple[dict[int, str], frozenset[str]]:
    """Which day the dates of each source name, "" where nobody has said; the questions that answers settled."""
    sheets = [
        (source.entry.habits.date_names, sheet_cause(source.table.file, source.table.sheet))
        for source in around.sources.values()
    ]
    found, settled = habits_of("date_names", sheets, around.records.reference.answers)
    return dict(zip(around.sources, found, strict=True)), settled


def field_reader(tidy: TidyTable, field: SheetField, around: Around, columns: Mapping[str, pd.Series]) -> FieldReader:
    """The reader of a field; those that depend on the place get the places read before."""
    if field.reading in READERS_BY_PLACE:
        places = columns.get("place", pd.Series("", index=tidy.text.index, dtype=object))
        return READERS_BY_PLACE[field.reading](tidy, field, around, places)
    return READERS.get(field.reading, text_reader)(tidy, field, around)


def read_field(tidy: TidyTable, name: str, reader: FieldReader, around: Around) -> ColumnReading:
    """One field read by its reader."""
    cells = pd.DataFrame({"context": reader.context, "text": tidy.verbatim(name)})
    if name in tidy.stored:
        cells["stored"] = tidy.stored[name]
    return read_column(
        tidy.kind,
        name,
        cells,
        reader.judge_of,
        around.records.reference.answers,
        where=reader.where,
        keep_as_typed=reader.keep_as_typed,
        is_plain=reader.is_plain,
    )


def read_positions(tidy: TidyTable, around: Around) -> ColumnReading:
    """The position cells of each row read together, once for each distinct combination and sheet."""
    cells = pd.DataFrame({POSITION_FIELDS[name]: tidy.verbatim(name) for name in POSITION_FIELDS})
    joined = reduce(lambda left, right: left + "\x1f" + right, (cells[name] for name in cells))
    blank = ~(cells.drop(columns=["zone", "datum"]) != "").any(axis=1)
    joined = joined.mask(blank, "")
    verdicts: dict[tuple[int, str], Verdict] = {}
    for number in tidy.origin["source"].unique():
        own = joined[(tidy.origin["source"] == number) & ~blank].drop_duplicates()
        context = position_context(around, int(number))
        judged = judge_positions(cells.loc[own.index, list(POSITION_COLUMNS)], context)
        verdicts |= {(int(number), text): verdict for text, verdict in zip(own, judged, strict=True)}

    def judge_of(number: object) -> object:
        def judge(text: str, _: str) -> Verdict:
            known = verdicts.get((int(str(number)), text))
            if known is not None:
                return known
            context = position_context(around, int(str(number)))
            return judge_positions(pd.DataFrame([{"coordinates": text}]), context)[0]

        return judge

    frame = pd.DataFrame({"context": tidy.origin["source"], "text": joined})
    where = {number: source.place for number, source in around.sources.items()}
    reading = read_column(tidy.kind, "position", frame, judge_of, around.records.reference.answers, where=where)  # type: ignore[arg-type]
    shown = on_distinct(joined, lambda texts: texts.str.replace("\x1f+", " ", regex=True).str.strip())
    first = first_filled_field(tidy)
    findings = reading.findings.assign(
        field=reading.findings["tidy_row"].map(first), value=reading.findings["tidy_row"].map(shown)
    )
    changes = reading.changes.assign(
        field=reading.changes["tidy_row"].map(first), before=reading.changes["tidy_row"].map(shown)
    )
    return ColumnReading(reading.columns, changes, findings, reading.answered)


def first_filled_field(tidy: TidyTable) -> pd.Series:
    """The field of each row's first position cell that is not blank."""
    found = pd.Series("", index=tidy.text.index, dtype=object)
    for name in reversed(list(POSITION_FIELDS)[:5]):
        found = found.mask(stripped(tidy.verbatim(name)) != "", name)
    return found


def position_context(around: Around, number: int) -> PositionContext:
    """What is known around the positions of one sheet."""
    reading, entry = around.survey.reading, around.sources[number].entry
    datum = entry.datum or reading.datum
    grids = around.survey.files.grids
    return PositionContext(
        zone=entry.utm_zone or reading.utm_zone,
        hemisphere_ns="N" if reading.unsigned_means_north_west else "",
        hemisphere_ew="W" if reading.unsigned_means_north_west else "",
        datum=datum,
        datum_source=f'table "{entry.name}" of the survey file'
        if entry.datum
        else "the survey file"
        if datum
        else "",
        state_plane_crs=reading.state_plane,
        boundary=around.records.reference.boundary,
        grids_folder=str(around.survey.folder / grids) if grids else "",
    )
