"""Row accounting on random messy sheets: every row that is not blank is accounted for once, in every layout.

The fixture balances the accounts (core/accounts.py raises where they do not) and counts rows apart from them.
"""

from __future__ import annotations

import csv
import io
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_survey import SITES_TABLE, TODAY, write_survey

from dwc_pipeline.core.accounts import balance, settle
from dwc_pipeline.read.run import read
from dwc_pipeline.reshape.run import reshape
from dwc_pipeline.settings import read_survey_file

from .conftest import SITES

CELLS = st.sampled_from(
    ["", "", "0", "-", "X", "closed", "none", "2 SPBO", "SPBO, 2 THRA", "flooded", "2 M, 1 F", "Total", "all",
     "A1-A3", "A1", "A2", "opened", "checked", "5/5/2023", "5/6/23", "all arrays open 5-12 May",
     "note: rain", " ", "12"]
)  # fmt: skip
TABLE = '\n[[table]]\nname = "t"\nfiles = ["t.csv"]\nheader_rows = [1]\n'
LAYOUTS = {
    "rows": 'holds = "capture"\ncolumns = { C1 = "eventDate", C2 = "place", C3 = "verbatimIdentification" }\n'
    'fill_down = ["eventDate"]\n',
    "log": 'holds = "trap_log"\ncolumns = { C1 = "place", C2 = "action", C3 = "eventDate", C4 = "captures" }\n',
    "intervals": 'holds = "trap_log"\ncolumns = { C1 = "place", C2 = "eventDate", C3 = "end_date" }\n',
    "sentences": 'holds = "trap_log"\ncolumns = { C1 = "sentence", C2 = "recordedBy" }\n',
    "grid by place": 'holds = "trap_log"\nlayout = "grid"\ngrid_columns = "place"\ncolumns = { C1 = "eventDate" }\n'
    'fill_down = ["eventDate"]\n',
    "grid by trap": 'holds = "trap_log"\nlayout = "grid"\ngrid_columns = "trap"\n'
    'columns = { C1 = "eventDate", C2 = "place" }\nhabits = { blank = "not checked", dash = "closed" }\n',
    "species columns": 'holds = "capture"\nlayout = "species columns"\n'
    'columns = { C1 = "eventDate", C2 = "place" }\nunmapped_columns = "remarks"\n',
    "search with species": 'holds = "search"\nlayout = "species columns"\n'
    'columns = { C1 = "eventDate", C2 = "place" }\n',
}
SHEETS = st.lists(st.lists(CELLS, min_size=5, max_size=5), min_size=1, max_size=9)


@pytest.mark.parametrize("layout", LAYOUTS)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rows=SHEETS)
def test_every_row_that_is_not_blank_is_accounted_for_once(layout, rows):
    text = io.StringIO()
    csv.writer(text).writerows([[f"C{number}" for number in range(1, 6)], *rows])
    with tempfile.TemporaryDirectory() as name:
        files = {"sites.csv": SITES, "t.csv": text.getvalue()}
        survey = read_survey_file(write_survey(Path(name), files, SITES_TABLE + TABLE + LAYOUTS[layout]))
        records = reshape(read(survey, TODAY), survey)
    lines = settle(records.rows)
    balance(lines, records.row_counts)
    own = lines[lines["file"] == "t.csv"]
    filled = [number for number, row in enumerate(rows, 2) if any(cell.strip() for cell in row)]
    assert own["row"].tolist() == [1, *filled]
    assert (own.loc[own["outcome"] == "set aside", "reason"] != "").all()
    placed = set(own.loc[own["outcome"] == "placed in a table", "row"])
    in_tables = {
        int(row)
        for kind, tidy in records.tidy.items()
        for row, source in tidy.origin[["row", "source"]].itertuples(index=False)
        if records.sources.at[source, "file"] == "t.csv"
    }
    assert placed == in_tables
    for kind, tidy in records.tidy.items():
        assert len(tidy.text) == len(tidy.origin)
        assert tidy.cells["tidy_row"].isin(tidy.text.index).all(), kind
        changed = records.changes[records.changes["kind"] == kind]
        assert changed["tidy_row"].isin(tidy.text.index).all()
        assert all(series.index.equals(tidy.text.index) for series in tidy.stored.values())


def test_files_of_one_name_in_several_folders_keep_their_own_accounts(shape, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside")
    text = "Date,Array,Species\n5/5/2023,A1,SCCO\n"
    for name, rows in (("one", text), ("two", text + "5/6/2023,A1,SCCO\n")):
        (outside / name).mkdir()
        (outside / name / "c.csv").write_text(rows, encoding="utf-8")
    files = ", ".join(f'"{(outside / name / "c.csv").as_posix()}"' for name in ("one", "two"))
    table = (
        f'[[table]]\nname = "c"\nholds = "capture"\nfiles = [{files}]\n'
        'columns = { Date = "eventDate", Array = "place", Species = "verbatimIdentification" }\n'
    )
    made = shape({}, table)
    own = made.accounts[made.accounts["file"].str.endswith("c.csv")]
    assert own["read"].tolist() == [2, 3]
    assert own["file"].nunique() == 2
