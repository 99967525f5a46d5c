"""What a cell says of another field reaches it or is told: names with fates and stars, dates with times.

Common practice, no source.
"""

from __future__ import annotations

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.core.columns import text_column

LOG = "Array,What,Date,Time\nA1,opened,2023-05-04,18:00\nA1,checked,2023-05-05,07:30\nA1,closed,2023-05-05,07:35\n"
TABLE = CAPTURES_TABLE.replace(
    'No = "recordNumber"', 'No = "recordNumber", Fate = "fate", Repro = "reproductiveCondition"'
)


@pytest.fixture
def season(tmp_path):
    def make(*rows: str, header: str = "Array,Date,Time,Species,Fate,Status,N,SVL\n"):
        captures = header + "".join(f"A1,2023-05-05,07:30,{row}\n" for row in rows)
        files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": captures}
        return prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + TABLE)

    return make


def rules_of(season) -> list[str]:
    return season.records.findings["rule"].tolist()


def test_an_escape_beside_the_name_becomes_the_fate(season):
    made = season("SCCO (escaped),,,1,")
    assert text_column(made.records.standard["capture"], "fate").tolist() == ["escaped before processing"]
    facts = made.records.tables["measurement"]
    assert facts.loc[facts["measurementType"] == "fate", "measurementValue"].tolist() == ["escaped before processing"]
    changes = made.records.changes
    told = changes.loc[changes["term"] == "fate", ["field", "before", "after"]].to_numpy().tolist()
    assert told == [
        ["verbatimIdentification", "SCCO (escaped)", "escaped before processing"],
        ["fate", "", "escaped before processing"],
    ]


def test_a_recapture_beside_the_name_becomes_the_status(season):
    made = season("SCCO recap,,,1,")
    assert text_column(made.records.standard["capture"], "capture_status").tolist() == ["recapture"]


def test_a_recapture_beside_the_mark_becomes_the_status(season):
    header = "Array,Date,Time,Species,N,Mark\n"
    made = season(header=header + "A1,2023-05-05,07:30,SCCO,1,A7 recap\n")
    assert text_column(made.records.standard["capture"], "capture_status").tolist() == ["recapture"]


def test_a_fate_of_its_own_stands_and_a_name_that_says_otherwise_is_told(season):
    made = season("SCCO (escaped),released,,1,")
    assert text_column(made.records.standard["capture"], "fate").tolist() == ["released at capture"]
    assert "another-cell-says-otherwise" in rules_of(made)


def test_a_fuller_word_for_the_same_fate_is_no_contradiction(season):
    made = season("SCCO (escaped),escaped with data,,1,")
    assert text_column(made.records.standard["capture"], "fate").tolist() == ["escaped with data"]
    assert "another-cell-says-otherwise" not in rules_of(made)


def test_a_sex_told_by_the_stage_and_a_condition_told_by_the_name_reach_their_fields(season):
    header = "Array,Date,Time,Species,N,Age,Repro\n"
    made = season(header=header + "A1,2023-05-05,07:30,SCCO gravid,1,AF,\n")
    occurrence = made.records.tables["occurrence"]
    assert occurrence[["sex", "lifeStage", "reproductiveCondition"]].values.tolist() == [
        ["female", "adult", "gravid"]
    ]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("SCCO juv,1,A,", "this cell says juvenile, the cell of lifeStage adult"),
        ("SCCO (M),1,,F", "this cell says male, the cell of sex female"),
        ("SCCO x2,1,,", "this cell says 2, the cell of individualCount 1"),
        ("SCCO,1,AM,F", "this cell says male, the cell of sex female"),
    ],
)
def test_two_cells_that_contradict_each_other_are_told(season, row, told):
    made = season(header=f"Array,Date,Time,Species,N,Age,Sex\nA1,2023-05-05,07:30,{row}\n")
    found = made.records.findings
    assert found.loc[found["rule"] == "another-cell-says-otherwise", "message"].tolist() == [told]


def test_a_road_kill_kept_as_a_voucher_is_no_contradiction(season):
    assert "another-cell-says-otherwise" not in rules_of(season("SCCO DOR,voucher,,1,"))


def test_a_star_at_a_code_is_asked_once_for_the_cause(season):
    made = season("SCCO*,,,1,", "SCCO*,,,1,", "SPBO,,,1,")
    found = made.records.findings
    starred = found[found["rule"] == "name-carries-a-star"]
    assert set(starred["value"]) == {"SCCO*"}
    assert starred["cause"].nunique() == 1
    assert made.records.standard["capture"]["verbatimIdentification"].tolist()[0] == "Sceloporus consobrinus"


def test_stars_on_both_sides_are_print(season):
    assert "name-carries-a-star" not in rules_of(season("*Spea bombifrons*,,,1,"))


def test_a_date_cell_with_another_time_than_the_time_cell_is_told_with_both(season):
    header = "Array,Species,N,Date,Time\n"
    rows = ["SPBO,1,2023-05-05 07:40,07:30", "SPBO,1,2023-05-05 07:30,07:30"]
    made = season(header=header + "".join(f"A1,{row}\n" for row in rows))
    found = made.records.findings
    told = found[found["rule"] == "date-cell-and-time-cell-differ"]
    assert told["message"].tolist() == ["the date cell says 07:40, the time cell 07:30, which is used"]


@pytest.mark.parametrize(("count", "expected"), [("a few", True), ("~20", True), ("3", True), ("1", False)])
def test_several_animals_in_words_with_one_measure_are_told(season, count, expected):
    made = season(f"SPBO,,,{count},52")
    assert ("several-animals-with-one-measurement" in rules_of(made)) is expected
