"""Archives as museums and aggregators commonly write them: nothing is called an error that is none.

The terms are all registered terms of an occurrence (schemas/row_type_terms.csv); the data are invented. That they are
written so, by tabs without quotation marks and with the identifier apart, is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from archive_in_memory import TODAY
from strange_archives import DWC, EML, MEDIA

from dwc_pipeline.archive_check import check_archive_file
from dwc_pipeline.archive_summary import report_lines
from dwc_pipeline.check.archive_report import Answer, ArchiveReport
from dwc_pipeline.check.row_type_rules import registered_terms
from dwc_pipeline.terms.darwin_core import DCTERMS, short_name

FORM = r'encoding="UTF-8" fieldsTerminatedBy="\t" linesTerminatedBy="\n" fieldsEnclosedBy="" ignoreHeaderLines="1"'
VALUES = {
    "occurrenceID": "urn:catalog:MP:Herp:{n}", "basisOfRecord": "PreservedSpecimen", "catalogNumber": "{n}",
    "recordedBy": 'Ash, A. "Al" | Birch, B.', "individualCount": "1", "sex": "male", "countryCode": "US",
    "eventDate": "1987-06-14/16", "eventTime": "20:30", "verbatimEventDate": "14-16 Jun 1987", "year": "1987",
    "month": "6", "decimalLatitude": "36.43", "decimalLongitude": "-99.39", "geodeticDatum": "EPSG:4326",
    "coordinateUncertaintyInMeters": "4000", "scientificName": "Anaxyrus cognatus (Say, 1823)",
    "taxonRank": "species",
    "modified": "2023-05-06T10:11:12Z", "license": "http://creativecommons.org/licenses/by/4.0/legalcode",
    "dynamicProperties": '{"svl in mm": 71}', "occurrenceStatus": "present", "dateIdentified": "1990",
}  # fmt: skip
#: parts of other row types: file, row type, terms, one row
BESIDE = (
    ("multimedia.txt", MEDIA, [DCTERMS + name for name in ("type", "format", "identifier", "created")],
     ["StillImage", "image/jpeg", "https://example.org/1.jpg", "2019-05-06"]),
    ("measurementorfact.txt", DWC + "MeasurementOrFact",
     [DWC + name for name in ("measurementType", "measurementValue", "measurementUnit")], ["svl", "71", "mm"]),
    ("identification.txt", DWC + "Identification",
     [DWC + name for name in ("identificationID", "identifiedBy", "dateIdentified", "scientificName")],
     ["i1", "A. Ash", "1990-05", "Bufo cognatus Say, 1823"]),
    ("resourcerelationship.txt", DWC + "ResourceRelationship",
     [DWC + name for name in ("resourceRelationshipID", "resourceID", "relatedResourceID", "relationshipOfResource")],
     ["r1", "urn:catalog:MP:Herp:1", "https://example.org/host", "parasite of"]),
)  # fmt: skip
OLDER_EML = EML.replace("https://eml.ecoinformatics.org/eml-2.2.0", "eml://ecoinformatics.org/eml-2.1.1").replace(
    "</eml:eml>",
    "<additionalMetadata><metadata><collection><dateStamp>2014-02-11</dateStamp><own>x</own></collection></metadata>"
    "</additionalMetadata></eml:eml>",
)


def described(tag: str, file: str, row_type: str, terms: list[str]) -> str:
    link = "id" if tag == "core" else "coreid"
    fields = "".join(f'<field index="{number}" term="{term}"/>' for number, term in enumerate(terms, 1))
    files = f"<files><location>{file}</location></files>"
    return f'<{tag} {FORM} rowType="{row_type}">{files}<{link} index="0"/>{fields}</{tag}>'


@pytest.fixture
def report(tmp_path: Path) -> ArchiveReport:
    terms = list(registered_terms()[DWC + "Occurrence"])
    lines = ["\t".join(["id", *map(short_name, terms)])]
    for number in range(40):
        cells = [VALUES.get(short_name(term), "").replace("{n}", str(number)) for term in terms]
        lines.append("\t".join([f"urn:catalog:MP:Herp:{number}", *cells]))
    (tmp_path / "occurrence.txt").write_text("\n".join(lines) + "\n", encoding="utf-8", newline="")
    parts = described("core", "occurrence.txt", DWC + "Occurrence", terms)
    for file, row_type, own, row in BESIDE:
        rows = [["coreid", *map(short_name, own)], *([f"urn:catalog:MP:Herp:{number}", *row] for number in range(3))]
        (tmp_path / file).write_text("".join("\t".join(one) + "\n" for one in rows), encoding="utf-8", newline="")
        parts += described("extension", file, row_type, own)
    meta = f'<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">{parts}</archive>'
    (tmp_path / "meta.xml").write_text(meta, encoding="utf-8")
    (tmp_path / "eml.xml").write_text(OLDER_EML, encoding="utf-8")
    return check_archive_file(tmp_path, TODAY)


def test_a_museum_archive_of_all_terms_has_no_error_and_no_warning(report: ArchiveReport) -> None:
    assert set(report.findings["rule"]) == {"eml-is-of-another-version"}, report.findings["message"].tolist()
    assert [part.rows for part in report.parts] == [40, 3, 3, 3, 3]
    assert [use.answer for use in report.uses] == [Answer.YES, Answer.NOTHING, Answer.NOTHING]
    assert len(registered_terms()[DWC + "Occurrence"]) > 150


def test_its_verdict_is_a_plain_sentence(report: ArchiveReport) -> None:
    text = "\n".join(report_lines(report))
    assert "Can it be archived? Yes: no error and no warning was found." in text
    assert "its rows are no events" in text
