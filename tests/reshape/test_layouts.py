"""The other layouts: species as columns, captures in a cell, facts above, intervals, sentences, several arrays."""

from __future__ import annotations

import pytest

WIDE = """
[[table]]
name = "wide"
holds = "capture"
files = ["wide.csv"]
layout = "species columns"
columns = { Date = "eventDate", Array = "place", Notes = "" }
"""
LOG = """
[[table]]
name = "log"
holds = "trap_log"
files = ["log.csv"]
"""
PLAIN_LOG = LOG + 'columns = { Array = "place", What = "action", Date = "eventDate", Open = "traps_open" }\n'
CAPTURES = """
[[table]]
name = "captures"
holds = "capture"
files = ["*.csv"]
columns = { Date = "eventDate", Array = "place", Species = "verbatimIdentification" }
"""


class TestSpeciesColumns:
    """Counts in one column a species; every line is a visit."""

    def test_counts_are_captures_and_zeros_are_an_empty_check(self, shape):
        made = shape({"wide.csv": "Date,Array,SPBO,SCCO\n5/5/2023,A1,0,2\n5/5/2023,A2,0,-\n"}, WIDE)
        assert made.rows("capture", "place", "verbatimIdentification", "individualCount") == [("A1", "SCCO", "2")]
        assert made.rows("trap_log", "place", "action") == [("A1", "checked"), ("A2", "checked")]
        assert made.address("capture", 0, "verbatimIdentification") == "D1"
        assert made.address("capture", 0, "individualCount") == "D2"

    def test_a_line_without_any_count_is_asked_once_and_waits(self, shape):
        files = {"wide.csv": "Date,Array,SPBO,SCCO\n5/5/2023,A1,0,2\n5/6/2023,A1,,\n5/7/2023,A1,,\n"}
        made = shape(files, WIDE)
        assert len(made.findings("grid-sign-without-a-meaning")) == 1
        assert len(made.rows("trap_log", "action")) == 1
        assert made.outcome("wide.csv", 3)[0] == "set aside"
        question = made.question("grid-sign-without-a-meaning")
        assert len(shape(files, WIDE, {question: "no animals"}).rows("trap_log", "action")) == 3

    def test_the_survey_file_can_say_that_blank_means_none(self, shape):
        habits = 'habits = { blank = "no animals" }\n'
        made = shape({"wide.csv": "Date,Array,SPBO,SCCO\n5/5/2023,A1,,\n"}, WIDE + habits)
        assert made.rows("trap_log", "action") == [("checked",)]

    def test_a_total_between_the_species_is_no_species(self, shape):
        made = shape({"wide.csv": "Date,Array,SPBO,SCCO,Total\n5/5/2023,A1,1,2,3\n"}, WIDE)
        assert made.rows("capture", "verbatimIdentification") == [("SPBO",), ("SCCO",)]
        assert made.findings("total-among-the-species")["column"].tolist() == ["E"]

    def test_counts_by_sex_stay_with_their_species(self, shape):
        made = shape({"wide.csv": 'Date,Array,SPBO\n5/5/2023,A1,"2 M, 1 F"\n'}, WIDE)
        assert made.rows("capture", "verbatimIdentification", "individualCount") == [("SPBO", "2 M, 1 F")]

    def test_a_log_row_with_species_keeps_what_was_done(self, shape):
        table = (
            WIDE.replace('holds = "capture"', 'holds = "trap_log"')
            .replace("Notes", 'What = "action", Air = "air_temperature", Notes')
            .replace("wide", "log")
        )
        made = shape(
            {"log.csv": "Date,Array,What,Air,SPBO\n5/4/2023,A1,opened,70,\n5/5/2023,A1,checked,71,2\n"}, table
        )
        assert made.rows("trap_log", "action", "air_temperature") == [("opened", "70"), ("checked", "71")]
        assert made.rows("capture", "verbatimIdentification", "individualCount") == [("SPBO", "2")]
        assert "air_temperature" not in made.records.tidy["capture"].text

    def test_a_search_with_species_is_a_search(self, shape):
        table = WIDE.replace('holds = "capture"', 'holds = "search"')
        made = shape({"wide.csv": "Date,Array,SPBO\n5/5/2023,A1,2\n"}, table)
        assert made.rows("search", "place") == [("A1",)]
        assert made.rows("capture", "eventType") == [("coverSearch",)]
        assert "trap_log" not in made.records.tidy

    def test_counts_do_not_go_to_the_remarks_as_unmapped_cells(self, shape):
        made = shape({"wide.csv": "Date,Array,SPBO\n5/5/2023,A1,2\n"}, WIDE + 'unmapped_columns = "remarks"\n')
        assert made.rows("capture", "cell_remarks") == [("",)]


class TestCapturesInACell:
    """One trap check a row, its animals in words."""

    TABLE = LOG + 'columns = { Array = "place", What = "action", Date = "eventDate", Caught = "captures" }\n'

    def test_animals_become_captures_and_the_row_stays_a_check(self, shape):
        sheet = 'A1,checked,5/5/2023,"2 SPBO, THRA; F2 closed"\nA2,checked,5/5/2023,none\n'
        made = shape({"log.csv": "Array,What,Date,Caught\n" + sheet}, self.TABLE)
        assert made.rows("capture", "place", "verbatimIdentification", "individualCount", "eventType") == [
            ("A1", "SPBO", "2", "trapCheck"),
            ("A1", "THRA", "", "trapCheck"),
        ]
        assert made.rows("trap_log", "place", "action", "trap_state") == [
            ("A1", "checked", "F2 closed"),
            ("A2", "checked", ""),
        ]
        assert made.address("capture", 1, "verbatimIdentification") == "D2"

    def test_a_road_run_holds_its_animals_too(self, shape):
        table = self.TABLE.replace("trap_log", "road_run").replace('What = "action"', 'Run = "run"')
        made = shape({"log.csv": 'Array,Run,Date,Caught\nR1,7,5/5/2023,"THRA, 2 SPBO"\n'}, table)
        assert made.rows("capture", "run", "verbatimIdentification", "eventType") == [
            ("7", "THRA", "roadSurvey"),
            ("7", "SPBO", "roadSurvey"),
        ]


class TestFactsAboveTheTable:
    """A sheet an array or a night, with what holds for all rows in cells above, or in its name."""

    TABLE = """
[[table]]
name = "nights"
holds = "capture"
files = ["book.xlsx"]
columns = { Trap = "trap", Species = "verbatimIdentification" }
facts = { B1 = "eventDate", A2 = "recordedBy", "sheet name" = "place" }
fact_patterns = { A2 = "Observer: (.+)" }
"""

    def test_every_row_gets_the_facts_with_their_cells(self, shape, workbook):
        rows = [["Date", "5/5/2023"], ["Observer: Ada"], [], ["Trap", "Species"], ["F1", "SPBO"], ["F2", "THRA"]]
        made = shape({"book.xlsx": workbook({"A1": rows, "A2": rows})}, self.TABLE)
        assert made.rows("capture", "place", "eventDate", "recordedBy", "trap") == [
            (place, "5/5/2023", "Ada", trap) for place in ("A1", "A2") for trap in ("F1", "F2")
        ]
        assert made.address("capture", 0, "eventDate") == "B1"

    def test_a_fact_that_is_missing_is_told(self, shape, workbook):
        rows = [["Date"], ["Seen by Ada"], [], ["Trap", "Species"], ["F1", "SPBO"]]
        made = shape({"book.xlsx": workbook({"A1": rows})}, self.TABLE)
        assert sorted(made.findings("fact-cell-is-blank")["field"]) == ["eventDate", "recordedBy"]


class TestFillDown:
    """Blank cells repeat the value above only where the survey file says so."""

    def test_nothing_is_filled_unless_the_survey_file_says_so(self, shape):
        files = {"c.csv": "Date,Array,Species\n5/5/2023,A1,SPBO\n,,THRA\n"}
        table = CAPTURES.replace("*.csv", "c.csv")
        assert shape(files, table).rows("capture", "eventDate", "place")[1] == ("", "")
        made = shape(files, table + 'fill_down = ["eventDate"]\n')
        assert made.rows("capture", "eventDate", "place")[1] == ("5/5/2023", "")
        change = made.records.changes.iloc[0]
        assert (change["rule"], change["after"], change["tidy_row"]) == ("filled-down", "5/5/2023", 1)

    def test_a_struck_row_still_gives_its_date_to_the_rows_below(self, shape, workbook):
        rows = [
            ["Date", "Array", "Species"],
            ["5/5/2023", "A1", "SPBO"],
            ["5/6/2023", "A1", "THRA"],
            [None, "A1", "SCCO"],
        ]
        table = CAPTURES.replace("*.csv", "c.xlsx") + 'fill_down = ["eventDate"]\nstruck_rows = "set aside"\n'
        made = shape({"c.xlsx": workbook({"S": rows}, struck=(3,))}, table)
        assert made.rows("capture", "eventDate", "verbatimIdentification") == [
            ("5/5/2023", "SPBO"),
            ("5/6/2023", "SCCO"),
        ]


class TestLogs:
    """Intervals, sentences and rows for several arrays."""

    def test_an_interval_without_an_end_is_an_opening_and_not_a_check(self, shape):
        table = LOG + 'columns = { Array = "place", Opened = "eventDate", Closed = "end_date" }\n'
        made = shape({"log.csv": "Array,Opened,Closed\nA1,5/5/2023,5/9/2023\nA2,5/5/2023,\n"}, table)
        assert made.rows("trap_log", "place", "end_date", "action") == [
            ("A1", "5/9/2023", ""),
            ("A2", "", "opened"),
        ]
        assert made.records.changes["rule"].tolist() == ["interval-without-end"]

    @pytest.mark.parametrize(
        ("text", "arrays"),
        [
            ("all", ["A1", "A2", "A3"]),
            ("All arrays", ["A1", "A2", "A3"]),
            ("A1-A3", ["A1", "A2", "A3"]),
            ("A1 to 3", ["A1", "A2", "A3"]),
            ("A1, A3", ["A1", "A3"]),
            ("arrays A1 & A2", ["A1", "A2"]),
        ],
    )
    def test_a_row_for_several_arrays_becomes_one_for_each(self, shape, text, arrays):
        made = shape({"log.csv": f'Array,What,Date,Open\n"{text}",checked,5/5/2023,\n'}, PLAIN_LOG)
        assert [place for (place,) in made.rows("trap_log", "place")] == arrays
        assert made.records.changes["before"].tolist() == [text] * len(arrays)
        assert len(made.findings("log-row-for-several-arrays")) == 1

    @pytest.mark.parametrize("text", ["A1/A2", "A1-A9", "A1, B7", "R1, A1", "A1"])
    def test_what_is_not_understood_as_several_arrays_stays_as_typed(self, shape, text):
        made = shape({"log.csv": f'Array,What,Date,Open\n"{text}",checked,5/5/2023,\n'}, PLAIN_LOG)
        assert made.rows("trap_log", "place") == [(text,)]

    def test_a_number_on_a_row_for_several_arrays_is_asked_and_not_multiplied(self, shape):
        made = shape({"log.csv": "Array,What,Date,Open\nall,checked,5/5/2023,9\n"}, PLAIN_LOG)
        assert made.rows("trap_log", "traps_open") == [("",)] * 3
        assert len(made.findings("number-for-several-arrays")) == 1

    SENTENCES = LOG + 'columns = { Entry = "sentence", By = "recordedBy" }\n'

    @pytest.mark.parametrize(
        ("sentence", "rows"),
        [
            ("all arrays open 5-12 May", [(a, "", "5 May", "12 May") for a in ("A1", "A2", "A3")]),
            ("A2 open May 5-12, 2023", [("A2", "", "May 5, 2023", "May 12, 2023")]),
            ("A1-A2 opened 2023-05-05", [("A1", "opened", "2023-05-05", ""), ("A2", "opened", "2023-05-05", "")]),
            ("closed A3 on 16 May", [("A3", "closed", "16 May", "")]),
            ("A1 open from 5/5 to 5/12", [("A1", "", "5/5", "5/12")]),
            ("A1 opened 5 May; A1 closed 9 May", [("A1", "opened", "5 May", ""), ("A1", "closed", "9 May", "")]),
        ],
    )
    def test_a_sentence_becomes_rows_of_the_log(self, shape, sentence, rows):
        made = shape({"log.csv": f'Entry,By\n"{sentence}",Ada\n'}, self.SENTENCES)
        assert made.rows("trap_log", "place", "action", "eventDate", "end_date") == rows
        assert made.address("trap_log", 0, "eventDate") == "A2"

    @pytest.mark.parametrize(
        "sentence",
        ["rain all night", "A1 closed 5-12 May", "A7 opened 5 May", "A1 opened and closed 5 May", "A1 open"],
    )
    def test_a_sentence_with_no_reading_or_two_is_told_and_set_aside(self, shape, sentence):
        made = shape({"log.csv": f"Entry,By\n{sentence},Ada\nA1 opened 5 May,Ada\n"}, self.SENTENCES)
        assert made.findings("log-sentence-not-understood")["value"].tolist() == [sentence]
        assert made.outcome("log.csv", 2) == ("set aside", "its sentence could not be taken apart")
        example = made.findings("log-sentence-not-understood")["message"].iloc[0].split('"')[1]
        shown = shape({"log.csv": f"Entry,By\n{example},Ada\n"}, self.SENTENCES)
        assert shown.findings("log-sentence-not-understood").empty
        assert len(shown.rows("trap_log", "place", "eventDate", "end_date")) == 1


def test_a_table_of_which_no_row_gives_a_record_is_told(shape):
    made = shape({"c.csv": "Day,Animal\n5/5/2023,SPBO\n"}, CAPTURES.replace("*.csv", "c.csv"))
    assert made.findings("table-gives-no-rows")["value"].tolist() == ["captures"]


def test_cells_of_columns_that_feed_nothing_are_kept(shape):
    files = {"c.csv": "Date,Array,Species,Moon\n5/5/2023,A1,SPBO,full\n"}
    table = CAPTURES.replace("*.csv", "c.csv")
    left = shape(files, table).records.leftovers
    assert left[["row", "column", "header", "value"]].to_numpy().tolist() == [[2, "D", "Moon", "full"]]
    made = shape(files, table + 'unmapped_columns = "remarks"\n')
    assert made.rows("capture", "cell_remarks") == [("Moon: full",)]
