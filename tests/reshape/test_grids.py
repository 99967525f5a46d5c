"""Grids of dates by arrays or traps: codes and counts, habits, answers, and what becomes of every cell."""

from __future__ import annotations

import pytest
from small_survey import LOG_TABLE, SITES_TABLE, prepared

from .conftest import SITES

BY_PLACE = """
[[table]]
name = "grid"
holds = "trap_log"
files = ["grid.csv"]
layout = "grid"
grid_columns = "place"
columns = { Date = "eventDate" }
"""
BY_TRAP = BY_PLACE.replace('grid_columns = "place"', 'grid_columns = "trap"').replace(
    "columns = { Date", 'columns = { Array = "place", Date'
)
OPENED = "Array,What,Date,Time\nA1,opened,2023-05-04,\nA2,opened,2023-05-04,\n"
RULE = "grid-sign-without-a-meaning"


class TestByArray:
    """One column an array."""

    def test_a_zero_is_an_empty_check_and_codes_are_animals(self, shape):
        made = shape({"grid.csv": 'Date,A1,A2\n5/5/2023,0,2 SPBO\n5/6/2023,"SCCO, 3 THRA",none\n'}, BY_PLACE)
        assert made.rows("trap_log", "eventDate", "place", "action") == [
            ("5/5/2023", "A1", "checked"),
            ("5/5/2023", "A2", "checked"),
            ("5/6/2023", "A1", "checked"),
            ("5/6/2023", "A2", "checked"),
        ]
        assert made.rows("capture", "place", "verbatimIdentification", "individualCount", "eventType") == [
            ("A2", "SPBO", "2", "trapCheck"),
            ("A1", "SCCO", "", "trapCheck"),
            ("A1", "THRA", "3", "trapCheck"),
        ]

    def test_values_know_their_cells(self, shape):
        made = shape({"grid.csv": "Date,A1,A2\n5/5/2023,0,2 SPBO\n"}, BY_PLACE)
        assert made.address("capture", 0, "individualCount") == "C2"
        assert made.address("capture", 0, "place") == "C2"
        assert made.address("capture", 0, "eventDate") == "A2"
        assert made.address("trap_log", 0, "action") == "B2"

    def test_a_sign_is_asked_once_a_sheet_and_not_once_a_cell(self, shape):
        made = shape({"grid.csv": "Date,A1,A2\n5/5/2023,0,X\n5/6/2023,X,x\n5/7/2023,0,-\n"}, BY_PLACE)
        asked = made.findings(RULE)
        assert sorted(asked["value"]) == ["-", "X"]
        assert "3 places" in asked.loc[asked["value"] == "X", "message"].iloc[0]

    def test_an_answer_about_a_sign_is_applied_to_all_its_cells(self, shape):
        files = {"grid.csv": "Date,A1,A2\n5/5/2023,0,X\n5/6/2023,X,X\n"}
        question = shape(files, BY_PLACE).question(RULE)
        made = shape(files, BY_PLACE, {question: "closed"})
        assert made.findings(RULE).empty
        assert question in made.records.answered
        assert made.rows("trap_log", "place", "action")[1:] == [
            ("A2", "stood closed"),
            ("A1", "stood closed"),
            ("A2", "stood closed"),
        ]

    def test_an_answer_that_is_no_meaning_leaves_the_question_open(self, shape):
        files = {"grid.csv": "Date,A1\n5/5/2023,X\n"}
        question = shape(files, BY_PLACE).question(RULE)
        made = shape(files, BY_PLACE, {question: "perhaps"})
        assert "perhaps" in made.findings(RULE)["message"].iloc[0]

    def test_the_survey_file_explains_signs(self, shape):
        words = '[table.words.action]\nX = "closed"\n"✓" = "no animals"\n'
        made = shape({"grid.csv": "Date,A1,A2\n5/5/2023,X,✓\n"}, BY_PLACE + words)
        assert made.rows("trap_log", "action") == [("stood closed",), ("checked",)]
        assert made.findings(RULE).empty

    def test_a_line_without_any_meaning_is_set_aside_with_the_reason(self, shape):
        habits = 'habits = { blank = "not checked" }\n'
        made = shape({"grid.csv": "Date,A1,A2\n5/5/2023,0,0\n5/6/2023,,\n5/7/2023,X,\n"}, BY_PLACE + habits)
        assert made.outcome("grid.csv", 3) == ("set aside", "no cell of the grid says that a trap was checked")
        assert made.outcome("grid.csv", 4) == ("set aside", "its signs wait for an answer")

    def test_the_effort_after_a_sign_that_nobody_explained_is_unknown(self, shape):
        made = shape({"grid.csv": "Date,A1\n5/5/2023,0\n5/6/2023,X\n5/7/2023,0\n"}, BY_PLACE)
        assert made.rows("trap_log", "eventDate", "trap_state") == [("5/5/2023", ""), ("5/7/2023", "not checked")]
        assert made.address("trap_log", 1, "trap_state") == "B3"

    def test_states_of_traps_go_to_the_log_and_animals_to_the_captures(self, shape):
        made = shape({"grid.csv": "Date,A1\n5/5/2023,2 SPBO; F2 closed\n5/6/2023,flooded\n"}, BY_PLACE)
        assert made.rows("trap_log", "trap_state") == [("F2 closed",), ("flooded",)]
        assert made.rows("capture", "verbatimIdentification") == [("SPBO",)]

    def test_a_bare_number_counts_animals_of_the_species_named_above(self, shape):
        facts = (
            'facts = { A1 = "verbatimIdentification" }\nfact_patterns = { A1 = "Species: (.+)" }\nheader_rows = [2]\n'
        )
        made = shape({"grid.csv": "Species: SPBO,,\nDate,A1,A2\n5/5/2023,4,0\n"}, BY_PLACE + facts)
        assert made.rows("capture", "verbatimIdentification", "individualCount") == [("SPBO", "4")]


class TestByTrap:
    """One column a trap: each line is one visit of the array."""

    def test_a_line_is_one_visit_with_the_states_of_its_traps(self, shape):
        made = shape(
            {"grid.csv": "Date,Array,B1,F1,F2\n5/5/2023,A1,0,2 SPBO,closed\n5/6/2023,A1,flooded,0,0\n"}, BY_TRAP
        )
        assert made.rows("trap_log", "place", "trap", "action", "trap_state") == [
            ("A1", "", "checked", "F2 closed"),
            ("A1", "", "checked", "B1 flooded"),
        ]
        assert made.rows("capture", "trap", "verbatimIdentification", "individualCount") == [("F1", "SPBO", "2")]

    def test_a_line_on_which_all_traps_are_closed_is_no_check(self, shape):
        made = shape({"grid.csv": "Date,Array,B1,F1\n5/5/2023,A1,closed,not set\n"}, BY_TRAP)
        assert made.rows("trap_log", "action", "trap_state") == [("stood closed", "")]

    def test_a_trap_that_was_not_looked_at_has_unknown_effort(self, shape):
        made = shape(
            {"grid.csv": "Date,Array,B1,F1\n5/5/2023,A1,0,\n"}, BY_TRAP + 'habits = { blank = "not checked" }\n'
        )
        assert made.rows("trap_log", "trap_state") == [("F1 not checked",)]

    def test_a_blank_date_repeats_the_line_above_even_where_that_line_gives_no_record(self, shape):
        table = BY_TRAP + 'fill_down = ["eventDate"]\nhabits = { blank = "not checked" }\n'
        made = shape({"grid.csv": "Date,Array,B1,F1\n5/5/2023,A1,0,0\n5/6/2023,A1,,\n,A2,0,2 SPBO\n"}, table)
        assert made.rows("trap_log", "eventDate", "place") == [("5/5/2023", "A1"), ("5/6/2023", "A2")]
        assert made.rows("capture", "eventDate") == [("5/6/2023",)]
        changes = made.records.changes
        assert set(changes["rule"]) == {"filled-down"}
        assert set(changes["kind"]) == {"trap_log", "capture"}


class TestEffort:
    """Handbook: a cell that says closed takes its interval out; a flooded trap counts half of it."""

    @pytest.fixture
    def nights(self, tmp_path):
        def of(grid: str, table: str) -> dict[str, float]:
            files = {"sites.csv": SITES, "log.csv": OPENED, "grid.csv": grid}
            effort = prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + table).records.tables["effort"]
            return effort.groupby("eventID")["trap_nights"].sum(min_count=1).to_dict()

        return of

    def test_nights_are_counted_up_to_the_last_check_before_an_array_stood_closed(self, nights):
        found = nights("Date,A1,A2\n2023-05-05,0,0\n2023-05-06,1 SPBO,closed\n2023-05-07,closed,closed\n", BY_PLACE)
        assert found == {
            "PT-2023-A1-c20230505-1": 3.0,
            "PT-2023-A1-c20230506-1": 3.0,
            "PT-2023-A2-c20230505-1": 3.0,
        }

    def test_states_in_a_grid_by_trap_reduce_the_effort_of_their_trap(self, nights):
        found = nights("Date,Array,B1,F1,F2\n2023-05-05,A1,flooded,0,closed\n2023-05-06,A1,0,0,0\n", BY_TRAP)
        assert found == {"PT-2023-A1-c20230505-1": 1.5, "PT-2023-A1-c20230506-1": 3.0}
