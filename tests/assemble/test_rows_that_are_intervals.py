"""A log in which every row runs from one visit to the next, with the animals of its end in one cell.

Animals are found when an interval ends; a row that begins when another ends goes on with the session. Midnights
between two dates are trap-nights by the convention named in the survey file; the rest is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import HEAD, SITES, SITES_TABLE, prepared

LOG = """
[[table]]
name = "log"
holds = "trap_log"
files = ["log.csv"]
columns = { Array = "place", From = "eventDate", Set = "eventTime", To = "end_date", Checked = "end_time", Catch = "captures" }
"""  # noqa: E501
HEADER = "Array,From,Set,To,Checked,Catch\n"
ROWS = HEADER + (
    "A1,2023-05-14,18:00,2023-05-15,08:00,ASSE\nA1,2023-05-15,08:00,2023-05-16,08:00,\"2 SPBO, 1 GAOL\"\n"
    "A1,2023-05-16,08:00,2023-05-18,08:00,THRA\nA1,2023-05-25,18:00,2023-05-26,08:00,SCCO\n"
)  # fmt: skip
FAULTS = {"array-opened-twice", "array-closed-twice", "session-never-closed", "checks-known-from-captures-only",
          "which-day-the-date-names", "capture-on-a-day-without-a-check"}  # fmt: skip


def test_rows_that_follow_on_each_other_are_one_session_with_their_animals_at_their_ends(tmp_path: Path) -> None:
    season = prepared(tmp_path, {"sites.csv": SITES, "log.csv": ROWS}, SITES_TABLE + LOG)
    tables = season.records.tables
    nights = tables["effort"].groupby("eventID")["trap_nights"].sum()
    assert nights.to_dict() == pytest.approx({
        "PT-2023-A1-c20230515-1": 12, "PT-2023-A1-c20230516-1": 12, "PT-2023-A1-c20230518-1": 24,
        "PT-2023-A1-c20230526-1": 12,
    })  # fmt: skip
    assert (tables["event"]["eventType"] == "trapSession").sum() == 2
    at = tables["occurrence"].set_index("verbatimIdentification")["eventID"].str.slice(-10, -2)
    assert at.to_dict() == {"ASSE": "20230515", "SPBO": "20230516", "GAOL": "20230516", "THRA": "20230518",
                            "SCCO": "20230526"}  # fmt: skip
    assert FAULTS.isdisjoint(season.findings["rule"])


def test_an_interval_over_the_night_in_which_clocks_go_back_has_an_hour_more(tmp_path: Path) -> None:
    """Clocks go back at 02:00 of 5 November 2023 (IANA zone America/Chicago)."""
    rows = HEADER + "A1,2023-11-03,08:00,2023-11-04,08:00,\nA1,2023-11-04,08:00,2023-11-05,08:00,ASSE\n"
    head = HEAD.replace("ends = 2023-09-30", "ends = 2023-11-30")
    made = prepared(tmp_path, {"sites.csv": SITES, "log.csv": rows}, SITES_TABLE + LOG, head).records.tables
    sums = made["effort"].groupby("eventID")[["trap_nights", "trap_hours"]].sum()
    assert sums["trap_nights"].tolist() == [12.0, 12.0]
    assert sums["trap_hours"].tolist() == pytest.approx([12 * 24, 12 * 25])


def test_the_habit_of_naming_evenings_moves_no_row_that_tells_both_its_days(tmp_path: Path) -> None:
    table = LOG + 'habits = { date_names = "evening" }\n'
    made = prepared(tmp_path, {"sites.csv": SITES, "log.csv": ROWS}, SITES_TABLE + table).records.tables
    assert made["effort"].groupby("eventID")["trap_nights"].sum().tolist() == [12.0, 12.0, 24.0, 12.0]
    at = made["occurrence"].set_index("verbatimIdentification")["eventID"].str.slice(-10, -2)
    assert at[["ASSE", "THRA", "SCCO"]].tolist() == ["20230515", "20230518", "20230526"]
