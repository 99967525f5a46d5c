"""The description of a data set: right order, nothing lost, nothing invented, nothing that breaks XML."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from dwc_pipeline.check.eml_rules import check_eml
from dwc_pipeline.core.metadata import DatasetMetadata, Party
from dwc_pipeline.core.safe_xml import NOT_IN_XML
from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.write.eml import eml_document, missing_metadata

LEAST = DatasetMetadata("Title", "id", (Party("Ada Example", roles=("creator", "contact")),))


def texts(document: bytes, path: str) -> list[str]:
    """The texts of some elements of the data set."""
    return [element.text for element in etree.fromstring(document).findall(f"dataset/{path}")]


def test_every_text_of_the_metadata_is_in_the_document(metadata: DatasetMetadata) -> None:
    document = eml_document(metadata)
    assert texts(document, "title") == ["Reptiles & amphibians of a made-up ranch <2031>"]
    assert texts(document, "abstract/para") == ["First paragraph.", "Second paragraph."]
    assert texts(document, "creator/individualName/surName") == ["Example"]
    assert texts(document, "creator/userId") == ["https://orcid.org/0000-0002-1825-0097"]
    assert texts(document, "associatedParty/individualName/givenName") == ["Bo"]
    assert texts(document, "associatedParty/role") == ["observer"]
    assert texts(document, "licensed/identifier") == ["CC0-1.0"]
    assert texts(document, "coverage/geographicCoverage/boundingCoordinates/westBoundingCoordinate") == ["-99.64"]
    assert texts(document, "coverage/temporalCoverage/rangeOfDates/endDate/calendarDate") == ["2031-05-15"]
    assert texts(document, "coverage/taxonomicCoverage/taxonomicClassification/taxonRankValue") == [
        "Squamata",
        "Anura",
    ]
    assert texts(document, "methods/methodStep/description/para") == ["Arrays were opened.", "Arrays were checked."]
    assert etree.fromstring(document).get("packageId") == "plum-thicket/1.0"


def test_our_own_documents_are_clean(metadata: DatasetMetadata) -> None:
    assert check_eml(eml_document(metadata), "a.zip").empty
    assert check_eml(eml_document(LEAST), "a.zip").empty


def test_creator_and_contact_stand_in_for_each_other() -> None:
    for role in ("creator", "contact"):
        document = eml_document(replace(LEAST, people=(Party("Ada Example", roles=(role,)),)))
        assert texts(document, "creator/individualName/surName") == ["Example"]
        assert texts(document, "contact/individualName/surName") == ["Example"]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"title": " "}, "lacks its title"),
        ({"people": ()}, "creator or contact"),
        ({"people": (Party(" ", roles=("creator",)),)}, "creator or contact"),
        ({"package_id": ""}, "identifier"),
        ({"abstract": "rain\x07gauge"}, r"U\+0007\) in abstract, after 'rain'"),
        ({"keywords": ("fine", "not\x00fine")}, r"keywords\[2\]"),
        ({"people": (Party("Ada\x0bX", roles=("creator",)),)}, r"people\[1\]\.name"),
        ({"pub_date": "12/1/2031"}, "as pub_date"),
        ({"update_frequency": "yearly"}, "annually"),
    ],
)
def test_what_cannot_be_written_is_named(change: dict[str, object], message: str) -> None:
    with pytest.raises(OutputRefused, match=message):
        eml_document(replace(LEAST, **change))  # type: ignore[arg-type]  # any field may be changed


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=20))
def test_any_text_is_written_whole_or_refused(metadata: DatasetMetadata, text: str) -> None:
    changed = replace(metadata, title=f"x{text}x")
    if NOT_IN_XML.search(text):
        with pytest.raises(OutputRefused, match="control character"):
            eml_document(changed)
    else:
        assert texts(eml_document(changed), "title") == [f"x{text}x"]


def test_missing_metadata_lists_what_archives_ask_for(metadata: DatasetMetadata) -> None:
    assert missing_metadata(metadata) == []
    missing = missing_metadata(LEAST)
    assert any(line.startswith("licence") for line in missing)
    assert any(line.startswith("contact's email") for line in missing)
    assert not any(line.startswith(("title", "creator", "contact:")) for line in missing)
