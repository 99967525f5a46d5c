"""A clean season with every kind of sheet, in which single cells can be broken: nothing in it raises an error or warning.

Invented; sizes of the species are rough and only serve to be consistent with each other.
"""
# ruff: noqa: E501 - lines of raw files are as long as they are

from __future__ import annotations

import csv
import datetime as dt
import io
from pathlib import Path

Row = dict[str, str]
#: sheet -> its rows
Season = dict[str, list[Row]]
YEAR = 2023
ARRAYS = ("A1", "A2", "A3", "A4", "A5", "A6")
FIRST_DAYS = (dt.date(YEAR, 5, 9), dt.date(YEAR, 6, 13), dt.date(YEAR, 7, 18))
NIGHTS = 8
OBSERVERS = ("AS", "BQ")
#: name, authorship, class, order, family, group code, SVL of an adult [mm], mass at that SVL [g], tail / SVL
SPECIES = (
    (
        "Sceloporus consobrinus",
        "Baird & Girard, 1854",
        "Reptilia",
        "Squamata",
        "Phrynosomatidae",
        "SCCO",
        60,
        7.0,
        1.30,
    ),
    ("Thamnophis radix", "(Baird & Girard, 1853)", "Reptilia", "Squamata", "Colubridae", "THRA", 520, 75.0, 0.30),
    ("Spea bombifrons", "(Cope, 1863)", "Amphibia", "Anura", "Scaphiopodidae", "SPBO", 48, 13.0, 0.0),
    ("Aspidoscelis sexlineatus", "(Linnaeus, 1766)", "Reptilia", "Squamata", "Teiidae", "ASSE", 70, 9.0, 2.10),
    ("Crotalus viridis", "(Rafinesque, 1818)", "Reptilia", "Squamata", "Viperidae", "CRVI", 640, 190.0, 0.08),
    ("Anaxyrus cognatus", "(Say, 1822)", "Amphibia", "Anura", "Bufonidae", "ANCO", 75, 50.0, 0.0),
)
BY_CATCH = ("Cryptotis parvus", "(Say, 1823)", "Mammalia", "Eulipotyphla", "Soricidae", "CRPA")
CHECKLIST_COLUMNS = (
    "scientificName", "scientificNameAuthorship", "taxonRank", "taxonomicStatus", "kingdom", "class", "order", "family", "genus",
    "vernacularName", "fieldCodes", "venomous", "sizeMeasure", "adultMinMm", "adultMaxMm", "recordMm", "massMinG", "massMaxG", "months",
)  # fmt: skip


def clean_season() -> Season:
    """The rows of every sheet, by sheet name; every cell is text as typed."""
    checks = [
        (array, first, night)
        for first in FIRST_DAYS
        for night in range(1, NIGHTS + 1)
        for array in ARRAYS
    ]  # fmt: skip
    return {
        "sites": _sites(),
        "log": _log(checks),
        "captures": _captures(checks),
        "runs": _runs(),
        "road_finds": _road_finds(),
        "searches": _searches(),
        "search_finds": _search_finds(),
    }


def _minute(array: str) -> int:
    return 10 * ARRAYS.index(array) // 2


def _sites() -> list[Row]:
    rows = [
        {"Place": array, "Kind": "array", "Lat": f"{36.75 + 0.0113 * at:.5f}", "Lon": f"{-99.63 - 0.0071 * at:.5f}", "Datum": "WGS84",
         "Acc": "4", "Traps": "B1, F1-F8, P1-P3", "Elev": str(610 + 3 * at), "Notes": ""}
        for at, array in enumerate(ARRAYS)
    ]  # fmt: skip
    rows.append(
        {
            "Place": "S1",
            "Kind": "site",
            "Lat": "36.79120",
            "Lon": "-99.61240",
            "Datum": "WGS84",
            "Acc": "5",
            "Traps": "",
            "Elev": "622",
            "Notes": "",
        }
    )
    rows.append(
        {
            "Place": "R1",
            "Kind": "route",
            "Lat": "36.77310",
            "Lon": "-99.60110",
            "Datum": "WGS84",
            "Acc": "5",
            "Traps": "",
            "Elev": "618",
            "Notes": "",
        }
    )
    return rows


def _log(checks: list[tuple[str, dt.date, int]]) -> list[Row]:
    timed = [(first, 17, _minute(array), array, "opened", "") for first in FIRST_DAYS for array in ARRAYS]
    for array, first, night in checks:
        done = "checked and closed" if night == NIGHTS else "checked"
        timed.append((first + dt.timedelta(night), 7, _minute(array), array, done, "2"))
    return [
        {"Place": array, "Trap": "", "What": done, "Date": day.isoformat(), "Time": f"{hour:02d}:{minute:02d}", "State": "",
         "Open": "12", "Animals": caught, "Air": str(18 + day.day % 7) if caught else "", "Low": str(11 + day.day % 5) if caught else "",
         "High": str(28 + day.day % 4) if caught else "", "By": "AS", "Notes": ""}
        for day, hour, minute, array, done, caught in sorted(timed)
    ]  # fmt: skip


def _captures(checks: list[tuple[str, dt.date, int]]) -> list[Row]:
    """Two animals a check. In the second and third session, every fourth is a recapture of the session before."""
    rows: list[Row] = []
    first_time: dict[tuple[str, int, int], Row] = {}
    for number, (array, first, night) in enumerate(sorted(checks, key=lambda one: (one[1], one[2], one[0]))):
        for second in (0, 1):
            at = 2 * number + second
            session = FIRST_DAYS.index(first)
            row = _animal(at, array, first + dt.timedelta(night), second)
            before = first_time.get((array, session - 1, night)) if second and night % 2 else None
            if before:
                row |= {name: before[name] for name in ("Species", "Sex", "Age", "Mark", "Mass", "Fate")} | {
                    "Status": "recap",
                    "Repro": "",
                }
                row["SVL"] = str(int(before["SVL"]) + 1)
                row["Tail"] = before["Tail"]
                row["Total"] = str(int(row["SVL"]) + int(row["Tail"])) if row["Tail"] else ""
            elif second and row["Mark"]:
                first_time[(array, session, night)] = row
            rows.append(row)
    return rows


def _animal(at: int, array: str, day: dt.date, second: int) -> Row:
    name, _, _, _, family, _, svl, mass, tail = SPECIES[(at + at // 6) % len(SPECIES)]
    length = round(svl * (0.94 + 0.012 * (at * 7 % 11)))
    grams = mass * (length / svl) ** 3 * (0.97 + 0.01 * (at * 5 % 7))
    tail_mm = round(length * tail * (0.97 + 0.01 * (at * 3 % 6))) if tail else 0
    is_snake = family in ("Colubridae", "Viperidae")
    mark = (
        str(985141000700000 + 137 * at * at + 4211 * at)
        if is_snake
        else f"{at % 5 + 16}-{at // 5 % 5 + 11}-{at // 25 % 8 + 3}{'' if at < 200 else '-2'}"
    )
    if not tail:
        mark = ""
    return {
        "No": str(at + 1), "Date": day.isoformat(), "Time": f"07:{_minute(array):02d}", "Place": array,
        "Trap": ("F", "P")[second] + str(at // 2 % (3 if second else 8) + 1), "Species": name, "N": "1", "Sex": "MF"[at // 6 % 2], "Age": "ad",
        "Repro": "", "SVL": str(length), "Tail": str(tail_mm) if tail else "", "Total": str(length + tail_mm) if tail else "",
        "Mass": f"{grams:.1f}" if grams < 40 else f"{grams:.0f}", "Mark": mark, "Status": "new" if mark else "", "Fate": "released",
        "By": OBSERVERS[at % 2], "Notes": "",
    }  # fmt: skip


def _runs() -> list[Row]:
    return [
        {"Run": f"RR{n:02d}", "Route": "R1", "Date": (dt.date(YEAR, 5, 3) + dt.timedelta(11 * n)).isoformat(), "Start": "21:10", "End": "22:50",
         "Odo1": str(41200 + 310 * n), "Odo2": str(41236 + 310 * n), "Stops": "8", "By": "AS", "N obs": "1", "Temp": str(20 + n % 5), "Notes": ""}
        for n in range(1, 13)
    ]  # fmt: skip


def _road_finds() -> list[Row]:
    names = [one[0] for one in SPECIES if one[4] != "Scaphiopodidae"]
    return [
        {"Run": run["Run"], "Date": run["Date"], "Time": f"21:{20 + 13 * k}", "Species": names[(n + k) % len(names)], "State": ("alive", "dead on road")[k % 2],
         "Lat": f"{36.77 + 0.00137 * n + 0.00031 * k:.5f}", "Lon": f"{-99.60 - 0.00113 * n - 0.00029 * k:.5f}", "Acc": "5", "Notes": ""}
        for n, run in enumerate(_runs()) for k in (0, 1, 2)
    ]  # fmt: skip


def _searches() -> list[Row]:
    return [
        {"Search": f"S{n:02d}", "Site": "S1", "Date": (dt.date(YEAR, 5, 5) + dt.timedelta(9 * n)).isoformat(), "Start": "09:10", "End": "10:40",
         "People": "2", "Covers": str(40 + n), "Handling": "6", "By": "AS, BQ", "Temp": str(19 + n % 5), "Notes": ""}
        for n in range(1, 13)
    ]  # fmt: skip


def _search_finds() -> list[Row]:
    return [
        {"Search": search["Search"], "Site": "S1", "Date": search["Date"], "Species": SPECIES[(0, 3)[n % 2]][0], "N": "1", "Sex": "MF"[n % 2], "Age": "ad",
         "SVL": str(SPECIES[(0, 3)[n % 2]][6] - n % 4), "Fate": "released", "Notes": ""}
        for n, search in enumerate(_searches())
    ]  # fmt: skip


def write_season(folder: Path, season: Season) -> Path:
    """Write the sheets, the checklist and survey.toml; the path of the survey file."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in season.items():
        (folder / f"{name}.csv").write_text(_as_csv(rows), encoding="utf-8", newline="")
    (folder / "checklist.csv").write_text(_as_csv(_checklist()), encoding="utf-8", newline="")
    path = folder / "survey.toml"
    path.write_text(SURVEY, encoding="utf-8")
    return path


def _as_csv(rows: list[Row]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _checklist() -> list[Row]:
    rows = []
    for name, author, group, order, family, code, svl, mass, _ in SPECIES:
        line = (name, author, "species", "accepted", "Animalia", group, order, family, name.split()[0], "", code,
                "true" if family == "Viperidae" else "", "SVL", str(round(svl * 0.8)), str(round(svl * 1.2)), str(round(svl * 1.3)),
                f"{mass * 0.3:.1f}", f"{mass * 2.5:.1f}", "3-10")  # fmt: skip
        rows.append(dict(zip(CHECKLIST_COLUMNS, line, strict=True)))
    name, author, group, order, family, code = BY_CATCH
    line = (
        name,
        author,
        "species",
        "accepted",
        "Animalia",
        group,
        order,
        family,
        name.split()[0],
        "",
        code,
        *[""] * 8,
    )
    rows.append(dict(zip(CHECKLIST_COLUMNS, line, strict=True)))
    return rows


SURVEY = """
[survey]
code = "MUT"
title = "A clean season to be broken"
season = "2023"
starts = 2023-05-01
ends = 2023-09-30
time_zone = "America/Chicago"
country_code = "US"

[files]
checklist = "checklist.csv"

[protocol]
target_taxa = ["Anura", "Caudata", "Testudines", "Squamata"]
scope_fully_reported = true

[limits]
hours_between_checks = 26
heat_celsius = 36
hours_between_checks_in_heat = 12
animals_per_trap_check = 6
deaths_per_check = 1
earliest_check = "05:00"
latest_check = "20:00"
longest_run_hours = 6

[dataset]
abstract = "Invented."
purpose = "Tests."
methods = ["Drift fences."]
study_extent = "An invented ranch."
quality_control = "None."
keywords = ["invented"]
license = "CC0-1.0"
rights_holder = "Ada Sandsage"
maintenance = "None."
published = 2024-01-31

[[people]]
name = "Ada Sandsage"
initials = ["AS"]
roles = ["creator", "contact", "observer"]
email = "ada@example.org"
organisation = "Invented"
orcid = "0000-0002-1825-0097"

[[people]]
name = "Ben Quill"
initials = ["BQ"]

[[table]]
name = "sites"
holds = "place"
files = ["sites.csv"]
columns = { Place = "place", Kind = "place_kind", Lat = "verbatimLatitude", Lon = "verbatimLongitude", Datum = "datum", Acc = "gps_accuracy", Traps = "traps", Elev = "elevation", Notes = "locationRemarks" }
units = { gps_accuracy = "m", elevation = "m" }

[[table]]
name = "log"
holds = "trap_log"
files = ["log.csv"]
columns = { Place = "place", Trap = "trap", What = "action", Date = "eventDate", Time = "eventTime", State = "trap_state", Open = "traps_open", Animals = "captures_typed", Air = "air_temperature", Low = "minimum_air_temperature", High = "maximum_air_temperature", By = "recordedBy", Notes = "eventRemarks" }
units = { air_temperature = "°C", minimum_air_temperature = "°C", maximum_air_temperature = "°C" }
habits = { date_names = "morning", blank = "not recorded" }

[[table]]
name = "captures"
holds = "capture"
files = ["captures.csv"]
columns = { No = "recordNumber", Date = "eventDate", Time = "eventTime", Place = "place", Trap = "trap", Species = "verbatimIdentification", N = "individualCount", Sex = "sex", Age = "lifeStage", Repro = "reproductiveCondition", SVL = "snout_vent_length", Tail = "tail_length", Total = "total_length", Mass = "body_mass", Mark = "mark", Status = "capture_status", Fate = "fate", By = "recordedBy", Notes = "occurrenceRemarks" }
units = { snout_vent_length = "mm", tail_length = "mm", total_length = "mm", body_mass = "g" }
constants = { eventType = "trapCheck" }
habits = { row_is = "an animal", blank = "not recorded", date_names = "morning" }

[[table]]
name = "runs"
holds = "road_run"
files = ["runs.csv"]
columns = { Run = "run", Route = "place", Date = "eventDate", Start = "start_time", End = "end_time", Odo1 = "odometer_start", Odo2 = "odometer_end", Stops = "stopped_minutes", By = "recordedBy", "N obs" = "observer_count", Temp = "air_temperature", Notes = "eventRemarks" }
units = { odometer_start = "km", odometer_end = "km", stopped_minutes = "min", air_temperature = "°C" }

[[table]]
name = "road finds"
holds = "capture"
files = ["road_finds.csv"]
columns = { Run = "run", Date = "eventDate", Time = "eventTime", Species = "verbatimIdentification", State = "vitality", Lat = "verbatimLatitude", Lon = "verbatimLongitude", Acc = "gps_accuracy", Notes = "occurrenceRemarks" }
units = { gps_accuracy = "m" }
constants = { eventType = "roadSurvey", place = "R1", datum = "WGS84" }
habits = { date_names = "evening", row_is = "an animal" }

[[table]]
name = "searches"
holds = "search"
files = ["searches.csv"]
columns = { Search = "run", Site = "place", Date = "eventDate", Start = "start_time", End = "end_time", People = "observer_count", Covers = "covers_turned", Handling = "handling_minutes", By = "recordedBy", Temp = "air_temperature", Notes = "eventRemarks" }
units = { handling_minutes = "min", air_temperature = "°C" }

[[table]]
name = "search finds"
holds = "capture"
files = ["search_finds.csv"]
columns = { Search = "run", Site = "place", Date = "eventDate", Species = "verbatimIdentification", N = "individualCount", Sex = "sex", Age = "lifeStage", SVL = "snout_vent_length", Fate = "fate", Notes = "occurrenceRemarks" }
units = { snout_vent_length = "mm" }
constants = { eventType = "coverSearch" }
"""
