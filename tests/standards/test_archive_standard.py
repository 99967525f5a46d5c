"""Archives against what was published: the schema of the text guide and its examples, EML 2.2.0 and its samples,
the lists of terms, the registered row types, and a Table Schema validator.

The published files are not part of this project (EML is under the GPL). They are looked for in the folder
`shared/standards` beside the repository; without it the tests that need them are skipped.
"""

from __future__ import annotations

import csv
import shutil
import zipfile
from pathlib import Path
from typing import Any

import frictionless
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from dwc_pipeline.check.archive_rules import check_archive
from dwc_pipeline.check.eml_rules import check_eml
from dwc_pipeline.core.findings import severity_of
from dwc_pipeline.core.metadata import BoundingBox, CoveredTaxon, DatasetMetadata, Licence, Party
from dwc_pipeline.read.archive_file import read_archive
from dwc_pipeline.terms.detection import PRESENT_ABSENT
from dwc_pipeline.terms.schema import columns_in_use, frictionless_schema, row_type, table_schema, written_schema
from dwc_pipeline.write.archive import write_archive
from dwc_pipeline.write.eml import UPDATE_FREQUENCIES, eml_document
from dwc_pipeline.write.tables import write_table

STANDARDS = Path(__file__).resolve().parents[3] / "shared" / "standards"
EXAMPLES = STANDARDS / "dwc" / "text-guide-examples"
SAMPLES = STANDARDS / "eml" / "samples"
needs_standards = pytest.mark.skipif(not STANDARDS.is_dir(), reason="the published standards are not at hand")
#: rule of the EML chapter -> our rule
EML_RULES = {
    "1": "eml-breaks-its-schema",
    "4": "eml-identifier-is-repeated",
    "5": "eml-annotation-has-no-subject",
    "6": "eml-reference-leads-nowhere",
    "8": "eml-reference-has-its-own-identifier",
    "10": "eml-custom-unit-is-not-defined",
}
#: samples that ship as valid and break the words of rules 5 to 7, which are warnings for that reason
LITERALLY_BROKEN = {
    "valid/eml-citationWithContactReference.xml": {"eml-reference-names-another-system"},
    "valid/eml-sample.xml": {"eml-annotation-has-no-subject", "eml-reference-leads-nowhere"},
}
LINKED_TABLES = ("event", "occurrence", "measurement", "humboldt")


def published_schema(path: Path) -> Any:
    """A published XML Schema, compiled without network."""
    return etree.XMLSchema(etree.parse(path, etree.XMLParser(no_network=True)))


def expected_samples() -> list[dict[str, str]]:
    """What is to be expected of the official EML samples."""
    if not SAMPLES.is_dir():
        return []
    with (SAMPLES / "expected.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def example(folder: Path, metafile: str, **files: str) -> Path:
    """An example of the text guide as a folder: its metafile, with data of our own where the guide gives none."""
    document = (EXAMPLES / metafile).read_text(encoding="utf-8-sig")
    (folder / "meta.xml").write_text(document, encoding="utf-8")
    for name, content in files.items():
        (folder / name).write_text(content, encoding="utf-8")
    return folder


@pytest.fixture
def full_tables() -> dict[str, pd.DataFrame]:
    """Tables in which every published term has some value that its column allows."""
    return {name: pd.DataFrame([filled_row(name)], dtype=object) for name in LINKED_TABLES}


def filled_row(table: str) -> dict[str, str]:
    """One row with every column filled."""
    values = {"integer": "1", "number": "1.5", "boolean": "true", "string": 'text, "quoted"'}
    row = {}
    for field in table_schema(table)["fields"]:
        constraints = field.get("constraints", {})
        row[field["name"]] = constraints.get("enum", [values[field["type"]]])[0]
    row |= {name: "2031" for name in ("eventDate", "georeferencedDate", "dateIdentified", "year") if name in row}
    row |= {"measurementDeterminedDate": "2031-05-14"} if table == "measurement" else {}
    row |= {"eventTime": "07:40-05:00", "countryCode": "US", "parentEventID": ""} if table == "event" else {}
    return row | {name: "id" for name in ("eventID", "occurrenceID", "measurementID") if name in row}


LEAST = DatasetMetadata("Title", "id", (Party("Ada Example", roles=("creator", "contact")),))


@needs_standards
class TestTextGuide:
    """Darwin Core text guide (2023-09-13) and its schema."""

    def test_the_published_schema_takes_our_metafile(
        self, full_tables: dict[str, pd.DataFrame], tmp_path: Path
    ) -> None:
        schema = published_schema(STANDARDS / "dwc" / "tdwg_dwc_text.xsd")
        for tables in (full_tables, {"event": full_tables["event"]}):
            path = write_archive(tables, LEAST, tmp_path / "a.zip", PRESENT_ABSENT)
            with zipfile.ZipFile(path) as archive:
                schema.assertValid(etree.fromstring(archive.read("meta.xml")))
            assert check_archive(read_archive(path)).empty

    def test_the_example_of_one_file_on_the_web(self, tmp_path: Path) -> None:
        """Section 2.5: a constant without column; the rows are on the web and are not fetched."""
        contents = read_archive(example(tmp_path, "specimens_meta.xml"))
        assert contents.core is not None
        assert contents.core.locations == ("http://data.gbif.org/download/specimens.csv",)
        assert contents.core.form.header_lines == 1
        constant = contents.core.fields[3]
        assert (constant.index, constant.default) == (None, "urn:lsid:tim.lsid.tdwg.org:collections:1")
        assert set(check_archive(contents)["rule"]) == {
            "archive-file-is-on-the-web", "archive-does-not-name-its-description",
        }  # fmt: skip

    def test_the_rows_of_that_example(self, tmp_path: Path) -> None:
        folder = example(tmp_path, "specimens_meta.xml")
        meta = (folder / "meta.xml").read_text().replace("http://data.gbif.org/download/", "")
        (folder / "meta.xml").write_text(meta)
        shutil.copy(EXAMPLES / "specimens.csv", folder)
        core = read_archive(folder).core
        assert core is not None
        dwc = "http://rs.tdwg.org/dwc/terms/"
        assert list(core.text(dwc + "occurrenceID")) == ["123", "124"]
        assert list(core.text(dwc + "individualCount")) == ["12", "2"]
        assert set(core.text(dwc + "datasetID")) == {"urn:lsid:tim.lsid.tdwg.org:collections:1"}

    def test_the_example_of_a_core_with_two_extensions(self, tmp_path: Path) -> None:
        taxa = "taxonID\tmodified\tname\taccepted\tparent\toriginal\n1\t2031\tCetacea\t\t\t\n"
        types = 'id,a,b,c,d,e\n1,"cited, twice",2,3,4,holotype\n'
        files = {"whales.txt": taxa, "types.csv": types, "distribution.csv": "id,a,b,c\n1,US,,present\n"}
        contents = read_archive(example(tmp_path, "whales_meta.xml", **files))
        assert contents.core is not None
        assert contents.core.row_type == "http://rs.tdwg.org/dwc/terms/Taxon"
        assert [part.row_type.rsplit("/", 1)[-1] for part in contents.extensions] == [
            "TypesAndSpecimen",
            "Distribution",
        ]
        assert list(contents.extensions[0].text("http://purl.org/dc/terms/bibliographicCitation")) == ["cited, twice"]
        assert set(check_archive(contents)["rule"]) == {"archive-does-not-name-its-description"}

    def test_the_example_without_metafile(self) -> None:
        contents = read_archive(EXAMPLES / "specimens_no_metafile.csv")
        assert contents.core is not None
        assert list(contents.core.text("http://rs.tdwg.org/dwc/terms/catalogNumber")) == ["123", "124"]

    def test_the_obsolete_metafile_is_rejected_by_the_schema_and_by_us(self, tmp_path: Path) -> None:
        schema = published_schema(STANDARDS / "dwc" / "tdwg_dwc_text.xsd")
        assert not schema.validate(etree.parse(EXAMPLES / "obsolete_simpledwc_complete.xml"))
        found = check_archive(read_archive(example(tmp_path, "obsolete_simpledwc_complete.xml")))
        errors = set(found["rule"][severity_of(found) == "error"])
        assert errors == {"metafile-needs-exactly-one-core", "metafile-names-something-unknown"}


@needs_standards
class TestEml:
    """EML 2.2.0: its schemas, and the samples that are published with them."""

    @pytest.mark.parametrize("sample", expected_samples(), ids=lambda sample: sample["file"])
    def test_official_samples_are_met_as_published(self, sample: dict[str, str]) -> None:
        document = (SAMPLES / sample["file"]).read_bytes()
        found = check_eml(document, "sample", schemas=STANDARDS / "eml" / "eml-2.2.0")
        broken = set(found["rule"]) - {"eml-package-identifier-is-empty"}
        if sample["official_status_valid"] == "yes":
            assert "error" not in set(severity_of(found))
            assert broken == LITERALLY_BROKEN.get(sample["file"], set())
        else:
            assert broken == {EML_RULES[number] for number in sample["rule_broken"].split(";")}

    def test_our_least_document_is_valid(self) -> None:
        published_schema(STANDARDS / "eml" / "eml-2.2.0" / "eml.xsd").assertValid(
            etree.fromstring(eml_document(LEAST))
        )

    def test_whatever_is_given_or_left_out_the_document_is_valid(self) -> None:
        """The order of elements is right by construction, not only in one example."""
        schema = published_schema(STANDARDS / "eml" / "eml-2.2.0" / "eml.xsd")
        words = ["x", "½ & <b>", "one\n\ntwo", " space around "]
        text, filled = st.sampled_from(["", " ", *words]), st.sampled_from(words)
        texts = st.lists(text, max_size=2).map(tuple)
        parties = st.builds(
            Party, name=text, organisation=text, position=text, email=text,
            orcid=st.sampled_from(["", "0000-0002-1825-0097"]),
            roles=st.sampled_from([("creator",), ("contact", "observer"), ("principalInvestigator",)]),
        )  # fmt: skip
        day = st.sampled_from(["2031", "2031-05-14"])
        descriptions = st.builds(
            DatasetMetadata,
            title=filled, package_id=filled, version=text, abstract=text, purpose=text,
            pub_date=st.sampled_from(["", "2031", "2031-05-14"]), language=text, keywords=texts,
            people=st.lists(parties, max_size=3).map(lambda people: (LEAST.people[0], *people)),
            licence=st.none() | st.builds(Licence, name=filled, identifier=text), citation=text, notes=texts,
            box=st.none() | st.builds(BoundingBox, *[st.floats(-90, 90)] * 4, description=text),
            date_range=st.none() | st.tuples(day, day),
            taxa=st.lists(st.builds(CoveredTaxon, rank=text, name=filled, common_name=text), max_size=2).map(tuple),
            method_steps=texts, sampling_description=text, study_extent=text, quality_control=text,
            project_title=text, project_abstract=text, maintenance=text,
            update_frequency=st.sampled_from(["", *UPDATE_FREQUENCIES]), changes=text, previous_version=text,
            rights_holder=text, publisher=text, doi=st.sampled_from(["", "10.1234/made-up"]),
        )  # fmt: skip

        @settings(max_examples=80, deadline=None)
        @given(metadata=descriptions)
        def is_valid(metadata: DatasetMetadata) -> None:
            schema.assertValid(etree.fromstring(eml_document(metadata)))

        is_valid()


@needs_standards
class TestTerms:
    """Darwin Core and Humboldt Extension lists of terms (2026-05-26) and the registered row types."""

    def test_every_column_that_is_a_term_is_in_a_published_list_with_its_class(self) -> None:
        classes: dict[str, str] = {}
        for name in ("dwc", "eco"):
            terms = pd.read_csv(STANDARDS / name / "terms.csv", dtype=str, keep_default_na=False)
            classes |= dict(zip(terms["iri"], terms["class"], strict=True))
        registered = pd.read_csv(STANDARDS / "extensions" / "rowtype_terms.csv", dtype=str)
        for table in LINKED_TABLES:
            for field in table_schema(table)["fields"]:
                if "term" in field and not field["term"].startswith("http://rs.iobis.org/"):
                    assert field["class"] == (classes[field["term"]] or "record-level")
                elif "term" in field:
                    assert field["term"] in set(registered["iri"])

    def test_all_terms_of_the_registered_humboldt_rows_are_there(self) -> None:
        registered = pd.read_csv(STANDARDS / "extensions" / "rowtype_terms.csv", dtype=str)
        wanted = registered["iri"][registered["row_type"] == row_type("humboldt")]
        ours = {field.get("term") for field in table_schema("humboldt")["fields"]}
        missing = {iri for iri in wanted if iri.startswith("http://rs.tdwg.org/eco/") and iri not in ours}
        assert not missing
        assert len(ours) == 56

    def test_terms_outside_the_registered_row_types_are_few_and_known(self) -> None:
        """Legal (text guide 2.4.1), but readers that go by the registry may pass over them."""
        registered = pd.read_csv(STANDARDS / "extensions" / "rowtype_terms.csv", dtype=str)
        outside = {
            f"{table}.{field['name']}"
            for table in LINKED_TABLES
            for field in table_schema(table)["fields"]
            if "term" in field
            and field["term"] not in set(registered["iri"][registered["row_type"] == row_type(table)])
        }
        assert outside == {
            "event.eventCategory", "humboldt.eventID", "measurement.eventID", "measurement.verbatimMeasurementType",
        }  # fmt: skip

    def test_columns_of_humboldt_terms_have_the_published_types_and_values(self) -> None:
        rules = pd.read_csv(STANDARDS / "eco" / "value_rules.csv", dtype=str, keep_default_na=False)
        kinds = dict(zip(rules["term"], rules["datatype"], strict=True))
        for field in table_schema("humboldt")["fields"]:
            if field["name"] in kinds:
                assert field["type"] == {"list": "string"}.get(kinds[field["name"]], kinds[field["name"]])
        completeness = next(f for f in table_schema("humboldt")["fields"] if f["name"] == "taxonCompletenessReported")
        words = pd.read_csv(STANDARDS / "vocab" / "taxonCompletenessReported.csv", dtype=str)
        assert set(completeness["constraints"]["enum"]) == set(words["controlled_value"][words["kind"] != "scheme"])

    def test_establishment_columns_have_the_published_words(self) -> None:
        fields = {field["name"]: field for field in table_schema("occurrence")["fields"]}
        for name in ("establishmentMeans", "degreeOfEstablishment"):
            words = pd.read_csv(STANDARDS / "vocab" / f"{name}.csv", dtype=str)
            published = set(words["controlled_value"][words["kind"] != "scheme"])
            assert set(fields[name]["constraints"]["enum"]) == published


class TestTableSchema:
    """Table Schema, by a validator that is not ours; no network."""

    def test_written_tables_are_valid(self, full_tables: dict[str, pd.DataFrame], tmp_path: Path) -> None:
        for name, frame in full_tables.items():
            columns = columns_in_use(name, frame)
            write_table(frame, tmp_path / f"{name}.csv", columns)
            schema = frictionless_schema(name, columns)
            report = frictionless.Resource(path=f"{name}.csv", basepath=str(tmp_path), schema=schema).validate()
            assert report.valid, report.flatten(["fieldName", "message"])

    def test_links_between_written_tables_are_checked(
        self, full_tables: dict[str, pd.DataFrame], tmp_path: Path
    ) -> None:
        full_tables["measurement"]["occurrenceID"] = ["nobody"]
        resources = []
        for name, frame in full_tables.items():
            columns = columns_in_use(name, frame)
            write_table(frame, tmp_path / f"{name}.csv", columns)
            schema = written_schema(name, columns, beside=LINKED_TABLES)
            resources.append({"name": name, "path": f"{name}.csv", "schema": schema})
        package = frictionless.Package.from_descriptor(
            {"name": "survey", "resources": resources}, basepath=str(tmp_path)
        )
        errors = package.validate().flatten(["type", "rowNumber"])
        assert errors == [["foreign-key", 2]]

    @needs_standards
    @pytest.mark.parametrize("table", [*LINKED_TABLES, "place", "effort"])
    def test_the_schemas_follow_the_published_specification(self, table: str) -> None:
        """Data Package specification, version 1, table-schema.json."""
        jsonschema = pytest.importorskip("jsonschema")
        import json

        specification = json.loads((STANDARDS / "dwc-dp" / "frictionless-v1" / "table-schema.json").read_text())
        jsonschema.validate(table_schema(table), specification)
