"""EML documents that break one rule each."""

from __future__ import annotations

import pytest

from dwc_pipeline.check.eml_rules import EML_CHECKS, check_eml
from dwc_pipeline.errors import UnreadableFile

SOUND = (
    '<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="a" system="b"><dataset>'
    '<title>T</title><creator id="ada"><organizationName>O</organizationName></creator><pubDate>2031</pubDate>'
    "<contact><references>ada</references></contact></dataset></eml:eml>"
)
#: rule -> text of the sound document, what to put instead
BROKEN = {
    "eml-has-another-root": ("eml:eml", "eml:dataset"),
    "eml-is-of-another-version": ("eml-2.2.0", "eml-2.1.1"),
    "eml-has-no-package-identifier": (' packageId="a"', ""),
    "eml-package-identifier-is-empty": ('packageId="a"', 'packageId=" "'),
    "eml-dataset-is-incomplete": ("<title>T</title>", ""),
    "eml-dataset-is-out-of-order": ("<title>T</title>", "<abstract/><title>T</title>"),
    "eml-identifier-is-repeated": ("<pubDate>", '<associatedParty id="ada"/><pubDate>'),
    "eml-annotation-has-no-subject": ("<contact>", "<annotation/><contact>"),
    "eml-reference-leads-nowhere": ("<references>ada", "<references>bo"),
    "eml-reference-names-another-system": ("<references>", '<references system="x">'),
    "eml-reference-has-its-own-identifier": ("<contact>", '<contact id="bo">'),
    "eml-additional-metadata-describe-nothing": (
        "</dataset>",
        "</dataset><additionalMetadata><describes>bo</describes></additionalMetadata>",
    ),
    "eml-custom-unit-is-not-defined": (
        "</contact>",
        "</contact><dataTable><customUnit>snouts</customUnit></dataTable>",
    ),
}


def rules_of(document: str) -> set[str]:
    return set(check_eml(document.encode(), "archive")["rule"])


def test_a_sound_document_breaks_no_rule() -> None:
    assert rules_of(SOUND) == set()


@pytest.mark.parametrize("rule", BROKEN)
def test_each_fault_is_named(rule: str) -> None:
    old, new = BROKEN[rule]
    assert old in SOUND
    assert rules_of(SOUND.replace(old, new)) == {rule}


def test_every_rule_has_a_document_that_breaks_it() -> None:
    assert {check.rule.id for check in EML_CHECKS} == set(BROKEN)


def test_a_unit_defined_in_the_document_is_known() -> None:
    document = SOUND.replace("</contact>", "</contact><dataTable><customUnit>snouts</customUnit></dataTable>")
    defined = "<additionalMetadata><metadata><unit id='snouts'/></metadata></additionalMetadata>"
    assert rules_of(document.replace("</dataset>", f"</dataset>{defined}")) == set()


def test_a_document_that_could_open_other_files_is_refused() -> None:
    with pytest.raises(UnreadableFile, match="document type"):
        check_eml(b"<!DOCTYPE eml><eml/>", "archive")
