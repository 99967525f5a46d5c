"""Work grows with the distinct values of a sheet, not with its rows: Python calls are counted, no clock is read."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import pytest
from small_survey import CAPTURES_TABLE, LOG_TABLE, SITES, SITES_TABLE, TODAY, write_survey

from dwc_pipeline.assemble.run import assemble
from dwc_pipeline.check.run import check
from dwc_pipeline.core.records import Records
from dwc_pipeline.normalise.run import normalise
from dwc_pipeline.read.run import read
from dwc_pipeline.reshape.run import reshape
from dwc_pipeline.settings import SurveyFile, read_survey_file

#: pandas itself takes a few calls more where it works in blocks.
MOST_GROWTH = 0.03
LOG = "Array,Trap,What,Date,Time,State,Open\nA1,,opened,6/1/2023,08:00,,\n" + "".join(
    f"A1,,checked,6/{day}/2023,08:00,{'F3 flooded' if day == 9 else ''},\n" for day in range(2, 20)
)
HEADER = "No,Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,N,Notes\n"
NAMES = ("ASSE", "six-lined racerunner", "G. olivacea", "THRA", "Sceloporus consobrinas", "no idea")
CAPTURES = [
    f"{number},{'A1' if number % 7 else 'a 1'},6/{2 + number % 18}/2023,{('08:00', '', '8 am')[number % 3]},"
    f"{('F1', 'f 2', 'B1', '')[number % 4]},{NAMES[number % 6]},{('M', 'female', '', 'juv')[number % 4]},"
    f"{('ad', '', 'juv.')[number % 3]},{55 + number % 9},{('80', '81+', '')[number % 3]},"
    f"{('6.5', '7,1', '65')[number % 3]},{('', 'A12')[number % 2]},{('N', 'R')[number % 2]},"
    f"{('1', '', '~3', '0')[number % 4]},{('', 'gravid  female', 'dead')[number % 3]}\n"
    for number in range(60)
]  # fmt: skip


def records_before_normalising(folder: Path, copies: int) -> tuple[Records, SurveyFile]:
    """A sheet that says the same rows several times over, read and reshaped."""
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": HEADER + "".join(CAPTURES * copies)}
    survey = read_survey_file(write_survey(folder, files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE))
    return reshape(read(survey, TODAY, lambda _: None), survey), survey


def calls_of(work: Callable[[], object]) -> int:
    """How many Python functions are called while the work is done."""
    count = 0

    def tell(frame: FrameType, event: str, _: object) -> None:
        nonlocal count
        count += event == "call"

    before = sys.getprofile()
    sys.setprofile(tell)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count


@pytest.fixture(scope="module")
def counted(tmp_path_factory: pytest.TempPathFactory) -> dict[int, dict[str, int]]:
    found: dict[int, dict[str, int]] = {}
    for copies in (2, 2, 20):  # the first time fills what is kept within the process, and is counted over
        records, survey = records_before_normalising(tmp_path_factory.mktemp("season"), copies)
        read_rows: list[Records] = []
        normalising = calls_of(lambda: read_rows.append(normalise(records, survey)))  # noqa: B023
        assembled = assemble(read_rows[0], survey)
        checking = calls_of(lambda: check(assembled, survey))  # noqa: B023
        found[copies] = {"normalise": normalising, "check": checking}
    return found


@pytest.mark.parametrize("stage", ["normalise", "check"])
def test_ten_times_the_rows_with_the_same_values_take_no_more_calls(
    counted: dict[int, dict[str, int]], stage: str
) -> None:
    few, many = counted[2][stage], counted[20][stage]
    assert many <= few * (1 + MOST_GROWTH), f"{few:,} calls for 120 rows, {many:,} for 1,200"
