"""Datum cells as people fill them."""

from __future__ import annotations

import pytest

from dwc_pipeline.normalise.datum_text import find_datum, read_datum


@pytest.mark.parametrize(
    ("cell", "code"),
    [
        ("WGS84", "EPSG:4326"),
        ("WGS 84", "EPSG:4326"),
        ("wgs-84", "EPSG:4326"),
        ("WGS_1984", "EPSG:4326"),
        ("D_WGS_1984", "EPSG:4326"),
        ("GCS_WGS_1984", "EPSG:4326"),
        ("WGS84 (G1150)", "EPSG:4326"),
        ("World Geodetic System 1984", "EPSG:4326"),
        ("nad 83", "EPSG:4269"),
        ("NAD83(2011)", "EPSG:4269"),
        ("NAD 1983", "EPSG:4269"),
        ("North American Datum of 1983", "EPSG:4269"),
        ("NAD27", "EPSG:4267"),
        ("NAD27 CONUS", "EPSG:4267"),
        ("North American 1927", "EPSG:4267"),
        ("EPSG:4267", "EPSG:4267"),
        ("epsg 4326", "EPSG:4326"),
        ("4269", "EPSG:4269"),
    ],
)
def test_a_datum_is_recognised_however_it_is_spelt(cell: str, code: str):
    assert read_datum(cell).code == code


@pytest.mark.parametrize(
    "cell",
    ["DD", "DMS", "UTM", "GPS", "decimal degrees", "", "WGS", "NAD", "NAD27?", "probably NAD27", "not NAD27",
     "NAD27/WGS84", "EPSG:99999", "Clarke 1866", "datum", "84", "27"],
)  # fmt: skip
def test_what_names_no_datum_or_two_or_a_doubtful_one_is_none(cell: str):
    assert not read_datum(cell).is_datum


@pytest.mark.parametrize(
    ("cell", "zone", "letter"),
    [
        ("NAD 1983 UTM Zone 14N", 14, "N"),
        ("UTM NAD83 zone 14", 14, ""),
        ("EPSG:26914", 14, "N"),
        ("WGS84 14S", 14, "S"),
    ],
)
def test_a_zone_beside_the_datum_is_read_too(cell: str, zone: int, letter: str):
    found = read_datum(cell)
    assert (found.zone, found.letter) == (zone, letter)


def test_a_datum_beside_the_numbers_is_taken_out_of_the_text():
    found = find_datum("UTM 14 443370 4067254 NAD27")
    assert (found.name, found.rest) == ("NAD27", "UTM 14 443370 4067254")


def test_numbers_are_not_taken_for_a_datum():
    assert find_datum("36.7512 -99.6348").rest == "36.7512 -99.6348"
