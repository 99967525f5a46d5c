"""Masses of rows with a bag: the bag taken off, off already, or asked once a sheet. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from small_survey import SITES, SITES_TABLE, prepared, write_answers

from dwc_pipeline.pipeline import Season

TABLE = """
[[table]]
name = "captures"
holds = "capture"
files = ["captures.csv"]
columns = { Array = "place", Date = "eventDate", Species = "verbatimIdentification", Mass = "body_mass", Bag = "bag_mass", Notes = "occurrenceRemarks" }
units = { body_mass = "g", bag_mass = "g" }
constants = { eventType = "incidental" }
habits = { date_names = "morning"%s }
"""  # noqa: E501
ASKS = "is-the-bag-in-the-mass"


def season(folder: Path, rows: str, habit: str = "", mass: str = "Mass") -> Season:
    said = f', mass_is = "{habit}"' if habit else ""
    files = {"sites.csv": SITES, "captures.csv": f"Array,Date,Species,{mass},Bag,Notes\n" + rows}
    return prepared(folder, files, SITES_TABLE + (TABLE % said).replace("Mass =", f'"{mass}" ='))


def masses(made: Season) -> list[str]:
    return made.records.standard["capture"]["body_mass"].tolist()


def rules(made: Season) -> set[str]:
    return set(made.findings["rule"])


TWO = "A1,2023-06-01,SCCO,14.2,8.0,mass with bag\nA1,2023-06-02,SCCO,6.3,,\n"


def test_masses_with_the_bag_are_net_and_the_change_tells_both_numbers(tmp_path: Path) -> None:
    made = season(tmp_path, TWO, "with the bag")
    assert masses(made) == ["6.2", "6.3"]
    change = made.records.changes.query("rule == 'bag-taken-off'").iloc[0]
    assert (change["before"], change["after"], change["field"]) == ("14.2", "6.2", "body_mass")
    assert "14.2 g" in change["note"]
    assert "8.0 g" in change["note"]
    line = made.records.tables["measurement"].query("measurementType == 'body mass'").iloc[0]
    assert (line["measurementValue"], line["measurementMethod"]) == ("6.2", "bag 8.0 taken off 14.2")
    assert float(line["measurementAccuracy"]) == pytest.approx(0.1)  # half of the last digit, twice
    assert ASKS not in rules(made)


def test_masses_without_the_bag_stay_as_they_are(tmp_path: Path) -> None:
    made = season(tmp_path, TWO, "without the bag")
    assert masses(made) == ["14.2", "6.3"]
    assert ASKS not in rules(made)


def test_a_sheet_that_does_not_say_is_asked_once_and_its_masses_with_a_bag_are_blank(tmp_path: Path) -> None:
    rows = TWO + "A1,2023-06-03,SCCO,15.1,8.0,\n"
    made = season(tmp_path, rows)
    assert masses(made) == ["", "6.3", ""]
    asked = made.questions[made.questions["rule"] == ASKS]
    assert len(asked) == 1
    message = made.findings.query("rule == @ASKS")["message"].iloc[0]
    assert "none of 2 masses is below its bag" in message
    assert "'mass with bag'" in message
    assert (made.records.changes["rule"] == "bag-in-the-mass-not-known").sum() == 2
    for answer, expected in (
        ("with the bag", ["6.2", "6.3", "7.1"]),
        ("Without the bag", ["14.2", "6.3", "15.1"]),
        ("who knows", ["", "6.3", ""]),
    ):
        write_answers(tmp_path, {asked["question"].iloc[0]: answer})
        again = season(tmp_path, rows)
        assert masses(again) == expected
        assert (ASKS in rules(again)) is (answer == "who knows")


def test_a_mass_below_its_bag_shows_that_the_bag_is_off_and_that_is_told(tmp_path: Path) -> None:
    rows = "A1,2023-06-01,SCCO,14.2,8.0,\nA1,2023-06-02,SCCO,6.3,8.0,\n"
    made = season(tmp_path, rows)
    assert masses(made) == ["14.2", "6.3"]
    assert ASKS not in rules(made)
    assert "bag-shown-to-be-off" in rules(made)


def test_a_remark_that_says_otherwise_keeps_the_question(tmp_path: Path) -> None:
    made = season(tmp_path, TWO + "A1,2023-06-03,SCCO,6.3,8.0,\n")
    assert masses(made) == ["", "6.3", ""]
    message = made.findings.query("rule == @ASKS")["message"].iloc[0]
    assert "masses below their bag speak for without: 1 of 2 (6.3 and 8.0 g)" in message


def test_a_mass_with_its_bag_that_is_not_above_the_bag_is_blank_and_told(tmp_path: Path) -> None:
    rows = "A1,2023-06-01,SCCO,8.0,8.0,\nA1,2023-06-02,SCCO,6.3,8.0,\nA1,2023-06-02,SCCO,14.2,8?x,\n"
    made = season(tmp_path, rows, "with the bag")
    assert masses(made) == ["", "", ""]
    assert {"mass-with-its-bag-not-above-the-bag", "mass-with-a-bag-that-cannot-be-read"} <= rules(made)


def test_a_net_mass_that_equals_its_bag_is_no_fault(tmp_path: Path) -> None:
    made = season(tmp_path, "A1,2023-06-01,SCCO,16.0,8.0,\n", "with the bag")
    assert masses(made) == ["8.0"]
    assert "mass-not-above-its-bag" not in rules(made)


@pytest.mark.parametrize(
    ("header", "expected"),
    [("Net wt", "14.2"), ("Mass with bag", "6.2"), ("Mass g", ""), ("Mass (bag subtracted)", "14.2")],
)
def test_a_header_may_say_it(tmp_path: Path, header: str, expected: str) -> None:
    made = season(tmp_path, "A1,2023-06-01,SCCO,14.2,8.0,\n", mass=header)
    assert masses(made) == [expected]


def test_cells_that_take_the_bag_off_themselves_and_sheets_without_bags_are_not_asked(tmp_path: Path) -> None:
    made = season(tmp_path, "A1,2023-06-01,SCCO,14.2-8.0,8.0,\nA1,2023-06-02,SCCO,6.3,,\n")
    assert masses(made) == ["6.2", "6.3"]
    assert ASKS not in rules(made)
    twice = season(tmp_path, "A1,2023-06-01,SCCO,24.2-8.0,8.0,\nA1,2023-06-02,SCCO,6.3,0,\n", "with the bag")
    assert masses(twice) == ["16.2", "6.3"]
    assert pd.Series(masses(twice)).ne("").all()
