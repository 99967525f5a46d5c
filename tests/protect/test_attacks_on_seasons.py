"""A stranger who knows the program and its rules, but no key, looks for what a written copy gives away.

Two seasons that differ only in what is withheld must give the same bytes: then no join, difference, order, count,
uncertainty or total can tell them apart. Where that is too strict, the stranger lays dates and cells side by side.
"""

from __future__ import annotations

import hashlib
import itertools
import zipfile
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pandas as pd
import pytest
from invented_seasons import SENSITIVE, humboldt_of, season

from dwc_pipeline.core.columns import without_gaps
from dwc_pipeline.core.metadata import DatasetMetadata, Party
from dwc_pipeline.leaks.scan import leaks_in
from dwc_pipeline.protect.dates import coarse_dates
from dwc_pipeline.protect.grid import LEVEL_OF_CATEGORY, LEVELS, WITHHELD, generalised_positions, rank_of, snapped
from dwc_pipeline.protect.identifiers import public_identifier
from dwc_pipeline.protect.levels import cells_of
from dwc_pipeline.protect.run import Protected, levels_and_steps, protect
from dwc_pipeline.protect.twins import FINER, TWIN_TYPE, dates_of_finds, plans_of
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.sharing_settings import Property
from dwc_pipeline.terms.checklist import Checklist
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.write.public_copy import write_public_copy

Tables = dict[str, pd.DataFrame]
SEEDS = range(5)
PROPERTIES: tuple[list[dict[str, Any]], ...] = (
    [],
    [{"name": "Quiet Hollow Ranch", "places": ["A1", "A2", "A3"], "grid": "0.01"}],
    [{"name": "Quiet Hollow Ranch", "places": ["A0", "R1"], "grid": "0.1", "other_properties_in_cell": 9}],
    [{"name": "Quiet Hollow Ranch", "places": ["A*"], "grid": "withheld"}],
)
METADATA = DatasetMetadata(
    title="Exact title", package_id="X-2031", people=(Party("Ada Example", roles=("creator",)),),
    date_range=("2031-05-01", "2031-09-30"),
)  # fmt: skip


ANY_TABLE = {"name": "a", "holds": "capture", "files": ["c.csv"], "columns": {"Sp": "verbatimIdentification"}}


def settings(seed: int, **public: Any) -> SurveyFile:
    """Settings drawn from a seed: categories, property, least grid, dates, names, company."""
    random = Random(seed)
    taxa = {name: random.choice([1, 2, 3, 4, "withheld"]) for name in SENSITIVE}
    share = {
        "code": "pub", "title": "Reptiles of a made-up prairie", "key": "a text that only the person knows",
        "publisher": "Society for Examples", "smallest_group": 1,
        "grid": random.choice(["as held", "as held", "0.001", "0.01"]),
        "dates": random.choice(["day", "day", "month"]),
        "named": random.choice([[], ["Ada Example"]]),
    }  # fmt: skip
    return SurveyFile(
        survey={
            "code": "X", "title": "Exact title", "season": "2031", "starts": "2031-05-01", "ends": "2031-09-30",
            "time_zone": "America/Chicago", "state": "Oklahoma", "country": "United States",
        },
        people=[{"name": "Ada Example", "roles": ["creator", "contact"]}, {"name": "Bo Sample"}],
        table=[ANY_TABLE],
        protect={"taxa": taxa, "property": random.choice(PROPERTIES)},
        share={"public": {**share, **public}},
        path=Path("survey.toml"),
    )  # fmt: skip


def copy_of(tables: Tables, survey: SurveyFile) -> Protected:
    return protect(tables, METADATA, survey, Checklist())


def written(made: Protected, folder: Path) -> dict[str, bytes]:
    """Every byte of a copy, by the name of the file or member, and how the archive is packed."""
    folder.mkdir(parents=True, exist_ok=True)
    write_public_copy(made.copy, folder, WORD_SETS["present and absent"])
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def hidden_places(tables: Tables, made: Protected) -> Iterator[tuple[str, str]]:
    """Codes of places that the copy shows on a grid or not at all, and the level."""
    event = tables["event"]
    ours = event[event["place"] != ""].drop_duplicates("place")
    shown = made.copy.tables["event"]
    held = set(zip(shown["decimalLatitude"], shown["decimalLongitude"], strict=True))
    for code, latitude, longitude in zip(
        ours["place"], ours["decimalLatitude"], ours["decimalLongitude"], strict=True
    ):
        if (latitude, longitude) not in held:
            cells = [level for level in LEVELS[1:-1] if (snapped(latitude, level), snapped(longitude, level)) in held]
            yield code, (cells[0] if cells else WITHHELD)


def moved_within_its_cell(tables: Tables, code: str, level: str, random: Random) -> Tables:
    """The season with a place elsewhere in its cell of a level, wherever it is written."""
    made = {name: table.copy() for name, table in tables.items()}
    row = tables["place"].set_index("place").loc[code]
    new = {}
    for name in ("decimalLatitude", "decimalLongitude"):
        centre, half = float(snapped(row[name], level)), float(level) / 2
        new[name] = f"{centre + random.uniform(-0.98, 0.98) * half:.7f}"
    for table in ("event", "place"):
        frame = made[table]
        there = (frame["place"] == code) & (frame["decimalLatitude"] == row["decimalLatitude"])
        frame.loc[there, list(new)] = list(new.values())
    return made


@pytest.mark.parametrize("seed", SEEDS)
def test_a_hidden_place_elsewhere_in_its_cell_gives_the_same_bytes(seed: int, tmp_path: Path) -> None:
    """No byte depends on where in its cell a place lies that an animal has made coarse."""
    tables, survey = season(seed), settings(seed)
    survey = survey.model_copy(update={"protect": survey.protect.model_copy(update={"property": ()})})
    made = copy_of(tables, survey)
    first = written(made, tmp_path / "first")
    hidden = [(code, level) for code, level in hidden_places(tables, made) if level != WITHHELD]
    for number, (code, level) in enumerate(hidden[:3]):
        elsewhere = moved_within_its_cell(tables, code, level, Random(seed + number))
        assert written(copy_of(elsewhere, survey), tmp_path / f"{number}") == first, (code, level)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_exact_neighbour_stands_in_the_cell_of_a_coarse_place(seed: int) -> None:
    """Centroid of neighbours: the gap in a row of exact arrays would say where the hidden one lies."""
    tables, survey = season(seed), settings(seed)
    survey = survey.model_copy(update={"protect": survey.protect.model_copy(update={"property": ()})})
    made = copy_of(tables, survey)
    shown = made.copy.tables["event"]
    caught = made.copy.tables["occurrence"]
    taxa = survey.protect.taxa
    grids = {1: "1", 2: "0.1", 3: "0.01", 4: "0.001"}
    placed = shown[shown["decimalLatitude"] != ""].set_index("eventID")
    for name, category in taxa.items():
        of_taxon = caught[caught["scientificName"] == name]["eventID"]
        assert category != "withheld" or not set(of_taxon) & set(placed.index)
        grid = grids.get(category)  # type: ignore[call-overload]
        for event in of_taxon[of_taxon.isin(placed.index)].unique():
            cell = tuple(snapped(placed.loc[event, c], grid) for c in ("decimalLatitude", "decimalLongitude"))
            for latitude, longitude, precision in (
                placed[["decimalLatitude", "decimalLongitude", "coordinatePrecision"]]
                .drop_duplicates()
                .itertuples(index=False)
            ):
                if (snapped(latitude, grid), snapped(longitude, grid)) == cell:
                    assert float(precision or 0) >= float(grid)


@pytest.mark.parametrize("seed", SEEDS)
def test_exact_events_are_the_same_with_and_without_the_animals_that_moved(seed: int) -> None:
    """Parents, siblings, counts, effort, by-catch, performers, order: as if no sensitive animal had been there."""
    tables, survey = season(seed), settings(seed, sensitive_animals="twin event")
    made = copy_of(tables, survey).copy.tables
    twins = set(made["event"].loc[made["event"]["eventType"] == TWIN_TYPE, "eventID"])
    stayed = made["occurrence"][~made["occurrence"]["eventID"].isin(twins)]
    animals = tables["occurrence"]
    ours = animals[~animals["scientificName"].isin(SENSITIVE) | stays_at_home(tables, survey)]
    lone = {*animals["eventID"]} - {*ours["eventID"]} - {*tables["effort"]["eventID"]}
    without = {
        **tables,
        "occurrence": ours,
        "measurement": tables["measurement"][tables["measurement"]["occurrenceID"].isin(ours["occurrenceID"])],
        "event": tables["event"][~tables["event"]["eventID"].isin(lone)],
        "humboldt": tables["humboldt"][~tables["humboldt"]["eventID"].isin(lone)],
    }
    plain = copy_of(without, survey).copy.tables
    exact = made["event"][~made["event"]["eventID"].isin(twins)].reset_index(drop=True)
    pd.testing.assert_frame_equal(exact, plain["event"], check_dtype=False)
    pd.testing.assert_frame_equal(stayed.reset_index(drop=True), plain["occurrence"], check_dtype=False)
    pd.testing.assert_frame_equal(made["humboldt"], plain["humboldt"], check_dtype=False)


def levels_of(tables: Tables, survey: SurveyFile) -> tuple[pd.Series, pd.Series]:
    """Level and step of every event by the ground alone."""
    assert survey.share.public is not None
    clean = {name: without_gaps(table).reset_index(drop=True) for name, table in tables.items()}
    taxa = {name: LEVEL_OF_CATEGORY[one] for name, one in survey.protect.taxa.items()}
    return levels_and_steps(clean, survey, survey.share.public, taxa)


def asked_of(tables: Tables, survey: SurveyFile) -> pd.Series:
    """The rank that each animal asks for."""
    ranks = {name: rank_of(LEVEL_OF_CATEGORY[one]) for name, one in survey.protect.taxa.items()}
    return tables["occurrence"]["scientificName"].map(ranks).fillna(0).astype(int)


def stays_at_home(tables: Tables, survey: SurveyFile) -> pd.Series:
    """Animals whose event is coarse enough for them by the ground alone."""
    level, _ = levels_of(tables, survey)
    rank = pd.Series(level.map(rank_of).to_numpy(), index=tables["event"]["eventID"])
    return tables["occurrence"]["eventID"].map(rank) >= asked_of(tables, survey)


def could_have_been_caught_at(tables: Tables, survey: SurveyFile, animal: int) -> list[str]:
    """Other events that an animal on a twin event can have come from, by the rules that the stranger knows."""
    event = tables["event"].reset_index(drop=True)
    level, step = levels_of(tables, survey)
    rank = int(asked_of(tables, survey).iloc[animal])
    shown = generalised_positions(event, level)
    plans = plans_of(event, tables["effort"], shown, level, step, rank, 5)
    home = event.index[event["eventID"] == tables["occurrence"]["eventID"].iloc[animal]][0]
    if home not in plans.index:
        return []
    own = plans.loc[home]
    same = plans[(plans == own).all(axis=1)].index
    dates = coarse_dates(dates_of_finds(event), pd.Series(own["step"], index=event.index))
    kind = event["eventType"]
    fits = [row for row in same if dates[row] == dates[home] and kind[row] == kind[home]]
    return event.loc[fits, "eventID"].tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_an_animal_caught_at_another_place_gives_the_same_bytes(seed: int, tmp_path: Path) -> None:
    """Which of the places a twin came from is in no byte of the copy."""
    tables, survey = season(seed, arrays=14), settings(seed, sensitive_animals="twin event")
    sensitive = np.flatnonzero(
        tables["occurrence"]["scientificName"].isin(SENSITIVE) & ~stays_at_home(tables, survey)
    )
    first, tried = None, 0
    for animal in sensitive:
        others = could_have_been_caught_at(tables, survey, int(animal))
        home = tables["occurrence"]["eventID"].iloc[animal]
        if len(others) < 2 or tried == 2:
            continue
        first = first or written(copy_of(tables, survey), tmp_path / "first")
        elsewhere = Random(seed).choice([one for one in others if one != home])
        moved = caught_at(tables, int(animal), elsewhere)
        assert written(copy_of(moved, survey), tmp_path / f"{tried}") == first, (home, elsewhere)
        tried += 1


def caught_at(tables: Tables, animal: int, event: str) -> Tables:
    """The season with one animal caught at another event; all that follows from it too."""
    occurrence, measured = tables["occurrence"].copy(), tables["measurement"].copy()
    occurrence.iloc[animal, occurrence.columns.get_loc("eventID")] = event
    measured.loc[measured["occurrenceID"] == occurrence["occurrenceID"].iloc[animal], "eventID"] = event
    humboldt = humboldt_of(tables["event"], occurrence)
    return {**tables, "occurrence": occurrence, "measurement": measured, "humboldt": humboldt}


def candidates(copy: Tables, twin: pd.Series, kind: str) -> set[str]:
    """Finer cells of the exact events of a kind that fit a twin by cell and date; read from the copy alone."""
    event = copy["event"]
    grid = twin["coordinatePrecision"] or "1"
    step = {10: "day", 7: "month", 4: "year"}[len(twin["eventDate"].partition("/")[0])]
    finer = (event["eventType"] == kind) & (event["decimalLatitude"] != "")
    precision = pd.to_numeric(event["coordinatePrecision"]).fillna(0)
    finer &= precision < float(grid)
    shown = event[finer]
    dates = coarse_dates(dates_of_finds(shown), pd.Series(step, index=shown.index))
    shown = shown[dates == twin["eventDate"]]
    if twin["decimalLatitude"]:
        shown = shown[cells_of(shown, grid) == f"{twin['decimalLatitude']} {twin['decimalLongitude']}"]
    return set(cells_of(shown, FINER[grid]))


def links(tables: Tables, made: Protected, survey: SurveyFile) -> pd.DataFrame:
    """Twins with what only the owner of the data knows: the taxon, and the kind of event they came from."""
    assert survey.share.public is not None
    key = f"{survey.share.public.key}\0twin"
    ours = tables["occurrence"].merge(tables["event"][["eventID", "eventType", "has_effort"]], on="eventID")
    salted = ours["occurrenceID"] + "\x1ftwin"
    ours["public"] = [public_identifier(one, "occurrence", "pub", key) for one in salted]
    event, caught = made.copy.tables["event"], made.copy.tables["occurrence"]
    twins = event[event["eventType"] == TWIN_TYPE].merge(caught[["eventID", "occurrenceID"]], on="eventID")
    known = ours[["public", "eventType", "has_effort", "scientificName"]].rename(columns={"eventType": "from"})
    return twins.merge(known, left_on="occurrenceID", right_on="public")


def test_every_twin_and_all_twins_together_leave_enough_places() -> None:
    """Joins by date, cell and kind of sampling; then the places that fit all twins of a taxon in a cell at once."""
    count = 0
    for seed in range(8):
        tables, survey = season(seed, arrays=14), settings(seed, sensitive_animals="twin event")
        made = copy_of(tables, survey)
        found = links(tables, made, survey)
        found = found[(found["has_effort"] == "yes")]
        groups = found.groupby(["scientificName", "from", "decimalLatitude", "decimalLongitude"])
        for (_, kind, *_rest), group in groups:
            fits = [candidates(made.copy.tables, twin, str(kind)) for _, twin in group.iterrows()]
            assert min(map(len, fits)) >= 5
            assert len(set.intersection(*fits)) >= 5
            count += len(fits)
    assert count > 20  # else nothing was tried


def test_the_same_join_finds_the_place_in_a_careless_copy() -> None:
    """The attack works where a twin keeps its day although one array alone was checked."""
    tables, survey = season(3, arrays=14), settings(3, sensitive_animals="twin event", grid="as held", dates="day")
    made = copy_of(tables, survey).copy.tables
    exact = made["event"][(made["event"]["eventType"] == "trapCheck")].iloc[0]
    twin = exact.copy()
    twin["decimalLatitude"] = snapped(exact["decimalLatitude"], "0.1")
    twin["decimalLongitude"] = snapped(exact["decimalLongitude"], "0.1")
    twin["coordinatePrecision"], twin["eventDate"] = "0.1", exact["eventDate"].rpartition("/")[2]
    alone = {"event": made["event"].loc[[exact.name]].assign(coordinatePrecision="")}
    assert len(candidates(alone, twin, "trapCheck")) == 1


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("way", ["coarsen the place", "twin event"])
def test_nothing_round_the_tables_tells_more(seed: int, way: str, tmp_path: Path) -> None:
    """Times in the archive, order of rows, uncertainties, names of people, the box, and the scan of all bytes."""
    tables, survey = season(seed), settings(seed, sensitive_animals=way)
    made = copy_of(tables, survey)
    written(made, tmp_path)
    with zipfile.ZipFile(tmp_path / "pub-2031.zip") as archive:
        assert {member.date_time for member in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert not archive.comment
        assert not any(member.comment or member.extra for member in archive.infolist())
    event = made.copy.tables["event"]
    order = list(zip(event["eventDate"], event["eventID"], strict=True))
    assert order == sorted(order)
    text = "".join(table.to_csv() for table in made.copy.tables.values()) + repr(made.copy.metadata)
    assert "Bo Sample" not in text
    twins = event[event["eventType"] == TWIN_TYPE]
    assert set(twins["parentEventID"]) <= {""}
    assert set(twins["samplingProtocol"].fillna("")) <= {""}
    box = made.copy.metadata.box
    if box is not None:
        half = pd.to_numeric(event["coordinatePrecision"]).fillna(0) / 2
        latitude = pd.to_numeric(event["decimalLatitude"])
        assert box.north == pytest.approx(min(90, (latitude + half).max()))
        assert box.south == pytest.approx(max(-90, (latitude - half).min()))
    assert leaks_in(tmp_path, made.withheld) == []


@pytest.mark.parametrize("seed", range(4))
def test_every_combination_of_a_private_place_is_in_company(seed: int) -> None:
    """The small-group test done again by a stranger who has a map of the properties; empty checks count."""
    random = Random(seed)
    grid = random.choice(["0.001", "0.01", "0.1"])
    ranches = [
        {"name": f"Ranch of the {word} hill", "places": [f"A{number}", f"A{number + 1}"], "grid": grid}
        for number, word in ((0, "first"), (2, "second"), (4, "third"), (6, "fourth"))
    ]
    tables = season(seed)
    survey = settings(seed, smallest_group=3)
    survey = survey.model_copy(
        update={"protect": survey.protect.model_copy(update={"property": tuple(Property(**one) for one in ranches)})}
    )
    made = copy_of(tables, survey)
    event = made.copy.tables["event"]
    assert survey.share.public is not None
    level, step = levels_of(tables, survey)
    exact = tables["event"].reset_index(drop=True)
    owner = exact["place"].map({f"A{n}": n // 2 for n in range(8)})
    shown = generalised_positions(exact, level).assign(
        date=coarse_dates(exact["eventDate"], step), kind=exact["eventType"], owner=owner.fillna(-1)
    )
    seen = shown[shown["decimalLatitude"] != ""]
    count = seen.groupby(["decimalLatitude", "decimalLongitude", "date", "kind"])["owner"].transform("nunique")
    assert (count[seen["owner"] >= 0] >= 3).all()
    assert len(event) == len(exact)


def test_guesses_of_identifiers_from_small_spaces_find_nothing() -> None:
    """All of our identifiers of a season, hashed and keyed with what the copy itself shows."""
    tables, survey = season(1), settings(1, sensitive_animals="twin event")
    made = copy_of(tables, survey).copy.tables
    shown = {one.rpartition("-")[2] for one in (*made["event"]["eventID"], *made["occurrence"]["occurrenceID"])}
    ours = [*tables["event"]["eventID"], *tables["occurrence"]["occurrenceID"]]
    salts = ("", "\x1ftwin", *(f"\x1f{level}" for level in LEVELS))
    keys = (
        "",
        "pub",
        "X",
        "Society for Examples",
        "Reptiles of a made-up prairie",
        "demo only: choose your own long text",
    )
    for identifier, salt, key, kind in itertools.product(ours[:40], salts, keys, ("event", "occurrence")):
        guess = public_identifier(identifier + salt, kind, "pub", key).rpartition("-")[2]
        assert guess not in shown
        assert hashlib.sha256((identifier + salt).encode()).hexdigest()[:16] not in shown


def test_a_place_that_becomes_coarser_in_a_later_copy_has_other_identifiers() -> None:
    """Else the older copy, laid beside the newer one, shows the place."""
    tables, survey = season(5), settings(5, grid="as held")
    survey = survey.model_copy(update={"protect": survey.protect.model_copy(update={"property": ()})})
    before = {**tables, "occurrence": tables["occurrence"][~tables["occurrence"]["scientificName"].isin(SENSITIVE)]}
    older, newer = copy_of(before, survey).copy.tables["event"], copy_of(tables, survey).copy.tables["event"]
    joined = older.merge(newer, on="eventID", suffixes=("", "_later"))
    assert len(joined) < len(newer)
    assert (joined["coordinatePrecision"] == joined["coordinatePrecision_later"]).all()
    assert (joined["decimalLatitude"] == joined["decimalLatitude_later"]).all()
