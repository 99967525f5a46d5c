"""The list of checks that a person adds up by hand against one page of the log."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, prepared
from worked_page import LOG

from dwc_pipeline.pipeline import Season
from dwc_pipeline.write.page.effort_part import by_check_tables

CAPTURES = "Array,Date,Time,Trap,Species,N\nA1,2023-05-15,07:40,F3,ASSE,1\nA1,2023-05-15,07:40,P1,GAOL,1\n"
CAPTURES += "A1,2023-05-16,07:25,F5,THRA,1\nA1,2023-05-16,07:25,F1,SCCO,1\nA1,2023-05-16,07:25,P3,SPBO,1\n"


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    folder: Path = tmp_path_factory.mktemp("page")
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    return prepared(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE)


def test_the_worked_page_of_the_log_adds_up_line_by_line(season: Season) -> None:
    """An array of 12 traps: B1 shut at 22:00 of the first evening, F2 all session, P3 found flooded.

    10 + 0 + 9.5 trap-nights; 135.1667 + 101.6667 + 129.0417 trap-hours; a trap found flooded counts half the
    interval (Nelson & Clark 1973, J. Mammal. 54:295), 10 trap-nights without that.
    """
    table = season.records.tables["effort_by_check"]
    checks = table[table["level"] == "check"]
    assert checks["trap_nights"].tolist() == pytest.approx([10.0, 0.0, 9.5])
    assert checks["trap_nights_uncorrected"].tolist() == pytest.approx([10.0, 0.0, 10.0])
    assert checks["trap_hours"].tolist() == pytest.approx([135.1667, 101.6667, 129.0417], abs=1e-3)
    assert checks["hours"].tolist() == pytest.approx([13.1667, 10.1667, 13.5833], abs=0.01)
    assert checks["animals"].tolist() == [2, 0, 3]
    assert checks["from"].tolist() == ["2023-05-14 18:30", "2023-05-15 07:40", "2023-05-15 17:50"]
    for level in ("session", "season"):
        (line,) = table[table["level"] == level].itertuples()
        assert (line.trap_nights, line.trap_hours, line.animals, line.checks) == pytest.approx(
            (19.5, 365.875, 5, 3), abs=1e-3
        )


def test_every_line_names_the_rows_of_the_log_it_comes_from(season: Season) -> None:
    """The opening, which names F2, the row that closed B1, and the checks: sheet rows 2, 3 and 4 to 6."""
    rows = season.records.tables["effort_by_check"]["log_rows"].tolist()
    assert rows[0] == "from log.csv row 2 to log.csv row 4; B1: log.csv row 3"
    assert rows[2].startswith("from log.csv row 5 to log.csv row 6; B1: log.csv row 3")


def test_the_page_shows_each_session_with_its_sum(season: Season) -> None:
    (table,) = by_check_tables(season.records)
    assert table.caption == "A1, 2023-05-14 to 2023-05-16"
    assert [row[0] for row in table.rows] == ["2023-05-15 07:40", "2023-05-15 17:50", "2023-05-16 07:25", "all"]
    assert table.rows[-1][5:9] == ["19.5", "20", "365.88", "5"]
