"""The sheets as typed are rebuilt from the standard tables and the list of changes, cell by cell."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from season_generator import make_season
from small_survey import TODAY

from dwc_pipeline.core.records import Records
from dwc_pipeline.core.tidy import TidyTable
from dwc_pipeline.normalise.moments import EVENING_NAMED
from dwc_pipeline.normalise.run import POSITION_FIELDS
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

DEMO = Path(__file__).resolve().parents[2] / "demo_input" / "survey.toml"
SEEDS = (2, 5)
Cell = tuple[int, str]


@pytest.fixture(scope="module", params=["the demo", *SEEDS])
def records(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Records:
    path = DEMO
    if request.param != "the demo":
        path = make_season(tmp_path_factory.mktemp("season"), request.param, 1.0).survey_file
    return prepare(read_survey_file(path), TODAY).records


def own_changes(records: Records, kind: str) -> dict[Cell, list[Any]]:
    """The changes of each cell's own field, in their order; what a cell says of other fields is left out."""
    found: dict[Cell, list[Any]] = {}
    changes = records.changes[records.changes["kind"] == kind]
    for line in changes[(changes["field"] == changes["term"]) & (changes["rule"] != EVENING_NAMED)].itertuples():
        found.setdefault((line.tidy_row, line.field), []).append(line)
    return found


def on_the_sheet(records: Records, tidy: TidyTable, field: str) -> dict[int, str]:
    """What stands in the cell of each row; the text that reached the row where a cell of another place fed it."""
    places = tidy.addresses(pd.Series(tidy.text.index), pd.Series(field, index=tidy.text.index))
    found = {}
    for row, place in zip(tidy.text.index, places.itertuples(index=False), strict=True):
        sheet = records.raw[int(place.source)].text
        there = place.row in sheet.index and place.column in sheet.columns
        found[row] = str(sheet.at[place.row, place.column] if there else tidy.text.at[row, field])
    return found


def fields_of(records: Records) -> Iterator[tuple[str, TidyTable, str]]:
    for kind, tidy in records.tidy.items():
        for field in tidy.text:
            if field not in POSITION_FIELDS and field != "cell_remarks":
                yield kind, tidy, str(field)


def test_every_field_of_every_sheet_is_rebuilt(records: Records) -> None:
    """The first `before` of a cell, else its standard value, is what was typed. A cell that waits for an answer has
    no standard value and no change: its finding holds the text."""
    asked = {
        (line.kind, line.tidy_row, line.field): line.value
        for line in records.findings[records.findings["kind"] != ""].itertuples()
    }
    wrong, rebuilt = [], 0
    for kind, tidy, field in fields_of(records):
        changes, standard = own_changes(records, kind), records.standard[kind]
        waiting = standard.get(f"{field}/asked", pd.Series("", index=standard.index))
        for row, typed in on_the_sheet(records, tidy, field).items():
            lines = changes.get((row, field), [])
            back = lines[0].before if lines else standard.at[row, field]
            if not lines and waiting[row] == "true":
                back = asked.get((kind, row, field))
            rebuilt += back == typed
            if back != typed:
                wrong.append((kind, row, field, typed, back))
    assert wrong == []
    assert rebuilt > 300


def test_the_changes_of_a_cell_follow_each_other_to_its_standard_value(records: Records) -> None:
    for kind, tidy, field in fields_of(records):
        standard = records.standard[kind]
        for (row, name), lines in own_changes(records, kind).items():
            if name == field and row in tidy.text.index:
                assert [line.before for line in lines[1:]] == [line.after for line in lines[:-1]]
                assert lines[-1].after == standard.at[row, field], lines[-1]


def test_a_position_is_rebuilt_from_its_change(records: Records) -> None:
    """Its cells are read together: `before` holds all of them in their order."""
    met = 0
    for kind, tidy in records.tidy.items():
        named = [field for field in POSITION_FIELDS if field in tidy.text]
        changes = records.changes[(records.changes["kind"] == kind) & (records.changes["term"] == "position")]
        for line in changes.itertuples():
            cells = tidy.text.loc[line.tidy_row, named]
            assert line.before == " ".join(cell.strip() for cell in cells if cell.strip())
            met += 1
    assert met
