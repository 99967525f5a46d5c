"""Whole seasons made from a known truth: clean ones come out exactly, messy ones never silently wrong."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from season_generator import make_season
from season_truth import Truth
from small_survey import TODAY

from dwc_pipeline.pipeline import Season, prepare
from dwc_pipeline.settings import read_survey_file

SEEDS = (0, 1, 2, 5, 6, 8, 11, 23)
TOLERANCE_G = 0.3


def season_of(folder: Path, seed: int, mess: float) -> tuple[Truth, Season]:
    truth = make_season(folder, seed, mess)
    return truth, prepare(read_survey_file(truth.survey_file), TODAY)


def efforts(season: Season) -> dict[tuple[str, str], tuple[float, float]]:
    """Trap-nights and trap-hours of each check by array and local time of its end."""
    tables = season.records.tables
    sums = tables["effort"].groupby("eventID")[["trap_nights", "trap_hours"]].agg(lambda part: part.sum(skipna=False))
    event = tables["event"][tables["event"]["eventType"] == "trapCheck"].join(sums, on="eventID")
    ends = event["eventDate"].str.split("/").str[-1].str.slice(0, 16)
    return {
        (place, end): (nights, hours)
        for place, end, nights, hours in zip(
            event["place"], ends, event["trap_nights"], event["trap_hours"], strict=True
        )
    }


def wrong_values(truth: Truth, season: Season) -> list[tuple[int, str, str, object]]:
    """(sheet row, what, value, truth) of every standard value that is filled and differs from the truth."""
    records = season.records
    occurrence, standard = records.tables["occurrence"], records.standard["capture"]
    origin = records.tidy["capture"].origin.loc[occurrence.index]
    source = records.sources.reindex(origin["source"])
    places = zip(source["file"], source["sheet"], origin["row"], strict=True)
    by_place = dict(zip(places, occurrence.index, strict=True))
    found: list[tuple[int, str, str, object]] = []
    for animal in truth.occurrences:
        row = by_place[(animal.file, animal.sheet, animal.row)]
        pairs = {
            "scientificName": animal.species, "sex": animal.sex, "snout_vent_length": str(animal.svl_mm),
            "body_mass": animal.mass_g, "mark": animal.mark, "trap": animal.trap,
            "when/date": animal.date.isoformat(),
        }  # fmt: skip
        for name, true in pairs.items():
            value = str(occurrence.at[row, name] if name in occurrence else standard.at[row, name])
            same = value == str(true)
            if name == "body_mass" and value:
                same = abs(float(value) - float(animal.mass_g)) <= max(TOLERANCE_G, 0.02 * animal.mass_g)
            if value and not same:
                found.append((animal.row, name, value, true))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_season_comes_out_exactly(tmp_path: Path, seed: int) -> None:
    truth, season = season_of(tmp_path, seed, 0.0)
    assert wrong_values(truth, season) == []
    assert len(season.records.tables["occurrence"]) == len(truth.occurrences)
    computed = efforts(season)
    if truth.style.log_rows == "checks":
        for event in truth.events:
            nights, hours = computed[(event.array, event.ends.strftime("%Y-%m-%dT%H:%M"))]
            assert nights == pytest.approx(event.trap_nights)
            assert hours == pytest.approx(event.trap_hours, abs=1e-3)
    total = sum(session.trap_nights for session in truth.sessions)
    assert sum(nights for nights, _ in computed.values()) == pytest.approx(total)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_season_raises_no_error(tmp_path: Path, seed: int) -> None:
    _, season = season_of(tmp_path, seed, 0.0)
    errors = season.findings[season.findings["severity"] == "error"]
    assert errors.empty, errors[["rule", "message"]].to_string()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_messy_season_is_never_silently_wrong(tmp_path: Path, seed: int) -> None:
    truth, season = season_of(tmp_path, seed, 1.0)
    told = season.findings[season.findings["severity"] != "note"]
    told_rows = set(told.loc[told["file"] == truth.occurrences[0].file, "row"].astype(int))
    silent = [one for one in wrong_values(truth, season) if one[0] not in told_rows]
    assert silent == []
    for event in truth.events if truth.style.log_rows == "checks" else ():
        nights, hours = efforts(season).get((event.array, event.ends.strftime("%Y-%m-%dT%H:%M")), (None, None))
        if nights is not None and pd.notna(nights):
            assert nights == pytest.approx(event.trap_nights)
            assert hours == pytest.approx(event.trap_hours, abs=1e-3)


@pytest.mark.parametrize("seed", SEEDS[:3])
def test_every_row_of_a_messy_season_is_accounted_for(tmp_path: Path, seed: int) -> None:
    _, season = season_of(tmp_path, seed, 1.0)
    parts = ["placed in a table", "used for effort, places or headers", "set aside"]
    assert (season.accounts[parts].sum(axis=1) == season.accounts["read"]).all()
