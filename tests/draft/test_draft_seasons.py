"""Drafts of twenty made-up seasons whose headers, forms and layout follow the seed."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import pytest
from draft_scores import Score, meant_by, score
from season_generator import make_season

from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.draft.toml_text import draft_toml
from dwc_pipeline.pipeline import prepare
from dwc_pipeline.settings import read_survey_file

TODAY = dt.date(2026, 11, 25)
SEEDS = range(1, 21)


def drafted(folder: Path, seed: int, mess: float) -> tuple[Score, dict[str, object]]:
    truth = make_season(folder, seed, mess)
    draft = draft_survey([folder / "raw", folder / "checklist.csv"], folder / "draft.toml", TODAY)
    write_draft(draft)
    return score(draft, meant_by(truth.survey_file)), tomllib.loads(draft_toml(draft))


@pytest.fixture(scope="module")
def scores(tmp_path_factory: pytest.TempPathFactory) -> list[Score]:
    place = tmp_path_factory.mktemp("seasons")
    return [drafted(place / str(seed), seed, seed % 2)[0] for seed in SEEDS]


def test_nearly_every_column_of_twenty_seasons_is_placed_as_meant(scores):
    right, every = sum(len(s.right) for s in scores), sum(len(s.right) + len(s.open) + len(s.wrong) for s in scores)
    assert right / every >= 0.95, [told for one in scores for told in (*one.open, *one.wrong)]


def test_no_column_of_twenty_seasons_is_placed_wrongly(scores):
    assert [told for one in scores for told in one.wrong] == []


@pytest.mark.parametrize("seed", [2, 3])
def test_a_fresh_draft_of_a_messy_season_runs(tmp_path, seed):
    _, document = drafted(tmp_path, seed, 1.0)
    season = prepare(read_survey_file(tmp_path / "draft.toml"), TODAY)
    assert len(season.questions) > 0
    assert len(season.records.tables["occurrence"]) > 0
    assert document["survey"]["time_zone"] in ("America/Chicago", "America/Denver", "UTC")
