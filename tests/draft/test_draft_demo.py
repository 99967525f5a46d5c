"""A draft of the demo's raw files, compared with the survey file that was written by hand for them."""

from __future__ import annotations

import datetime as dt
import shutil
import tomllib
from pathlib import Path

import pytest
from draft_scores import meant_by, score

from dwc_pipeline.draft.proposal import Draft
from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

DEMO = Path(__file__).resolve().parents[2] / "demo_input"
TODAY = dt.date(2026, 11, 25)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("demo")
    shutil.copytree(DEMO / "raw", place / "raw")
    shutil.copy(DEMO / "checklist.csv", place)
    return place


@pytest.fixture(scope="module")
def draft(folder: Path) -> Draft:
    return draft_survey([folder / "raw", folder / "checklist.csv"], folder / "survey.toml", TODAY)


@pytest.fixture(scope="module")
def document(draft: Draft) -> dict[str, object]:
    return tomllib.loads(draft_toml(draft))


def table_of(document: dict[str, object], file: str, sheet: str = "") -> dict[str, object]:
    tables = [t for t in document["table"] if file in t["files"][0]]
    return next(t for t in tables if not sheet or sheet in t.get("sheets", []))


def test_nearly_every_column_feeds_the_field_that_was_meant_and_none_a_wrong_one(draft):
    found = score(draft, meant_by(DEMO / "survey.toml"))
    # three blank columns of the site lists are mapped by the draft and by nobody else; they hold nothing
    blank = [told for told in found.wrong if told.startswith("waypoints.gpx")]
    assert found.share_right >= 0.95, found.open
    assert not found.wrong_and_certain
    assert [told for told in found.wrong if told not in blank] == []


def test_every_table_is_of_the_kind_that_was_meant(document):
    kinds = {Path(file).name: table["holds"] for table in document["table"] for file in table["files"]}
    meant = tomllib.loads((DEMO / "survey.toml").read_text(encoding="utf-8"))
    assert kinds == {Path(file).name: table["holds"] for table in meant["table"] for file in table["files"]}


def test_sheets_with_the_same_headers_become_one_table_and_the_code_list_is_skipped(document):
    table = table_of(document, "captures_KM.xlsx")
    assert "sheets" not in table
    assert table["skip_sheets"] == ["Codes"]


def test_the_array_over_a_table_or_in_the_sheet_name_becomes_a_fact(document):
    assert table_of(document, "captures_RT.xlsx", "A5")["facts"] == {"A2": "place"}
    assert table_of(document, "captures_RT.xlsx", "A7")["facts"] == {"sheet name": "place"}


def test_units_come_from_the_headers_and_a_sheet_in_ounces_stands_apart(document):
    assert table_of(document, "captures_RT.xlsx", "A7")["units"]["body_mass"] == "oz"
    assert table_of(document, "captures_RT.xlsx", "A5")["units"] == {
        "snout_vent_length": "cm", "tail_length": "cm", "body_mass": "g",
    }  # fmt: skip
    assert table_of(document, "sites.xlsx")["units"]["gps_accuracy"] == "m"


def test_how_animals_were_met_comes_from_traps_run_labels_and_file_names(document):
    events = {
        Path(table["files"][0]).name: table["constants"]["eventType"]
        for table in document["table"]
        if table["holds"] == "capture"
    }
    assert events == {
        "captures_KM.xlsx": "trapCheck", "captures_RT.xlsx": "trapCheck", "road_finds.csv": "roadSurvey",
        "search_finds.csv": "coverSearch", "incidental.csv": "incidental",
    }  # fmt: skip
    assert table_of(document, "road_finds.csv")["constants"]["place"] == "R1"


def test_the_season_leaves_a_slipped_year_outside_and_names_it(document, draft):
    survey = document["survey"]
    assert (survey["starts"], survey["ends"]) == (dt.date(2025, 5, 6), dt.date(2025, 9, 11))
    assert "2024-05-28" in draft_toml(draft)


def test_checklist_and_boundary_are_found_among_the_files(document):
    assert document["files"] == {"checklist": "checklist.csv", "boundary": "raw/ranch_boundary.geojson"}


def test_habits_that_nothing_decides_are_left_as_comments(document, draft):
    text = draft_toml(draft)
    assert table_of(document, "trap_log.xlsx")["habits"] == {"date_names": "morning"}  # openings before their checks
    assert '# zero = "no animals"' in text
    assert '# "FFFF00" = ""' in text


def test_words_of_no_list_and_initials_of_observers_are_listed_for_the_person(draft):
    text = draft_toml(draft)
    assert '# initials = ["KM"]' in text
    assert '# "P2 wonky" = ""' in text


def test_names_that_the_checklist_lacks_are_listed_with_what_comes_near(draft):
    assert draft.unknown_names["HOMX"] == ("Holbrookia maculata",)
    assert "SCCO" not in draft.unknown_names  # two names of the checklist: a question, not an unknown name
    text = draft_toml(draft)
    assert '# "HOMX" = ""' in text
    assert "names are known" in text


def test_a_fresh_draft_runs_and_gives_findings_and_questions(folder, draft):
    write_draft(draft)
    season = prepare(read_survey_file(folder / "survey.toml"), TODAY)
    assert len(season.questions) > 0
    assert len(season.records.tables["occurrence"]) == 476
