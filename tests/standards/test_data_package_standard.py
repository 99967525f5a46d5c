"""The data package against the published guide, profile and table schemas.

Sources: Darwin Core Data Package guide (ratified 2026-05-26), sections 3.1 to 3.4; profile and table schemas 1.0_DEV
(draft, 2026-07-07); Data Package specification, version 1. The rules are named by their section.
"""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from small_survey import CAPTURES_TABLE, HEAD, LOG_TABLE, SITES, SITES_TABLE, prepared

from dwc_pipeline.pipeline import sharable
from dwc_pipeline.terms.detection import WORD_SETS
from dwc_pipeline.terms.package_descriptors import package_fields, package_schema
from dwc_pipeline.write.data_package.package import write_data_package

SHARED = Path(__file__).resolve().parents[3] / "shared" / "standards" / "dwc-dp"
needs_kit = pytest.mark.skipif(
    not SHARED.is_dir(), reason="the published profile and schemas are not beside the repository"
)
PEOPLE = '\n[[people]]\nname = "Ada Example"\nroles = ["creator", "contact"]\norcid = "0000-0002-1825-0097"\n'
LOG = (
    "Array,Trap,What,Date,Time,State,Open\n"
    "A1,,opened,2023-05-14,18:30,,\nA1,,checked,2023-05-15,07:30,,\nA1,,checked and closed,2023-05-16,07:40,,\n"
)
CAPTURES = (
    "Array,Date,Time,Trap,Species,Sex,Age,SVL,Tail,Mass,Mark,Status,Notes,N,No\n"
    'A1,2023-05-15,07:30,F3,ASSE,M,adult,71,140,8.2,LF1-RH2,N,"a, ""note""",1,7\n'
    "A1,2023-05-15,07:30,P1,GAOL,,,30,,2.1,,,,2,8\n"
    "A1,2023-05-16,07:40,F3,ASSE,M,adult,71,140,8.3,LF1-RH2,R,,1,9\n"
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    files = {"sites.csv": SITES, "log.csv": LOG, "captures.csv": CAPTURES}
    season = prepared(
        tmp_path_factory.mktemp("survey"), files, SITES_TABLE + LOG_TABLE + CAPTURES_TABLE, HEAD + PEOPLE
    )
    given = sharable(season)
    made = tmp_path_factory.mktemp("package")
    words = WORD_SETS["detected and notDetected"]
    write_data_package(given.tables, given.metadata, made, words, "1.0_DEV")
    return made


@pytest.fixture(scope="module")
def descriptor(folder: Path) -> dict[str, Any]:
    read: dict[str, Any] = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    return read


@pytest.fixture(scope="module")
def tables(folder: Path) -> dict[str, pd.DataFrame]:
    """Each table as a plain reader of RFC 4180 sees it."""
    found = {}
    for path in folder.glob("*.csv"):
        rows = list(csv.reader(io.StringIO(path.read_bytes().decode("utf-8"), newline="")))
        found[path.stem] = pd.DataFrame(rows[1:], columns=rows[0])
    return found


class TestDescriptor:
    """Guide 3.1."""

    def test_the_profile_is_a_versioned_address_of_the_standard(self, descriptor: dict[str, Any]) -> None:
        assert descriptor["profile"] == "http://rs.tdwg.org/dwc-dp/1.0_DEV/dwc-dp-profile.json"

    def test_id_and_version_are_given_and_unknown_things_are_left_out(self, descriptor: dict[str, Any]) -> None:
        assert descriptor["id"] == "PT-2023"
        assert descriptor["version"] == "1.0"
        assert "created" not in descriptor

    @needs_kit
    def test_the_published_profile_accepts_it(self, descriptor: dict[str, Any]) -> None:
        assert profile_errors(descriptor) == []

    @needs_kit
    @pytest.mark.parametrize("lost", ["profile", "title"])
    def test_the_published_profile_would_miss_what_is_lost(self, descriptor: dict[str, Any], lost: str) -> None:
        broken = json.loads(json.dumps(descriptor))
        first = broken["resources"][0]
        first.pop(lost) if lost == "profile" else first["schema"]["fields"][0].pop(lost)
        assert profile_errors(broken)


def profile_errors(descriptor: dict[str, Any]) -> list[str]:
    """Faults by the published profile, checked without a network."""
    import jsonschema
    from referencing import Registry, Resource
    from referencing.jsonschema import DRAFT4

    profile = json.loads((SHARED / "dwc-dp-profile.json").read_text(encoding="utf-8"))
    base = json.loads((SHARED / "frictionless-v1" / "data-package.json").read_text(encoding="utf-8"))
    registry = Registry().with_resource(
        "https://specs.frictionlessdata.io/schemas/data-package.json",
        Resource.from_contents(base, default_specification=DRAFT4),
    )
    return [error.message for error in jsonschema.Draft4Validator(profile, registry=registry).iter_errors(descriptor)]


class TestResources:
    """Guide 3.2."""

    def test_every_table_is_described_as_the_guide_asks(self, descriptor: dict[str, Any], folder: Path) -> None:
        for resource in descriptor["resources"]:
            assert resource["profile"] == "tabular-data-resource"
            assert resource["mediatype"] == "text/csv"
            assert isinstance(resource["schema"], dict)
            assert (folder / resource["path"]).is_file()
            assert "dialect" not in resource

    def test_files_keep_to_rfc_4180(self, folder: Path) -> None:
        for path in folder.glob("*.csv"):
            content = path.read_bytes()
            assert content.endswith(b"\r\n")
            assert content.count(b"\r\n") >= 2

    def test_names_are_reserved_ones_and_each_is_used_once(self, descriptor: dict[str, Any]) -> None:
        names = [resource["name"] for resource in descriptor["resources"]]
        assert len(names) == len(set(names))
        assert {"event", "occurrence", "survey", "survey-target", "occurrence-assertion", "organism"} <= set(names)

    def test_frictionless_finds_no_fault(self, folder: Path, descriptor: dict[str, Any]) -> None:
        from frictionless import Package, system

        offline = {name: value for name, value in descriptor.items() if name != "profile"}
        with system.use_context(trusted=True):
            report = Package.from_descriptor(offline, basepath=str(folder)).validate()
        assert report.flatten(["type", "note"]) == []


class TestSchemas:
    """Guide 3.3 and 3.4."""

    def test_fields_are_the_columns_in_their_order(
        self, descriptor: dict[str, Any], tables: dict[str, pd.DataFrame]
    ) -> None:
        for resource in descriptor["resources"]:
            names = [field["name"] for field in resource["schema"]["fields"]]
            assert names == list(tables[resource["name"]])

    @needs_kit
    def test_every_descriptor_is_the_published_one(self, descriptor: dict[str, Any]) -> None:
        for resource in descriptor["resources"]:
            name = resource["name"]
            published = json.loads((SHARED / "table-schemas" / f"{name}.json").read_text(encoding="utf-8"))
            fields = {field["name"]: field for field in published["fields"]}
            for field in resource["schema"]["fields"]:
                assert field.items() <= fields[field["name"]].items()
                assert {"name", "title", "description", "type", "dcterms:isVersionOf"} <= field.keys()
            for key in resource["schema"].get("foreignKeys", []):
                assert key in published["foreignKeys"]

    @needs_kit
    def test_our_copy_of_the_schemas_holds_every_published_field(self) -> None:
        for path in (SHARED / "table-schemas").glob("*.json"):
            try:
                ours = package_fields(path.stem)
            except FileNotFoundError:
                continue
            published = json.loads(path.read_text(encoding="utf-8"))
            assert ours == tuple(field["name"] for field in published["fields"])

    def test_keys_into_tables_that_are_not_there_are_left_out(self) -> None:
        schema = package_schema(
            "event", ["event_pk", "parentEvent_fk", "eventProtocol_fk", "eventCategory"], ["event"]
        )
        assert [key["fields"] for key in schema["foreignKeys"]] == ["parentEvent_fk"]

    def test_required_fields_are_filled_and_keys_are_unique(
        self, descriptor: dict[str, Any], tables: dict[str, pd.DataFrame]
    ) -> None:
        for resource in descriptor["resources"]:
            table = tables[resource["name"]]
            for field in resource["schema"]["fields"]:
                limits = field.get("constraints", {})
                if limits.get("required"):
                    assert (table[field["name"]] != "").all()
                if limits.get("unique"):
                    assert not table[field["name"]].duplicated().any()

    def test_strong_and_weak_keys_lead_somewhere(
        self, descriptor: dict[str, Any], tables: dict[str, pd.DataFrame]
    ) -> None:
        for resource in descriptor["resources"]:
            schema, table = resource["schema"], tables[resource["name"]]
            for key in [*schema.get("foreignKeys", []), *schema.get("weakForeignKeys", [])]:
                target = tables[key["reference"]["resource"] or resource["name"]]
                used = set(table[key["fields"]]) - {""}
                assert used <= set(target[key["reference"]["fields"]])


class TestTheSameAnimals:
    """What a reader that knows only the standard puts together again."""

    def test_animals_with_their_counts_names_places_and_sizes(self, tables: dict[str, pd.DataFrame]) -> None:
        animals = tables["occurrence"].merge(
            tables["event"], left_on="event_fk", right_on="event_pk", suffixes=("", "_e")
        )
        assert set(animals["decimalLatitude"].astype(float)) == {36.7512}
        assert sorted(animals["organismQuantity"]) == ["1", "1", "2"]
        assert set(animals["organismQuantityType"]) == {"individuals"}
        named = tables["identification"].set_index("occurrence_fk")["scientificName"]
        assert sorted(named) == ["Aspidoscelis sexlineatus"] * 2 + ["Gastrophryne olivacea"]
        sizes = tables["occurrence-assertion"].query("assertionType == 'snout-vent length'")
        assert sorted(sizes["assertionValue"]) == ["30", "71", "71"]
        assert set(sizes["assertionUnit"]) == {"mm"}

    def test_a_recapture_is_the_same_organism_with_its_mark(self, tables: dict[str, pd.DataFrame]) -> None:
        assert len(tables["organism"]) == 1
        assert tables["organism-identifier"]["identifier"].tolist() == ["LF1-RH2"]
        assert (tables["occurrence"]["organismID"] == tables["organism"]["organism_pk"][0]).sum() == 2

    def test_effort_and_targets_stand_on_the_survey(self, tables: dict[str, pd.DataFrame]) -> None:
        survey = tables["survey"].merge(tables["event"], left_on="event_fk", right_on="event_pk")
        checks = survey[survey["eventType"] == "trapCheck"]
        assert checks["samplingEffortUnit"].tolist() == ["trapHours"] * 2
        assert set(checks["eventCategory"]) == {"Survey"}
        wanted = tables["survey-target-descriptor"]
        assert sorted(wanted["surveyTargetValue"]) == ["Anura", "Caudata", "Squamata", "Testudines"]
        assert tables["survey-target"]["isSurveyTargetFullyReported"].tolist() == ["true"]
        assert set(checks["survey_pk"]) <= set(tables["survey-survey-target"]["survey_fk"])

    def test_words_of_detection_are_those_asked_for(self, tables: dict[str, pd.DataFrame]) -> None:
        assert set(tables["occurrence"]["occurrenceStatus"]) == {"detected"}
