"""Units, habits and words of one table: what its cells show, and what is left to ask."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from dwc_pipeline.draft.cell_evidence import Known, date_context
from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.placing import Placed, field_of
from dwc_pipeline.draft.proposal import Setting
from dwc_pipeline.normalise.bag_mass import told_by_header
from dwc_pipeline.normalise.clock import read_clock
from dwc_pipeline.normalise.date_text import plain
from dwc_pipeline.normalise.quantity import USUAL_DISTANCES, USUAL_SHORT_DISTANCES, USUAL_UNITS
from dwc_pipeline.normalise.units import find_unit, unit_of_symbol

DASHES = frozenset({"-", "–", "—", "--"})
NOT_AVAILABLE = frozenset({"NA", "N/A", "na", "n/a", "#N/A"})
NOON = "12:00"
#: share of the visits that must be on one side of noon to say when the checks were made
NEARLY_ALL = 0.9
#: columns named in a note at most
MOST_COLUMNS = 4


def unit_settings(kind: str, placed: Sequence[Placed], is_waypoints: bool) -> tuple[Setting, ...]:
    """The unit of each measured column: from its header, from units written in its cells, or asked."""
    settings = []
    for one in placed:
        field = field_of(kind, one.field)
        if field.reading != "measure" or field.unit == "%":
            continue
        if is_waypoints and one.field == "elevation":
            settings.append(Setting(one.field, "m", "GPX, KML and GeoJSON give heights in metres"))
            continue
        if not one.column.counts:
            continue
        if one.fit.unit:
            settings.append(Setting(one.field, one.fit.unit, f'header "{one.column.header.strip()}"'))
            continue
        measures = unit_of_symbol(field.unit).kind
        written = units_in_cells(one.column, measures)
        if len(written) == 1:
            unit, number = next(iter(written.items()))
            note = f"no unit in the header; {number} of {one.column.filled} cells say {unit}: is it so for all?"
            settings.append(Setting(one.field, unit, note, active=False, cells=one.column.filled))
            continue
        usual = USUAL_UNITS.get(measures, (field.unit,))
        if measures == "length" and field.unit in ("km", "m"):
            usual = USUAL_DISTANCES if field.unit == "km" else USUAL_SHORT_DISTANCES
        several = f"cells say {' and '.join(written)}; " if written else ""
        note = f'{several}no unit in the header "{one.column.header.strip()}": {" or ".join(usual)}?'
        settings.append(Setting(one.field, field.unit, note, active=False, cells=one.column.filled))
    return tuple(settings)


def units_in_cells(column: Column, kind: str) -> dict[str, int]:
    """Units written behind the numbers of a column, and in how many cells."""
    found: dict[str, int] = {}
    for text, number in column.counts.items():
        match = re.fullmatch(r"[\d.,]+\s*([^\d\s(]+)", text)
        unit = find_unit(match[1], kind) if match else None
        if unit is not None and unit.symbol:
            found[unit.symbol] = found.get(unit.symbol, 0) + number
    return found


def habit_settings(
    kind: str,
    placed: Sequence[Placed],
    wide: Sequence[Column],
    known: Known,
    event_type: str,
    date: Column | None = None,
    log: Mapping[str, Setting] = MappingProxyType({}),
) -> tuple[Setting, ...]:
    """What the signs of the sheet mean, where its cells tell; a question where they do not.

    wide: columns of a grid or of species, whose cells are records. date: the dates of the rows.
    log: habits of which the order of openings, checks and closings tells.
    """
    if kind == "place":
        return ()
    by_field = {one.field: one.column for one in placed}
    named = [log["date_names"]] if "date_names" in log else _date_names(by_field, event_type, date)
    closed = [log["closed_day"]] if "closed_day" in log else []
    settings = [*named, *closed, *_signs(placed, wide)]
    name = by_field.get("verbatimIdentification")
    na = sum(number for text, number in name.counts.items() if text in NOT_AVAILABLE) if name else 0
    if na:
        codes = known.checklist.codes.get("NA", ())
        hint = f"; NA is the code of {codes[0].taxon.name}" if codes else ""
        note = f'{na} names are NA: "missing", "no animals" or "code"?{hint}'
        settings.append(Setting("not_available", "missing", note, active=False))
    if kind == "capture":
        settings.extend(_mass_is(by_field))
        settings.append(_row_is(by_field))
    return tuple(settings)


def _mass_is(by_field: Mapping[str, Column]) -> list[Setting]:
    """Whether the bag is still in the masses: open where the header does not tell."""
    mass, bag = by_field.get("body_mass"), by_field.get("bag_mass")
    if mass is None or bag is None or told_by_header(mass.header):
        return []
    note = f'{bag.filled} bags beside "{mass.header.strip()}": read with the bag, or is the bag taken off already?'
    return [Setting("mass_is", "with the bag", note, active=False, cells=bag.filled)]


def _date_names(by_field: Mapping[str, Column], event_type: str, date: Column | None) -> list[Setting]:
    """Whether the date of a check is that of the morning: its times tell."""
    time = by_field.get("eventTime") or by_field.get("start_time")
    if date is None or event_type in ("coverSearch", "incidental"):
        return []
    if re.search(r"\b(evening|night|set)\b", date.header.casefold()):
        return [Setting("date_names", "evening", f'the header is "{date.header.strip()}": right?', active=False)]
    if re.search(r"\bmorning\b", date.header.casefold()):
        return [Setting("date_names", "morning", f'the header is "{date.header.strip()}"')]
    clocks = {text: read_clock(plain(text)) for text in time.counts} if time else {}
    told = {text: clock[0] for text, clock in clocks.items() if len(clock) == 1}
    total = sum(time.counts[text] for text in told) if time else 0
    if time is None or total < 5:
        note = "an overnight check goes by the date of the morning or of the evening before?"
        return [Setting("date_names", "morning", note, active=False)]
    early = sum(time.counts[text] for text, clock in told.items() if "04:00" <= clock < NOON) / total
    if early >= NEARLY_ALL:
        note = f"{early:.0%} of the times are in the morning; is the date beside them that of the same morning?"
        return [Setting("date_names", "morning", note, active=False)]
    after_midnight = sum(number for text, number in time.counts.items() if told.get(text, NOON) < "04:00")
    evening = sum(number for text, number in time.counts.items() if told.get(text, NOON) >= "18:00")
    if after_midnight and evening:
        note = f"{after_midnight} times are after midnight: do they go by the date of the evening on which it began?"
        return [Setting("date_names", "evening", note, active=False)]
    return [Setting("date_names", "morning", "does the date name the day of the visit itself?", active=False)]


def _signs(placed: Sequence[Placed], wide: Sequence[Column]) -> list[Setting]:
    """Dashes, zeros and blanks, with how often they stand there and where."""
    settings = []
    columns = {one.field: one.column for one in placed}
    dashes = _where([*columns.values(), *wide], DASHES)
    if dashes:
        note = f"{dashes}; means blank, closed, not applicable or no animals?"
        settings.append(Setting("dash", "blank", note, active=False))
    counts = [columns[name] for name in ("captures_typed", "individualCount") if name in columns]
    zeros = _where([*counts, *wide], {"0"})
    if zeros:
        settings.append(Setting("zero", "no animals", f"{zeros}; means no animals, or blank?", active=False))
    telling = [
        columns[name] for name in ("verbatimIdentification", "captures_typed", "trap_state") if name in columns
    ]
    blanks = [(column.header.strip(), column.rows - column.filled) for column in (*telling, *wide)]
    spoken = _spoken([(header, number) for header, number in blanks if number])
    if spoken:
        note = f"blank cells: {spoken}; means not recorded, no animals or not checked?"
        settings.append(Setting("blank", "not recorded", note, active=False))
    return settings


def _where(columns: Sequence[Column], signs: frozenset[str] | set[str]) -> str:
    found = [
        (column.header.strip(), sum(number for text, number in column.counts.items() if text in signs))
        for column in columns
    ]
    return _spoken([(header, number) for header, number in found if number])


def _spoken(found: Sequence[tuple[str, int]]) -> str:
    more = f" and {len(found) - MOST_COLUMNS} more columns" if len(found) > MOST_COLUMNS else ""
    return ", ".join(f'{number} in "{header}"' for header, number in found[:MOST_COLUMNS]) + more


def _row_is(by_field: Mapping[str, Column]) -> Setting:
    """Whether rows are animals or counts."""
    count = by_field.get("individualCount")
    if count is not None:
        note = f'the column "{count.header.strip()}" says how many; this is for its blank cells'
        return Setting("row_is", "an animal", note, active=False)
    each = [name for name in ("mark", "sex", "snout_vent_length", "body_mass") if name in by_field]
    if each:
        return Setting("row_is", "an animal", "no column of counts; sex, mark or measures in each row")
    return Setting("row_is", "an animal", "no column of counts: is every row one animal?", active=False)


def date_order_setting(column: Column, known: Known, is_one_sheet: bool = False) -> Setting | None:
    """The order of day and month, with the evidence; None where no date is in doubt."""
    context = date_context(column, known)
    slashed = [text for text in column.in_order if re.fullmatch(r"\d{1,2}[-/. ]\d{1,2}(?:[-/. ]\d{2,4})?", text)]
    slashed = [text for text in slashed if text not in column.stored]
    if not slashed:
        return None
    if context.order:
        # of several sheets each is to give its own evidence
        value = context.order if is_one_sheet else "by evidence"
        return Setting("date_order", value, f"{context.order}: {context.order_evidence}")
    spoken = " ".join(known.titles).casefold()
    if re.search(r"\bm{1,2}[/.-]d{1,2}[/.-]y", spoken) or re.search(r"month[ -]first", spoken):
        return Setting("date_order", "month-first", "a title says m/d/y")
    if re.search(r"\bd{1,2}[/.-]m{1,2}[/.-]y", spoken) or re.search(r"day[ -]first", spoken):
        return Setting("date_order", "day-first", "a title says d/m/y")
    over_12 = any(int(part) > 12 for text in slashed for part in re.split(r"[-/. ]", text)[:2])
    nothing = "no date tells" if over_12 else "no date has a day after the 12th"
    why = context.order_evidence or nothing
    note = f'{len(slashed)} different dates such as "{slashed[0]}": month-first or day-first? {why}'
    cells = sum(column.counts[text] for text in slashed)
    return Setting("date_order", "month-first", note, active=False, cells=cells)


def fill_down_setting(placed: Sequence[Placed]) -> Setting | None:
    """Fields whose blank cells may repeat the value above: filled in the first row, mostly blank below."""
    fields = [
        one.field
        for one in placed
        if one.field in ("place", "eventDate", "run")
        and one.column.rows >= 6
        and 0 < one.column.filled <= 0.6 * one.column.rows
    ]
    if not fields:
        return None
    return Setting("fill_down", fields, "mostly blank below the first row: does a blank repeat the value above?",
                   active=False)  # fmt: skip
