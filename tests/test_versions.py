"""Versions of several kinds compared: outputs, archives and data packages, ours and those of other makers."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pandas as pd
import pytest
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, TODAY, write_survey
from test_comparison import FIRST, LOG, PEOPLE, SECOND

from dwc_pipeline.comparison import comparison_lines
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.pipeline import run_survey
from dwc_pipeline.versions import compare_paths

DWC = "http://rs.tdwg.org/dwc/terms/"
FILES = {"sites.csv": SITES, "log.csv": LOG}
TABLES = SITES_TABLE + LOG_TABLE + CAPTURES_TABLE


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Two runs of one survey with data packages: the first a folder, the second packed."""
    folder = tmp_path_factory.mktemp("survey")
    made = []
    for name, captures, form in (("first", FIRST, "folder"), ("second", SECOND, "tar.gz")):
        share = f'\n[share.package]\nform = "{form}"\n'
        path = write_survey(folder, FILES | {"captures.csv": captures}, TABLES, HEAD + PEOPLE + share)
        made.append(run_survey(path, folder / name, TODAY)[1])
    return made[0], made[1]


def simple_archive(path: Path, header: str, *lines: str, row_type: str = DWC + "Occurrence") -> Path:
    """An archive of another maker: one core, tabs, every column a Darwin Core term."""
    terms = header.split(",")
    fields = "".join(f'<field index="{at}" term="{DWC}{term}"/>' for at, term in enumerate(terms))
    meta = (
        f'<archive xmlns="http://rs.tdwg.org/dwc/text/"><core encoding="UTF-8" fieldsTerminatedBy="\\t" '
        f'linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="1" rowType="{row_type}">'
        f'<files><location>rows.txt</location></files><id index="0"/>{fields}</core></archive>'
    )
    text = "\n".join(line.replace(",", "\t") for line in (header, *lines)) + "\n"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("meta.xml", meta)
        packed.writestr("rows.txt", text)
    return path


def told(old: Path, new: Path, table: str) -> set[tuple[str, ...]]:
    changes = compare_paths(old, new).changes
    own = changes[changes["table"] == table]
    return set(own[["what", "term", "old", "new"]].itertuples(index=False, name=None))


def package_of(output: Path) -> Path:
    packed = output / "package" / "PT-2023.tar.gz"
    return packed if packed.is_file() else output / "package"


def test_a_folder_and_a_packed_data_package_tell_the_same_changes_as_the_archives(outputs: tuple[Path, Path]) -> None:
    packages = told(package_of(outputs[0]), package_of(outputs[1]), "occurrence")
    archives = told(outputs[0] / "archive" / "PT-2023.zip", outputs[1] / "archive" / "PT-2023.zip", "occurrence")
    assert packages == archives
    assert ("changed", "sex", "male", "female") in packages
    lengths = told(package_of(outputs[0]), package_of(outputs[1]), "measurement")
    assert ("changed", "measurementValue", "71", "72") in lengths


def test_a_package_is_named_by_its_descriptor_too(outputs: tuple[Path, Path]) -> None:
    assert compare_paths(outputs[0] / "package" / "datapackage.json", outputs[0] / "package").changes.empty


@pytest.mark.parametrize("kind", ["archive", "output"])
def test_a_package_and_the_archive_of_one_season_do_not_differ(outputs: tuple[Path, Path], kind: str) -> None:
    for output in outputs:
        other = output / "archive" / "PT-2023.zip" if kind == "archive" else output
        found = compare_paths(other, package_of(output))
        assert found.changes.empty, found.changes.to_string()
        assert any(note.startswith("Not compared of animals") for note in found.notes)


def test_a_package_and_a_later_archive_tell_the_corrected_animal(outputs: tuple[Path, Path]) -> None:
    found = told(package_of(outputs[0]), outputs[1] / "archive" / "PT-2023.zip", "occurrence")
    assert ("changed", "sex", "male", "female") in found
    assert {what for what, *_ in found} == {"new", "gone", "changed"}


class TestOtherMakers:
    def test_archives_with_occurrences_alone(self, tmp_path: Path) -> None:
        old = simple_archive(tmp_path / "a.zip", "occurrenceID,scientificName,eventDate", "o1,Uta,2031-05-01")
        new = simple_archive(tmp_path / "b.zip", "occurrenceID,scientificName,eventDate", "o1,Uta,2031-05-02")
        assert told(old, new, "occurrence") == {("changed", "eventDate", "2031-05-01", "2031-05-02")}

    def test_occurrences_alone_against_events_compare_the_terms_of_the_events(
        self, tmp_path: Path, outputs: tuple[Path, Path]
    ) -> None:
        event_core = outputs[0] / "archive" / "PT-2023.zip"
        rows = pd.read_csv(outputs[0] / "tables" / "occurrence.csv", dtype=str, keep_default_na=False)
        lines = [
            f"{key},{name},2023-05-15" for key, name in zip(rows["occurrenceID"], rows["scientificName"], strict=True)
        ]
        flat = simple_archive(tmp_path / "flat.zip", "occurrenceID,scientificName,eventDate", *lines)
        found = compare_paths(event_core, flat)
        assert "their terms are compared where they stand on the animals" in found.notes[0]
        dates = found.changes[found.changes["term"] == "eventDate"]
        assert len(dates) == len(rows)
        assert set(dates["new"]) == {"2023-05-15"}
        assert all("T07:30" in text for text in dates["old"])

    def test_two_lists_of_taxa(self, tmp_path: Path) -> None:
        taxon = DWC + "Taxon"
        old = simple_archive(tmp_path / "a.zip", "taxonID,scientificName", "t1,Uta", "t2,Spea", row_type=taxon)
        new = simple_archive(tmp_path / "b.zip", "taxonID,scientificName", "t1,Uta stansburiana", row_type=taxon)
        assert told(old, new, "taxon") == {
            ("changed", "scientificName", "Uta", "Uta stansburiana"), ("gone", "", "", ""),
        }  # fmt: skip
        assert "taxa: 1 gone, 1 changed" in comparison_lines(compare_paths(old, new))

    def test_a_list_of_taxa_and_a_season_are_no_two_versions(
        self, tmp_path: Path, outputs: tuple[Path, Path]
    ) -> None:
        taxa = simple_archive(tmp_path / "taxa.zip", "taxonID,scientificName", "t1,Uta", row_type=DWC + "Taxon")
        for other in (*outputs, package_of(outputs[0])):
            with pytest.raises(
                UnreadableFile, match=r"taxa\.zip is a list of taxa and .* holds events or occurrences"
            ):
                compare_paths(other, taxa)

    def test_rows_without_identifiers_are_matched_by_what_they_say(self, tmp_path: Path) -> None:
        header = "occurrenceID,eventID,scientificName,sex"
        old = simple_archive(tmp_path / "a.zip", header, ",e1,Uta,male", ",e1,Spea,")
        new = simple_archive(tmp_path / "b.zip", header, ",e1,Spea,", ",e1,Uta,female")
        assert told(old, new, "occurrence") == {("changed", "sex", "male", "female")}

    def test_two_strangers_are_told_to_be_strangers(self, tmp_path: Path) -> None:
        old = simple_archive(tmp_path / "a.zip", "occurrenceID,scientificName", "o1,Uta")
        new = simple_archive(tmp_path / "b.zip", "occurrenceID,scientificName", "x1,Uta")
        assert any("No identifier is in both" in note for note in compare_paths(old, new).notes)

    def test_parts_that_are_not_compared_are_named(self, tmp_path: Path) -> None:
        row_type = "http://rs.gbif.org/terms/1.0/Multimedia"
        old = simple_archive(tmp_path / "a.zip", "occurrenceID,scientificName", "o1,Uta")
        with zipfile.ZipFile(old) as packed:
            meta = packed.read("meta.xml").decode()
        more = meta.replace("</archive>", "") + (
            f'<extension encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\\n" rowType="{row_type}">'
            f'<files><location>pictures.txt</location></files><coreid index="0"/>'
            f'<field index="1" term="http://purl.org/dc/terms/identifier"/></extension></archive>'
        )
        new = tmp_path / "b.zip"
        with zipfile.ZipFile(new, "w") as packed:
            packed.writestr("meta.xml", more)
            packed.writestr("rows.txt", "occurrenceID\tscientificName\no1\tUta\n")
            packed.writestr("pictures.txt", "o1,a.jpg\n")
        found = compare_paths(old, new)
        assert found.changes.empty
        assert found.notes == ("Not compared in b.zip: Multimedia.",)


@pytest.fixture(scope="module")
def later(outputs: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    made: dict[str, object] = {}
    first = outputs[0]
    releases = {"archive": first / "archive" / "PT-2023.zip", "output": first, "package": package_of(first)}
    for name, release in releases.items():
        folder = tmp_path_factory.mktemp(name)
        dataset = f'\n[dataset]\nversion = "1.1"\nprevious_release = "{release}"\npublished = 2031-12-01\n'
        path = write_survey(folder, FILES | {"captures.csv": SECOND}, TABLES, HEAD + PEOPLE + dataset)
        register = outputs[0].parent / "identifiers.csv"
        (folder / "identifiers.csv").write_bytes(register.read_bytes())
        made[name] = run_survey(path, None, TODAY)
    return made


class TestPreviousRelease:
    """What a new version says of the release before it."""

    @pytest.mark.parametrize("kind", ["archive", "output", "package"])
    def test_the_description_says_what_changed(self, later: dict[str, object], kind: str) -> None:
        season, out = later[kind]  # type: ignore[misc]
        assert season.metadata.previous_version == "1.0"
        assert season.metadata.changes.startswith("Changes since version 1.0: ")
        assert "animals: 1 new, 1 gone, 1 changed (sex 1)" in season.metadata.changes
        with zipfile.ZipFile(out / "archive" / "PT-2023.zip") as packed:
            eml = packed.read("eml.xml").decode()
        assert "<changeScope>" in eml
        assert "version 1.0" in eml
        assert not (season.findings["rule"] == "version-not-raised").any()

    def test_the_same_version_with_other_rows_is_told(self, outputs: tuple[Path, Path], tmp_path: Path) -> None:
        dataset = f'\n[dataset]\nprevious_release = "{outputs[0]}"\n'
        path = write_survey(tmp_path, FILES | {"captures.csv": SECOND}, TABLES, HEAD + PEOPLE + dataset)
        season, _ = run_survey(path, None, TODAY)
        assert (season.findings["rule"] == "version-not-raised").sum() == 1

    def test_a_release_that_is_not_there_stops_the_run(self, tmp_path: Path) -> None:
        dataset = '\n[dataset]\nprevious_release = "gone.zip"\n'
        path = write_survey(tmp_path, FILES | {"captures.csv": SECOND}, TABLES, HEAD + PEOPLE + dataset)
        with pytest.raises(UnreadableFile, match=r"gone\.zip"):
            run_survey(path, None, TODAY)
