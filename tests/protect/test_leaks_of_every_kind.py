# ruff: noqa: E501 - secrets and files are as long as they are
"""Every spelling of a secret is found, and every kind of file is looked into, to the bottom."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from leak_containers import LEAKS_IN_THEMSELVES, MAKERS
from leak_spellings import EVERY_SPELLING, E, N
from pygeodesy import wgrs

from dwc_pipeline.leaks.disguises import readings
from dwc_pipeline.leaks.grid_codes import of_world_reference
from dwc_pipeline.leaks.piece import Unreadable
from dwc_pipeline.leaks.pieces import pieces_of_bytes, pieces_of_folder
from dwc_pipeline.leaks.scan import LeakScan
from dwc_pipeline.protect.run import Protected

RANCH = {"name": "Windmill Ranch", "places": ["*"], "grid": "0.1", "words": ["Hollis Pike"]}
POLICY = {"taxa": {"Phrynosoma cornutum": 2}, "property": [RANCH]}
SECRETS = (
    "Windmill Draw", "Hollis Pike", "36.7512, -99.6349", "36°45'04.4\"N 99°38'05.6\"W", f"{E} {N}",
    "WD-2031-N1-c20310515-1",
)  # fmt: skip
#: kinds in which some signs of a secret cannot stand at all
CANNOT_HOLD = {("sheet name", "36°45'04.4\"N 99°38'05.6\"W")}
KEPT: list[LeakScan] = []
HARMLESS = "Six toads under a log, mass 36.7 g, 99.6 mm, array of four arms, at night, 2031-05-14/2031-05-15"
#: kinds that nobody can look into, whatever stands in them
CLOSED = {
    "text of two bytes without a mark",
    "text of two bytes, high first",
    "text with a zero byte",
    "unknown bytes",
}


@pytest.fixture
def scan(protected: Callable[..., Protected]) -> LeakScan:
    """The scan of the invented season; made once, since it prepares reference systems."""
    if not KEPT:
        KEPT.append(LeakScan(protected(POLICY).withheld))
    return KEPT[0]


def put(folder: Path, name: str, content: bytes) -> Path:
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content)
    return folder


def test_every_spelling_is_found_in_a_note(scan: LeakScan, tmp_path: Path) -> None:
    missed = []
    for text in EVERY_SPELLING:
        note = text if "\n" in text else f"We went out again. {text} was wet."
        if not scan.leaks_in(put(tmp_path, "note.txt", note.encode())):
            missed.append(text)
    assert missed == []
    assert len(EVERY_SPELLING) > 280


@pytest.mark.parametrize("secret", SECRETS)
def test_every_kind_of_file_is_looked_into(scan: LeakScan, tmp_path: Path, secret: str) -> None:
    missed = []
    for number, (kind, make) in enumerate(MAKERS.items()):
        if (kind, secret) not in CANNOT_HOLD and not scan.leaks_in(put(tmp_path / str(number), *make(secret))):
            missed.append(kind)
    assert missed == []


@pytest.mark.parametrize("kind", list(LEAKS_IN_THEMSELVES))
def test_what_cannot_be_looked_into_is_refused(scan: LeakScan, tmp_path: Path, kind: str) -> None:
    assert scan.leaks_in(put(tmp_path, *LEAKS_IN_THEMSELVES[kind]))


def test_a_harmless_text_is_found_in_no_kind_of_file(scan: LeakScan, tmp_path: Path) -> None:
    for number, (kind, make) in enumerate(MAKERS.items()):
        if kind not in CLOSED:
            assert scan.leaks_in(put(tmp_path / str(number), *make(HARMLESS))) == [], kind


@pytest.mark.parametrize(
    "text",
    [
        "2031-04-06/2031-04-13,96,99,6349,2031,4,,a fence,,36.8,-99.6,EPSG:4326,,0.1", "36.8, -99.6", "cell 36.8 -99.6, uncertainty 7134 m", "The season of 2031: 36 checks, 99 animals, 45 traps",
        "SVL 36.7 mm, tail 99.5 mm, mass 45.04 g", "2031-05-14, 2031-05-15", "array", "sites and traps", "EPSG:4326",
        "drift fence array with box, funnel and pitfall traps: 432 events, 97022 trap-hours",
        "Licence: Creative Commons Attribution 4.0 International (CC-BY-4.0)", "a windmill", "the ranch", "an example",
        "HMAC 9f86d081884c7d65", "Sceloporus consobrinus Baird & Girard, 1853", "0.1 degree", "1 2 3 4 5 6 36 45 12 99",
    ],
)  # fmt: skip
def test_what_says_nothing_is_let_through(scan: LeakScan, tmp_path: Path, text: str) -> None:
    assert scan.leaks_in(put(tmp_path, "note.txt", text.encode())) == []


def test_halves_in_two_files_are_found(scan: LeakScan, tmp_path: Path) -> None:
    put(tmp_path, "north.csv", b"array,latitude\n7,36.751\n")
    assert scan.leaks_in(put(tmp_path, "west.csv", b"array,longitude\n7,-99.635\n"))


def test_degrees_minutes_and_seconds_in_columns_are_found(scan: LeakScan, tmp_path: Path) -> None:
    assert scan.leaks_in(put(tmp_path, "a.csv", b"d,m,s,d2,m2,s2\n36,45,4.4,99,38,5.6\n"))


def test_initials_are_found_as_they_are_written_and_not_in_other_words(
    protected: Callable[..., Protected], tmp_path: Path
) -> None:
    scan = LeakScan(replace(protected(POLICY).withheld, capitals=frozenset({"BQ"})))
    assert scan.leaks_in(put(tmp_path, "a.txt", b"obs. BQ, rain"))
    assert not scan.leaks_in(put(tmp_path, "a.txt", b"bq, BQX and XBQ"))


def test_a_surname_alone_is_found_and_the_ordinary_word_is_not(scan: LeakScan, tmp_path: Path) -> None:
    assert scan.leaks_in(put(tmp_path, "a.txt", b"through Mr. Pike's gate"))
    assert scan.leaks_in(put(tmp_path, "a.txt", b"SAMPLE, field assistant"))
    assert not scan.leaks_in(put(tmp_path, "a.txt", b"a pike in the pond, for example, and a sample of water"))


def test_an_empty_folder_is_read_by_its_name(scan: LeakScan, tmp_path: Path) -> None:
    (tmp_path / "Windmill Draw").mkdir()
    assert scan.leaks_in(tmp_path)
    assert [one.text for one in pieces_of_folder(tmp_path)] == ["Windmill Draw"]  # type: ignore[union-attr]


def test_archives_without_end_are_not_followed() -> None:
    content = b"x"
    for _ in range(12):
        content = gzip.compress(content)
    assert any(isinstance(one, Unreadable) for one in pieces_of_bytes(content, "a.gz", 0))


def test_an_escape_of_an_escape_is_read() -> None:
    assert "Draw" in list(readings("%2544raw"))
    assert "Draw" in list(readings("&amp;#68;raw"))


def test_a_world_reference_is_read_as_a_library_writes_it() -> None:
    """Reference: the WGRS module of pygeodesy."""
    for latitude, longitude in ((36.7512345, -99.6348765), (-33.2, 151.7), (55.93, 0.84)):
        code = str(wgrs.encode(latitude, longitude, 4))
        found = of_world_reference(code[:4], code[4:])
        assert abs(found.latitude - latitude) <= 0.1 / 60 / 2 + 1e-9
        assert abs(found.longitude - longitude) <= 0.1 / 60 / 2 + 1e-9
