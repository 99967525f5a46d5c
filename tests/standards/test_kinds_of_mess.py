"""Every kind of mess counted in real field sheets has a test, or a named reason why it is asked or set aside.

Source of the kinds: a count over eighteen openly licensed data sets, in the folder `shared` beside the repository
(mess.md); the words here are our own, in the order of that list.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from small_survey import SITES, SITES_TABLE, prepared

from dwc_pipeline.core.verdict import Status
from dwc_pipeline.terms.vocabulary import judge_word, load_vocabulary

TESTS = Path(__file__).resolve().parents[1]
LIST = TESTS.parents[1] / "shared" / "mess.md"

#: section -> kind -> tests that cover it ("folder/file::test") or, after "no test:", why nothing can be read from it
NO_TEST = "no test: "
KINDS: dict[str, dict[str, tuple[str, ...]]] = {
    "traps and checks": {
        "code for a trap that did not run": ("normalise/test_traps::test_phrases_are_read",
                                             "reshape/test_cell_words::test_words_with_one_meaning_are_read"),
        "species code that says the check was empty": (
            "normalise/test_scientific_name::test_a_word_can_be_declared_to_mean_an_empty_check",
            "normalise/test_name_words::test_two_ways_to_say_that_nothing_was_caught_say_it_once"),
        "row of NA for an empty check": (
            "normalise/test_scientific_name::test_it_is_asked_unless_the_survey_file_says",),
        "zeros filled in for a visit that never was": (
            NO_TEST
            + "such a row looks like an empty check in every cell; only the log of visits tells, and a line of"
            + " zeros on a day without a check there is a visit of its own that the person sees in the tables",),
        "not recorded against zero": (
            "reshape/test_grids::test_a_zero_is_an_empty_check_and_codes_are_animals",
            "reshape/test_layouts::test_counts_are_captures_and_zeros_are_an_empty_check",
            "assemble/test_rows_that_are_nights::test_a_row_is_one_night_and_the_habit_says_which"),
        "blank for zero between species columns": (
            "reshape/test_layouts::test_a_line_without_any_count_is_asked_once_and_waits",
            "reshape/test_layouts::test_the_survey_file_can_say_that_blank_means_none"),
        "yes or no against the code": (
            NO_TEST
            + "the yes/no column feeds no field; it is listed as unmapped and its cells are kept beside the "
            + "tables (reshape/test_layouts::test_cells_of_columns_that_feed_nothing_are_kept)",),
        "some traps failed, told in a remark": (
            "reshape/test_cell_words::test_what_a_cell_says_of_traps_goes_to_the_log",
            "normalise/test_traps::test_phrases_are_read"),
        "part of the place left out, told in a cell comment": (
            "reshape/test_marked_rows::test_a_comment_goes_to_the_remarks_of_its_row",),
        "day without a search": (
            NO_TEST
            + "a row without start, end and animal is no search; it is set aside with the reason by "
            + "reshape/test_layouts::test_a_table_of_which_no_row_gives_a_record_is_told",),
        "day of opening not in the file": (
            "assemble/test_rows_that_are_nights::test_typed_trap_nights_need_no_opening_and_a_blank_one_is_unknown",
            "standards/test_kinds_of_mess::test_a_check_without_an_opening_has_unknown_effort"),
        "effort of several units in one row": (
            "reshape/test_layouts::test_a_number_on_a_row_for_several_arrays_is_asked_and_not_multiplied",),
        "animal lost, or only a sign of it": (
            "normalise/test_individual_count::test_what_is_no_whole_number_of_animals_is_asked",),
        "empty checks turned into animals by a later hand": (
            NO_TEST
            + "nothing in the later file differs from a true capture; compare OLD NEW names the change",),
    },
    "dates and times": {
        "several styles in one column": ("normalise/test_date_forms::test_one_day_in_many_hands_is_the_same_day",),
        "month or day first": ("normalise/test_event_date::test_a_date_with_two_readings_is_asked",
                               "draft/test_draft_shapes::test_dates_with_two_readings_leave_the_order_open"),
        "two digits of the year": (
            "normalise/test_date_habits::test_short_dates_of_a_column_show_whether_a_number_is_a_day_or_a_year",
            "normalise/test_event_date::test_the_columns_say_which_number_is_the_month"),
        "serial number of a day": (
            "normalise/test_event_date::test_day_numbers_of_the_1900_count_agree_with_published_ones",
            "read/test_xlsx_workbook::test_dates_that_count_from_1904_are_read_rightly"),
        "hidden or wrong year": (
            "normalise/test_typed_date::test_the_year_behind_a_short_format_is_asked_where_it_does_not_fit",
            "read/test_real_sheets::test_a_date_shown_without_its_year_keeps_the_stored_one"),
        "day of the week of trapping under DAY": (
            "draft/test_held_out_sheets::test_a_number_called_day_is_no_date_without_its_month",),
        "local date as midnight of UTC": (
            "normalise/test_date_forms::test_a_date_stored_as_midnight_utc_is_asked_because_it_may_be_a_day_early",),
        "published date a day early": (
            "normalise/test_date_forms::test_a_date_stored_as_midnight_utc_is_asked_because_it_may_be_a_day_early",),
        "date and time together, digits unknown": (
            "normalise/test_date_forms::test_one_moment_in_many_hands_is_the_same_moment",
            "normalise/test_event_date::test_a_word_in_place_of_a_date_is_unreadable_and_not_empty"),
        "several dates in a cell": ("normalise/test_date_forms::test_a_cell_with_two_readings_is_asked",),
        "date in words": ("normalise/test_date_forms::test_coarser_dates_stretches_and_weekdays",),
        "date filled down over other visits": (
            "reshape/test_layouts::test_nothing_is_filled_unless_the_survey_file_says_so",),
        "name that became a date": (
            "normalise/test_mark::test_the_code_is_offered_and_never_restored",),
        "clock of twelve hours without pm": (
            "normalise/test_event_time::test_a_column_with_am_and_pm_asks_where_they_are_missing",
            "normalise/test_event_time::test_a_time_with_two_readings_is_asked"),
        "midnight for no time": (
            "normalise/test_event_time::test_midnight_is_told_because_it_may_mean_no_time",),
        "word for a time": ("normalise/test_event_time::test_row_61_a_word_is_no_clock_time_and_only_a_note",),
    },
    "places": {
        "lost decimal point": (
            "normalise/test_position_spellings::test_a_slip_that_would_explain_the_place_makes_a_question_of_it",),
        "grid of a country, UTM": (
            "normalise/test_position_text::test_eastings_and_northings_as_people_write_them",
            "normalise/test_position_spellings::test_an_easting_and_northing_need_their_zone"),
        "degrees under easting": (
            "normalise/test_position_text::test_degrees_under_easting_and_northing_are_asked_about",
            "normalise/test_position_text::test_a_number_format_in_the_datum_cell_leaves_the_datum_of_the_survey"),
        "degrees, minutes and seconds in several hands": (
            "normalise/test_position_spellings::test_a_sound_cell_is_read_as_the_point",),
        "both coordinates in one cell": (
            "normalise/test_position_text::test_a_whole_position_in_the_latitude_cell_is_read",),
        "decimal against verbatim coordinate": (
            "normalise/test_position_text::test_two_places_are_a_question",),
        "point outside the survey": (
            "normalise/test_position_spellings::test_a_place_off_the_property_is_kept_and_told",),
        "one place in many spellings": (
            "normalise/test_places_and_people::test_one_place_in_any_usual_spelling",),
        "site against its area": (
            "draft/test_draft_shapes::test_a_site_code_that_repeats_is_no_code_of_places",),
        "kept back on purpose": (
            "normalise/test_position_text::test_latitude_and_longitude_cells_that_are_no_position",),
        "trap unknown, as 0 or NA": (
            "normalise/test_traps::test_no_trap_is_empty",
            "normalise/test_traps::test_a_trap_that_the_array_has_not_is_asked"),
    },
    "names and animals": {
        "species in the sheet name or over the table": (
            "draft/test_draft_realdata::test_each_table_gets_its_own_entry_with_the_species_or_plot_over_it",
            "reshape/test_layouts::test_every_row_gets_the_facts_with_their_cells"),
        "codes, common names and spellings mixed": (
            "normalise/test_scientific_name::test_every_name_of_the_handbook_comes_out_as_listed",),
        "misspelt code list": (
            "normalise/test_scientific_name::test_a_repair_is_asked",),
        "codes that the list lacks": ("normalise/test_scientific_name::test_a_code_is_never_repaired",),
        "NA as a code": ("normalise/test_scientific_name::test_it_may_be_a_code_of_the_checklist",),
        "doubt and groups": ("normalise/test_scientific_name::test_doubt_is_always_told",),
        "blank name, not yet identified": (
            "standards/test_kinds_of_mess::test_a_row_without_a_name_is_asked_for_its_own_sheet",),
        "two facts in a cell": (
            "normalise/test_scientific_name::test_a_word_beside_the_name_fills_its_own_column",),
        "sex outside the list": ("standards/test_kinds_of_mess::test_a_word_of_another_column_is_no_sex",),
        "open number": ("normalise/test_individual_count::test_a_vague_count_is_kept_in_words_and_never_a_number",),
        "rows that are no individuals": (
            "assemble/test_several_animals::test_totals_are_those_of_the_sheet",
            "read/test_tables::test_totals_among_the_records"),
    },
    "marks and measures": {
        "mark that is no number": ("normalise/test_mark::test_a_tick_is_no_mark_for_it_would_join_all_animals",
                                   "normalise/test_mark::test_a_kind_of_mark_is_no_mark"),
        "lost zeros or digits": (
            "normalise/test_mark::test_eaten_leading_zeros_are_offered_where_the_column_settles_the_length",),
        "marks that change their meaning": (
            "assemble/test_identifiers::test_another_mark_in_another_capture_is_another_animal",),
        "recapture flag against the history": (
            "check/test_season_findings::test_a_recapture_names_both_captures",),
        "units mixed": (
            "normalise/test_measurement::test_a_unit_that_differs_from_its_column_is_used_and_flagged",),
        "impossible value": ("normalise/test_measurement::test_no_animal_weighs_nothing_or_less",),
        "unit or remark in the cell": ("normalise/test_measurement::test_a_remark_in_brackets_is_kept",),
        "unread digit": (
            "normalise/test_measurement::test_a_question_mark_at_a_digit_may_be_a_digit_and_is_asked",),
        "typed twice with a difference": (
            "normalise/test_mark::test_a_look_alike_of_a_known_mark_is_flagged_and_not_joined",
            "read/test_real_sheets::test_a_sheet_typed_twice_and_its_list_of_species"),
        "trail of an edit beside the value": (
            "reshape/test_marked_rows::test_a_row_with_one_struck_cell_is_a_row_with_a_question_about_the_cell",
            "read/test_xlsx_workbook::test_a_partly_struck_text_is_a_fact_and_no_struck_cell"),
        "row flagged as a repeat": (
            NO_TEST
            + "the flag is a column of words that feeds no field; check/rules/sheet/row_typed_twice.py carries"
            + " its own examples and finds the repeat itself",),
    },
    "sheets and files": {
        "title over a header of two merged rows": (
            "read/test_tables::test_merged_headings_are_spread_and_joined",
            "read/test_tables::test_a_title_merged_over_the_whole_table_is_no_header"),
        "blocks stacked or side by side": (
            "read/test_tables::test_tables_side_by_side_keep_their_own_titles",
            "read/test_tables::test_tables_one_under_the_other"),
        "totals among the data": ("read/test_tables::test_totals_among_the_records",),
        "species by visits": ("reshape/test_layouts::test_counts_are_captures_and_zeros_are_an_empty_check",),
        "comments and colours with a meaning": (
            "reshape/test_marked_rows::test_a_colour_is_explained_for_one_sheet_of_one_file",
            "read/test_real_sheets::test_grey_cells_are_asked"),
        "line ends and encodings": (
            "read/test_delimited::test_what_leaves_no_doubt_is_not_asked",
            "read/test_real_sheets::test_encodings_of_the_pup_counts"),
        "many ways to say missing": (
            "normalise/test_measurement::test_not_measured_is_empty",
            "reshape/test_cell_words::test_the_habits_of_the_sheet_decide"),
        "spaces at the end": ("read/test_delimited::test_spaces_and_invisible_characters_stay_as_typed",),
        "curly quotes, wrong degree signs": (
            "normalise/test_position_spellings::test_a_sound_cell_is_read_as_the_point",),
        "footnote letter at a number": (
            "normalise/test_individual_count::test_what_is_no_whole_number_of_animals_is_asked",),
        "values in another language": (
            "draft/test_held_out_sheets::test_columns_go_where_their_writers_meant_them",),
        "versions in file names": (
            NO_TEST
            + "which of two versions counts is a person's choice; both are read where the survey file names "
            + "both, and check/rules/animal/animal_typed_twice.py finds what they share",),
        "misspelt header, one name twice": (
            "draft/test_draft_shapes::test_columns_with_one_name_or_none_are_named_by_letter",),
    },
}  # fmt: skip
COVERED = [(kind, test) for kinds in KINDS.values() for kind, tests in kinds.items() for test in tests]


def test_every_kind_has_a_test_or_a_reason() -> None:
    assert all(tests and all(tests) for kinds in KINDS.values() for tests in kinds.values())


@pytest.mark.parametrize(("kind", "test"), [pair for pair in COVERED if not pair[1].startswith(NO_TEST)])
def test_the_test_that_covers_a_kind_is_there(kind: str, test: str) -> None:
    file, _, name = test.partition("::")
    assert re.search(rf"def {name}\b", (TESTS / f"{file}.py").read_text(encoding="utf-8")), kind


def test_no_kind_of_the_list_is_left_out() -> None:
    if not LIST.exists():
        pytest.skip("the folder shared is not beside the repository")
    sections = re.split(r"^##+ ", LIST.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]
    lines = [len(re.findall(r"^\| (?!kind|---)", section, flags=re.MULTILINE)) for section in sections]
    assert [len(kinds) for kinds in KINDS.values()] == lines


LOG_TABLE = (
    '[[table]]\nname = "log"\nholds = "trap_log"\nfiles = ["log.csv"]\nhabits = { date_names = "morning" }\n'
    'columns = { Array = "place", What = "action", Date = "eventDate" }\n'
)
CAPTURE_TABLE = (
    '[[table]]\nname = "{0}"\nholds = "capture"\nfiles = ["{0}.csv"]\nconstants = {{ eventType = "trapCheck" }}\n'
    'columns = {{ Date = "eventDate", Array = "place", Species = "verbatimIdentification" }}\n'
    'habits = {{ date_names = "morning" }}\n'
)


def test_a_check_without_an_opening_has_unknown_effort(tmp_path: Path) -> None:
    log = "Array,What,Date\nA1,checked,2023-05-15\nA1,checked,2023-05-16\n"
    season = prepared(tmp_path, {"sites.csv": SITES, "log.csv": log}, SITES_TABLE + LOG_TABLE)
    assert season.records.tables["effort"]["trap_nights"].isna().all()
    assert "check-of-a-closed-array" in season.findings["rule"].tolist()


def test_a_row_without_a_name_is_asked_for_its_own_sheet(tmp_path: Path) -> None:
    rows = "Date,Array,Species\n2023-05-15,A1,\n2023-05-16,A1,SCCO\n2023-05-17,A1,\n"
    tables = SITES_TABLE + CAPTURE_TABLE.format("one") + CAPTURE_TABLE.format("two")
    season = prepared(tmp_path, {"sites.csv": SITES, "one.csv": rows, "two.csv": rows}, tables)
    asked = season.questions[season.questions["rule"] == "row-without-an-animal"]
    assert asked["cells"].tolist() == [2, 2]


def test_a_word_of_another_column_is_no_sex() -> None:
    for word in ("SCCO", "14.5", "F1 flooded"):
        assert judge_word(word, load_vocabulary("sex")).status is Status.UNREADABLE
