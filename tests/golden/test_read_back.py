"""Every package of a season, read back by a reader made from the standards alone, and its numbers counted again.

The seasons: the demo, made-up ones with and without faults in their sheets, and open data sets in the folder
`shared/realdata` beside the repository (skipped where it is absent).
"""

from __future__ import annotations

import json
import re
import shutil
import tarfile
import zipfile
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pytest
from draft.test_draft_realdata import REAL
from golden.test_demo_season import copy_of_demo
from lxml import etree
from season_generator import make_season
from season_numbers import COUNTED_EVENTS, EffortLine, day_found, effort_lines, facts_of, species_lines
from second_reader import (
    CORE_ID,
    Row,
    Tables,
    archive_animals,
    archive_tables,
    day_of,
    package_animals,
    package_file,
    package_tables,
    sheet_rows,
    workbook_animals,
    workbook_sheets,
)
from small_survey import TODAY
from standards.test_data_package_standard import profile_errors

from dwc_pipeline.draft.run import draft_survey, write_draft
from dwc_pipeline.pipeline import run_survey

STANDARDS = REAL.parent / "standards"
needs_standards = pytest.mark.skipif(not STANDARDS.is_dir(), reason="the published standards are not at hand")
SHARE = '\n[share.agency]\nagency = "State agency"\n[share.package]\n'
PERSON = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\n'
PERMIT_FILES = ("01-portal-rodents/permit/Permit_data_2017.csv", "01-portal-rodents/raw/Portal_rodent_species.csv")
FATES = ("Released", "Left in place", "Removed", "Died", "Escaped", "Dead on road", "Fate not told")
KINDS = dict(zip(("trap check", "road survey", "cover search"), COUNTED_EVENTS, strict=True))
UNITS = {
    "trap_nights": "Effort [trap-nights]", "trap_hours": "Effort [trap-hours]",
    "person_hours": "Effort [person-hours]", "distance_km": "Distance [km]",
}  # fmt: skip
SEVERAL = {"Trap checks": "trapCheck", "Road surveys": "roadSurvey", "Cover searches": "coverSearch"}


def demo(folder: Path) -> Path:
    return copy_of_demo(folder / "demo")


def made_up(seed: int, mess: float, folder: Path, form: str = "folder") -> Path:
    path = make_season(folder, seed, mess).survey_file
    path.write_text(path.read_text(encoding="utf-8") + SHARE + f'form = "{form}"\n', encoding="utf-8")
    return path


def real(folder: Path, files: tuple[str, ...], *edits: tuple[str, str]) -> Path:
    """A drafted survey file of open data after a person's edits; the files are read where they lie."""
    if not REAL.is_dir():
        pytest.skip("the folder shared/realdata is not beside the repository")
    for source in files:
        shutil.copy(REAL / source, folder / Path(source).name)
    draft = draft_survey([folder], folder / "survey.toml", TODAY)
    write_draft(draft, replace_it=True)
    text = draft.path.read_text(encoding="utf-8")
    for pattern, replacement in edits:
        text, number = re.subn(pattern, replacement, text, flags=re.MULTILINE | re.DOTALL)
        assert number, pattern
    draft.path.write_text(text + PERSON + SHARE, encoding="utf-8")
    return draft.path


def permit_report(folder: Path) -> Path:
    """Reports to a state agency of the Portal Project, 2017 (CC0): one row a species and day."""
    return real(
        folder, PERMIT_FILES,
        (r'time_zone = "[^"]+"', 'time_zone = "America/Phoenix"'),
        (r"^# (\[table.constants\]\n)# eventType = \S+", r'\1eventType = "incidental"'),
    )  # fmt: skip


def messy_workbook(folder: Path) -> Path:
    """The teaching workbook of Data Carpentry (CC BY 4.0): several tables side by side on a sheet."""
    return real(
        folder, ("02-messy-workbook/raw/survey_data_spreadsheet_messy.xls",),
        ('time_zone = "UTC"', 'time_zone = "America/Denver"'),
        (r"^# --- captures of \S+, dates -.*?(?=^# --- )", ""),
    )  # fmt: skip


SEASONS = {
    "demo": demo,
    "clean 0": lambda folder: made_up(0, 0.0, folder),
    "clean 5": lambda folder: made_up(5, 0.0, folder, "tar.gz"),
    "messy 2": lambda folder: made_up(2, 0.6, folder),
    "messy 8": lambda folder: made_up(8, 1.0, folder),
    "permit report": permit_report,
    "messy workbook": messy_workbook,
}


@dataclass(frozen=True)
class Written:
    """The output folder of a season, and what the second reader makes of it."""

    out: Path

    @property
    def archive_file(self) -> Path:
        return next((self.out / "archive").glob("*.zip"))

    @cached_property
    def archive(self) -> Tables:
        return archive_tables(self.archive_file)

    @cached_property
    def package(self) -> Tables:
        return package_tables(self.package_path)

    @property
    def package_path(self) -> Path:
        """The folder of the data package, or the file that it is packed in."""
        return next((self.out / "package").glob("*.tar.gz"), self.out / "package")

    @cached_property
    def sheets(self) -> dict[str, list[list[str]]]:
        return workbook_sheets(next((self.out / "agency").glob("*.xlsx")))

    def rows(self, sheet: str) -> list[Row]:
        return sheet_rows(self.sheets[sheet])


@pytest.fixture(scope="module", params=SEASONS, ids=str)
def season(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Written:
    path = SEASONS[request.param](tmp_path_factory.mktemp("season"))
    return Written(run_survey(path, None, TODAY)[1])


class TestTheSameAnimals:
    def test_archive_and_data_package_hold_the_same_animals(self, season: Written) -> None:
        animals = archive_animals(season.archive)
        assert animals
        assert package_animals(season.package) == animals

    def test_the_tables_hold_the_same_identifiers(self, season: Written) -> None:
        lines = (season.out / "tables" / "occurrence.csv").read_text(encoding="utf-8")
        for animal in archive_animals(season.archive):
            assert animal.identifier in lines

    def test_the_workbook_holds_the_same_animals_on_the_day_they_were_found(self, season: Written) -> None:
        events, facts = {row[CORE_ID]: row for row in season.archive["Event"]}, facts_of(season.archive)
        event_of = {row["occurrenceID"]: events[row[CORE_ID]] for row in season.archive["Occurrence of the core"]}
        expected = {
            one._replace(date=day_found(event_of[one.identifier], facts.get(one.identifier, {})))
            for one in archive_animals(season.archive)
        }
        assert workbook_animals(season.sheets) == expected

    def test_the_agency_has_the_archive_of_the_season(self, season: Written) -> None:
        copy = season.out / "agency" / season.archive_file.name
        assert archive_tables(copy) == season.archive


class TestTheSameNumbers:
    """Counted from the written archive alone, with nothing of the package."""

    def test_every_number_of_the_species_table(self, season: Written) -> None:
        counted = species_lines(season.archive)
        told = {row["Scientific name"].replace("(not named)", ""): row for row in season.rows("Species")}
        assert set(told) == set(counted)
        for name, line in counted.items():
            row = told[name]
            assert float(row["Captured"]) == line.animals, name
            assert {fate: float(row[fate]) for fate in FATES} == {fate: line.fates[fate] for fate in FATES}, name
            assert (float(row["New"]), float(row["Recaptures"])) == (line.new, line.recaptures), name
            assert (day_of(row["First date"]), day_of(row["Last date"])) == (
                min(line.days, default=""), max(line.days, default=""),
            ), name  # fmt: skip
            assert float(row["Sites"]) == len(line.sites), name

    def test_every_number_of_the_effort_table(self, season: Written) -> None:
        counted = {
            (kind, site.partition("-")[2]): line for (kind, site), line in effort_lines(season.archive).items()
        }
        told = {(KINDS[row["Kind of event"]], row["Site"]): row for row in season.rows("Effort")}
        assert set(told) == set(counted)
        for key, line in counted.items():
            row = told[key]
            assert (float(row["Events"]), float(row["Effort unknown"])) == (line.events, line.unknown), key
            assert (day_of(row["From"]), day_of(row["To"])) == (
                min(line.days, default=""), max(line.days, default=""),
            ), key  # fmt: skip
            for name, header in UNITS.items():
                assert same_effort(row[header], line, name), (key, name)

    def test_every_number_of_the_summary(self, season: Written) -> None:
        told = {row["What"].strip(): row["Value"] for row in season.rows("Summary")}
        species, effort = species_lines(season.archive), effort_lines(season.archive)
        assert float(told["Animals captured"]) == sum(line.animals for line in species.values())
        assert float(told["Taxa"]) == len(set(species) - {""})
        for fate in FATES:
            assert float(told[fate]) == sum(line.fates[fate] for line in species.values())
        for header, kind in SEVERAL.items():
            assert float(told.get(header, 0)) == sum(line.events for key, line in effort.items() if key[0] == kind)
        for name, unit in (
            ("trap_nights", "trap-nights"), ("trap_hours", "trap-hours"), ("person_hours", "person-hours"),
            ("distance_km", "km"),
        ):  # fmt: skip
            whole = EffortLine(events=sum(line.events for line in effort.values()))
            known = [getattr(line, name) for line in effort.values() if getattr(line, name) is not None]
            setattr(whole, name, sum(known) if known else None)
            assert same_effort(told.get(f"Effort [{unit}]", ""), whole, name), name
        unknown = sum(line.unknown for line in effort.values())
        assert float(told.get("Events of unknown effort, not in the sums", 0)) == unknown


def same_effort(told: str, line: EffortLine, name: str) -> bool:
    """The sums agree as far as roundings allow: hundredths in the workbook and in the words of each event."""
    amount = getattr(line, name)
    if amount is None or not told:
        return amount is None and not told
    return abs(float(told) - amount) <= 0.006 + 0.0051 * line.events


class TestPublishedSchemas:
    @needs_standards
    def test_the_schema_of_the_text_guide_accepts_the_metafile(self, season: Written) -> None:

        with zipfile.ZipFile(season.archive_file) as packed:
            validate(packed.read("meta.xml"), STANDARDS / "dwc" / "tdwg_dwc_text.xsd")

    @needs_standards
    def test_the_eml_schema_accepts_both_descriptions(self, season: Written) -> None:

        schema = STANDARDS / "eml" / "eml-2.2.0" / "eml.xsd"
        with zipfile.ZipFile(season.archive_file) as packed:
            validate(packed.read("eml.xml"), schema)
        validate(package_file(season.package_path)("eml.xml"), schema)

    @needs_standards
    def test_the_published_profile_accepts_the_descriptor(self, season: Written) -> None:
        assert profile_errors(json.loads(package_file(season.package_path)("datapackage.json"))) == []

    def test_a_validator_of_data_packages_finds_no_fault(self, season: Written, tmp_path: Path) -> None:
        from frictionless import Package, system

        folder = season.package_path
        if folder.is_file():
            with tarfile.open(folder, "r:gz") as packed:
                packed.extractall(tmp_path, filter="data")
            folder = tmp_path
        descriptor = json.loads((folder / "datapackage.json").read_bytes())
        descriptor.pop("profile")  # it would be fetched
        with system.use_context(trusted=True):
            report = Package.from_descriptor(descriptor, basepath=str(folder)).validate()
        assert report.flatten(["type", "note"]) == []


def validate(document: bytes, schema: Path) -> None:
    """Nothing is fetched."""
    parser = etree.XMLParser(no_network=True)
    etree.XMLSchema(etree.parse(schema, parser)).assertValid(etree.fromstring(document))
