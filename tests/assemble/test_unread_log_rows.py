"""Log rows that could not be read leave the effort after them unknown: never counted, never zero."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from small_survey import LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import Season

HEADER = "Array,Trap,What,Date,Time,State,Open\n"
OPENED = "A1,,opened,2023-05-14,18:30,,\n"
CHECKS = ["A1,,checked,2023-05-15,07:40,,\n", "A1,,checked,2023-05-16,07:25,,\n"]
CLOSED = "A1,,checked and closed,2023-05-17,07:30,,\n"


def season(folder: Path, *rows: str) -> Season:
    return prepared(folder, {"sites.csv": SITES, "log.csv": HEADER + "".join(rows)}, SITES_TABLE + LOG_TABLE)


def nights(season: Season) -> list[float]:
    """Trap-nights of the checks in order of time; nan where a part is unknown."""
    sums = season.records.tables["effort"].groupby("eventID")["trap_nights"]
    return list(sums.agg(lambda part: part.sum(skipna=False)))


def test_after_an_action_with_two_readings_the_effort_is_unknown(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECKS[0], CHECKS[1].replace("checked", "ckd + closed"), CLOSED)
    first, second, third = nights(made)
    assert (first, second) == (12.0, 12.0)
    assert math.isnan(third)
    assert "word-has-two-readings" in set(made.questions["rule"])


def test_a_blank_action_is_asked_where_the_sheet_has_a_column_for_it(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECKS[0], CHECKS[1].replace("checked", ""), CLOSED)
    first, second, third = nights(made)
    assert (first, second) == (12.0, 12.0)
    assert math.isnan(third)
    assert "log-row-without-an-action" in set(made.questions["rule"])


def test_a_trap_that_is_on_no_list_never_closes_the_whole_array(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECKS[0], "A1,F19,closed,2023-05-15,07:45,,\n", CHECKS[1], CLOSED)
    first, *later = nights(made)
    assert first == 12.0
    assert all(math.isnan(one) for one in later)
    assert "trap-not-in-place-list" in set(made.questions["rule"])


def test_only_the_trap_named_is_in_doubt(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECKS[0], "A1,F2,ckd + closed,2023-05-15,07:45,,\n", CHECKS[1], CLOSED)
    effort = made.records.tables["effort"]
    unknown = effort[effort["trap_nights"].isna()]
    assert set(unknown["trap_type"]) == {"funnel trap"}
    assert unknown["eventID"].nunique() == 2


def test_an_unread_state_at_the_opening_holds_for_the_session(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED.replace(",,\n", ",P2 wonky,\n"), *CHECKS, CLOSED)
    assert all(math.isnan(one) for one in nights(made))
    effort = made.records.tables["effort"]
    assert set(effort.loc[effort["trap_nights"].isna(), "trap_type"]) == {"pitfall trap"}


def test_an_unread_state_without_a_trap_leaves_the_whole_interval_unknown(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, CHECKS[0].replace(",,\n", ",wonky,\n"), CHECKS[1], CLOSED)
    first, *later = nights(made)
    assert math.isnan(first)
    assert later == [12.0, 12.0]
    assert made.records.tables["effort"]["trap_nights"].isna().sum() == 3


@pytest.mark.parametrize(
    "row", ["A1,,checked,2023-05-15,07:40,F2 wonky; P3 flooded,\n", "A1,F2,,2023-05-15,,wonky,\n"]
)
def test_only_the_trap_whose_state_is_not_read_is_unknown(tmp_path: Path, row: str) -> None:
    """The others count as they are; the total of the check is not known, and never short without a word."""
    rows = [row] if ",F2," not in row else [CHECKS[0], row]
    made = season(tmp_path, OPENED, *rows, CHECKS[1], CLOSED)
    first, *later = nights(made)
    assert math.isnan(first)
    assert later == [12.0, 12.0]
    lines = made.records.tables["effort"]
    unknown = lines[lines["trap_nights"].isna()]
    assert unknown["trap_type"].tolist() == ["funnel trap"]
    assert unknown["unknown"].str.contains(r"\(F2\); at least 7").all()
    pits = lines.loc[lines["trap_type"] == "pitfall trap", "trap_nights"].iloc[0]
    assert pits == (2.5 if "flooded" in row else 3.0)
    event = made.records.tables["event"].set_index("eventID")
    assert event.at[unknown["eventID"].iloc[0], "samplingEffort"].startswith("effort not known; at least 1")
    assert "trap-state-not-in-list" in set(made.questions["rule"])


def test_the_next_opening_ends_the_doubt(tmp_path: Path) -> None:
    again = ["A1,,opened,2023-06-01,18:00,,\n", "A1,,checked and closed,2023-06-02,07:30,,\n"]
    made = season(tmp_path, OPENED, CHECKS[0].replace("checked", "ckd + closed"), CLOSED, *again)
    first, second, third = nights(made)
    assert (first, third) == (12.0, 12.0)
    assert math.isnan(second)


def test_a_row_about_one_trap_speaks_of_that_trap_at_the_check_of_its_day(tmp_path: Path) -> None:
    """Half the interval for a trap found out of order: Nelson & Clark 1973, J. Mammal. 54:295."""
    made = season(tmp_path, OPENED, CHECKS[0], "A1,P3,,2023-05-16,,flooded,\n", CHECKS[1], CLOSED)
    assert nights(made) == pytest.approx([12.0, 11.5, 12.0])


def test_a_row_about_one_trap_without_a_date_is_told(tmp_path: Path) -> None:
    made = season(tmp_path, OPENED, *CHECKS, CLOSED, "A1,F2,closed,31 June 2023,,,\n")
    assert "log-row-without-place-or-date" in set(made.findings["rule"])


COUNTS = """
[[table]]
name = "counts"
holds = "capture"
layout = "species columns"
files = ["counts.csv"]
columns = { Day = "eventDate", Fence = "place" }
constants = { eventType = "trapCheck" }
"""


def test_a_line_of_counts_is_the_visit_that_the_log_tells_of(tmp_path: Path) -> None:
    """An untimed line on the day of a timed closing is no check of a closed array, and no second visit."""
    counts = "Day,Fence,ASSE,THRA\n2023-05-15,A1,2,0\n2023-05-16,A1,0,0\n2023-05-17,A1,0,1\n"
    log = HEADER + OPENED + "".join(CHECKS) + "A1,,closed,2023-05-17,07:30,,\n"
    files = {"sites.csv": SITES, "log.csv": log, "counts.csv": counts}
    made = prepared(tmp_path, files, SITES_TABLE + LOG_TABLE + COUNTS)
    assert nights(made) == [12.0, 12.0, 12.0]
    assert "check-of-a-closed-array" not in set(made.findings["rule"])
    assert made.records.tables["occurrence"]["individualCount"].tolist() == ["2", "1"]
