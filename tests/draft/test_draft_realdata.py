"""Drafts of open data sets that nobody here wrote, in the folder `shared` beside the repository.

Sources: Portal Project, rodent trapping and permit reports (CC0); Data Carpentry teaching workbook (CC BY 4.0);
pup counts of the South Shetland Islands (CC0); Mammal Diversity Database and a checklist of alien herpetofauna
(CC BY 4.0, CC0). Only figures are used here; the files are read where they lie.
"""

from __future__ import annotations

import csv
import datetime as dt
import json
import re
import shutil
import tomllib
from pathlib import Path

import pandas as pd
import pytest
from draft_scores import Score, score

from dwc_pipeline.draft.proposal import Confidence, Draft
from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.pipeline import Season, prepare
from dwc_pipeline.settings import SurveyFile, read_survey_file

REAL = Path(__file__).resolve().parents[3] / "shared" / "realdata"
TODAY = dt.date(2026, 11, 25)
pytestmark = pytest.mark.skipif(not REAL.exists(), reason="the folder shared/realdata is not beside the repository")

LOG, STAKES, SHEETS = "Portal_rodent_trapping.csv", "Portal_suspect_stakes.csv", "rodent_test_data.xlsx"
PERMIT = {
    "scientificname": "verbatimIdentification", "x": "individualCount", "dates": "eventDate", "utmzone": "utm_zone",
    "datum": "datum", "lifestage": "lifeStage", "sex": "sex", "disposition": "fate", "museum": "institutionCode",
    "habitat": "habitat", "comments": "occurrenceRemarks", "observer": "recordedBy",
}  # fmt: skip
SIDE_BY_SIDE = {
    "date collected": "eventDate", "plot": "place", "species": "verbatimIdentification", "sex": "sex",
    "weight": "body_mass", "wgt": "body_mass", "species_sex": "verbatimIdentification",
}  # fmt: skip
DATE_PARTS = {"day": "day", "month": "month", "year": "year"}
#: what the columns hold, read from the descriptions that the owners published with the files
MEANT = {
    LOG: {**DATE_PARTS, "plot": "place", "effort": "traps_open"},
    STAKES: {**DATE_PARTS, "recordid": "recordNumber", "plot": "place", "stake": "trap",
             "species": "verbatimIdentification",
             "sex": "sex", "tag": "mark"},
    SHEETS: {**DATE_PARTS, "plot": "place", "stake": "trap", "species": "verbatimIdentification", "sex": "sex",
             "reprod": "reproductiveCondition", "age": "lifeStage", "wgt": "body_mass", "tag": "mark"},
    "Portal_UTMCoords.csv": {"east": "easting", "north": "northing", "elev": "elevation",
                             "hor_error": "gps_accuracy", "notes": "locationRemarks"},
    "Permit_data_2017.csv": PERMIT | {"easting": "easting", "northing": "northing"},
    "Permit_data_2019.csv": {header: field for header, field in PERMIT.items() if header != "datum"},
    "Permit_data_2022.csv": PERMIT,
    "Permit_data_2025.csv": PERMIT,
    "survey_data_spreadsheet_messy.xls": SIDE_BY_SIDE,
    "survey_sorting_exercise.xlsx": {"date_collected": "eventDate", "species": "verbatimIdentification",
                                     "plot": "place", "sex": "sex", "weight_grams": "body_mass"},
    "Portal_rodents_19772002_simplified.csv": {
        "mo": "month", "dy": "day", "yr": "year",
        "recordid": "recordNumber", "species": "verbatimIdentification", "plot": "place", "stake": "trap",
        "locality": "locality", "coordinates": "verbatimCoordinates", "sex": "sex"},
    "other-counts.csv": {"census_date": "eventDate", "location": "place", "count": "individualCount"},
}  # fmt: skip


def facts_of(case: str) -> dict[str, object]:
    return json.loads((REAL / case / "expected.json").read_text(encoding="utf-8"))["facts"]


def drafted(folder: Path, *sources: str) -> Draft:
    for source in sources:
        shutil.copy(REAL / source, folder / Path(source).name)
    return draft_survey([folder], folder / "survey.toml", TODAY)


def meant(*files: str) -> dict[tuple[str, str], str]:
    return {(file, header): field for file in files for header, field in MEANT[file].items()}


def edited(draft: Draft, *edits: tuple[str, str]) -> Season:
    """The season after a person's edits: pairs of pattern and replacement, each of which must find something."""
    write_draft(draft, replace_it=True)
    text = draft.path.read_text(encoding="utf-8")
    for pattern, replacement in edits:
        text, number = re.subn(pattern, replacement, text, flags=re.MULTILINE | re.DOTALL)
        assert number, pattern
    draft.path.write_text(text, encoding="utf-8")
    return prepare(read_survey_file(draft.path), TODAY)


ALL_SOURCES = (
    f"01-portal-rodents/raw/{LOG}",
    f"01-portal-rodents/raw/{STAKES}",
    f"01-portal-rodents/raw/{SHEETS}",
    "01-portal-rodents/raw/Portal_UTMCoords.csv",
    *(f"01-portal-rodents/permit/Permit_data_{year}.csv" for year in (2017, 2019, 2022, 2025)),
    "02-messy-workbook/raw/survey_data_spreadsheet_messy.xls",
    "02-messy-workbook/raw/Portal_rodents_19772002_simplified.csv",
    "02-messy-workbook/owner/survey_sorting_exercise.xlsx",
    "03-pup-count-archive/raw/other-counts.csv",
)


@pytest.fixture(scope="module")
def scores(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Score]:
    made = {}
    for source in ALL_SOURCES:
        name = Path(source).name
        made[name] = score(drafted(tmp_path_factory.mktemp("real"), source), meant(name))
    return made


def test_no_column_of_the_real_files_is_placed_wrongly(scores):
    assert [told for one in scores.values() for told in one.wrong] == []


def test_most_columns_of_the_real_files_are_placed_without_an_edit(scores):
    right = sum(len(one.right) for one in scores.values())
    left = [told for one in scores.values() for told in one.open]
    assert right / (right + len(left)) >= 0.9, left


def test_every_draft_of_a_real_file_parses_and_is_a_valid_survey_file(tmp_path):
    for number, source in enumerate(ALL_SOURCES):
        folder = tmp_path / str(number)
        folder.mkdir()
        SurveyFile(**tomllib.loads(draft_toml(drafted(folder, source))))


class TestTablesSideBySide:
    """Case 02: three tables beside one another with the species in a cell over each."""

    WORKBOOK = "02-messy-workbook/raw/survey_data_spreadsheet_messy.xls"

    def test_each_table_gets_its_own_entry_with_the_species_or_plot_over_it(self, tmp_path):
        tables = tomllib.loads(draft_toml(drafted(tmp_path, self.WORKBOOK)))["table"]
        facts = [(t["sheets"][0], t.get("table_number", 0), t["facts"]) for t in tables]
        assert ("2013", 2, {"H6": "verbatimIdentification"}) in facts
        assert ("2014", 3, {"M6": "place"}) in facts
        assert len(tables) == 8

    def test_five_edits_give_the_records_and_weights_of_the_owner(self, tmp_path):
        season = edited(
            drafted(tmp_path, self.WORKBOOK),
            ('time_zone = "UTC"', 'time_zone = "America/Denver"'),
            (r"^# --- captures of \S+, dates -.*?(?=^# --- )", ""),  # a table typed once more on another sheet
            (r"^# (\[table.units\])", r"\1"),
            (r"^# (body_mass = )", r"\1"),
            (r"^# (blank = )", r"\1"),
        )
        facts = facts_of("02-messy-workbook")
        weights = season.records.tables["measurement"].query("measurementType == 'body mass'")["measurementValue"]
        assert len(season.records.standard["capture"]) == facts["records"]
        assert len(weights) == facts["weights.given"]
        assert weights.astype(float).sum() == facts["weights.sum_g"]
        # one record has no species: it waits for an answer, all others are occurrences
        assert len(season.records.tables["occurrence"]) == facts["records"] - facts["species_blank_in_the_workbook"]

    def test_dates_decades_before_the_titled_season_do_not_widen_it(self, tmp_path):
        survey = tomllib.loads(draft_toml(drafted(tmp_path, self.WORKBOOK)))["survey"]
        assert survey["starts"].year == 2013


class TestPermitReports:
    """Case 01, reports to a state agency: one row a species and day, with the number of animals."""

    def test_a_report_runs_after_two_edits_and_gives_its_rows_and_animals(self, tmp_path):
        draft = drafted(
            tmp_path,
            "01-portal-rodents/permit/Permit_data_2017.csv",
            "01-portal-rodents/raw/Portal_rodent_species.csv",
        )
        season = edited(
            draft,
            (r'time_zone = "[^"]+"', 'time_zone = "America/Phoenix"'),
            (r"^# (\[table.constants\]\n)# eventType = \S+", r'\1eventType = "incidental"'),
        )
        facts, rows = facts_of("01-portal-rodents"), season.records.standard["capture"]
        assert len(rows) == facts["permit.2017.rows"]
        assert pd.to_numeric(rows["individualCount"]).sum() == facts["permit.2017.individuals"]
        assert (rows["when/date"].min(), rows["when/date"].max()) == (
            facts["permit.2017.first"], facts["permit.2017.last"],
        )  # fmt: skip

    def test_degrees_under_easting_are_never_placed_and_are_told(self, tmp_path):
        draft = drafted(tmp_path, "01-portal-rodents/permit/Permit_data_2022.csv")
        easting = next(column for column in draft.columns if column.header == "easting")
        assert easting.confidence is Confidence.UNSURE
        assert "look like degrees" in easting.reason

    def test_one_word_in_every_cell_is_no_mark(self, tmp_path):
        draft = drafted(tmp_path, "01-portal-rodents/permit/Permit_data_2022.csv")
        assert not next(column for column in draft.columns if column.header == "tag").is_placed


class TestTrappingLog:
    """Case 01, the log: a row is one plot on one night, with the number of traps."""

    def test_with_rows_as_nights_the_trap_nights_of_a_year_come_out_after_four_edits(self, tmp_path):
        with (REAL / f"01-portal-rodents/raw/{LOG}").open(encoding="utf-8") as file:
            header, *rows = file.read().splitlines()
        kept = [row for row in rows if row.split(",")[2] in ("1977", "2022")]
        (tmp_path / "log.csv").write_text("\n".join([header, *kept]) + "\n", encoding="utf-8")
        draft = draft_survey([tmp_path], tmp_path / "survey.toml", TODAY)
        placed = {column.header: column.field for column in draft.columns if column.is_placed}
        assert [placed[name] for name in ("day", "month", "year", "plot", "effort")] == [
            "day", "month", "year", "place", "traps_open",
        ]  # fmt: skip
        season = edited(
            draft,
            ('time_zone = "UTC"', 'time_zone = "America/Phoenix"'),
            (r"^# (rows_are = )", r"\1"),
            (r"^# (\[table.habits\])", r"\1"),
            (r'^# date_names = "morning"', 'date_names = "evening"'),
        )
        expected = facts_of("01-portal-rodents")["log.trap_nights_by_year"]
        assert season.records.tables["effort"]["trap_nights"].sum() == expected["1977"] + expected["2022"]

    def test_with_the_day_of_opening_and_closing_the_trap_nights_of_a_year_come_out(self, tmp_path):
        with (REAL / f"01-portal-rodents/raw/{LOG}").open(encoding="utf-8") as file:
            rows = [row for row in csv.DictReader(file) if row["year"] in ("1977", "2022")]
        lines = ["opened,closed,plot,traps open"]
        for row in rows:
            day = dt.date(int(row["year"]), int(row["month"]), int(row["day"]))
            lines.append(f"{day},{day + dt.timedelta(days=1)},{row['plot']},{row['effort']}")
        (tmp_path / "log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
        (tmp_path / "caught.csv").write_text("date,plot,species,sex\n1977-07-17,1,DM,F\n", encoding="utf-8")
        draft = draft_survey([tmp_path], tmp_path / "survey.toml", TODAY)
        season = edited(draft, ('time_zone = "UTC"', 'time_zone = "America/Phoenix"'))
        expected = facts_of("01-portal-rodents")["log.trap_nights_by_year"]
        assert season.records.tables["effort"]["trap_nights"].sum() == expected["1977"] + expected["2022"]


class TestLists:
    """Cases 01 and 04: lists of names are told from tables of records."""

    def test_a_taxon_table_becomes_the_checklist(self, tmp_path):
        draft = drafted(tmp_path, "04-checklists/herps/taxon.csv", f"01-portal-rodents/raw/{STAKES}")
        assert tomllib.loads(draft_toml(draft))["files"]["checklist"] == "taxon.csv"

    def test_a_code_list_becomes_a_checklist_with_its_codes(self, tmp_path):
        draft = drafted(
            tmp_path, "01-portal-rodents/raw/Portal_rodent_species.csv", f"01-portal-rodents/raw/{STAKES}"
        )
        by_name = draft.code_list.set_index("scientificName")
        assert by_name.loc["Neotoma albigula", "fieldCodes"] == "NA"
        write_draft(draft)
        assert (tmp_path / draft.code_list_name).exists()

    def test_names_with_underscores_are_recognised_as_a_list(self, tmp_path):
        draft = drafted(
            tmp_path, "04-checklists/mammals/MDD_v1.2_UnitedStates.csv", f"01-portal-rodents/raw/{STAKES}"
        )
        assert "Didelphis virginiana" in set(draft.code_list["scientificName"])
        assert len(draft.code_list) == facts_of("04-checklists")["mammals.rows"]
