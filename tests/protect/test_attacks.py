"""A stranger who holds the written public copy tries to find the withheld places, by every link it leaves.

Each attack is first shown to work on a careless copy, so that its failure on ours means something.
"""

from __future__ import annotations

import csv
import hashlib
import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
from pyproj import Geod

from dwc_pipeline.core.columns import text_column
from dwc_pipeline.protect.run import Protected
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.write.public_copy import write_public_copy

Make = Callable[..., Protected]
POLICY = {"taxa": {"Phrynosoma cornutum": 2}}
N1 = (36.7512345, -99.6348765)
#: a guess nearer than this would be worth a trip [m]
WORTH_A_TRIP = 1000.0


def stolen(made: Protected, folder: Path) -> dict[str, pd.DataFrame]:
    """The tables as a stranger reads them from the written archive."""
    write_public_copy(made.copy, folder, WORD_SETS["present and absent"])
    tables = {}
    with zipfile.ZipFile(folder / f"{made.copy.name}.zip") as archive:
        for name in archive.namelist():
            if name.endswith(".txt"):
                rows = list(csv.DictReader(io.StringIO(archive.read(name).decode())))
                tables[name.removesuffix(".txt")] = pd.DataFrame(rows)
    return tables


def careless(tables: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Only the check with the sensitive animal is made coarse, everything else stays."""
    event = tables["event"].copy()
    hit = event["eventID"] == "WD-2031-N1-c20310516-1"
    event.loc[hit, ["decimalLatitude", "decimalLongitude", "coordinatePrecision"]] = ["36.8", "-99.6", "0.1"]
    return event.fillna("")


def metres(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(Geod(ellps="WGS84").inv(one[1], one[0], other[1], other[0])[2])


def points(event: pd.DataFrame) -> pd.DataFrame:
    placed = event[event["decimalLatitude"] != ""]
    return placed.assign(lat=placed["decimalLatitude"].astype(float), lon=placed["decimalLongitude"].astype(float))


def by_siblings(event: pd.DataFrame) -> list[tuple[float, float]]:
    """Guesses for every coarse event: the finest position among its parent, its siblings and its children."""
    shown = points(event).assign(digits=lambda rows: rows["decimalLatitude"].str.len())
    guesses = []
    for _, coarse in shown[shown["coordinatePrecision"] == "0.1"].iterrows():
        family = {coarse["parentEventID"], coarse["eventID"]} - {""}
        kin = shown[shown["parentEventID"].isin(family) | shown["eventID"].isin(family)]
        kin = kin[kin["eventType"] != "incidental"]
        best = kin.sort_values("digits").iloc[-1]
        guesses.append((best["lat"], best["lon"]))
    return guesses


def by_dates(event: pd.DataFrame) -> list[tuple[float, float]]:
    """Guesses for every coarse event: the one place whose interval ends just when this one starts."""
    shown = points(event)
    ends = shown["eventDate"].str.partition("/")[2]
    guesses = []
    for row, coarse in shown[shown["coordinatePrecision"] == "0.1"].iterrows():
        start = coarse["eventDate"].partition("/")[0]
        before = shown[(ends == start) & (shown.index != row)]
        if len(before) == 1:
            guesses.append((before["lat"].iloc[0], before["lon"].iloc[0]))
    return guesses


def worth_a_trip(guesses: list[tuple[float, float]]) -> int:
    return sum(metres(guess, N1) < WORTH_A_TRIP for guess in guesses)


def test_siblings_give_nothing_away(protected: Make, tables: dict[str, pd.DataFrame], tmp_path: Path) -> None:
    assert worth_a_trip(by_siblings(careless(tables))) > 0
    ours = stolen(protected(POLICY), tmp_path)["event"]
    assert len(by_siblings(ours)) == 4
    assert worth_a_trip(by_siblings(ours)) == 0


def test_dates_that_touch_give_nothing_away(protected: Make, tables: dict[str, pd.DataFrame], tmp_path: Path) -> None:
    assert worth_a_trip(by_dates(careless(tables))) > 0
    assert worth_a_trip(by_dates(stolen(protected(POLICY), tmp_path)["event"])) == 0


def test_no_identifier_of_ours_is_in_the_copy(
    protected: Make, tables: dict[str, pd.DataFrame], tmp_path: Path
) -> None:
    names = ("eventID", "parentEventID", "occurrenceID", "measurementID")
    exact = {value for table in tables.values() for name in names if name in table for value in table[name]} - {""}
    for table in stolen(protected(POLICY), tmp_path).values():
        for name in names:
            if name in table:
                assert not exact & set(table[name])


def test_guessed_identifiers_cannot_be_tried_without_the_key(
    protected: Make, tables: dict[str, pd.DataFrame], tmp_path: Path
) -> None:
    shown = set(stolen(protected(POLICY), tmp_path)["event"]["eventID"].str.rsplit("-", n=1).str[-1])
    for guess in tables["event"]["eventID"]:
        for salt in ("", "pub", "event", "event\0", "Society for Examples"):
            assert hashlib.sha256(f"{salt}{guess}".encode()).hexdigest()[:16] not in shown


def test_many_looks_at_one_place_average_to_its_cell_and_no_further(protected: Make, tmp_path: Path) -> None:
    shown = points(stolen(protected(POLICY), tmp_path)["event"])
    coarse = shown[shown["coordinatePrecision"] == "0.1"]
    assert metres((coarse["lat"].mean(), coarse["lon"].mean()), (36.8, -99.6)) < 0.01
    assert len(coarse[["lat", "lon"]].drop_duplicates()) == 1


def test_what_is_shown_of_a_place_is_a_function_of_its_cell(
    protected: Make, tables: dict[str, pd.DataFrame], tmp_path: Path
) -> None:
    """Moving the place within its cell changes no byte: so no byte can tell where in the cell it is."""
    first = stolen(protected(POLICY), tmp_path)
    moved = tables["event"]["place"] == "N1"
    tables["event"].loc[moved, ["decimalLatitude", "decimalLongitude"]] = ["36.8123456", "-99.5789123"]
    tables["event"].loc[moved, ["verbatimLatitude", "locality", "minimumElevationInMeters"]] = ["x", "y", "9"]
    second = stolen(protected(POLICY), tmp_path)
    for name, table in first.items():
        pd.testing.assert_frame_equal(table, second[name])


def test_the_order_of_rows_says_nothing_of_the_sheets(
    protected: Make, tables: dict[str, pd.DataFrame], tmp_path: Path
) -> None:
    many = pd.concat([tables["event"].iloc[[2]]] * 200, ignore_index=True)
    many["eventID"] = [f"WD-2031-N1-c20310515-{number:03}" for number in range(200)]
    many["fieldNumber"] = ""
    many["parentEventID"] = ""
    many["samplingProtocol"] = [f"protocol {number:03}" for number in range(200)]  # only to follow the rows
    tables["event"] = many
    for name in ("occurrence", "measurement", "humboldt"):
        tables[name] = tables[name].iloc[:0]
    shown = stolen(protected(POLICY), tmp_path)["event"]
    order = shown["samplingProtocol"].str[-3:].astype(int).to_numpy()
    assert abs(np.corrcoef(order, np.arange(200))[0, 1]) < 0.25


def test_every_private_place_of_a_property_is_in_company(protected: Make, tmp_path: Path) -> None:
    """With k = 2 and two properties in sight, no combination that is shown points to one property."""
    halves = [
        {"name": "First Ranch", "places": ["N*"], "grid": "0.1"},
        {"name": "Second Ranch", "places": ["P7"], "grid": "0.1"},
    ]
    shown = stolen(protected({"property": halves}, smallest_group=2), tmp_path)["event"]
    cells = {(36.8, -99.6), (36.7, -99.6), (36.9, -99.1)}  # of N1, N2 and P7: one property each
    at_tenth = points(shown[text_column(shown, "coordinatePrecision") == "0.1"])
    assert not cells & set(zip(at_tenth["lat"], at_tenth["lon"], strict=True))
