"""One visit that two rows tell of, checks under the wrong day, traps turned twice: told, with both rows named."""

from __future__ import annotations

from pathlib import Path

from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import Season

HEADER = "Array,Trap,What,Date,Time,State,Open\n"
OPENED = "A1,,opened,2023-05-14,18:30,,\n"
CHECK = "A1,,checked,2023-05-15,07:40,,\n"
CLOSED = "A1,,checked and closed,2023-05-17,07:30,,\n"
SECOND_LOG = LOG_TABLE.replace('"log"', '"second log"').replace("log.csv", "second.csv")


def season(folder: Path, *rows: str, second: str = "") -> Season:
    files = {"sites.csv": SITES, "log.csv": HEADER + "".join(rows)}
    tables = SITES_TABLE + LOG_TABLE
    if second:
        files["second.csv"], tables = HEADER + second, tables + SECOND_LOG
    return prepared(folder, files, tables)


def nights(season: Season) -> list[float]:
    return list(season.records.tables["effort"].groupby("eventID")["trap_nights"].sum())


def messages(season: Season, rule: str) -> list[str]:
    return list(season.findings.loc[season.findings["rule"] == rule, "message"])


def test_two_logs_tell_of_one_visit_and_what_both_say_counts(tmp_path: Path) -> None:
    """The second log has no time; its trap was flooded (half: Nelson & Clark 1973, J. Mammal. 54:295)."""
    second = "A1,,checked,2023-05-15,,P3 flooded,\nA1,,checked,2023-05-16,,,\n"
    made = season(tmp_path, OPENED, CHECK, CLOSED, second=second)
    assert nights(made) == [11.5, 12.0, 12.0]
    told = made.findings[
        made.findings["file"].isin(["log.csv", "second.csv"]) & (made.findings["severity"] != "note")
    ]
    assert set(told["rule"]) <= {"which-day-the-date-names"}


def test_one_check_written_twice_is_one_visit_and_both_rows_are_named(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECK, CHECK.replace("07:40,,", "07:40,F1 sprung,"), CLOSED)
    assert nights(made) == [11.5, 24.0]
    (message,) = messages(made, "one-check-written-twice")
    assert "log.csv row 3" in message


def test_two_checks_of_one_sheet_and_day_are_asked(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECK, "A1,,checked,2023-05-15,,,\n", CLOSED)
    assert len(messages(made, "one-check-written-twice")) == 1


def test_a_trap_closed_twice_or_opened_while_open_is_told(tmp_path: Path) -> None:
    turns = ["A1,F2,closed,2023-05-15,07:45,,\n", "A1,F2,closed,2023-05-16,07:45,,\n"]
    made = season(tmp_path, OPENED, CHECK, *turns, "A1,P1,opened,2023-05-16,08:00,,\n", CLOSED)
    closed, opened = sorted(messages(made, "trap-turned-twice"))
    assert "F2 of A1 is closed though it was closed (log.csv row 4)" in closed
    assert "P1 of A1 is opened though it was open (log.csv row 2)" in opened


def test_a_trap_found_shut_may_be_opened_again(tmp_path: Path) -> None:
    found = CHECK.replace(",,\n", ',"F2 closed; P1 flooded",\n')
    again = "A1,F2,opened,2023-05-15,07:45,,\nA1,P1,opened,2023-05-15,07:45,,\n"
    shut = OPENED.replace(",,\n", ",F8 closed,\n")
    made = season(tmp_path, shut, found, again, "A1,F8,opened,2023-05-16,08:00,,\n", CLOSED)
    assert messages(made, "trap-turned-twice") == []


def test_a_check_after_midnight_under_the_day_before_is_told(tmp_path: Path) -> None:
    evening = "A1,,checked,2023-05-15,18:20,,\n"
    made = season(tmp_path, OPENED, CHECK, evening, "A1,,checked,2023-05-15,00:20,,\n", CLOSED)
    (message,) = messages(made, "check-under-the-day-before")
    assert "row 4" in message


def test_contradictions_of_the_log_name_the_row_they_contradict(tmp_path: Path) -> None:
    opened_again = "A1,,opened,2023-06-01,18:00,,\n"
    closed_twice = "A1,,closed,2023-05-19,09:00,,\n"
    made = season(tmp_path, OPENED, CHECK, CLOSED, closed_twice, "A1,,checked,2023-05-20,07:30,,\n", opened_again)
    assert "closed 2023-05-17: log.csv row 4" in messages(made, "array-closed-twice")[0]
    check = messages(made, "check-of-a-closed-array")[0]
    assert "closed 2023-05-19: log.csv row 5" in check
    assert "opened 2023-06-01: log.csv row 7" in check
    assert "its last row is log.csv row 7" in messages(made, "session-never-closed")[0]


def test_a_check_that_only_the_capture_sheet_tells_of_stands_beside_the_closing_of_its_day(tmp_path: Path) -> None:
    """Checked at 00:15, closed at 23:50 of the same day: two visits, one midnight."""
    log = HEADER + "A1,,opened,2023-05-16,20:45,,\nA1,,closed,2023-05-17,23:50,,\n"
    captures = "Array,Date,Time,Trap,Species\nA1,2023-05-17,00:15,,none\nA1,2023-05-17,23:50,,none\n"
    files = {"sites.csv": SITES, "log.csv": log, "captures.csv": captures}
    made = prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)
    assert nights(made) == [12.0, 0.0]


def test_a_trap_found_shut_in_another_session_does_not_excuse_its_opening(tmp_path: Path) -> None:
    found = CHECK.replace(",,\n", ",P1 flooded,\n")
    later = "A1,,opened,2023-06-14,18:30,,\nA1,P1,opened,2023-06-15,07:45,,\nA1,,closed,2023-06-16,07:30,,\n"
    (message,) = messages(season(tmp_path, OPENED, found, CLOSED, later), "trap-turned-twice")
    assert "P1 of A1 is opened though it was open" in message


def test_what_the_row_of_a_closing_says_of_traps_counts_for_the_check_of_that_visit(tmp_path: Path) -> None:
    closing = "A1,,checked,2023-05-17,07:30,F1 closed,\nA1,,closed,2023-05-17,07:30,P3 flooded; P2 closed,\n"
    assert nights(season(tmp_path, OPENED, CHECK, closing)) == [12.0, 21.0]


FLOODED_AT_CLOSING = "A1,,checked,2023-05-17,07:30,,\nA1,,closed,2023-05-17,07:34,F1 flooded; F2 closed,\n"


def test_a_closing_soon_after_the_check_is_part_of_it_and_its_trap_states_are_those_of_the_check(
    tmp_path: Path,
) -> None:
    """The trap found flooded counts half (Nelson & Clark 1973, J. Mammal. 54:295), not of 4 minutes."""
    made = season(tmp_path, OPENED, CHECK, FLOODED_AT_CLOSING)
    assert nights(made) == [12.0, 23.0]
    assert made.records.tables["effort_by_check"]["checks"].iloc[-1] == 2
    (last,) = made.records.tables["effort"].query("excluded != ''")["source_cells"]
    assert last == "from log.csv row 3 to log.csv row 4 and log.csv row 5"
    (note,) = made.records.changes.loc[made.records.changes["field"] == "trap_state", "note"]
    assert "is read as: F1 out of order; F2 closed. The effort is reckoned by it." in note


def test_no_minute_is_lost_between_the_check_and_its_closing(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECK, FLOODED_AT_CLOSING.replace("F1 flooded; F2 closed", ""))
    hours = made.records.tables["effort"]["trap_hours"].sum()
    assert abs(hours - 12 * (13 + 10 / 60 + 47 + 54 / 60)) < 1e-6


def test_a_trap_closed_between_the_check_and_the_closing_has_caught_till_then(tmp_path: Path) -> None:
    single = "A1,,checked,2023-05-17,07:30,,\nA1,F2,closed,2023-05-17,07:32,,\nA1,,closed,2023-05-17,07:34,,\n"
    made = season(tmp_path, OPENED, CHECK, single)
    assert nights(made) == [12.0, 24.0]
    assert (made.records.tables["effort"]["excluded"] == "").all()


def test_a_closing_hours_after_the_check_ends_an_interval_of_its_own(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECK, FLOODED_AT_CLOSING.replace("07:34", "17:30").replace("; F2 closed", ""))
    assert nights(made) == [12.0, 24.0, 0.0]
    assert made.records.tables["effort"]["excluded"].tolist()[-2] == "F1 F1 flooded"


def test_animals_of_a_check_stand_on_it_whether_timed_by_the_check_or_by_the_closing(tmp_path: Path) -> None:
    log = HEADER + OPENED + CHECK + "A1,,checked,2023-05-17,18:00,,\nA1,,closed,2023-05-17,18:50,,\n"
    captures = "Array,Date,Time,Trap,Species\nA1,2023-05-17,16:45,F1,SCCO\nA1,2023-05-17,18:50,F2,SCCO\n"
    files = {"sites.csv": SITES, "log.csv": log + CHECK.replace("15", "17"), "captures.csv": captures}
    made = prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)
    assert made.records.tables["occurrence"]["eventID"].nunique() == 1
