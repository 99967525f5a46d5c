"""Datum operations: chosen by name and by place, the same on every machine."""

from __future__ import annotations

import math
import struct
from pathlib import Path

import numpy as np
import pytest

from dwc_pipeline.normalise.datum_shift import (
    WGS84,
    geodesic_distance,
    geographic_code,
    is_known_system,
    metres_per_unit,
    to_wgs84,
    utm_crs,
    utm_zone_of,
)

OKLAHOMA = (-99.6348, 36.7512)


def write_made_up_grid(path: Path, east_seconds: float, north_seconds: float) -> None:
    """A shift grid over North America in the CTable2 layout of PROJ: one shift everywhere."""
    west, south, columns, rows = -131.0, 20.0, 70, 32
    head = b"CTABLE V2".ljust(16) + b"made up for a test".ljust(80)
    head += struct.pack("<4d2i", math.radians(west), math.radians(south), *[math.radians(1)] * 2, columns, rows)
    shift = [math.radians(-east_seconds / 3600), math.radians(north_seconds / 3600)]
    path.write_bytes(head.ljust(160, b"\0") + np.tile(np.array(shift, "<f4"), columns * rows).tobytes())


def test_nad27_goes_by_the_three_parameters_of_operation_6_and_says_how_good_that_is():
    shifted = to_wgs84(*OKLAHOMA, "EPSG:4267")
    assert shifted.operation[0] == "NAD27 to WGS 84 (6)"
    assert shifted.accuracy_m[0] == 7.0
    assert "us_noaa_conus.tif" in shifted.missing_grid[0]


def test_nad83_is_not_moved_and_adds_four_metres_of_doubt():
    shifted = to_wgs84(*OKLAHOMA, "EPSG:4269")
    assert (shifted.longitude[0], shifted.latitude[0]) == pytest.approx(OKLAHOMA, abs=1e-10)
    assert shifted.accuracy_m[0] == 4.0
    assert shifted.missing_grid[0] == ""


def test_wgs84_needs_no_operation():
    shifted = to_wgs84(*OKLAHOMA, WGS84)
    assert (shifted.longitude[0], shifted.latitude[0], shifted.accuracy_m[0]) == (*OKLAHOMA, 0.0)


def test_a_point_moves_the_same_alone_and_among_points_elsewhere():
    lon = np.array([OKLAHOMA[0], -150.0, -75.0, -85.0])
    lat = np.array([OKLAHOMA[1], 64.0, 46.0, 12.0])
    together = to_wgs84(lon, lat, "EPSG:4267")
    alone = [to_wgs84(x, y, "EPSG:4267") for x, y in zip(lon, lat, strict=True)]
    assert together.longitude.tolist() == [one.longitude[0] for one in alone]
    assert together.operation.tolist() == [one.operation[0] for one in alone]


def test_no_operation_in_use_reads_a_grid_or_is_a_ballpark_shift():
    lon, lat = np.meshgrid(np.arange(-170, -50, 5.0), np.arange(10, 80, 5.0))
    shifted = to_wgs84(lon.ravel(), lat.ravel(), "EPSG:4267")
    assert set(shifted.operation) - {""} <= {f"NAD27 to WGS 84 ({number})" for number in range(1, 19)}


def test_a_place_far_from_a_datum_gets_no_position_at_all():
    shifted = to_wgs84(99.6348, 36.7512, "EPSG:4267")
    assert np.isnan(shifted.longitude[0])
    assert np.isnan(shifted.accuracy_m[0])


@pytest.mark.parametrize(("x", "y"), [(1e9, 1.0), (np.nan, 1.0), (200.0, 95.0)])
def test_numbers_that_no_place_has_stay_without_a_place(x: float, y: float):
    for crs in ("EPSG:26914", "EPSG:4269", WGS84):
        shifted = to_wgs84(x, y, crs)
        assert np.isnan(shifted.longitude[0]) or crs == "EPSG:26914"
        assert np.isnan(shifted.latitude[0]) or abs(shifted.latitude[0]) <= 90


def test_a_grid_is_used_only_if_the_survey_names_its_folder(tmp_path: Path):
    write_made_up_grid(tmp_path / "conus", east_seconds=-1.0, north_seconds=0.5)
    before = to_wgs84(*OKLAHOMA, "EPSG:4267")
    by_grid = to_wgs84(*OKLAHOMA, "EPSG:4267", str(tmp_path))
    after = to_wgs84(*OKLAHOMA, "EPSG:4267")
    assert (by_grid.longitude[0] - OKLAHOMA[0]) * 3600 == pytest.approx(-1.0, abs=1e-5)
    assert (by_grid.latitude[0] - OKLAHOMA[1]) * 3600 == pytest.approx(0.5, abs=1e-5)
    assert by_grid.accuracy_m[0] == 5.0
    assert "conus" not in by_grid.missing_grid[0]
    assert after.longitude[0] == before.longitude[0]


def test_a_grids_folder_that_is_not_there_is_said_so(tmp_path: Path):
    with pytest.raises(ValueError, match="grids folder"):
        to_wgs84(*OKLAHOMA, "EPSG:4267", str(tmp_path / "nowhere"))


def test_utm_on_a_datum_without_codes_of_its_own():
    by_name = to_wgs84(300000, 6000000, "EPSG:4283 UTM 55S")
    by_code = to_wgs84(300000, 6000000, "EPSG:28355")
    assert by_name.longitude[0] == pytest.approx(by_code.longitude[0], abs=1e-9)
    assert geographic_code("EPSG:4283 UTM 55S") == "EPSG:4283"


@pytest.mark.parametrize(
    ("geographic", "zone", "hemisphere", "code"),
    [
        ("EPSG:4326", 14, "N", "EPSG:32614"),
        ("EPSG:4326", 4, "S", "EPSG:32704"),
        ("EPSG:4269", 9, "N", "EPSG:26909"),
        ("EPSG:4267", 14, "N", "EPSG:26714"),
        ("EPSG:4267", 30, "N", "EPSG:4267 UTM 30N"),
    ],
)
def test_utm_codes_are_those_of_the_dataset(geographic: str, zone: int, hemisphere: str, code: str):
    assert utm_crs(geographic, zone, hemisphere) == code
    if " " not in code:
        assert utm_zone_of(code) == (zone, hemisphere)
        assert geographic_code(code) == geographic


def test_every_utm_code_names_its_zone_and_datum():
    for zone in range(1, 61):
        for hemisphere in "NS":
            assert utm_zone_of(utm_crs(WGS84, zone, hemisphere)) == (zone, hemisphere)


def test_only_horizontal_systems_are_known():
    assert is_known_system("EPSG:5070")
    assert not is_known_system("EPSG:99999")
    assert not is_known_system("EPSG:5703")  # heights


def test_feet_are_those_of_the_zone():
    assert metres_per_unit("EPSG:2267") == pytest.approx(1200 / 3937)
    assert metres_per_unit("EPSG:2223") == pytest.approx(0.3048)
    assert metres_per_unit("EPSG:32124") == 1.0


def test_distances_are_geodesic_and_missing_for_missing_points():
    assert geodesic_distance(0, 0, 1, 0)[0] == pytest.approx(111319.4908, abs=1e-3)
    assert np.isnan(geodesic_distance(0, np.nan, 1, 0)[0])
    assert np.isnan(geodesic_distance(0, 95, 1, 0)[0])
