"""A small survey written by a test: raw files as text, and a survey file round them."""
# ruff: noqa: E501 - lines of raw files are as long as they are

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path

from dwc_pipeline.pipeline import Season, prepare
from dwc_pipeline.settings import read_survey_file

TODAY = dt.date(2026, 11, 25)
HEAD = """
[survey]
code = "PT"
title = "A small survey"
season = "2023"
starts = 2023-05-01
ends = 2023-09-30
project_starts = 2021-04-01
time_zone = "America/Chicago"
country_code = "US"

[protocol]
target_taxa = ["Anura", "Caudata", "Testudines", "Squamata"]
scope_fully_reported = true
"""
SITES = 'Array,Kind,Lat,Lon,Traps,Acc\nA1,array,36.7512,-99.6348,"B1, F1-F8, P1-P3",4\n'
SITES_TABLE = """
[[table]]
name = "sites"
holds = "place"
files = ["sites.csv"]
datum = "WGS84"
columns = { Array = "place", Kind = "place_kind", Lat = "verbatimLatitude", Lon = "verbatimLongitude", Traps = "traps", Acc = "gps_accuracy" }
units = { gps_accuracy = "m" }
"""
LOG_TABLE = """
[[table]]
name = "log"
holds = "trap_log"
files = ["log.csv"]
columns = { Array = "place", Trap = "trap", What = "action", Date = "eventDate", Time = "eventTime", State = "trap_state", Open = "traps_open" }
"""
CAPTURES_TABLE = """
[[table]]
name = "captures"
holds = "capture"
files = ["captures.csv"]
columns = { Array = "place", Date = "eventDate", Time = "eventTime", Trap = "trap", Species = "verbatimIdentification", Sex = "sex", Age = "lifeStage", SVL = "snout_vent_length", Tail = "tail_length", Mass = "body_mass", Mark = "mark", Status = "capture_status", Notes = "occurrenceRemarks", N = "individualCount", No = "recordNumber" }
units = { snout_vent_length = "mm", tail_length = "mm", body_mass = "g" }
constants = { eventType = "trapCheck" }
"""
CHECKLIST = """scientificName,scientificNameAuthorship,taxonRank,kingdom,class,order,family,genus,vernacularName,fieldCodes
Aspidoscelis sexlineatus,"(Linnaeus, 1766)",species,Animalia,Reptilia,Squamata,Teiidae,Aspidoscelis,Six-lined Racerunner,ASSE
Gastrophryne olivacea,"(Hallowell, 1856)",species,Animalia,Amphibia,Anura,Microhylidae,Gastrophryne,Western Narrow-mouthed Toad,GAOL
Thamnophis radix,"(Baird & Girard, 1853)",species,Animalia,Reptilia,Squamata,Colubridae,Thamnophis,Plains Gartersnake,THRA
Sceloporus consobrinus,"Baird & Girard, 1853",species,Animalia,Reptilia,Squamata,Phrynosomatidae,Sceloporus,Prairie Lizard,SCCO
Spea bombifrons,"(Cope, 1863)",species,Animalia,Amphibia,Anura,Scaphiopodidae,Spea,Plains Spadefoot,SPBO
Cryptotis parvus,"(Say, 1822)",species,Animalia,Mammalia,Soricomorpha,Soricidae,Cryptotis,Least Shrew,CRPA
"""


def write_survey(folder: Path, files: Mapping[str, str], tables: str, head: str = HEAD) -> Path:
    """Write the files, the checklist and survey.toml; the path of the survey file."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in {"checklist.csv": CHECKLIST, **files}.items():
        (folder / name).write_text(text, encoding="utf-8")
    path = folder / "survey.toml"
    path.write_text(head + '\n[files]\nchecklist = "checklist.csv"\n' + tables, encoding="utf-8")
    return path


def prepared(folder: Path, files: Mapping[str, str], tables: str, head: str = HEAD) -> Season:
    """The season of a small survey, prepared."""
    return prepare(read_survey_file(write_survey(folder, files, tables, head)), TODAY)


def write_answers(folder: Path, answers: Mapping[str, str]) -> None:
    """Answers to questions by their identifiers, as a person would write them beside the survey file."""
    lines = [f"{question},,,{answer},KM,2026-11-25,seen on paper" for question, answer in answers.items()]
    text = "\n".join(["question,what,scope,answer,by,date,why", *lines]) + "\n"
    (folder / "answers.csv").write_text(text, encoding="utf-8")
