"""Writes a made-up season as field sheets: workbooks or delimited text; headers and forms follow the seed."""

from __future__ import annotations

import csv
import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import xlsxwriter
from pyproj import Transformer
from season_truth import SPECIES, Style, TrueEvent, TrueOccurrence, TrueSession

GRAMS_PER_OUNCE = 28.349523125
#: Field -> headers that a sheet may use for it.
CAPTURE_HEADERS = {
    "recordNumber": ("No", "Rec", "Entry"),
    "eventDate": ("Date", "Check date", "Day caught"),
    "eventTime": ("Time", "Checked at", "Hora"),
    "place": ("Array", "Site", "Fence"),
    "trap": ("Trap", "Trap no.", "Bucket"),
    "verbatimIdentification": ("Species", "Taxon", "Animal"),
    "sex": ("Sex", "M/F", "Gender"),
    "snout_vent_length": ("SVL", "Snout-vent", "S-V"),
    "body_mass": ("Mass", "Wt", "Weight"),
    "mark": ("Mark", "Tag or clip", "ID mark"),
    "capture_status": ("Recap", "New or recap", "Status"),
    "occurrenceRemarks": ("Remarks", "Notes", "Comments"),
}
LOG_HEADERS = {
    "place": ("Array", "Site"),
    "action": ("Action", "What was done"),
    "eventDate": ("Date", "Day"),
    "eventTime": ("Time", "At"),
    "end_date": ("Closed on", "Until"),
    "end_time": ("Closed at", "Until time"),
    "trap_state": ("Problems", "Traps out of order"),
}
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass
class Sheet:
    """One table to be written: its fields in order, and its rows (field -> cell)."""

    file: str
    name: str
    holds: str
    fields: list[str]
    headers: dict[str, str]
    rows: list[dict[str, Any]]
    titles: int
    units: dict[str, str] = field(default_factory=dict)
    habits: dict[str, str] = field(default_factory=dict)
    constants: dict[str, str] = field(default_factory=dict)
    delimiter: str = ","

    def letter(self, name: str) -> str:
        """Column letter of a field."""
        return LETTERS[self.fields.index(name)]

    def sheet_row(self, row: dict[str, Any]) -> int:
        """Row number on the sheet, from 1."""
        return self.titles + 2 + next(at for at, one in enumerate(self.rows) if one is row)


def typed_date(style: Style, date: dt.date) -> Any:
    """A date in the form of this season."""
    return {
        "typed": date,
        "month-first": f"{date.month}/{date.day}/{date.year}",
        "day-first": f"{date.day}/{date.month}/{date.year}",
        "iso": date.isoformat(),
        "words": f"{date.day} {date:%B} {date.year}",
    }[style.date_form]


def capture_sheet(style: Style, occurrences: list[TrueOccurrence], random: Random) -> Sheet:
    """The captures, one animal a row; the truth of mass follows what is typed."""
    sex_words = random.choice(({"male": "M", "female": "F"}, {"male": "male", "female": "female"}))
    rows = []
    for number, animal in enumerate(occurrences, start=1):
        mass = animal.mass_g
        if style.mass_unit == "oz":
            mass = round(animal.mass_g / GRAMS_PER_OUNCE, 3)
            animal.mass_g = mass * GRAMS_PER_OUNCE
        rows.append(
            {
                "recordNumber": number,
                "eventDate": typed_date(style, animal.date),
                "eventTime": f"{animal.event.ends:%H:%M}",
                "place": animal.array,
                "trap": animal.trap,
                "verbatimIdentification": animal.species,
                "sex": sex_words.get(animal.sex, ""),
                "snout_vent_length": animal.svl_mm if style.length_unit == "mm" else animal.svl_mm / 10,
                "body_mass": mass,
                "mark": animal.mark,
                "capture_status": "recap" if animal.is_recapture else "new" if animal.mark else "",
                "occurrenceRemarks": "",
            }
        )
    fields = list(CAPTURE_HEADERS)
    random.shuffle(fields)
    headers = {name: random.choice(CAPTURE_HEADERS[name]) for name in fields}
    suffix = "csv" if style.text_tables else "xlsx"
    sheet = Sheet(
        f"raw/captures.{suffix}",
        "" if style.text_tables else random.choice(("Captures", "Sheet1", f"{style.year}")),
        "capture",
        fields,
        headers,
        rows,
        0 if style.text_tables else random.randint(0, 3),
        {"snout_vent_length": style.length_unit, "body_mass": style.mass_unit},
        {"row_is": "an animal", "blank": "not recorded"},
        {"eventType": "trapCheck"},
        random.choice((",", ";", "\t")),
    )
    for animal, row in zip(occurrences, rows, strict=True):
        animal.file, animal.sheet, animal.row = sheet.file, sheet.name, sheet.sheet_row(row)
    return sheet


def log_sheet(style: Style, events: list[TrueEvent], sessions: list[TrueSession], random: Random) -> Sheet:
    """The trap log: rows of openings, checks and closings, or one row for each time that an array was open."""
    names = ["place", "eventDate", "eventTime", "trap_state"]
    if style.log_rows == "checks":
        names.insert(1, "action")
        rows = _check_rows(style, events, sessions)
    else:
        names += ["end_date", "end_time"]
        rows = _interval_rows(style, events, sessions)
    suffix = "csv" if style.text_tables else "xlsx"
    return Sheet(
        f"raw/log.{suffix}",
        "" if style.text_tables else "Trap log",
        "trap_log",
        names,
        {name: random.choice(LOG_HEADERS[name]) for name in names},
        rows,
        0 if style.text_tables else random.randint(0, 2),
        habits={"date_names": "morning", "blank": "not recorded"},
    )


def _check_rows(style: Style, events: list[TrueEvent], sessions: list[TrueSession]) -> list[dict[str, Any]]:
    timed = [(one.opened, _log_row(style, one.array, one.opened, "opened", "")) for one in sessions]
    last = {(session.array, session.session): session.closed for session in sessions}
    for event in events:
        done = "checked and closed" if last[(event.array, event.session)] == event.ends else "checked"
        words = [f"{trap} closed" for trap in event.shut] + [f"{trap} flooded" for trap in event.found_out]
        timed.append((event.ends, _log_row(style, event.array, event.ends, done, ", ".join(words))))
    return [row for _, row in sorted(timed, key=lambda one: (one[0], one[1]["place"]))]


def _log_row(style: Style, array: str, at: dt.datetime, done: str, words: str) -> dict[str, Any]:
    return {
        "place": array,
        "action": done,
        "eventDate": typed_date(style, at.date()),
        "eventTime": f"{at:%H:%M}",
        "trap_state": words,
    }


def _interval_rows(style: Style, events: list[TrueEvent], sessions: list[TrueSession]) -> list[dict[str, Any]]:
    rows = []
    for session in sessions:
        shut = next(e.shut for e in events if (e.array, e.session) == (session.array, session.session))
        row = _log_row(style, session.array, session.opened, "", ", ".join(f"{trap} closed" for trap in shut))
        row |= {"end_date": typed_date(style, session.closed.date()), "end_time": f"{session.closed:%H:%M}"}
        rows.append(row)
    return rows


def site_sheet(style: Style) -> Sheet:
    """The site list, positions as degrees, UTM on NAD83, or degrees, minutes and seconds."""
    to_utm = Transformer.from_crs(4326, 26914 if style.zone == "America/Chicago" else 26913, always_xy=True)
    rows = []
    for code, (latitude, longitude) in style.points.items():
        row: dict[str, Any] = {"place": code, "place_kind": "array", "traps": ", ".join(style.traps)}
        if style.site_form == "utm":
            easting, northing = to_utm.transform(longitude, latitude)
            row |= {"easting": round(easting), "northing": round(northing), "datum": "NAD83"}
            row["utm_zone"] = 14 if style.zone == "America/Chicago" else 13
        elif style.site_form == "dms":
            row |= {
                "verbatimLatitude": f"{_dms(latitude)}N",
                "verbatimLongitude": f"{_dms(longitude)}W",
                "datum": "WGS84",
            }
        else:
            row |= {"verbatimLatitude": latitude, "verbatimLongitude": longitude, "datum": "WGS84"}
        rows.append(row)
    names = list(rows[0])
    suffix = "csv" if style.text_tables else "xlsx"
    return Sheet(
        f"raw/sites.{suffix}",
        "" if style.text_tables else "Sites",
        "place",
        names,
        dict(zip(names, names, strict=True)),
        rows,
        0,
    )


def _dms(degrees: float) -> str:
    seconds = round(abs(degrees) * 36000) / 10
    return f"{int(seconds // 3600)}°{int(seconds % 3600 // 60):02d}'{seconds % 60:04.1f}\""


def write_sheet(folder: Path, sheet: Sheet) -> None:
    """One workbook or delimited file."""
    path = folder / sheet.file
    path.parent.mkdir(parents=True, exist_ok=True)
    grid = [[sheet.headers[name] for name in sheet.fields]]
    grid += [[row.get(name, "") for name in sheet.fields] for row in sheet.rows]
    if not sheet.name:
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, delimiter=sheet.delimiter).writerows(grid)
        return
    book = xlsxwriter.Workbook(str(path))
    book.set_properties({"created": dt.datetime(2026, 1, 1)})
    page, day = book.add_worksheet(sheet.name), book.add_format({"num_format": "yyyy-mm-dd"})
    for title in range(sheet.titles):
        page.write_string(title, 0, ("Drift fence survey, invented", "All times local", "Typed in winter")[title])
    for at, cells in enumerate(grid, start=sheet.titles):
        for column, cell in enumerate(cells):
            if isinstance(cell, dt.date):
                page.write_datetime(at, column, cell, day)
            elif isinstance(cell, str):
                page.write_string(at, column, cell) if cell else None
            else:
                page.write_number(at, column, cell)
    book.close()


def write_checklist(folder: Path) -> None:
    """The names of the season as a Darwin Core Taxon table."""
    columns = ["taxonID", "scientificName", "scientificNameAuthorship", "taxonRank", "taxonomicStatus"]
    columns += ["acceptedNameUsageID", "kingdom", "class", "order", "family", "genus", "specificEpithet"]
    with (folder / "checklist.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        for number, (name, author, group, order, family, *_) in enumerate(SPECIES, start=1):
            genus, epithet = name.split()
            key = f"t{number}"
            writer.writerow(
                (key, name, author, "species", "accepted", key, "Animalia", group, order, family, genus, epithet)
            )


def write_survey_file(folder: Path, style: Style, sheets: list[Sheet]) -> Path:
    """survey.toml for the season."""
    order = style.date_form if style.date_form in ("month-first", "day-first") else "by evidence"
    lines = [
        "[survey]", 'code = "GEN"', 'title = "A made-up season"', f'season = "{style.year}"',
        f"starts = {style.year}-03-01", f"ends = {style.year}-10-31", f'time_zone = "{style.zone}"',
        "[files]", 'checklist = "checklist.csv"',
        "[reading]", f'date_order = "{order}"',
        "[protocol]", 'trap_night = "midnights"',
        f'out_of_order = "{"half interval" if style.half_for_out_of_order else "none"}"',
        'target_taxa = ["Anura", "Caudata", "Squamata"]', "scope_fully_reported = true",
        "[[people]]", 'name = "Made Up"', 'roles = ["creator", "contact", "observer"]',
    ]  # fmt: skip
    for sheet in sheets:
        lines += [
            "",
            "[[table]]",
            f'name = "{sheet.holds}"',
            f'holds = "{sheet.holds}"',
            f'files = ["{sheet.file}"]',
            "[table.columns]",
        ]
        lines += [f'"{sheet.headers[name]}" = "{name}"' for name in sheet.fields]
        for title, entries in (("units", sheet.units), ("habits", sheet.habits), ("constants", sheet.constants)):
            if entries:
                lines += [f"[table.{title}]", *(f'{key} = "{value}"' for key, value in entries.items())]
    path = folder / "survey.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
