"""What only formatting says: struck rows, colours, comments; each told once, and not asked again once answered."""

from __future__ import annotations

TABLE = """
[[table]]
name = "captures"
holds = "capture"
files = ["c.xlsx"]
columns = { Date = "eventDate", Array = "place", Species = "verbatimIdentification", Mass = "body_mass" }
"""
ROWS = [
    ["Date", "Array", "Species", "Mass"],
    *[[f"5/{day}/2023", "A1", "SPBO", 10 + day] for day in range(1, 10)],
]


class TestStruckRows:
    """A struck-through row waits for an answer, outside the tables."""

    def test_a_struck_row_is_one_question_and_waits(self, shape, workbook):
        made = shape({"c.xlsx": workbook({"S": ROWS}, struck=(4,))}, TABLE)
        asked = made.findings("row-struck-through")
        assert asked["row"].tolist() == [4]
        assert made.findings("struck-cell").empty
        assert made.outcome("c.xlsx", 4) == ("set aside", "struck through on the sheet, waiting for an answer")
        assert len(made.rows("capture", "place")) == 8

    def test_answers_keep_or_drop_the_row_and_end_the_question(self, shape, workbook):
        book = workbook({"S": ROWS}, struck=(4,))
        question = shape({"c.xlsx": book}, TABLE).question("row-struck-through")
        for answer, rows in (("as it is", 9), ("leave out", 8)):
            made = shape({"c.xlsx": book}, TABLE, {question: answer})
            assert len(made.rows("capture", "place")) == rows
            assert made.findings("row-struck-through").empty
            assert question in made.records.answered

    def test_the_answer_stays_with_the_row_when_rows_are_inserted(self, shape, workbook):
        question = shape({"c.xlsx": workbook({"S": ROWS}, struck=(4,))}, TABLE).question("row-struck-through")
        longer = [ROWS[0], ["5/20/2023", "A2", "THRA", 3], *ROWS[1:]]
        made = shape({"c.xlsx": workbook({"S": longer}, struck=(5,))}, TABLE, {question: "leave out"})
        assert made.outcome("c.xlsx", 5) == ("set aside", "struck through on the sheet")

    def test_the_survey_file_can_settle_all_struck_rows(self, shape, workbook):
        files = {"c.xlsx": workbook({"S": ROWS}, struck=(4, 6))}
        assert len(shape(files, TABLE + 'struck_rows = "keep"\n').rows("capture", "place")) == 9
        aside = shape(files, TABLE + 'struck_rows = "set aside"\n')
        assert len(aside.rows("capture", "place")) == 7
        assert aside.findings("row-struck-through").empty

    def test_a_row_with_one_struck_cell_is_a_row_with_a_question_about_the_cell(self, shape, workbook):
        book = workbook({"S": ROWS})
        from openpyxl.styles import Font

        book["S"]["D4"].font = Font(strike=True)
        made = shape({"c.xlsx": book}, TABLE)
        assert len(made.rows("capture", "place")) == 9
        assert made.findings("struck-cell")["row"].tolist() == [4]
        assert made.findings("row-struck-through").empty


class TestColours:
    """A colour on few cells is asked once, unless the survey file or an answer says what it means."""

    def test_an_unexplained_colour_is_one_question(self, shape, workbook):
        coloured = {"D3": "FFFF00", "D5": "FFFF00", **{f"{letter}7": "FFFF00" for letter in "ABCD"}}
        made = shape({"c.xlsx": workbook({"S": ROWS}, coloured=coloured)}, TABLE)
        assert made.findings("coloured-row").empty
        assert made.findings("coloured-cell")["cause"].nunique() == 1

    def test_a_colour_that_the_survey_file_explains_is_a_remark_and_no_question(self, shape, workbook):
        table = TABLE + 'colours = { FFFF00 = "scale not calibrated" }\n'
        made = shape({"c.xlsx": workbook({"S": ROWS}, coloured={"D3": "FFFF00"})}, table)
        assert made.findings("coloured-cell").empty
        assert made.rows("capture", "cell_remarks")[1] == ("D coloured: scale not calibrated",)
        assert made.rows("capture", "cell_remarks")[0] == ("",)

    def test_an_answer_gives_the_colour_its_meaning(self, shape, workbook):
        files = {"c.xlsx": workbook({"S": ROWS}, coloured={"D3": "FFFF00"})}
        question = shape(files, TABLE).question("coloured-cell")
        made = shape(files, TABLE, {question: "mass doubtful"})
        assert made.findings("coloured-cell").empty
        assert question in made.records.answered
        assert made.rows("capture", "cell_remarks")[1] == ("D coloured: mass doubtful",)
        silent = shape(files, TABLE, {question: "as it is"})
        assert silent.rows("capture", "cell_remarks")[1] == ("",)


class TestComments:
    """Cell comments go to the remarks of what the cell speaks of."""

    def test_a_comment_goes_to_the_remarks_of_its_row(self, shape, workbook):
        made = shape({"c.xlsx": workbook({"S": ROWS}, comments={"C3": "lost\nits tail"})}, TABLE)
        assert made.rows("capture", "cell_remarks")[1] == ("cell comment at C3: lost its tail",)

    def test_a_comment_in_a_grid_goes_to_the_animals_of_its_cell_only(self, shape, workbook):
        rows = [["Date", "A1", "A2"], ["5/5/2023", "SPBO", "THRA"], ["5/6/2023", "SPBO", "0"]]
        table = TABLE.replace('holds = "capture"', 'holds = "trap_log"\nlayout = "grid"\ngrid_columns = "place"')
        table = table.split("columns = { Date")[0] + 'columns = { Date = "eventDate" }\n'
        made = shape({"c.xlsx": workbook({"S": rows}, comments={"B2": "escaped"})}, table)
        assert made.rows("capture", "place", "cell_remarks") == [
            ("A1", "cell comment at B2: escaped"),
            ("A2", ""),
            ("A1", ""),
        ]


def test_a_colour_is_explained_for_one_sheet_of_one_file(shape, workbook):
    books = {name: workbook({"S": ROWS}, coloured={"D4": "FFFF00"}) for name in ("a.xlsx", "b.xlsx")}
    table = TABLE.replace('"c.xlsx"', '"a.xlsx", "b.xlsx"')
    asked = shape(books, table).findings("coloured-cell")
    assert asked["cause"].nunique() == 2
    question = shape(books, table).question("coloured-cell")
    made = shape(books, table, {question: "scale was not calibrated"})
    assert made.findings("coloured-cell")["file"].tolist() == ["b.xlsx"]
    said = [remark for (remark,) in made.rows("capture", "cell_remarks") if "calibrated" in remark]
    assert len(said) == 1
