"""One broken cell of a clean season, in over 250 ways: the right rule speaks about it, and no other."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from mutation_batches import Batch, Placed, batches
from mutation_season import clean_season, write_season
from mutations import MUTATIONS
from small_survey import TODAY

from dwc_pipeline.core.rule import RULES
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

BATCHES = batches(MUTATIONS)


def spoken(survey_file: Path) -> pd.DataFrame:
    """Errors and warnings of a season."""
    findings = prepare(read_survey_file(survey_file), TODAY).findings
    return findings[findings["severity"] != "note"]


def judged(placed: Placed, on_row: set[str], anywhere: set[str]) -> list[str]:
    """What is wrong with what the rules say of a broken cell."""
    mutation = placed.mutation
    where = anywhere if mutation.row.endswith("elsewhere") else on_row
    wrong = []
    if mutation.expects and mutation.expects not in where:
        wrong.append(f"{mutation.name}: {mutation.expects} is silent; {sorted(on_row)} spoke")
    others = on_row - {mutation.expects} - set(mutation.also)
    if others:
        wrong.append(f"{mutation.name}: {sorted(others)} spoke too")
    return wrong


def test_a_clean_season_raises_no_error_and_no_warning(tmp_path: Path) -> None:
    assert spoken(write_season(tmp_path, clean_season()))["message"].tolist() == []


def test_there_are_two_hundred_ways_and_each_is_its_own() -> None:
    faults = [one for one in MUTATIONS if one.expects]
    assert len(faults) >= 200
    assert len({one.name for one in MUTATIONS}) == len(MUTATIONS)
    assert {name for one in MUTATIONS for name in (one.expects, *one.also) if name} <= set(RULES)


@pytest.mark.parametrize("batch", BATCHES, ids=range(len(BATCHES)))
def test_the_right_rule_and_only_it_speaks_about_a_broken_cell(tmp_path: Path, batch: Batch) -> None:
    found = spoken(write_season(tmp_path, batch.season))
    by_row: dict[tuple[str, int], set[str]] = {}
    for file, row, rule in zip(found["file"], found["row"], found["rule"], strict=True):
        by_row.setdefault((file, int(row)), set()).add(rule)
    anywhere = set(found["rule"])
    wrong = [
        line
        for placed in batch.placed
        for line in judged(placed, by_row.pop((f"{placed.mutation.sheet}.csv", placed.line), set()), anywhere)
    ]
    named = {name for one in batch.placed for name in one.mutation.also}
    named |= {one.mutation.expects for one in batch.placed if one.mutation.row.endswith("elsewhere")}
    wrong += [
        f"{place}: {sorted(rules - named)} on a row that is whole" for place, rules in by_row.items() if rules - named
    ]
    assert wrong == []
