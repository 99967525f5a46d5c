"""Several animals in one cell become one occurrence a part; the counts still add up."""

from __future__ import annotations

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

LOG = "Array,What,Date,Time\nA1,opened,2023-05-04,18:00\nA1,checked,2023-05-05,07:30\nA1,closed,2023-05-05,07:35\n"
HEADER = "Array,Date,Time,Species,N,Sex,Mass\n"


@pytest.fixture
def season(tmp_path):
    def make(*rows: str):
        captures = HEADER + "".join(f"A1,2023-05-05,07:30,{row}\n" for row in rows)
        files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": captures}
        return prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)

    return make


def told(season, *terms: str) -> list[tuple[str, ...]]:
    return sorted(season.records.tables["occurrence"][list(terms)].itertuples(index=False, name=None))


def test_counts_by_sex_become_one_occurrence_each(season):
    made = season('SPBO,"2 M, 1 F",,')
    assert told(made, "individualCount", "sex") == [("1", "female"), ("2", "male")]


def test_the_rest_of_a_count_by_age_is_an_occurrence_without_an_age(season):
    made = season("SPBO,3 (1 juv),,")
    assert told(made, "individualCount", "lifeStage") == [("1", "juvenile"), ("2", "")]


def test_totals_are_those_of_the_sheet(season):
    made = season('SPBO,"2 M, 1 F",,', "SPBO,4,,", "GAOL,3 (1 juv),,", 'THRA,"1 M, 1 F",,20')
    count = made.records.tables["occurrence"]["individualCount"].astype(int)
    assert count.sum() == 3 + 4 + 3 + 2
    assert made.records.tables["occurrence"]["occurrenceID"].is_unique
    assert made.accounts.set_index("file").loc["captures.csv", "placed in a table"] == 4


def test_a_row_with_a_measure_stays_whole_since_nobody_knows_whose_it_is(season):
    made = season('THRA,"1 M, 1 F",,20')
    assert told(made, "individualCount", "sex") == [("2", "")]


def test_a_row_whose_sex_column_says_otherwise_stays_whole(season):
    made = season('SPBO,"2 M, 1 F",F,')
    assert told(made, "individualCount") == [("3",)]


def test_each_part_knows_its_cell_and_the_split_is_a_change(season):
    made = season('SPBO,"2 M, 1 F",,')
    changes = made.records.located(made.records.changes)
    split = changes[changes["rule"] == "animals-taken-apart"]
    assert set(split["row"]) == {2}
    assert set(split["column"]) == {"E"}
    assert sorted(split["after"]) == ["1", "2", "female", "male"]


def test_parts_of_one_row_are_no_row_typed_twice(season):
    made = season('SPBO,"2 M, 1 F",,')
    assert "row-typed-twice" not in set(made.findings["rule"])


def test_correcting_the_count_of_one_sex_keeps_the_other_part(season):
    first = season('SPBO,"2 M, 1 F",,').records.tables["occurrence"].set_index("sex")["occurrenceID"]
    second = season('SPBO,"2 M, 2 F",,').records.tables["occurrence"].set_index("sex")["occurrenceID"]
    assert first.to_dict() == second.to_dict()
