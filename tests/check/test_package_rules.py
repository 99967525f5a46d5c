"""A data package that breaks each rule about packages, and one that breaks none."""

from __future__ import annotations

import gzip
import json
import shutil
import tarfile
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from archive_in_memory import TODAY

from dwc_pipeline.archive_check import check_archive_file
from dwc_pipeline.check.package_rules import PACKAGE_CHECKS, as_archive
from dwc_pipeline.errors import UnreadableFile
from dwc_pipeline.read.package_file import NOT_JSON, TABLE_NOT_READ, is_package, open_package
from dwc_pipeline.terms.data_package import published_tables

EXAMPLE = Path(__file__).resolve().parents[3] / "shared" / "standards" / "dwc-dp" / "guide-example"
TABLES = {
    "event": "event_pk,eventID,parentEvent_fk,eventCategory,eventDate\r\n"
    "1,s,,Survey,2025-05-01/2025-05-31\r\n2,v1,1,Event,2025-05-06\r\n",
    "occurrence": "occurrence_pk,event_fk,occurrenceStatus,occurrenceID\r\n1,2,detected,o1\r\n2,2,detected,o2\r\n",
    "survey": "survey_pk,event_fk,samplingEffortValue,samplingEffortUnit,samplingEffortProtocol\r\n"
    "1,2,30,trapHours,elapsed\r\n",
}
Descriptor = dict[str, Any]
Change = Callable[[Descriptor, dict[str, str]], None]


def described(table: str) -> Descriptor:
    """The resource of a table, described from the published fields."""
    names = TABLES[table].splitlines()[0].split(",")
    published = published_tables()[table]
    fields = [
        {"name": name, "title": name, "description": name, "type": published[name].type,
         "dcterms:isVersionOf": published[name].term}
        for name in names
    ]  # fmt: skip
    schema: Descriptor = {"fields": fields, "primaryKey": names[0]}
    keys = [
        {"fields": name, "reference": {"resource": "" if target == table else target, "fields": field}}
        for name in names
        if published[name].role == "foreign key"
        for target, field in [published[name].references]
    ]
    return {
        "name": table, "path": f"{table}.csv", "profile": "tabular-data-resource", "format": "csv",
        "mediatype": "text/csv", "schema": schema | ({"foreignKeys": keys} if keys else {}),
    }  # fmt: skip


def written(folder: Path, change: Change = lambda descriptor, files: None) -> Path:
    """The package in a folder, changed."""
    descriptor = {
        "profile": "http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json", "id": "https://doi.org/10.9999/example",
        "created": "2025-09-08T09:52:03-03:00", "version": "1.0", "resources": [described(table) for table in TABLES],
    }  # fmt: skip
    files = {f"{table}.csv": text for table, text in TABLES.items()}
    change(descriptor, files)
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    (folder / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")
    return folder


def rules_of(path: Path) -> set[str]:
    return set(check_archive_file(path, TODAY).findings["rule"])


def of_package(key: str, value: Any) -> Change:
    return lambda descriptor, files: descriptor.update({key: value})


def of_event(key: str, value: Any) -> Change:
    return lambda descriptor, files: descriptor["resources"][0].update({key: value})


def of_schema(key: str, value: Any) -> Change:
    return lambda descriptor, files: descriptor["resources"][0]["schema"].update({key: value})


def of_field(number: int, key: str, value: Any) -> Change:
    return lambda descriptor, files: descriptor["resources"][0]["schema"]["fields"][number].update({key: value})


def of_rows(table: str, old: str, new: str) -> Change:
    return lambda descriptor, files: files.update({f"{table}.csv": TABLES[table].replace(old, new)})


def without(key: str) -> Change:
    return lambda descriptor, files: descriptor.pop(key)


BROKEN: dict[str, Change] = {
    "package-profile-is-not-published": of_package("profile", "tabular-data-package"),
    "package-lacks-an-identity": without("id"),
    "package-identity-is-malformed": of_package("created", "yesterday"),
    "package-has-no-table": of_package("resources", [{"name": "notes", "path": "event.csv"}]),
    "package-follows-a-later-specification": of_package("$schema", "https://datapackage.org/profiles/2.0/x.json"),
    "package-resource-lacks-what-it-must-say": of_event("mediatype", "text/plain"),
    "package-resource-does-not-say-its-format": of_event("format", ""),
    "package-resource-name-is-repeated": lambda descriptor, files: descriptor["resources"].append(described("event")),
    "package-file-form-is-not-described": of_rows("event", "\r\n", "\n"),
    "package-dialect-repeats-the-rule": of_event("dialect", {"delimiter": ","}),
    "package-file-is-packed-under-another-name": lambda descriptor, files: (
        descriptor["resources"][0].update({"path": "event.csv.gz"}),
        files.update({"event.csv.gz": TABLES["event"]}),
    )[0],
    "package-fields-differ-from-the-columns": of_rows("event", "eventID,parentEvent_fk", "parentEvent_fk,eventID"),
    "package-field-lacks-what-it-must-say": of_field(0, "title", ""),
    "package-field-is-not-in-its-table": of_field(4, "type", "date"),
    "package-required-field-is-missing": of_schema("fields", described("event")["schema"]["fields"][:3]),
    "package-key-is-not-declared": of_schema("foreignKeys", []),
    "package-descriptor-breaks-its-specification": of_field(1, "type", "foo"),
    "package-row-breaks-its-schema": of_rows("occurrence", "2,2,detected", "2,9,detected"),
    "package-identifier-is-repeated": of_rows("occurrence", "o2", "o1"),
    "package-identifier-leads-nowhere": lambda descriptor, files: None,
    "package-table-cannot-be-read": of_event("path", "events.csv"),
}  # fmt: skip
PACKED = {"package-is-packed-otherwise", "package-descriptor-is-not-at-the-root"}


def test_a_sound_package_breaks_no_rule_and_is_judged_like_an_archive(tmp_path: Path) -> None:
    report = check_archive_file(written(tmp_path), TODAY)
    assert report.findings.empty, report.findings["message"].to_string()
    assert report.kind == "Darwin Core data package"
    assert [(part.kind, part.rows) for part in report.parts] == [("event", 2), ("occurrence", 2), ("survey", 1)]
    assert "1 of 1 events without children have an effort" in report.uses[1].reason


@pytest.mark.parametrize("rule", [rule for rule in BROKEN if rule != "package-identifier-leads-nowhere"])
def test_each_faulty_package_is_named(tmp_path: Path, rule: str) -> None:
    assert rule in rules_of(written(tmp_path, BROKEN[rule]))


def test_an_identifier_that_leads_nowhere_is_noted(tmp_path: Path) -> None:
    def change(descriptor: Descriptor, files: dict[str, str]) -> None:
        published = published_tables()
        resource = described("survey") | {"name": "organism", "path": "organism.csv"}
        resource["schema"] = {
            "fields": [
                {"name": name, "title": name, "description": name, "type": "string",
                 "dcterms:isVersionOf": published["organism"][name].term}
                for name in ("organism_pk", "organismID")
            ],
            "primaryKey": "organism_pk",
        }  # fmt: skip
        descriptor["resources"].append(resource)
        files["organism.csv"] = "organism_pk,organismID\r\n1,a\r\n"
        descriptor["resources"][1]["schema"]["fields"].append(
            {"name": "organismID", "title": "o", "description": "o", "type": "string",
             "dcterms:isVersionOf": published["occurrence"]["organismID"].term}
        )  # fmt: skip
        files["occurrence.csv"] = (
            "occurrence_pk,event_fk,occurrenceStatus,occurrenceID,organismID\r\n1,2,detected,o1,a\r\n2,2,detected,o2,b\r\n"
        )

    assert "package-identifier-leads-nowhere" in rules_of(written(tmp_path, change))


def test_every_rule_about_packages_has_a_package_that_breaks_it() -> None:
    rules = {check.rule.id for check in PACKAGE_CHECKS} | {TABLE_NOT_READ.id}
    assert rules == set(BROKEN) | PACKED


def test_a_packed_package_is_read_and_only_gzip_is_right(tmp_path: Path) -> None:
    folder = written(tmp_path / "p")
    with tarfile.open(tmp_path / "p.tar.gz", "w:gz") as packed:
        for file in folder.iterdir():
            packed.add(file, file.name)
    assert rules_of(tmp_path / "p.tar.gz") == set()
    with zipfile.ZipFile(tmp_path / "p.zip", "w") as zipped:
        for file in folder.iterdir():
            zipped.write(file, f"inside/{file.name}")
    assert rules_of(tmp_path / "p.zip") == PACKED
    assert rules_of(folder / "datapackage.json") == set()


def test_a_packed_package_cannot_write_outside_its_folder(tmp_path: Path) -> None:
    folder = written(tmp_path / "p")
    with tarfile.open(tmp_path / "p.tar.gz", "w:gz") as packed:
        packed.add(folder / "datapackage.json", "../../outside.json")
    with pytest.raises(UnreadableFile, match="cannot be unpacked"):
        check_archive_file(tmp_path / "p.tar.gz", TODAY)
    assert not (tmp_path / "outside.json").exists()


def test_a_table_may_be_packed_on_its_own(tmp_path: Path) -> None:
    folder = written(tmp_path, of_event("path", "event.csv.gz"))
    (folder / "event.csv.gz").write_bytes(gzip.compress((folder / "event.csv").read_bytes()))
    assert rules_of(folder) == set()


def test_a_path_out_of_the_package_is_never_followed(tmp_path: Path) -> None:
    (tmp_path / "event.csv").write_text("event_pk\nsecret\n")
    folder = written(tmp_path / "p", of_event("path", "../event.csv"))
    with open_package(folder, "p") as package:
        assert package.tables[0].rows.empty
    assert "package-descriptor-breaks-its-specification" in rules_of(folder)


def test_a_descriptor_that_is_no_json_is_told_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "datapackage.json").write_text('{"profile": ')
    report = check_archive_file(tmp_path, TODAY)
    assert report.findings["rule"].tolist()[0] == NOT_JSON.id or NOT_JSON.id in set(report.findings["rule"])
    assert "line 1" in report.findings.loc[report.findings["rule"] == NOT_JSON.id, "message"].iloc[0]


def test_what_is_no_package_is_told_from_one(tmp_path: Path) -> None:
    (tmp_path / "a.tar.gz").write_bytes(b"no tar")
    with pytest.raises(UnreadableFile, match="cannot be unpacked"):
        check_archive_file(tmp_path / "a.tar.gz", TODAY)
    assert not is_package(tmp_path)


def test_the_rules_about_values_and_events_hold_for_packages(tmp_path: Path) -> None:
    folder = written(tmp_path, of_rows("event", "2025-05-06", "2025-06-31"))
    assert rules_of(folder) == {"event-date-not-on-the-calendar"}
    folder = written(tmp_path, of_rows("event", "2025-05-06", "2025-06-30"))
    assert rules_of(folder) == {"child-is-outside-its-parent-in-time"}


def test_a_package_seen_as_an_archive_keeps_its_links(tmp_path: Path) -> None:
    with open_package(written(tmp_path), "p") as package:
        contents = as_archive(package)
    assert contents.core is not None
    assert contents.core.ids.tolist() == ["1", "2"]
    assert [part.ids.tolist() for part in contents.extensions] == [["2", "2"], ["2"]]


@pytest.mark.skipif(not EXAMPLE.is_dir(), reason="the example of the guide is not at hand")
def test_the_example_of_the_guide_has_no_error(tmp_path: Path) -> None:
    """Darwin Core Data Package guide (2026-05-26), section 4; its keys are those of older table schemas."""
    shutil.copytree(EXAMPLE, tmp_path / "example")
    report = check_archive_file(tmp_path / "example", TODAY)
    assert not report.has_errors
    assert set(report.findings["rule"]) == {
        "package-field-is-not-in-its-table",
        "package-file-form-is-not-described",
        "package-required-field-is-missing",
    }


@pytest.mark.skipif(not EXAMPLE.is_dir(), reason="the example of the guide is not at hand")
@pytest.mark.parametrize(("key", "rule"), [
    ("profile", "package-resource-lacks-what-it-must-say"), ("title", "package-field-lacks-what-it-must-say"),
])  # fmt: skip
def test_what_the_draft_profile_refuses_is_refused(tmp_path: Path, key: str, rule: str) -> None:
    """The profile 1.0_DEV finds a resource without profile and a field without title."""
    folder = tmp_path / "example"
    shutil.copytree(EXAMPLE, folder, copy_function=shutil.copyfile)
    descriptor = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    resource = descriptor["resources"][0]
    (resource if key == "profile" else resource["schema"]["fields"][0]).pop(key)
    (folder / "datapackage.json").chmod(0o644)
    (folder / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")
    assert rule in rules_of(folder)


def test_the_targets_of_a_survey_are_its_scope(tmp_path: Path) -> None:
    """In a package the scope stands in survey-target-descriptor; a survey without targets has none."""
    added = {
        "survey": "survey_pk,event_fk,hasNonTargetTaxa\r\n1,2,false\r\n2,1,false\r\n",
        "survey-target": "surveyTarget_pk,isSurveyTargetFullyReported\r\nt,true\r\n",
        "survey-survey-target": "survey_fk,surveyTarget_fk\r\n1,t\r\n",
        "survey-target-descriptor": "surveyTarget_fk,surveyTargetType,surveyTargetValue,includeOrExclude\r\n"
        "t,taxon,Squamata,include\r\nt,taxon,Anura,include\r\nt,taxon,Serpentes,exclude\r\n"
        "t,life stage,adult,include\r\n",
    }

    def change(descriptor: Descriptor, files: dict[str, str]) -> None:
        descriptor["resources"] += [
            {"name": name, "path": f"{name}.csv"} for name in added if name not in ("survey",)
        ]  # fmt: skip
        files.update({f"{name}.csv": text for name, text in added.items()})

    with open_package(written(tmp_path, change), "p") as package:
        surveys = as_archive(package).extensions[1]
    eco = "http://rs.tdwg.org/eco/terms/"
    assert surveys.text(f"{eco}targetTaxonomicScope").tolist() == ["Squamata | Anura", ""]
    assert surveys.text(f"{eco}excludedTaxonomicScope").tolist() == ["Serpentes", ""]
    assert surveys.text(f"{eco}isTaxonomicScopeFullyReported").tolist() == ["true", ""]
