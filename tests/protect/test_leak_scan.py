"""Leaks planted by script in every kind of file are all found, and none in clean copies.

Notations: the spellings of 36.7512345, -99.6348765 that field notes use; UTM and MGRS made with PROJ and the mgrs
library, plus codes and geohashes by their published definitions.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import mgrs
import pytest
from leak_files import FILES
from pyproj import Transformer

from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.leaks.grid_codes import of_hash, of_plus, plus_code
from dwc_pipeline.leaks.pieces import pieces_of_bytes
from dwc_pipeline.leaks.scan import LeakScan, leaks_in, refuse_leaks
from dwc_pipeline.protect.run import Protected
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.write.public_copy import write_public_copy

LAT, LON = 36.7512345, -99.6348765
RANCH = {"name": "Windmill Ranch", "places": ["*"], "grid": "0.1", "words": ["Hollis Pike"]}
POLICY = {"taxa": {"Phrynosoma cornutum": 2}, "property": [RANCH]}


def dms(value: float) -> tuple[int, int, float]:
    degrees, rest = divmod(abs(value) * 3600, 3600)
    minutes, seconds = divmod(rest, 60)
    return int(degrees), int(minutes), round(seconds, 1)


def planar(system: str) -> tuple[int, int]:
    east, north = Transformer.from_crs("EPSG:4326", system, always_xy=True).transform(LON, LAT)
    return round(east), round(north)


def secrets() -> dict[str, str]:
    """What is planted: how it is called -> the text."""
    (d1, m1, s1), (d2, m2, s2) = dms(LAT), dms(LON)
    east, north = planar("EPSG:32614")
    old_east, old_north = planar("EPSG:26714")
    reference = mgrs.MGRS().toMGRS(LAT, LON)
    short = mgrs.MGRS().toMGRS(LAT, LON, MGRSPrecision=3)
    code = plus_code(LAT, LON)
    return {
        "decimal": f"{LAT}, {LON}",
        "decimal, longitude first": f"POINT ({LON} {LAT})",
        "decimal, four places": "36.7512 -99.6349",
        "decimal, three places": "36.751 / -99.635",
        "decimal, two places": "36.75 N 99.63 W",
        "decimal comma": "36,7512 -99,6348",
        "unsigned": "at 36.7510 by 99.6350",
        "half only": "latitude 36.7512345",
        "seconds": f"{d1}°{m1}'{s1}\"N {d2}°{m2}'{s2}\"W",
        "seconds, words": f"{d1} deg {m1} min {s1} sec north, {d2} deg {m2} min {s2} sec west",
        "seconds, colons": f"{d1}:{m1}:{s1:.0f} {d2}:{m2}:{s2:.0f}",
        "seconds, letters": f"N{d1}d{m1}m{s1:.0f}s W{d2}d{m2}m{s2:.0f}s",
        "decimal minutes": f"N{d1} {m1 + s1 / 60:.3f} W{d2} {m2 + s2 / 60:.3f}",
        "packed": f"{d1}{m1:02}{s1:04.1f}N {d2:03}{m2:02}{s2:04.1f}W",
        "UTM": f"14S {east} {north}",
        "UTM, marks": f"{east}mE {north}mN zone 14",
        "UTM, groups": f"E {east:,} N {north:,}",
        "UTM, rounded": f"{east // 100 * 100} {north // 100 * 100}",
        "UTM, leading zero": f"14 0{east} {north}",
        "UTM, old datum": f"NAD27 {old_east} {old_north}",
        "UTM, kilometres": f"{east / 1000:.2f} km E, {north / 1000:.2f} km N",
        "northing only": f"northing {north}",
        "grid reference": reference,
        "grid reference, spaced": f"{reference[:3]} {reference[3:5]} {reference[5:10]} {reference[10:]}",
        "grid reference, 100 m": short,
        "grid reference, no zone": reference[3:],
        "plus code": f"{code}+2X",
        "plus code, short": f"{code[4:]}+2X",
        "map link": "https://example.org/maps?zoom=12",
        "geo address": f"geo:{LAT},{LON}",
        "township": "T25N R24W Sec 14 NE1/4",
        "three words": "///table.lamp.spoon",
        "locality": "Windmill Draw",
        "locality, capitals": "WINDMILL DRAW",
        "locality, underscore": "windmill_draw_photos",
        "locality, together": "windmilldraw2031",
        "owner": "permission of Hollis Pike",
        "property": "Windmill   Ranch",
        "observer": "Ada Example",
        "observer, reversed": "Example, Ada",
        "observer, initial": "B. Sample",
        "address": "ada@example.org",
        "key": "a text that only the person knows",
        "event identifier": "WD-2031-N1-c20310515-1",
        "identifier beginning": "see WD-2031-N1 of the log",
        "animal identifier": "WD-2031-N1-c20310516-1-F1-4",
        "organism": "WD-animal-4",
        "field number": "F-N1-15",
        "mark": "900118001234567",
        "mark in groups": "900 118 001234567",
    }


@pytest.fixture
def copy(protected: Callable[..., Protected], tmp_path: Path) -> tuple[Path, Protected]:
    """A clean copy, written."""
    made = protected(POLICY)
    folder = tmp_path / "public"
    folder.mkdir()
    write_public_copy(made.copy, folder, WORD_SETS["present and absent"])
    return folder, made


def test_a_clean_copy_raises_nothing(copy: tuple[Path, Protected]) -> None:
    folder, made = copy
    assert leaks_in(folder, made.withheld) == []


@pytest.mark.parametrize(
    "policy",
    [{}, {"taxa": {"Phrynosoma cornutum": 3}}, {"taxa": {"Squamata": 1}}, {"taxa": {"Squamata": "withheld"}}],
)
def test_clean_copies_under_other_rules_raise_nothing(
    protected: Callable[..., Protected], tmp_path: Path, policy: dict[str, object]
) -> None:
    made = protected(policy)
    write_public_copy(made.copy, tmp_path, WORD_SETS["present and absent"])
    assert leaks_in(tmp_path, made.withheld) == []


@pytest.mark.parametrize("kind", list(FILES))
def test_every_secret_is_found_in_every_kind_of_file(
    protected: Callable[..., Protected], tmp_path: Path, kind: str
) -> None:
    scan = LeakScan(protected(POLICY).withheld)
    missed = []
    for number, (name, text) in enumerate(secrets().items()):
        folder = tmp_path / str(number)
        folder.mkdir()
        FILES[kind](text, folder)
        if not scan.leaks_in(folder):
            missed.append(name)
    assert missed == []


def test_there_are_several_hundred_leaks() -> None:
    assert len(FILES) * len(secrets()) > 1000


@pytest.mark.parametrize(
    "name", ["Windmill Draw.txt", "windmill_draw/notes.txt", "WD-2031-N1.csv", "36.7512 -99.6349.txt"]
)
def test_names_of_files_and_folders_are_read(copy: tuple[Path, Protected], name: str) -> None:
    folder, made = copy
    (folder / name).parent.mkdir(exist_ok=True)
    (folder / name).write_text("nothing", encoding="utf-8")
    assert leaks_in(folder, made.withheld)


def test_a_position_in_two_columns_far_apart_is_found(copy: tuple[Path, Protected]) -> None:
    folder, made = copy
    between = ",".join(["x"] * 300)
    (folder / "extra.csv").write_text(f"a\n36.752,{between},-99.634\n", encoding="utf-8")
    assert leaks_in(folder, made.withheld)


def test_numbers_in_cells_of_a_workbook_are_found(copy: tuple[Path, Protected]) -> None:
    import xlsxwriter

    folder, made = copy
    with xlsxwriter.Workbook(str(folder / "extra.xlsx")) as book:
        sheet = book.add_worksheet()
        sheet.write_number(4, 1, 36.75)
        sheet.write_number(4, 9, -99.63)
        sheet.set_column(0, 20, None, None, {"hidden": True})
    assert leaks_in(folder, made.withheld)


def test_a_picture_that_says_where_it_was_taken_is_refused(copy: tuple[Path, Protected]) -> None:
    folder, made = copy
    exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x88\x25\0\x04\0\0\0\x01\0\0\0\x1a\0\0\0\0"
    (folder / "p.jpg").write_bytes(b"\xff\xd8\xff\xe1" + (len(exif) + 2).to_bytes(2, "big") + exif + b"\xff\xd9")
    assert leaks_in(folder, made.withheld)


def test_what_cannot_be_looked_into_counts_as_a_leak() -> None:
    found = list(pieces_of_bytes(b"\x1f\x8b damaged", "a.gz", 0))
    assert any(type(one).__name__ == "Unreadable" for one in found)


def test_the_refusal_names_the_file_and_never_the_coordinates(copy: tuple[Path, Protected]) -> None:
    folder, made = copy
    (folder / "NOTES.txt").write_text(f"found at {LAT}, {LON}\n14S 443333 4067461\n", encoding="utf-8")
    with pytest.raises(OutputRefused) as refused:
        refuse_leaks(folder, made.withheld)
    message = str(refused.value)
    assert "NOTES.txt, line 1" in message
    assert not re.search(r"36\.75|99\.63|44333|406746", message)


def test_a_word_that_the_person_allows_is_no_leak(protected: Callable[..., Protected], tmp_path: Path) -> None:
    made = protected(POLICY, allowed_words=["Marsh Gate"])
    (tmp_path / "NOTES.txt").write_text("the marsh gate", encoding="utf-8")
    assert leaks_in(tmp_path, made.withheld) == []


def test_a_geohash_and_a_plus_code_are_read_as_published() -> None:
    # examples of the Open Location Code specification, and of the geohash of a place in Denmark (from memory)
    code = of_plus("8FVC9G8F6W")
    assert (round(code.latitude, 3), round(code.longitude, 3)) == (47.366, 8.525)
    hashed = of_hash("u4pruydqqvj")
    assert (round(hashed.latitude, 4), round(hashed.longitude, 4)) == (57.6491, 10.4074)
