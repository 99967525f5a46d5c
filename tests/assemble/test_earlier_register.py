"""A lost register of identifiers is made again from an earlier archive or output, line for line."""

from __future__ import annotations

import pandas as pd
import pytest
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, TODAY, write_survey

from dwc_pipeline.assemble.earlier_register import register_from_archive, register_from_tables
from dwc_pipeline.pipeline import prepare, run_survey
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.settings import read_survey_file

LOG = """Array,What,Date,Time
A1,opened,2023-05-02,18:00
A1,checked,2023-05-03,07:30
A1,checked,2023-05-03,19:30
A1,checked,2023-05-04,07:40
A1,closed,2023-05-05,07:35
"""
CAPTURES = """Array,Date,Time,Trap,Species,Sex,SVL,Mass,Mark,Notes,N
A1,2023-05-03,07:30,P1,SPBO,,,,,,3
A1,2023-05-03,07:30,F1,SCCO,M,62,8.5,,two  spaces,
A1,2023-05-03,19:30,F1,THRA,F,410,55,12,,
A1,2023-05-04,07:40,B1,THRA,F,412,57,12,recap,
A1,2023-05-05,07:35,P2,ASSE,F,70,11.2,,,
A1,2023-05-05,07:35,P2,SPBO,,,,,"""
CHANCE_TABLE = """
[[table]]
name = "chance"
holds = "capture"
files = ["chance.csv"]
datum = "WGS84"
constants = { eventType = "incidental" }
[table.columns]
Date = "eventDate"
Time = "eventTime"
Species = "verbatimIdentification"
Lat = "verbatimLatitude"
Lon = "verbatimLongitude"
Where = "locality"
"""
CHANCE = """Date,Time,Species,Lat,Lon,Where
2023-06-01,10:15,ASSE,36.7533,-99.6312,north gate
2023-06-01,,SPBO,36.7521,-99.6301,north gate
"""
PEOPLE = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\n'


@pytest.fixture(scope="module")
def survey(tmp_path_factory):
    folder = tmp_path_factory.mktemp("survey")
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES, "chance.csv": CHANCE}
    path = write_survey(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE + CHANCE_TABLE, HEAD + PEOPLE)
    run_survey(path, None, TODAY)
    return path


def register_beside(path):
    return pd.read_csv(path.parent / "identifiers.csv", dtype=object, keep_default_na=False)


def without_digests(register):
    """A register as far as an archive can tell it: how cells were typed stands in none."""
    return register.assign(cells="")


def test_the_register_is_rebuilt_identically_from_the_archive(survey):
    archive = read_archive(next((survey.parent / "out" / "archive").glob("*.zip")))
    rebuilt = register_from_archive(archive)
    assert set(rebuilt["kind"]) == {"event", "occurrence", "organism"}
    pd.testing.assert_frame_equal(rebuilt, without_digests(register_beside(survey)), check_dtype=False)


def test_the_register_is_rebuilt_identically_from_the_tables_of_an_output(survey):
    tables = [
        pd.read_csv(survey.parent / "out" / "tables" / f"{name}.csv", dtype=object, keep_default_na=False)
        for name in ("event", "occurrence", "measurement")
    ]
    rebuilt = register_from_tables(*tables)
    pd.testing.assert_frame_equal(rebuilt, without_digests(register_beside(survey)), check_dtype=False)


def test_a_lost_register_is_taken_from_the_archive_that_the_survey_file_names(survey):
    settings = read_survey_file(survey)
    archive = next((survey.parent / "out" / "archive").glob("*.zip")).relative_to(survey.parent)
    lost = settings.model_copy(
        update={
            "files": settings.files.model_copy(
                update={"identifiers": "lost.csv", "earlier_archive": archive.as_posix()}
            )
        }
    )
    season = prepare(lost, TODAY)
    register = season.records.tables["identifiers"]
    pd.testing.assert_frame_equal(register, register_beside(survey), check_dtype=False)
    assert (season.findings["rule"] == "register-of-identifiers-rebuilt").sum() == 1


def test_an_archive_of_another_survey_gives_no_register_and_an_error(survey):
    settings = read_survey_file(survey)
    archive = next((survey.parent / "out" / "archive").glob("*.zip")).relative_to(survey.parent)
    files = settings.files.model_copy(update={"identifiers": "lost.csv", "earlier_archive": archive.as_posix()})
    other = settings.model_copy(update={"files": files, "survey": settings.survey.model_copy(update={"code": "ZZ"})})
    season = prepare(other, TODAY)
    assert (season.findings["rule"] == "earlier-archive-of-another-survey").sum() == 1
    assert season.records.tables["identifiers"]["identifier"].str.startswith("ZZ-").all()


@pytest.mark.parametrize(
    ("name", "typed", "corrected"),
    [
        ("captures.csv", "SCCO,M,62,", "SCCO,M,63,"),
        ("captures.csv", "SPBO,,,,,,3", "GAOL,,,,,,3"),
        ("captures.csv", "THRA,F,410,55,12", "THRA,F,410,55,21"),
        ("log.csv", "A1,checked,2023-05-03,07:30", "A1,checked,2023-05-03,07:50"),
        ("log.csv", "A1,opened,2023-05-02,18:00", "A1,opened,2023-05-02,19:00"),
    ],
)
def test_a_corrected_cell_changes_no_identifier_of_animal_or_event(survey, name, typed, corrected):
    before = register_beside(survey)
    path = survey.parent / name
    original = path.read_text(encoding="utf-8")
    assert original.count(typed) == 1
    path.write_text(original.replace(typed, corrected), encoding="utf-8")
    register = prepare(read_survey_file(survey), TODAY).records.tables["identifiers"]
    path.write_text(original, encoding="utf-8")
    kinds = register[register["kind"] != "organism"]
    assert set(kinds["identifier"]) == set(before.loc[before["kind"] != "organism", "identifier"])
    assert (kinds["retired"] == "").all()


TWO_MARKS = """Array,Date,Time,Trap,Species,Sex,SVL,Mass,Mark,Second,N
A1,2023-05-03,07:30,P1,THRA,F,410,55,985141000402359,L1 R2,
A1,2023-05-03,07:30,F1,SCCO,M,62,8.5,LF1-RF4 / 985141000402361,,
A1,2023-05-03,19:30,F1,THRA,F,411,55,,L1 R2,
A1,2023-05-04,07:40,B1,THRA,F,412,57,L1 R2,985141000402359,
A1,2023-05-04,07:40,F2,SCCO,M,63,8.6,985141000402361,,
A1,2023-05-04,07:40,F3,SCCO,M,61,8.1,LF2-RF4,985141000402362,
A1,2023-05-05,07:35,P2,ASSE,,,,12 / 13,,2
A1,2023-05-05,07:35,P3,SCCO,M,61,8.1,985141000402362,LF2-RF4,
A1,2023-05-05,07:35,B1,2 ASSE,,,,14 / 15,,
"""


@pytest.fixture(scope="module")
def two_marks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("two_marks")
    table = CAPTURES_TABLE.replace('No = "recordNumber"', 'Second = "second_mark"')
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": TWO_MARKS}
    path = write_survey(folder, files, SITES_TABLE + LOG_TABLE + table, HEAD + PEOPLE)
    run_survey(path, None, TODAY)
    return path


def test_the_register_of_animals_with_two_marks_is_rebuilt_identically(two_marks):
    register = register_beside(two_marks)
    animals = register[register["kind"] == "organism"]
    assert animals["identifier"].is_unique
    assert len(animals) == 5
    archive = read_archive(next((two_marks.parent / "out" / "archive").glob("*.zip")))
    pd.testing.assert_frame_equal(register_from_archive(archive), without_digests(register), check_dtype=False)
