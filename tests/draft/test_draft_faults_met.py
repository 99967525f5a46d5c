"""Drafts of sheets on which a draft once went wrong: legends, traps a row, dates, numbers, weather, yes or no."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import openpyxl
import pytest

from dwc_pipeline.draft.column import Column
from dwc_pipeline.draft.proposal import Draft, TableProposal
from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.draft.short_years import years_of_short_dates
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.draft.yes_no_columns import meanings_of_yes
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import SurveyFile, read_survey_file

TODAY = dt.date(2026, 11, 25)
CHECKLIST = (
    "scientificName,taxonRank,family,vernacularName,fieldCodes\n"
    "Sceloporus undulatus,species,Phrynosomatidae,Fence Lizard,SCUN\n"
    "Anaxyrus fowleri,species,Bufonidae,Fowler's Toad,ANFO\n"
    "Coluber constrictor,species,Colubridae,Racer,COCO\n"
)
LOG = [
    ["Date", "Time", "Array", "Action"],
    [dt.date(2024, 6, 4), "16:00", "A1", "opened"],
    [dt.date(2024, 6, 5), "08:00", "A1", "checked"],
    [dt.date(2024, 6, 6), "08:00", "A1", "closed"],
]
CAPTURES = [
    ["Date", "Array", "Trap", "Species", "Sex"],
    [dt.date(2024, 6, 5), "A1", "F1", "SCUN", "M"],
    [dt.date(2024, 6, 5), "A1", "F2", "ANFO", "F"],
    [dt.date(2024, 6, 5), "A1", "F1", "COCO", "F"],
]


def drafted(
    folder: Path,
    sheets: dict[str, list[list[object]]] | None = None,
    merged: dict[str, tuple[str, ...]] | None = None,
    **files: str,
) -> Draft:
    """A draft of a workbook with these sheets and merged cells, of files of text, and of a checklist."""
    if sheets:
        book = openpyxl.Workbook()
        book.remove(book.active)
        for name, rows in sheets.items():
            sheet = book.create_sheet(name)
            for row in rows:
                sheet.append(row)
            for cells in (merged or {}).get(name, ()):
                sheet.merge_cells(cells)
        book.save(folder / "book.xlsx")
    for name, text in {"checklist": CHECKLIST, **files}.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return draft_survey([folder], folder / "survey.toml", TODAY)


def document(draft: Draft) -> dict[str, object]:
    read = tomllib.loads(draft_toml(draft))
    SurveyFile(**read)
    return read


def table_of(draft: Draft, holds: str) -> TableProposal:
    return next(table for table in draft.tables if table.holds == holds)


def fields(table: TableProposal) -> dict[str, str]:
    return {column.header: column.field for column in table.columns if column.is_placed}


def setting(table: TableProposal, key: str) -> object:
    return next(one for one in table.settings if one.key == key)


class TestDates:
    def test_days_after_the_12th_tell_the_order_of_dates_with_short_years(self, tmp_path):
        days = ["04/06/24", "05/06/24", "06/06/24", "13/06/24", "14/06/24"]
        rows = "".join(f"{day},E1,C1,SCUN,M\n" for day in days)
        draft = drafted(tmp_path, capturas=f"Fecha,Sitio,Trampa,Especie,Sexo\n{rows}")
        order = setting(draft.tables[0], "date_order")
        assert (order.value, order.active) == ("day-first", True)
        assert "13/06/24" in order.note
        survey = document(draft)["survey"]
        assert (survey["starts"], survey["ends"]) == (dt.date(2024, 6, 4), dt.date(2024, 6, 14))

    def test_dates_with_two_readings_and_short_years_stay_asked_within_their_year(self, tmp_path):
        rows = "".join(f"0{day}/06/24,E1,C1,SCUN,M\n" for day in (4, 9, 5, 8))
        draft = drafted(tmp_path, capturas=f"Fecha,Sitio,Trampa,Especie,Sexo\n{rows}")
        order = setting(draft.tables[0], "date_order")
        assert not order.active
        assert "no date has a day after the 12th" in order.note
        assert document(draft)["survey"]["starts"].year == 2024

    @pytest.mark.parametrize(
        ("texts", "years"),
        [
            (("04/06/24", "05/06/24", "13/06/24"), (2024, 2024)),
            (("24-06-04", "24-06-05", "24-06-13"), (2024, 2024)),
            (("5/12/24", "5/13/24", "5/14/24"), (2024, 2024)),  # May throughout: month and year both stand still
            (("28/12/98", "30/12/98", "2/1/99", "4/1/99", "5/1/99", "6/1/99"), (1998, 1999)),
            (("04/06/24", "13/06/24"), None),  # too few to tell
            (("04/06/21", "05/06/22", "06/06/23"), None),
            (("04/06/2024", "05/06/2024", "13/06/2024"), None),
        ],
    )
    def test_the_number_that_hardly_changes_is_the_year(self, texts, years):
        assert years_of_short_dates(texts, TODAY) == years

    def test_a_season_within_one_month_is_no_century_long(self, tmp_path):
        rows = "".join(f"5/{day}/24,A1,F1,SCUN,M\n" for day in (12, 13, 14))
        draft = drafted(tmp_path, captures=f"Date,Array,Trap,Species,Sex\n{rows}")
        survey = document(draft)["survey"]
        assert (survey["starts"], survey["ends"]) == (dt.date(2024, 5, 12), dt.date(2024, 5, 14))

    def test_date_cells_of_a_log_not_understood_are_dates_of_the_season(self, tmp_path):
        said = ["all shut for now", "went round, all fine", "F2 at A1 under water"]
        log = [["Date", "What we did"], *([dt.date(2024, 6, 4 + n), text] for n, text in enumerate(said))]
        survey = document(drafted(tmp_path, {"Log": log}))["survey"]
        assert (survey["starts"], survey["ends"]) == (dt.date(2024, 6, 4), dt.date(2024, 6, 6))

    def test_a_title_tells_the_year_where_no_date_can_be_read(self, tmp_path):
        grid = [["Week of 3 June 2024"], ["Trap", "A1", "A2"], ["F1", "SCUN", "-"], ["F2", "-", "X"]]
        survey = document(drafted(tmp_path, {"Wk 1": grid}))["survey"]
        assert survey["starts"] == dt.date(2024, 1, 1)


class TestListsBesideTheRecords:
    LEGEND = (
        ("Code", "Meaning"), ("SCUN", "Sceloporus undulatus"), ("ANFO", "Anaxyrus fowleri"), ("-", "checked, empty"),
        ("X", "trap flooded"), ("C", "closed"), ("(R)", "recapture"),
    )  # fmt: skip

    def test_a_legend_is_set_aside_with_its_reason(self, tmp_path):
        draft = drafted(tmp_path, {"Captures": CAPTURES, "Legend": [list(row) for row in self.LEGEND]})
        assert [table.holds for table in draft.tables] == ["capture"]
        assert 'sheet "Legend"' in draft.not_placed[0]
        assert "no records" in draft.not_placed[0]
        assert document(draft)["table"][0]["skip_sheets"] == ["Legend"]

    def test_a_legend_on_the_sheet_of_the_records_does_not_hide_them(self, tmp_path):
        beside = [[*row, None, None, *code] for row, code in zip(CAPTURES, self.LEGEND[:4], strict=True)]
        draft = drafted(tmp_path, {"Captures": beside})
        assert "skip_sheets" not in document(draft)["table"][0]

    def test_a_site_list_with_code_and_description_is_no_legend(self, tmp_path):
        sites = [
            ["Code", "Description", "Lat", "Lon"],
            ["A1", "north slope", 36.75, -99.61],
            ["A2", "pond", 36.74, -99.62],
        ]
        draft = drafted(tmp_path, {"Sites": sites, "Captures": CAPTURES})
        assert {table.holds for table in draft.tables} == {"place", "capture"}

    @pytest.mark.parametrize("sheet", ["Traps", "Log of traps", "Arrays"])
    def test_one_row_a_trap_is_a_site_list_with_its_traps(self, tmp_path, sheet):
        traps = [
            ["Array", "Trap", "Type"],
            *([array, trap, "funnel"] for array in ("A1", "A2") for trap in ("F1", "F2")),
        ]
        draft = drafted(tmp_path, {sheet: traps, "Log 2024": LOG})
        assert fields(table_of(draft, "place")) == {"Array": "place", "Trap": "traps"}
        assert [table["holds"] for table in document(draft)["table"]] == ["place", "trap_log"]
        write_draft(draft)
        place = prepare(read_survey_file(draft.path), TODAY).tables["place"]
        assert place["place"].tolist() == ["A1", "A2"]

    def test_types_of_traps_that_no_label_tells_stay_open(self, tmp_path):
        traps = [["Array", "Trap", "Type"], ["A1", "T1", "funnel"], ["A1", "T2", "box"], ["A2", "T1", "box"]]
        draft = drafted(tmp_path, {"Traps": traps, "Log 2024": LOG})
        assert '# "Type" = ""' in draft_toml(draft)

    def test_a_capture_sheet_in_which_no_trap_comes_twice_is_no_site_list(self, tmp_path):
        draft = drafted(tmp_path, {"Captures": CAPTURES[:3]})
        assert [table.holds for table in draft.tables] == ["capture"]


class TestWorkbooks:
    def test_titles_merged_headers_and_a_log_of_intervals_are_placed_and_run(self, tmp_path):
        animals = [
            ["Long Pond fence study"], ["Spring 2023"], [],
            ["When", None, "Where", None, "Animal", None, "Measurements", None, "Released?"],
            ["Date", "Time", "Fence", "Trap no.", "Species", "Sex", "SVL (mm)", "Wt (g)", None],
            *([dt.date(2023, 5, 3 + n), "7:30", "N1", 1 + n, "SCUN", "M", 50 + n, 6 + n / 4, "Y"] for n in range(8)),
        ]  # fmt: skip
        checks = [
            ["Trap checks, spring 2023"], [],
            ["Fence", "Opened", None, "Closed", None, "Low (F)"],
            [None, "Date", "Time", "Date", "Time", None],
            *(["N1", dt.date(2023, 5, 2 + n), "18:00", dt.date(2023, 5, 4 + n), "09:00", 50 + n] for n in (0, 3)),
        ]  # fmt: skip
        merged = {"Animals": ("A4:B4", "C4:D4", "E4:F4", "G4:H4", "I4:I5"), "Checks": ("B3:C3", "D3:E3")}
        draft = drafted(tmp_path, {"Animals": animals, "Checks": checks}, merged)
        assert all(column.is_placed for column in draft.columns)
        assert fields(table_of(draft, "trap_log"))["Closed Date"] == "end_date"
        write_draft(draft)
        findings = prepare(read_survey_file(draft.path), TODAY).findings
        days = findings[findings["rule"] == "number-of-traps-unknown"]
        assert set(days["sheet"]) <= {"Animals", "Checks"}

    def test_the_place_of_each_sheet_stands_in_its_name_alone(self, tmp_path):
        def sheet(first: int) -> list[list[object]]:
            rows = [[f"5/{first + n}/24", "F1", "SCUN", 45 + n] for n in range(4)]
            return [["Date", "Trap", "Sp", "SVL (mm)"], *rows]

        sites = [["Array", "Lat", "Long", "Traps"], ["N1", 36.75, -99.61, "F1-F4"], ["S1", 36.74, -99.62, "F1-F4"]]
        draft = drafted(tmp_path, {"Array N1": sheet(12), "Array S1": sheet(14), "Sites": sites})
        table = next(table for table in document(draft)["table"] if table["holds"] == "capture")
        assert table["facts"] == {"sheet name": "place"}
        write_draft(draft)
        occurrences = prepare(read_survey_file(draft.path), TODAY).tables["occurrence"]
        assert set(occurrences["eventID"].str.split("-").str[2]) == {"N1", "S1"}

    def test_a_text_with_semicolons_and_decimal_commas_is_placed(self, tmp_path):
        lines = [
            [
                f"{n}",
                f"{2 + n:02}.05.23",
                f"6h1{n}",
                "P1",
                f"B{n}",
                "Racer",
                f"{n % 2 + 1}",
                f"{5 + n / 10:.1f}",
                f"{8 + n / 4}",
                "AB",
            ]
            for n in range(1, 9)
        ]
        rows = "".join(";".join([*line[:7], *(cell.replace(".", ",") for cell in line[7:])]) + "\n" for line in lines)
        text = f"No.;Day of check;Hour;Plot;Pitfall;Taxon;n;SVL [cm];Weight [g];Who\n{rows}"
        draft = drafted(tmp_path, fallen=text)
        assert fields(draft.tables[0]) == {
            "No.": "recordNumber", "Day of check": "eventDate", "Hour": "eventTime", "Plot": "place",
            "Pitfall": "trap", "Taxon": "verbatimIdentification", "n": "individualCount",
            "SVL [cm]": "snout_vent_length", "Weight [g]": "body_mass", "Who": "recordedBy",
        }  # fmt: skip


class TestColumns:
    @pytest.mark.parametrize(
        ("header", "cells", "field"),
        [
            ("No.", ["1", "2", "3", "4", "5", "6"], "recordNumber"),
            ("#", ["JQ-01", "JQ-02", "JQ-03", "JQ-04", "JQ-05", "JQ-06"], "recordNumber"),
            ("Núm.", ["1", "1", "2", "dos", "1", "1"], "individualCount"),
            ("No.", ["one", "two", "many", "few", "pair", "three"], ""),
            ("#", ["5", "2", "9", "1", "7", "3"], ""),
        ],
    )
    def test_a_record_number_hardly_repeats_and_mostly_rises(self, tmp_path, header, cells, field):
        rows = "".join(f"2024-06-0{n},A1,F1,SCUN,{cell}\n" for n, cell in enumerate(cells, start=1))
        draft = drafted(tmp_path, captures=f"Date,Array,Trap,Species,{header}\n{rows}")
        assert fields(draft.tables[0]).get(header, "") == field

    def test_released_yes_or_no_is_a_fate_and_no_is_asked(self, tmp_path):
        rows = "".join(f"2024-06-0{n},A1,F1,SCUN,{said}\n" for n, said in enumerate("YYNY", start=1))
        draft = drafted(tmp_path, captures=f"Date,Array,Trap,Species,Released?\n{rows}")
        assert fields(draft.tables[0])["Released?"] == "fate"
        assert document(draft)["table"][0]["words"] == {"fate": {"Y": "released at capture"}}
        assert '# "N" = ""' in draft_toml(draft)
        write_draft(draft)
        made = prepare(read_survey_file(draft.path), TODAY)
        asked = made.findings[made.findings["rule"] == "word-not-in-list"]
        assert asked["value"].tolist() == ["N"]

    def test_a_fate_in_words_is_not_yes_or_no(self):
        told = Column("A", "Released?", {"Y": 2, "escaped": 1}, {}, 3, ("Y", "escaped"))
        assert meanings_of_yes(told, "fate") == {}

    @pytest.mark.parametrize("cells", [("N", "N"), ("1", "0")])
    def test_a_lone_n_and_numbers_are_no_answers(self, cells):
        assert meanings_of_yes(Column("A", "New", dict.fromkeys(cells, 1), {}, 2, cells), "capture_status") == {}

    @pytest.mark.parametrize(
        ("header", "meant"),
        [
            ("Recap?", {"Y": "recapture", "N": "new"}),
            ("New?", {"Y": "new", "N": "recapture"}),
            ("New/Recap", {}),  # asks two things
            ("Status", {}),
        ],
    )
    def test_the_header_says_what_yes_and_no_mean_of_a_recapture(self, header, meant):
        told = Column("A", header, {"Y": 2, "N": 1, "?": 1}, {}, 4, ("Y", "N", "?"))
        assert meanings_of_yes(told, "capture_status") == meant

    def test_weather_beside_columns_of_species_reaches_the_event(self, tmp_path):
        rows = "2024-06-04,A1,1,0,0,22.5,3\n2024-06-05,A1,0,0,2,24,0\n2024-06-06,A1,0,3,0,19.5,12\n"
        draft = drafted(tmp_path, wide=f"Date,Site,SCUN,ANFO,COCO,Air temp (C),Rain (mm)\n{rows}")
        assert fields(draft.tables[0])["Air temp (C)"] == "air_temperature"
        assert document(draft)["table"][0]["units"] == {"air_temperature": "°C", "rain": "mm"}
        write_draft(draft)
        weather = prepare(read_survey_file(draft.path), TODAY).tables["humboldt"]["reportedWeather"]
        assert any("22.5" in text for text in weather)

    def test_sheets_in_codes_and_in_names_have_entries_of_their_own(self, tmp_path):
        head = "Date,Array,Trap,Species\n"
        codes = head + "2024-06-04,A1,F1,SCUN\n2024-06-05,A1,F1,NA\n2024-06-06,A1,F1,COCO\n2024-06-07,A1,F1,SCUN\n"
        names = head + "2024-06-04,A1,F1,Fence Lizard\n2024-06-05,A1,F1,Racer\n2024-06-06,A1,F1,Fowler's Toad\n"
        draft = drafted(tmp_path, one=codes, two=names)
        assert [table["files"] for table in document(draft)["table"]] == [["one.csv"], ["two.csv"]]
        assert all(fields(table)["Species"] == "verbatimIdentification" for table in draft.tables)


WIDE = (
    "Date,Site,Board,SCUN,ANFO,COCO,PLFA,Other\n4/12/2024,BA,1,1,2,,1,\n4/12/2024,BA,2,,1,1,,1 mouse\n"
    "4/26/2024,BA,1,{first},,1,2,\n4/26/2024,BA,2,{second},1,,,\n"
)


@pytest.mark.parametrize(
    ("first", "second"), [("~5", "2?"), ("3+", ">10"), ("ca 4", "about 6"), ("1 juv", "2 M, 1 F"), ("2", "many?!")]
)
def test_a_species_column_with_vague_and_doubtful_counts_stays_one(tmp_path, first, second):
    checklist = CHECKLIST + "Plestiodon fasciatus,species,Scincidae,Five-lined Skink,PLFA\n"
    draft = drafted(tmp_path, boards=WIDE.format(first=first, second=f'"{second}"'), checklist=checklist)
    table = document(draft)["table"][0]
    assert table["layout"] == "species columns"
    assert "SCUN" not in table["columns"]  # "SCUN" = "" would leave its animals aside
    assert table["columns"]["Other"] == ""


def test_words_for_what_was_done_to_traps_are_actions_and_no_names_of_animals(tmp_path):
    log = "Date,Time,Array,What,Traps,Who\n" + "".join(
        f"2024-05-{day:02},{time},{array},{what},8,DV\n"
        for day, time, what in [(5, "16:00", "opened"), (9, "08:00", "closed"), (19, "16:00", "opened")]
        for array in ("A1", "A2")
    )
    table = table_of(drafted(tmp_path, log=log), "trap_log")
    assert fields(table)["What"] == "action"
    assert "log.csv" in table.files


def test_a_column_called_what_with_names_of_animals_still_holds_them(tmp_path):
    finds = "Date,Array,What,Sex\n2024-05-05,A1,SCUN,M\n2024-05-06,A1,ANFO,F\n2024-05-07,A1,COCO,F\n"
    assert fields(table_of(drafted(tmp_path, finds=finds), "capture"))["What"] == "verbatimIdentification"


@pytest.mark.parametrize(
    ("headers", "meant"),
    [
        ("From,Time set,To,Time checked", {"Time set": "eventTime", "Time checked": "end_time"}),
        ("From,Time,To,Time checked", {"Time": "eventTime", "Time checked": "end_time"}),
        ("Date opened,Time opened,Date closed,Time closed", {"Time opened": "eventTime", "Time closed": "end_time"}),
    ],
)
def test_on_an_interval_the_time_of_the_check_is_its_end(tmp_path, headers, meant):
    log = f"Array,{headers},TN\n" + "".join(
        f"N{array},2024-10-{day},18:{array}0,2024-10-{day + 1},08:{array}0,12\n"
        for day in (10, 11, 12)
        for array in (1, 2)
    )
    told = fields(table_of(drafted(tmp_path, log=log), "trap_log"))
    assert {header: told[header] for header in meant} == meant


def test_on_a_visit_the_time_of_the_check_is_that_of_the_visit(tmp_path):
    log = "Array,Date,Time checked,Action\nA1,2024-06-05,08:00,checked\nA1,2024-06-06,08:10,checked\n"
    assert fields(table_of(drafted(tmp_path, log=log), "trap_log"))["Time checked"] == "eventTime"


def test_a_grid_of_traps_that_opens_with_an_o_is_a_grid_and_no_search(tmp_path):
    head = "Date,Time,P1,P2,P3,Obs\n2024-06-02,17:00,o,o,o,DV\n"
    grid = head + '2024-06-03,07:00,0,2 ANFO,0,DV\n2024-06-04,07:00,"3 SCUN, 1 ANFO",0,COCO,DV\n'
    sites = "Array,Type,Lat,Lon,Datum,Traps\nPG,array,36.61,-99.71,WGS84,P1-P3\n"
    draft = drafted(tmp_path, sites=sites, pitfalls=grid)
    table = next(t for t in document(draft)["table"] if t["files"] == ["pitfalls.csv"])
    assert (table["holds"], table["layout"], table["grid_columns"]) == ("trap_log", "grid", "trap")
    assert '# place = "PG"' in draft_toml(draft)  # the only array: asked, never assumed
