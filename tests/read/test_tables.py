"""Tables on sheets: headers by evidence, blocks, totals, notes, merged cells; every row accounted for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import pandas as pd
import pytest

from dwc_pipeline.core.raw import Cell, CellRange, RawSheet, RowRole
from dwc_pipeline.read.tables import SheetTables, TableOptions, find_tables

HEADER = ["Date", "Array", "Trap", "Species", "SVL"]
DAY = dt.date(2031, 6, 4)


def record(number: int, species: str = "PITU") -> list[Cell]:
    return [dt.date(2031, 6, 1 + number), "A3", f"F{number}", species, 50 + number]


RECORDS = [record(number) for number in range(1, 7)]


def tables_of(rows: Sequence[Sequence[Cell]], options: TableOptions = TableOptions(), **marks: object) -> SheetTables:  # noqa: B008
    found = find_tables(RawSheet("june.xlsx", "Array 3", rows, **marks), options)  # type: ignore[arg-type]
    filled = [n for n, row in enumerate(rows, 1) if any(str(cell).strip() for cell in row)]
    assert set(filled) <= set(found.roles.index), "every filled row has a role"
    return found


def role(found: SheetTables, row: int) -> str:
    return str(found.roles.at[row, "role"])


def rules(found: SheetTables) -> list[str]:
    return [rule for rule in found.findings["rule"] if rule != "header-found-by-evidence"]


class TestHeader:
    def test_a_plain_sheet(self):
        (table,) = tables_of([HEADER, *RECORDS]).tables
        assert table.headers == tuple(HEADER)
        assert table.header_rows == (1,)
        assert table.text.index.tolist() == [2, 3, 4, 5, 6, 7]
        assert table.text.loc[2].tolist() == ["2031-06-02", "A3", "F1", "PITU", "51"]
        assert table.stored.loc[2].to_dict() == {"A": "2031-06-02"}
        assert table.stored.columns.tolist() == ["A"]

    def test_the_reasons_are_given_in_words(self):
        found = tables_of([HEADER, *RECORDS])
        (finding,) = found.findings.to_dict("records")
        assert finding["rule"] == "header-found-by-evidence"
        assert "5 of 5 columns filled with distinct words" in found.tables[0].why
        assert "usual column names" in str(finding["message"])

    def test_titles_and_facts_above_are_kept_by_address(self):
        rows = [["Drift fence captures 2031"], ["Site:", "North pasture"], [], ["", "Observer: RT"], HEADER, *RECORDS]
        found = tables_of(rows)
        (table,) = found.tables
        assert table.header_rows == (5,)
        assert table.above == {
            "A1": "Drift fence captures 2031", "A2": "Site:", "B2": "North pasture", "B4": "Observer: RT",
        }  # fmt: skip
        assert role(found, 2) == RowRole.TITLE

    def test_labels_with_their_values_are_no_header(self):
        rows = [["Site", "North pasture"], ["Date", "6/4/31"], ["Observer", "R. Tennick"], [], HEADER, *RECORDS]
        assert [table.header_rows for table in tables_of(rows).tables] == [(5,)]

    def test_text_files_whose_cells_are_all_text(self):
        rows = [["site", "sp", "n"], ["A1", "toad", "1"], ["A2", "toad", "12"], ["A1", "skink", "3"]]
        (table,) = tables_of(rows).tables
        assert table.header_rows == (1,)

    def test_days_across_the_columns_are_a_header(self):
        days = [dt.date(2031, 6, number) for number in range(1, 6)]
        rows = [["Trap", *days], ["F1", "", "X", "1", "", ""], ["F2", "PITU", "", "", "", "1"]]
        (table,) = tables_of(rows).tables
        assert table.headers == ("Trap", "2031-06-01", "2031-06-02", "2031-06-03", "2031-06-04", "2031-06-05")
        assert len(table.text) == 2

    def test_trap_numbers_across_the_columns_are_a_header(self):
        rows = [
            ["Checked", 1, 2, 3, 4],
            [DAY, "O", "O", "C", "O"],
            [DAY, "O", "C", "C", "O"],
            [DAY, "O", "O", "O", "O"],
        ]
        (table,) = tables_of(rows).tables
        assert table.headers == ("Checked", "1", "2", "3", "4")

    def test_words_only_is_doubtful_and_asked(self):
        rows = [["Ann", "pitfall", "wet"], ["Bob", "funnel", "dry"], ["Cy", "box", "cold"]]
        assert "header-is-doubtful" in rules(tables_of(rows))

    def test_numbers_only_have_no_header_and_it_is_asked(self):
        found = tables_of([[1, 2, 3], [4, 5, 6]])
        assert found.tables[0].headers == ("A", "B", "C")
        assert len(found.tables[0].text) == 2
        assert rules(found) == ["no-header-found"]


class TestHeaderOfSeveralRows:
    def test_merged_headings_are_spread_and_joined(self):
        rows = [
            ["Date", "Array", "Trap", "Species", "Measurements", "", "Notes"],
            ["", "", "", "", "SVL", "Mass", ""],
            *[[*one, 3.5, ""] for one in RECORDS],
        ]
        merged = (CellRange(1, 5, 1, 6), *(CellRange(1, column, 2, column) for column in (1, 2, 3, 4, 7)))
        (table,) = tables_of(rows, merged=merged).tables
        assert table.header_rows == (1, 2)
        assert table.headers == ("Date", "Array", "Trap", "Species", "Measurements SVL", "Measurements Mass", "Notes")
        assert len(table.text) == 6

    def test_a_row_of_units_belongs_to_the_header(self):
        rows = [HEADER, ["", "", "", "", "(mm)"], *RECORDS]
        (table,) = tables_of(rows).tables
        assert table.headers[-1] == "SVL (mm)"
        assert table.text.index[0] == 3

    def test_headings_over_columns_of_one_name_tell_them_apart(self):
        rows = [
            ["Array", "June", "", "July", ""],
            ["", "adult", "juvenile", "adult", "juvenile"],
            *[["A1", 1, 2, 3, 4]] * 3,
        ]
        (table,) = tables_of(rows, merged=(CellRange(1, 2, 1, 3), CellRange(1, 4, 1, 5))).tables
        assert table.headers == ("Array", "June adult", "June juvenile", "July adult", "July juvenile")

    def test_a_title_merged_over_the_whole_table_is_no_header(self):
        rows = [["Array 3, June", "", "", "", ""], HEADER, *RECORDS]
        (table,) = tables_of(rows, merged=(CellRange(1, 1, 1, 5),)).tables
        assert table.header_rows == (2,)
        assert table.above == {"A1": "Array 3, June"}

    def test_names_divided_between_two_rows_are_joined(self):
        rows = [
            ["Date", "Array", "Morphology", "", ""],
            ["", "", "SVL", "Tail", "Mass"],
            *[[DAY, "A1", 50, 60, 7]] * 3,
        ]
        (table,) = tables_of(rows, merged=(CellRange(1, 3, 1, 5),)).tables
        assert table.headers == ("Date", "Array", "Morphology SVL", "Morphology Tail", "Morphology Mass")

    def test_three_rows(self):
        rows = [
            ["Capture", "", "", "Measure", ""],
            ["Date", "Array", "Trap", "SVL", "Mass"],
            ["d/m/y", "", "", "mm", "g"],
        ]
        rows += [[DAY, "A1", "F1", 50, 7]] * 2
        (table,) = tables_of(rows, merged=(CellRange(1, 1, 1, 3), CellRange(1, 4, 1, 5))).tables
        assert table.header_rows == (1, 2, 3)
        assert table.headers == (
            "Capture Date d/m/y", "Capture Array", "Capture Trap", "Measure SVL mm", "Measure Mass g",
        )  # fmt: skip


class TestBlocks:
    def test_tables_side_by_side_keep_their_own_titles(self):
        rows: list[list[Cell]] = [["Season 2031"], [], ["Species: PITU", "", "", "", "Species: CROT"]]
        rows += [["Date", "Trap", "Sex", "", "Date", "Trap", "Sex"]]
        rows += [[DAY, "F1", "M", "", DAY, "F2", "F"], [DAY, "F3", "M", "", "", "", ""]]
        found = tables_of(rows)
        left, right = found.tables
        assert left.text.columns.tolist() == ["A", "B", "C"]
        assert right.text.columns.tolist() == ["E", "F", "G"]
        assert left.above == {"A1": "Season 2031", "A3": "Species: PITU"}
        assert right.above == {"A1": "Season 2031", "E3": "Species: CROT"}
        assert (len(left.text), len(right.text)) == (2, 1)

    def test_names_repeated_without_a_blank_column_are_tables_side_by_side(self):
        rows = [["Date", "Trap", "n", "Date", "Trap", "n"], *[[DAY, "F1", 1, DAY, "F2", 2]] * 4]
        assert [table.text.columns.tolist() for table in tables_of(rows).tables] == [["A", "B", "C"], ["D", "E", "F"]]

    def test_headings_merged_over_repeated_names_are_titles(self):
        rows = [
            ["Array 1", "", "", "Array 2"],
            ["Trap", "Sp", "Sex"] * 2,
            *[["F1", "PITU", "M", "F2", "CROT", "F"]] * 3,
        ]
        left, right = tables_of(rows, merged=(CellRange(1, 1, 1, 3), CellRange(1, 4, 1, 6))).tables
        assert (left.above, right.above) == ({"A1": "Array 1"}, {"D1": "Array 2"})
        assert left.headers == right.headers == ("Trap", "Sp", "Sex")

    def test_a_remark_beside_the_header_is_no_column(self):
        rows = [[*HEADER, "", "typed by RT on 5 June"], *RECORDS]
        (table,) = tables_of(rows).tables
        assert table.headers == tuple(HEADER)
        assert table.above == {"G1": "typed by RT on 5 June"}

    def test_a_blank_column_within_a_table_divides_nothing(self):
        rows = [[*HEADER[:3], "", *HEADER[3:]], *[[*one[:3], "", *one[3:]] for one in RECORDS]]
        (table,) = tables_of(rows).tables
        assert table.headers == tuple(HEADER)
        assert table.text.columns.tolist() == ["A", "B", "C", "E", "F"]

    def test_a_list_of_codes_beside_the_table_is_its_own_table(self):
        codes = [["", "Code", "Meaning"], ["", "PITU", "bullsnake"], ["", "CROT", "rattlesnake"]]
        rows = [[*one, *(codes[place] if place < 3 else [])] for place, one in enumerate([HEADER, *RECORDS])]
        captures, legend = tables_of(rows).tables
        assert captures.headers == tuple(HEADER)
        assert legend.headers == ("Code", "Meaning")
        assert (len(captures.text), len(legend.text)) == (6, 2)

    def test_tables_one_under_the_other(self):
        rows = [["Array 1"], HEADER, *RECORDS, [], ["Array 2"], HEADER, *RECORDS[:2]]
        found = tables_of(rows)
        upper, lower = found.tables
        assert (upper.above, lower.above) == ({"A1": "Array 1"}, {"A10": "Array 2"})
        assert (len(upper.text), lower.text.index.tolist()) == (6, [12, 13])

    def test_tables_of_another_kind_one_under_the_other(self):
        rows = [HEADER, *RECORDS, [], ["Trap log"], ["Array", "Opened", "Closed"], ["A3", DAY, DAY], ["A4", DAY, DAY]]
        upper, lower = tables_of(rows).tables
        assert lower.headers == ("Array", "Opened", "Closed")
        assert lower.above == {"A9": "Trap log"}
        assert len(upper.text) == 6

    def test_another_title_and_header_without_a_blank_row(self):
        rows = [["Array 1"], HEADER, *RECORDS, ["Array 2"], HEADER, *RECORDS[:2]]
        upper, lower = tables_of(rows).tables
        assert (len(upper.text), len(lower.text), lower.above) == (6, 2, {"A9": "Array 2"})

    def test_another_header_right_below_the_records(self):
        rows = [["Date", "Trap", "Sp", "SVL"], [DAY, "F1", "PITU", 5], [DAY, "F2", "PITU", 5], HEADER, *RECORDS]
        upper, lower = tables_of(rows).tables
        assert upper.text.index.tolist() == [2, 3]
        assert lower.text.index.tolist() == [5, 6, 7, 8, 9, 10]

    def test_labels_and_values_by_turns_are_titles(self):
        rows = [["Observer", "RT", "Array", "A3"], ["Date", "6/4/31", "Temp", 21], HEADER, *RECORDS]
        (table,) = tables_of(rows).tables
        assert table.header_rows == (3,)
        assert table.above["D1"] == "A3"

    def test_blank_rows_within_a_table_divide_nothing(self):
        rows = [HEADER, *RECORDS[:2], [], *RECORDS[2:4], [], [], *RECORDS[4:]]
        (table,) = tables_of(rows).tables
        assert table.text.index.tolist() == [2, 3, 5, 6, 9, 10]

    def test_records_of_words_after_a_blank_row_are_no_header(self):
        words: list[list[Cell]] = [["A1", "pitfall", "toad"], ["A2", "funnel", "snake"]]
        rows = [["Array", "Trap type", "Species"], *words, [], ["A3", "box", "lizard"], ["A4", "cover", "skink"]]
        (table,) = tables_of(rows).tables
        assert len(table.text) == 4

    def test_a_header_again_at_a_page_break_is_set_aside(self):
        rows = [HEADER, *RECORDS[:3], [], ["Page 2 of 2"], HEADER, *RECORDS[3:]]
        found = tables_of(rows)
        (table,) = found.tables
        assert len(table.text) == 6
        assert role(found, 7) == RowRole.REPEATED_HEADER
        assert role(found, 6) == RowRole.NOTE

    def test_a_cell_far_below_is_left_out_and_named(self):
        found = tables_of([HEADER, *RECORDS, *[[]] * 400, ["", "", "x"]])
        assert role(found, 408) == RowRole.OUTSIDE
        assert "stray-cell-far-away" in rules(found)
        assert len(found.tables[0].text) == 6

    def test_remarks_beside_the_table_without_a_header_are_not_lost(self):
        rows = [HEADER, *[[*one, "", "escaped" if place == 2 else ""] for place, one in enumerate(RECORDS)]]
        (table,) = tables_of(rows).tables
        assert table.headers[-1] == ""
        assert table.text.loc[4, "G"] == "escaped"


class TestRowsThatAreNoRecords:
    def test_totals_and_averages_at_the_foot(self):
        found = tables_of([HEADER, *RECORDS, ["Total", "", "", "", 321], ["Mean SVL:", "", "", "", 53.5]])
        assert (role(found, 8), role(found, 9)) == (RowRole.TOTAL, RowRole.TOTAL)
        assert rules(found) == ["total-row-set-aside"] * 2
        assert len(found.tables[0].text) == 6

    def test_further_statistics_under_an_average(self):
        found = tables_of(
            [HEADER, *RECORDS, ["Mean", "", "", "", 53.5], ["SD", "", "", "", 1.9], ["n", "", "", "", 6]]
        )
        assert [role(found, row) for row in (8, 9, 10)] == [RowRole.TOTAL] * 3

    def test_totals_among_the_records(self):
        found = tables_of([HEADER, *RECORDS[:3], ["Subtotal", "", "", "", 3], *RECORDS[3:]])
        assert role(found, 5) == RowRole.TOTAL

    def test_a_record_that_begins_with_the_word_total_stays_a_record(self):
        found = tables_of([["Place", "Date", "Species"], ["Total Wreck Canyon", DAY, "PITU"], ["North", DAY, "CROT"]])
        assert role(found, 2) == RowRole.DATA

    def test_notes_below_and_sentences_between(self):
        rows = [
            HEADER,
            *RECORDS[:3],
            ["the array was closed by the flood of 5 June"],
            *RECORDS[3:],
            [],
            ["* recaptured"],
        ]
        found = tables_of(rows)
        assert (role(found, 5), role(found, 10)) == (RowRole.NOTE, RowRole.NOTE)
        assert found.findings.loc[found.findings["rule"] == "note-row-set-aside", "value"].tolist() == [
            "the array was closed by the flood of 5 June", "* recaptured",
        ]  # fmt: skip

    def test_a_row_with_only_a_trap_is_an_empty_check_not_a_note(self):
        rows = [HEADER, *RECORDS, ["", "", "F7", "", ""], ["", "", "F8", "", ""]]
        found = tables_of(rows)
        assert (role(found, 8), role(found, 9)) == (RowRole.DATA, RowRole.DATA)

    def test_a_long_remark_in_its_own_column_stays_a_record(self):
        remarks = "seen under the cover board near the tank"
        rows = [["Date", "Trap", "Remarks"], *[[DAY, "F1", remarks]] * 3, ["", "", remarks]]
        assert role(tables_of(rows), 5) == RowRole.DATA


class TestMergedCells:
    ROWS = (HEADER, [DAY, "A3", "F1", "PITU", 51], ["", "", "F2", "CROT", 52], ["", "", "F3", "BUWO", 53])
    MERGED = (CellRange(2, 1, 4, 1), CellRange(2, 2, 3, 2))

    def test_a_merged_value_holds_for_all_the_rows_it_covers(self):
        found = tables_of(self.ROWS, merged=self.MERGED)
        (table,) = found.tables
        assert table.text["A"].tolist() == ["2031-06-04"] * 3
        assert table.stored["A"].tolist() == ["2031-06-04"] * 3
        assert table.text["B"].tolist() == ["A3", "A3", ""]
        assert rules(found) == ["merged-cells-spread"] * 2

    def test_it_can_be_left_where_it_stands(self):
        (table,) = tables_of(self.ROWS, TableOptions(spread_merged=False), merged=self.MERGED).tables
        assert table.text["A"].tolist() == ["2031-06-04", "", ""]


class TestWhatTheSurveyFileSays:
    ROWS = (["old"], HEADER, *RECORDS, [], ["Array", "Opened"], ["A3", DAY])

    def test_header_rows(self):
        rows = [["June"], ["Trap", "Trap"], ["no", "type"], ["F1", "funnel"], ["F2", "pitfall"]]
        found = tables_of(rows, TableOptions(header_rows=(2, 3)))
        (table,) = found.tables
        assert table.headers == ("Trap no", "Trap type")
        assert table.text.index.tolist() == [4, 5]
        assert table.above == {"A1": "June"}
        assert rules(found) == []

    def test_no_header(self):
        (table,) = tables_of([["F1", 3], ["F2", 4]], TableOptions(header_rows=None)).tables
        assert (table.headers, table.header_rows, len(table.text)) == (("A", "B"), (), 2)

    def test_rows_and_columns(self):
        found = tables_of(self.ROWS, TableOptions(first_row=2, last_row=5, columns="A:C"))
        (table,) = found.tables
        assert table.headers == ("Date", "Array", "Trap")
        assert table.text.index.tolist() == [3, 4, 5]
        assert (role(found, 1), role(found, 8)) == (RowRole.OUTSIDE, RowRole.OUTSIDE)
        assert "survey file" in found.roles.at[8, "reason"]

    def test_one_of_several_tables(self):
        found = tables_of(self.ROWS, TableOptions(table_number=2))
        (table,) = found.tables
        assert (table.number, table.headers) == (2, ("Array", "Opened"))
        assert role(found, 3) == RowRole.OUTSIDE

    def test_other_words_for_totals(self):
        found = tables_of([HEADER, *RECORDS, ["Suma", "", "", "", 3]], TableOptions(total_words=("suma",)))
        assert role(found, 8) == RowRole.TOTAL


class TestText:
    def test_shown_texts_errors_and_invisible_characters(self):
        rows = [HEADER, [DAY, " A3\u00a0", 7.0, "", 51.5], [DAY, "A3", 8.0, "x\u200b", 52]]
        found = tables_of(rows, shown={(2, 3): "007"}, errors={(2, 4): "#N/A"})
        assert found.tables[0].text.loc[2].tolist() == ["2031-06-04", " A3\u00a0", "007", "#N/A", "51.5"]
        assert found.tables[0].text.loc[3, "D"] == "x\u200b"
        assert rules(found) == ["cell-holds-a-spreadsheet-error"]

    def test_truth_values_and_numbers_in_one_column_are_not_mixed_up(self):
        (table,) = tables_of([["Trap", "Open"], ["F1", True], ["F2", 1], ["F3", 0], ["F4", False]]).tables
        assert table.text["B"].tolist() == ["TRUE", "1", "0", "FALSE"]

    def test_an_error_in_the_last_row_alone_is_a_filled_row(self):
        found = tables_of([HEADER, *RECORDS], errors={(9, 5): "#REF!"})
        assert role(found, 9) == RowRole.DATA
        assert found.tables[0].text.loc[9, "E"] == "#REF!"

    def test_an_empty_sheet_has_no_tables(self):
        found = tables_of([])
        assert found.tables == ()
        assert isinstance(found.roles, pd.DataFrame)
        assert found.roles.columns.tolist() == ["role", "reason"]


class TestCellsThatTellMore:
    def test_a_struck_cell_is_asked_here_and_a_struck_row_where_it_is_set_aside(self):
        struck = frozenset({*((3, column) for column in range(1, 6)), (5, 4)})
        found = tables_of([HEADER, *RECORDS], struck=struck)
        assert sorted(rules(found)) == ["struck-cell"]

    def test_a_struck_row_beside_a_merged_date_is_a_struck_row(self):
        found = tables_of(
            TestMergedCells.ROWS, merged=TestMergedCells.MERGED, struck=frozenset({(3, 3), (3, 4), (3, 5)})
        )
        assert "struck-cell" not in rules(found)

    def test_one_colour_is_one_question(self):
        fills = {**{(row, column): "FFFF00" for row in (3, 6) for column in range(1, 6)}, (4, 5): "C0C0C0"}
        found = tables_of([HEADER, *RECORDS], fills=fills)
        coloured = found.findings[found.findings["rule"].str.startswith("coloured")]
        assert coloured[["rule", "row", "column"]].values.tolist() == [
            ["coloured-row", 3, ""], ["coloured-cell", 4, "E"], ["coloured-row", 6, ""],
        ]  # fmt: skip
        assert coloured["cause"].nunique() == 2

    @pytest.mark.parametrize("rows", [range(1, 8), range(2, 8, 2), range(2, 8)])
    def test_headers_stripes_and_whole_columns_are_decoration(self, rows):
        fills = {(row, column): "DDEBF7" for row in rows for column in range(1, 6)}
        assert rules(tables_of([HEADER, *RECORDS], fills=fills)) == []

    def test_comments_hidden_rows_columns_and_sheets_are_told(self):
        found = tables_of(
            [HEADER, *RECORDS], comments={(3, 4): "not sure"}, hidden_rows=frozenset({3, 4, 6}),
            hidden_columns=frozenset({2, 9}), is_hidden=True, uncomputed=frozenset({(4, 6)}),
            facts={"partly struck D5": "PITU [CROT]", "formula result zero E7": "left"},
        )  # fmt: skip
        messages = dict(zip(found.findings["rule"], found.findings["message"], strict=True))
        assert messages["hidden-rows-read"] == "Hidden rows were read: 3-4, 6."
        assert messages["hidden-columns-read"] == "Hidden columns were read: B."
        assert messages["cell-comment"].endswith("not sure")
        assert {"sheet-hidden", "formula-without-a-value", "partly-struck-text"} < set(messages)
        assert "formula-result-may-be-uncalculated" in messages


def test_headers_that_the_survey_file_names_are_the_header_whatever_the_rows_look_like() -> None:
    """Short headers over text cells: nothing but the survey file tells them from the records."""
    rows = [["Day", "Clock", "Fence", "Tr", "Spp", "No."]]
    rows += [[f"June {day}, 2024", "", "sand 1", "P1", "SPBO", ""] for day in range(10, 28)]
    rows[5] = ["June 14, 2024", "", "Sand 05", "", "none", ""]
    named = ("Day", "Clock", "Fence", "Tr", "Spp", "No.")
    found = find_tables(RawSheet("june.csv", "", rows), TableOptions(named=named))  # type: ignore[arg-type]
    assert [table.header_rows for table in found.tables] == [(1,)]
    assert "header-is-doubtful" not in set(found.findings["rule"])
