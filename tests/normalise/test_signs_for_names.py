"""A dash, a 0 or NA in place of a name means what the survey file says of the sheet. Common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_survey import SITES, SITES_TABLE, prepared

from dwc_pipeline.core.columns import text_column

TABLE = (
    '[[table]]\nname = "c"\nholds = "capture"\nfiles = ["c.csv"]\nconstants = {{ eventType = "trapCheck" }}\n'
    'columns = {{ Date = "eventDate", Array = "place", Species = "verbatimIdentification" }}\n'
    'habits = {{ date_names = "morning", {} }}\n'
)
ROWS = "Date,Array,Species\n2023-05-14,A1,-\n2023-05-15,A1,SCCO\n2023-05-16,A1,NA\n"


@pytest.mark.parametrize(
    ("habits", "asked", "empty_checks"),
    [
        ('dash = ""', {"-", "NA"}, 0),
        ('dash = "no animals"', {"NA"}, 1),
        ('dash = "no animals", not_available = "no animals"', set(), 2),
        ('not_available = "no animals"', set(), 2),
        ('dash = "closed", not_available = "no animals"', {"-"}, 1),
    ],
)
def test_the_habits_of_the_sheet_settle_signs_in_the_name_column(
    tmp_path: Path, habits: str, asked: set[str], empty_checks: int
) -> None:
    season = prepared(tmp_path, {"sites.csv": SITES, "c.csv": ROWS}, SITES_TABLE + TABLE.format(habits))
    found = season.findings[season.findings["rule"] == "na-in-the-name-column"]
    assert set(found["value"]) == asked
    said_none = text_column(season.records.standard["capture"], "verbatimIdentification/no_animal") == "true"
    assert said_none.sum() == empty_checks


def test_what_a_sign_means_is_asked_once_for_each_sheet_and_what_a_name_means_once_for_all(tmp_path: Path) -> None:
    table = TABLE.format('dash = ""')
    second = table.replace('name = "c"', 'name = "d"').replace('"c.csv"', '"d.csv"')
    rows = ROWS + "2023-05-17,A1,NA\n2023-05-18,A1,toad of sorts\n"
    files = {"sites.csv": SITES, "c.csv": rows, "d.csv": rows}
    season = prepared(tmp_path, files, SITES_TABLE + table + second)
    found = season.records.findings
    asked = found[found["value"].isin(["-", "NA", "toad of sorts"])]
    questions = asked.groupby("value")["cause"].nunique()
    assert questions.to_dict() == {"-": 2, "NA": 2, "toad of sorts": 1}
