"""The data package as one file, and what the packages say of the data set."""

from __future__ import annotations

import gzip
import json
import tarfile
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from dwc_pipeline.cli import main
from dwc_pipeline.core.metadata import DatasetMetadata, Party
from dwc_pipeline.errors import BadSurveyFile
from dwc_pipeline.settings import Dataset, Person, read_survey_file
from dwc_pipeline.terms.detection import PRESENT_ABSENT
from dwc_pipeline.terms.licence import known_licences, nearest
from dwc_pipeline.write.data_package.package import write_data_package

Tables = dict[str, pd.DataFrame]


@pytest.fixture
def packed(tables: Tables, metadata: DatasetMetadata, tmp_path: Path) -> Path:
    write_data_package(tables, metadata, tmp_path, PRESENT_ABSENT, "1.0_DEV", "P.tar.gz")
    return tmp_path / "P.tar.gz"


class TestPackedPackage:
    """Guide 3 (2026-05-26): gzip only, descriptor and description at the root."""

    def test_its_files_are_those_of_the_folder(
        self, packed: Path, tables: Tables, metadata: DatasetMetadata, tmp_path: Path
    ) -> None:
        folder = tmp_path / "folder"
        folder.mkdir()
        write_data_package(tables, metadata, folder, PRESENT_ABSENT, "1.0_DEV")
        with tarfile.open(packed, "r:gz") as tar:
            held = {member.name: tar.extractfile(member).read() for member in tar}  # type: ignore[union-attr]
        assert held == {path.name: path.read_bytes() for path in folder.iterdir()}
        assert {"datapackage.json", "eml.xml"} <= set(held)

    def test_nothing_of_the_machine_or_the_day_is_in_it(self, packed: Path) -> None:
        with tarfile.open(packed, "r:gz") as tar:
            members = tar.getmembers()
        assert [member.name for member in members] == sorted(member.name for member in members)
        assert {(one.mtime, one.uid, one.gid, one.uname, one.gname, one.mode) for one in members} == {
            (315_532_800, 0, 0, "", "", 0o644)
        }
        head = packed.read_bytes()[:10]
        assert head[3] == 0  # RFC 1952: no name, no comment
        assert head[4:8] == b"\0\0\0\0"  # no time

    def test_two_writings_give_the_same_bytes(
        self, packed: Path, tables: Tables, metadata: DatasetMetadata, tmp_path: Path
    ) -> None:
        again = tmp_path / "again"
        again.mkdir()
        write_data_package(tables, metadata, again, PRESENT_ABSENT, "1.0_DEV", "P.tar.gz")
        assert (again / "P.tar.gz").read_bytes() == packed.read_bytes()

    def test_check_reads_it_and_finds_the_same_as_in_the_folder(
        self, packed: Path, tables: Tables, metadata: DatasetMetadata, tmp_path: Path
    ) -> None:
        folder = tmp_path / "folder"
        folder.mkdir()
        write_data_package(tables, metadata, folder, PRESENT_ABSENT, "1.0_DEV")
        told = []
        for path in (packed, folder):
            report = json.loads(CliRunner().invoke(main, ["check", str(path), "--json"]).output)
            told.append((report["kind"], report["parts"], [one["rule"] for one in report["findings"]]))
        assert told[0] == told[1]
        assert told[0][0] == "Darwin Core data package"

    def test_a_damaged_one_is_told_and_not_half_read(self, packed: Path) -> None:
        packed.write_bytes(packed.read_bytes()[:200])
        found = CliRunner().invoke(main, ["check", str(packed)])
        assert found.exit_code == 2
        assert "cannot be unpacked" in found.output

    def test_a_packed_file_without_a_descriptor_is_told(self, tmp_path: Path) -> None:
        path = tmp_path / "other.tar.gz"
        path.write_bytes(gzip.compress(b"no tar"))
        assert CliRunner().invoke(main, ["check", str(path)]).exit_code == 2


class TestWhatThePackagesSay:
    def test_version_licence_citation_and_changes_are_in_descriptor_and_readme(
        self, tables: Tables, metadata: DatasetMetadata, tmp_path: Path
    ) -> None:
        about = replace(
            metadata, doi="10.1234/made-up", publisher="Museum", changes="Changes since version 0.9: none."
        )
        write_data_package(tables, about, tmp_path, PRESENT_ABSENT, "1.0_DEV")
        told = json.loads((tmp_path / "datapackage.json").read_bytes())
        readme = (tmp_path / "README.txt").read_text(encoding="utf-8")
        assert (told["id"], told["version"]) == ("https://doi.org/10.1234/made-up", "1.0")
        assert told["licenses"][0]["name"] == "CC0-1.0"
        assert {"title": "Museum", "role": "publisher"} in told["contributors"]
        for text in ("Version: 1.0", "CC0", "Changes since version 0.9: none.", "event.csv: 3 rows"):
            assert text in readme
        assert " ".join(readme.split()).count(told["citation"]) == 1

    def test_a_citation_is_made_of_people_year_title_version_publisher_and_address(self) -> None:
        """DataCite's recommended form, from memory."""
        about = DatasetMetadata(
            "Toads of a ranch",
            "T-2031",
            tuple(Party(name, roles=("creator",)) for name in ("Ada Example", "Bo Sample")),
            version="1.2",
            pub_date="2031-12-01",
            publisher="Museum",
            doi="10.1234/x",
        )
        assert about.cited == (
            "Ada Example; Bo Sample (2031): Toads of a ranch. Version 1.2. Museum. Dataset. https://doi.org/10.1234/x"
        )
        assert replace(about, citation="As told.").cited == "As told."
        assert replace(about, people=()).cited == ""
        assert "(n.d.)" in replace(about, pub_date="").cited


class TestLicences:
    def test_what_is_no_identifier_is_refused_with_what_may_be_meant(self) -> None:
        with pytest.raises(ValueError, match=r'Perhaps "CC-BY-4\.0" is meant'):
            Dataset(license="CC BY 4.0")
        with pytest.raises(ValueError, match="Known are: CC0-1"):
            Dataset(license="all rights reserved")

    @pytest.mark.parametrize(
        ("text", "meant"),
        [
            ("https://creativecommons.org/licenses/by-nc/4.0/", "CC-BY-NC-4.0"),
            ("http://creativecommons.org/publicdomain/zero/1.0/legalcode", "CC0-1.0"),
            ("cc0 1.0", "CC0-1.0"),
            ("Open Data Commons Attribution License v1.0", "ODC-By-1.0"),
        ],
    )
    def test_names_and_addresses_lead_to_the_identifier(self, text: str, meant: str) -> None:
        assert nearest(text) == meant

    def test_every_licence_has_a_name_and_a_secure_address(self) -> None:
        for one in known_licences().values():
            assert one.name
            assert one.url.startswith("https://")

    def test_the_survey_file_says_it_in_its_own_place(self, tmp_path: Path) -> None:
        path = tmp_path / "survey.toml"
        path.write_text('[dataset]\nlicense = "GPL"\n', encoding="utf-8")
        with pytest.raises(BadSurveyFile, match=r"dataset\.license: 'GPL' is not the SPDX identifier"):
            read_survey_file(path)


class TestOrcid:
    """Check digits by ISO/IEC 7064, MOD 11-2; the first is ORCID's own example, from memory."""

    @pytest.mark.parametrize("orcid", ["0000-0002-1825-0097", "0000-0001-5109-3700", "0000-0002-1694-233X"])
    def test_right_ones_pass(self, orcid: str) -> None:
        assert Person(name="A", orcid=orcid).orcid == orcid

    @pytest.mark.parametrize("orcid", ["0000-0002-1825-0098", "0000-0002-1852-0097", "0000-0002-1694-2333"])
    def test_a_slip_of_the_hand_is_found(self, orcid: str) -> None:
        with pytest.raises(ValueError, match="check digit"):
            Person(name="A", orcid=orcid)
